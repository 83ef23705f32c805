//! What a run gave and how a batch went, in a few words.

use std::path::Path;

use crate::likely::Likely;
use crate::report::duration_in_words;
use crate::result::{RunSummary, StudyResult};
use crate::run::planned::Run;
use crate::study::Study;

/// What a run gives, in a few words.
pub(super) fn number_in_words(summary: &RunSummary) -> String {
    let Some(seen) = &summary.fan_view else {
        return loss_in_words(&summary.loss_coefficient);
    };
    let total = summary.loss_coefficient;
    let share = 100.0 * total.half_width() / total.value.abs();
    format!(
        "K {:.2} by force, pressure ahead steady within {share:.0} %",
        seen.static_loss_coefficient_by_force
    )
}

/// K with its half-width in time, which says nothing about the grid or the view.
fn loss_in_words(loss: &Likely) -> String {
    if !loss.value.is_finite() {
        return "no K".to_owned();
    }
    let share = 100.0 * loss.half_width() / loss.value.abs();
    format!("K {:.3}, steady within {share:.2} %", loss.value)
}

/// How a batch went, in one line: what was found, what was solved and in what time.
pub(super) fn batch_in_words(summaries: &[Option<RunSummary>], seconds: f64) -> String {
    let done = summaries.iter().flatten();
    let reused = done.clone().filter(|summary| summary.was_reused).count();
    let solved = done.count() - reused;
    let runs = |count: usize| if count == 1 { "run" } else { "runs" };
    let was = |count: usize| if count == 1 { "was" } else { "were" };
    let missing = summaries.len() - reused - solved;
    let invalid = summaries.iter().flatten().filter(|s| !s.is_valid).count();
    let mut parts = Vec::new();
    if reused > 0 {
        parts.push(format!(
            "{reused} finished {} {} reused",
            runs(reused),
            was(reused)
        ));
    }
    if solved > 0 {
        parts.push(format!(
            "{solved} {} solved in {}",
            runs(solved),
            duration_in_words(seconds)
        ));
    }
    if solved == 0 && missing == 0 {
        parts.push("nothing had to be solved".to_owned());
    }
    if invalid > 0 {
        parts.push(format!("{invalid} of them without a valid number"));
    }
    if missing > 0 {
        parts.push(format!("{missing} {} not run", was(missing)));
    }
    parts.join(", ")
}

/// The best grille as a ranking knows it so far, with how many tie with it.
pub(super) fn best_so_far(result: &StudyResult) -> Option<String> {
    let best = result
        .grilles
        .iter()
        .find(|grille| grille.rank == Some(1))?;
    Some(match result.tied_with(best.id).count() {
        0 => best.name.clone(),
        1 => format!("{} (tied with another)", best.name),
        count => format!("{} (tied with {count} others)", best.name),
    })
}

/// What is done when all runs are.
pub(super) fn ranking_in_words(study: &Study) -> String {
    format!("ranking the grilles, {} of them", study.grilles.len())
}

/// That a finished run was found damaged and is solved again.
pub(super) fn damaged_in_words(run: &Run, why: &str, took: Option<f64>) -> String {
    let took = took.filter(|took| took.is_finite() && *took >= 0.0);
    let took = took.map_or_else(String::new, |took| {
        format!(" (it took {} to solve)", duration_in_words(took))
    });
    format!(
        "{}: solved again{took}, because its files are damaged: {why}; the damaged files are kept in a folder beside the new ones",
        run.grille
    )
}

/// That a file of a finished run is gone, and how it comes back.
pub(super) fn lost_in_words(run: &Run, file: &Path) -> String {
    format!(
        "{}: {} is gone; its number is still used, and `ventwright run` with `--only {} --fresh` makes the file again",
        run.grille,
        file.display(),
        run.key
    )
}
