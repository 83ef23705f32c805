//! Where a batch is solved, who is told, and what came of it.

use std::sync::atomic::AtomicUsize;

use anyhow::anyhow;

use crate::cli::{Failure, Terminal};
use crate::result::{BudgetResult, RunSummary};
use crate::run::batch::BatchLimits;
use crate::run::planned::Run;
use crate::run::planning::plan::Plan;
use crate::store::StudyFolder;

/// Where a batch is solved and who is told.
#[derive(Clone, Copy)]
pub(super) struct Desk<'a> {
    pub(super) folder: &'a StudyFolder,
    pub(super) limits: BatchLimits,
    pub(super) terminal: &'a Terminal,
    pub(super) stops: &'static AtomicUsize,
}

/// What was solved for the ranking.
pub(super) struct Batch {
    pub(super) plan: Plan,
    /// In the order of the plan's runs.
    pub(super) summaries: Vec<Option<RunSummary>>,
    /// Seconds.
    pub(super) elapsed: f64,
    pub(super) has_lost_files: bool,
    pub(super) budget: Option<BudgetResult>,
}

/// That some files of runs are missing; which ones has been told.
pub(super) fn lost_files() -> Failure {
    Failure::Broken(anyhow!("some files could not be written, see above"))
}

/// What a stopped batch leaves, in one line.
pub(super) fn stopped_in_words<T>(
    runs: &[Run],
    summaries: &[Option<T>],
    folder: &StudyFolder,
) -> String {
    let done = summaries.iter().flatten().count();
    let has_checkpoint = |run: &&Run| folder.checkpoint(&run.key).is_file();
    let half = match runs.iter().filter(has_checkpoint).count() {
        0 => String::new(),
        count => format!(", {count} half done"),
    };
    format!(
        "stopped: {done} of {} runs are finished{half} and kept in {}; run the same command again to go on",
        runs.len(),
        folder.path().display()
    )
}
