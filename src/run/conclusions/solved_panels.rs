//! What the panels that are grilles take by what was solved of them.

use crate::likely::Warning;
use crate::ranking::PathPart;
use crate::result::RunSummary;
use crate::run::conclusions::loss::loss;
use crate::run::planning::panel_grille::{ahead_of_fan, part};
use crate::run::planning::plan::{GrillePlan, Plan};
use crate::study::{Panel, PanelLoss, Study};

/// What the panels that are grilles take by their solved laws, with the names of the panels, or the doubts that forbid it.
pub(super) fn solved_panels(
    study: &Study,
    plan: &Plan,
    summaries: &[Option<RunSummary>],
) -> Vec<(String, Result<PathPart, Vec<Warning>>)> {
    let ahead = ahead_of_fan(study);
    let of = |panel: &Panel, place: usize| -> Option<Result<PathPart, Vec<Warning>>> {
        let is_it = |planned: &&GrillePlan| planned.index == place;
        // Where no grille meets the air of a fan, its own runs do.
        let planned = plan.ahead.iter().find(is_it);
        let planned = planned.or_else(|| plan.grilles.iter().find(is_it))?;
        let solved = loss(&ahead, planned, plan, summaries);
        Some(solved.map(|solved| part(study, panel, &solved.loss)))
    };
    let panels = study.panels.iter().filter_map(|panel| {
        let PanelLoss::Grille(place) = panel.loss else {
            return None;
        };
        Some((panel.name.clone(), of(panel, place)?))
    });
    panels.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::planning::panel_grille::{behind_a_front_panel, expected_panel};

    #[test]
    fn behind_a_fan_the_panel_is_solved_ahead_of_it() {
        for (side, expected) in [("intake", 0), ("exhaust", 1)] {
            let study = behind_a_front_panel(side);
            let plan = crate::run::planning::plan::plan(&study).unwrap();
            assert_eq!(plan.ahead.len(), expected, "{side}");
            let solved = solved_panels(&study, &plan, &vec![None; plan.runs.len()]);
            let doubts = solved[0].1.as_ref().unwrap_err();
            assert_eq!(doubts[0].code, "not-run");
            // The estimate is that of the plate straight on, whatever the fan does behind it.
            let ahead = expected_panel(&study, &study.panels[0], 0).unwrap();
            let same = expected_panel(&ahead_of_fan(&study), &study.panels[0], 0).unwrap();
            assert_eq!(ahead, same);
            assert!(ahead.inertial > 0.0);
        }
    }
}
