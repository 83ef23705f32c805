//! How a time budget was spent, in a few lines.

use crate::report::duration::duration_in_words;
use crate::report::words::names;
use crate::result::{BudgetStep, GrilleName, GrilleResult, Quality, StudyResult};

/// The steps, what was left at a glance, and what more time would be spent on; nothing without a budget.
pub(super) fn budget_lines(result: &StudyResult) -> Vec<String> {
    let Some(budget) = &result.this_run.budget else {
        return Vec::new();
    };
    let mut lines = vec![format!(
        "{} given, {} spent on the ranking.",
        duration_in_words(budget.given_s),
        duration_in_words(budget.spent_s)
    )];
    for step in &budget.steps {
        let spent = step.spent_s.map(duration_in_words);
        let unfinished = match step.unfinished.len() {
            0 => String::new(),
            count if count == step.grilles.len() => ", not finished in the time".to_owned(),
            _ => format!(
                ", {} not finished in the time",
                of_names(result, &step.unfinished)
            ),
        };
        lines.push(format!(
            "{} at {}: {}{}{unfinished}.",
            called(result, step),
            step.quality,
            step.reason,
            spent.map_or(String::new(), |spent| format!(", {spent}"))
        ));
    }
    let ranked = result.grilles.iter().filter(|grille| grille.rank.is_some());
    let at_a_glance: Vec<&GrilleResult> = ranked
        .filter(|grille| grille.quality == Quality::Quick)
        .collect();
    if !at_a_glance.is_empty() && at_a_glance.len() < result.grilles.len() {
        lines.push(format!(
            "Left at a glance (quick): {}; their ranges are wide.",
            names(&at_a_glance)
        ));
    }
    if budget.further.is_empty() && result.quality != Quality::Overnight {
        lines.push(format!(
            "Nothing goes deeper than {}, as the study says.",
            result.quality
        ));
    } else if budget.further.is_empty() {
        lines.push("More time would settle nothing more in the better half: what still ties there can be chosen by looks, or measured.".to_owned());
    }
    let mut hours = 0.0;
    for step in &budget.further {
        hours += step.expected_s;
        lines.push(format!(
            "With {} more: {} at {} ({}).",
            duration_in_words(hours),
            called(result, step),
            step.quality,
            step.reason
        ));
    }
    lines
}

/// The grilles of a step: `"a", "b" and 3 more`, or `all 12`.
fn called(result: &StudyResult, step: &BudgetStep) -> String {
    if step.grilles.len() == result.grilles.len() && step.grilles.len() > 1 {
        return format!("all {}", step.grilles.len());
    }
    of_names(result, &step.grilles)
}

/// `a, b and 3 more`
fn of_names(result: &StudyResult, grilles: &[GrilleName]) -> String {
    let of = |named: &GrilleName| result.grille(named.id);
    names(&grilles.iter().filter_map(of).collect::<Vec<_>>())
}
