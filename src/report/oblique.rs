//! Air that comes in or goes out at an angle: both K of the grilles for which they differ.

use crate::report::page::harmless;
use crate::report::sentence::shortened;
use crate::report::{GrilleResult, RunSummary, StudyResult};

/// Least difference of static and total K, as a part of the static one, that is worth a line.
const LEAST_DIFFERENCE: f64 = 0.01;

/// Most grilles that are told of.
const MOST_GRILLES: usize = 6;

/// One line for every grille whose air comes in or goes out at an angle, by its finest run that sees it.
pub(super) fn oblique_lines(result: &StudyResult) -> Vec<String> {
    let mut lines: Vec<String> = result
        .grilles
        .iter()
        .filter_map(|grille| Some(line(grille, finest(grille)?, &result.side)))
        .collect();
    let more = lines.len().saturating_sub(MOST_GRILLES);
    if more > 0 {
        lines.truncate(MOST_GRILLES);
        lines.push(format!("{more} more: see ranking.json."));
    }
    lines
}

/// The finest valid run in which static and total K differ.
fn finest(grille: &GrilleResult) -> Option<&RunSummary> {
    let runs = grille.runs.iter().filter(|run| run.is_valid);
    let oblique = runs.filter(|run| {
        let fixed = run.loss_coefficient.value;
        run.oblique.is_some_and(|oblique| {
            (oblique.total_loss_coefficient - fixed).abs() > LEAST_DIFFERENCE * fixed.abs()
        })
    });
    oblique.max_by(|a, b| a.cells_across.total_cmp(&b.cells_across))
}

fn line(grille: &GrilleResult, run: &RunSummary, side: &str) -> String {
    let Some(oblique) = run.oblique else {
        return String::new();
    };
    let ranked = if side == "exhaust" { "static" } else { "total" };
    harmless(&format!(
        "{}: the air comes in at {:.0} and leaves at {:.0} degrees; K {:.2} static, {:.2} total on its speed ahead of the holes, ranked by the {ranked} one.",
        shortened(&grille.name),
        oblique.inflow_angle_deg + 0.0,
        oblique.outflow_angle_deg + 0.0,
        run.loss_coefficient.value,
        oblique.total_loss_coefficient,
    ))
}
