//! The second stage of `run`: fan views at the operating points that the ranking found.

use crate::cli::desk::Desk;
use crate::cli::progress::{Progress, Stage};
use crate::cli::progress_words::{batch_in_words, best_so_far};
use crate::result::StudyResult;
use crate::run::batch::{BatchLimits, solve};
use crate::run::fan_view::plan::FacePlan;
use crate::study::Study;

/// How the second stage went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Seen {
    /// Whether some result could not be written.
    pub(super) has_lost_files: bool,
    /// Whether the user stopped it.
    pub(super) is_interrupted: bool,
}

/// Solves the fan views of `faces` and enters what they show into `result`; what is missing leaves the ranking as it is.
pub(super) fn add_fan_views(
    study: &Study,
    faces: &FacePlan,
    desk: &Desk<'_>,
    result: &mut StudyResult,
) -> Seen {
    if faces.runs.is_empty() {
        return Seen {
            has_lost_files: false,
            is_interrupted: false,
        };
    }
    let progress = Progress::new(
        &faces.runs,
        Stage::FanViews,
        desk.limits.capacity.threads,
        desk.terminal,
        desk.stops,
    )
    .with_best(best_so_far(result));
    let limits = BatchLimits {
        batch_seconds: (desk.limits.batch_seconds - result.this_run.elapsed_s).max(0.0),
        ..desk.limits
    };
    let batch = solve(&faces.runs, desk.folder, &limits, &progress);
    let elapsed = progress.end();
    result.this_run.elapsed_s += elapsed;
    let is_interrupted = desk.is_interrupted();
    if is_interrupted {
        desk.terminal.note("stopped: the ranking is written, but some fan views are missing; run the same command again to continue");
    } else {
        desk.terminal
            .note(&batch_in_words(&batch.summaries, elapsed));
        faces.enter(study, &batch.summaries, result);
    }
    Seen {
        has_lost_files: batch.has_lost_files,
        is_interrupted,
    }
}
