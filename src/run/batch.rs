//! Drives the runs of a plan, several at a time, and keeps what is already there.

use std::ops::ControlFlow;
use std::sync::Mutex;

use rayon::prelude::*;

use crate::lattice::step::Threads;
use crate::measure::drive::{DriveLimits, DriveProgress, Outcome, drive};
use crate::measure::series::StopReason;
use crate::report::RunSummary;
use crate::report::run_files::{RunRecord, read_run};
use crate::run::plan::{Plan, Run};
use crate::run::{files, record};
use crate::store::{RUN_FILE, StoreError, StudyFolder};

/// Time limits and threads of a batch, in seconds where they are times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchLimits {
    /// Longest time of one run.
    pub run_seconds: f64,
    /// Longest time of the batch.
    pub batch_seconds: f64,
    /// Runs at a time, one thread each.
    pub threads: usize,
    /// Whether finished runs are solved again.
    pub is_fresh: bool,
}

/// Is told what happens and says when to stop. Called from several threads.
pub trait Watch: Sync {
    /// Seconds since the batch began.
    fn seconds(&self) -> f64;
    /// Whether the user wants it to stop.
    fn is_interrupted(&self) -> bool;
    /// A run starts.
    fn started(&self, index: usize, run: &Run);
    /// A run got on.
    fn progressed(&self, index: usize, run: &Run, progress: &DriveProgress);
    /// A run ended, or was found finished.
    fn finished(&self, index: usize, run: &Run, summary: &RunSummary);
    /// A finished run that could have been reused cannot be: `why` names its file and what is wrong with it. The run is solved again.
    fn set_aside(&self, run: &Run, why: &str);
    /// Something could not be read or written; the run goes on.
    fn failed(&self, run: &Run, error: &StoreError);
}

/// What became of a batch.
#[derive(Debug)]
pub struct BatchResult {
    /// A summary per run of the plan, in its order; `None` where the run was not begun or broken off.
    pub summaries: Vec<Option<RunSummary>>,
    /// Whether some result could not be written.
    pub has_lost_files: bool,
}

/// Drives all runs. Runs with the same inputs that lie finished in `folder` are reused.
///
/// # Panics
/// If the threads cannot be started.
pub fn solve(
    plan: &Plan,
    folder: &StudyFolder,
    kinematic_viscosity: f64,
    limits: &BatchLimits,
    watch: &dyn Watch,
) -> BatchResult {
    let lost = Mutex::new(false);
    let work = |index: usize, run: &Run| -> Option<RunSummary> {
        if !limits.is_fresh
            && let Some(found) = finished(folder, run, watch)
        {
            watch.finished(index, run, &found);
            return Some(found);
        }
        if watch.is_interrupted() || watch.seconds() > limits.batch_seconds {
            return None;
        }
        let record = solve_one(
            index,
            run,
            kinematic_viscosity,
            limits,
            watch,
            &mut |run, outcome, record| {
                if let Err(error) = files::write(folder, run, outcome, record) {
                    watch.failed(run, &error);
                    *lost.lock().expect("no holder of this lock panics") = true;
                }
            },
        )?;
        watch.finished(index, run, &record.summary);
        Some(record.summary)
    };
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(limits.threads.max(1))
        .build()
        .expect("a machine that runs this can start threads");
    let slots: Vec<Mutex<Option<RunSummary>>> =
        plan.runs.iter().map(|_| Mutex::new(None)).collect();
    pool.install(|| {
        // Handed out one by one, the longest first, so that no thread waits long for the last.
        longest_first(&plan.runs)
            .into_iter()
            .par_bridge()
            .for_each(|index| {
                let summary = work(index, &plan.runs[index]);
                *slots[index].lock().expect("no holder of this lock panics") = summary;
            });
    });
    let summaries = slots
        .into_iter()
        .map(|slot| slot.into_inner().expect("no holder of this lock panics"))
        .collect();
    BatchResult {
        summaries,
        has_lost_files: lost.into_inner().expect("no holder of this lock panics"),
    }
}

fn longest_first(runs: &[Run]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by(|&a, &b| updates(&runs[b]).total_cmp(&updates(&runs[a])));
    order
}

/// Cell updates that a run takes about: cells times the steps of as many pitch-times as runs usually need.
pub fn updates(run: &Run) -> f64 {
    const PITCH_TIMES: f64 = 16.0;
    let steps = PITCH_TIMES * run.domain.layout().pitch / run.domain.face_velocity.0;
    run.domain.cell_count() as f64 * steps
}

/// The summary of a finished run with exactly these inputs, wherever it lies.
fn finished(folder: &StudyFolder, run: &Run, watch: &dyn Watch) -> Option<RunSummary> {
    folder
        .folders_like(&run.key)
        .into_iter()
        .find_map(|key| reusable(folder, key, run, watch))
}

/// The summary of the run in the folder `key`, if it is finished and what `run` would be.
fn reusable(folder: &StudyFolder, key: String, run: &Run, watch: &dyn Watch) -> Option<RunSummary> {
    let text = match folder.find_finished(&key) {
        Ok(text) => text?,
        Err(error) => {
            watch.failed(run, &error);
            return None;
        }
    };
    let set_aside = |why: &str| {
        let path = folder.run_file(&key, RUN_FILE);
        watch.set_aside(run, &format!("{}: {why}", path.display()));
    };
    let record = match read_run(&text) {
        Ok(record) => record,
        Err(error) => {
            set_aside(&error.to_string());
            return None;
        }
    };
    if record.inputs != run.inputs {
        set_aside("the inputs in it are not those that its name stands for");
        return None;
    }
    // A run that did not settle may settle this time.
    record.summary.is_valid.then_some(RunSummary {
        key,
        ..record.summary
    })
}

fn solve_one(
    index: usize,
    run: &Run,
    kinematic_viscosity: f64,
    limits: &BatchLimits,
    watch: &dyn Watch,
    keep: &mut dyn FnMut(&Run, &Outcome, &RunRecord),
) -> Option<RunRecord> {
    watch.started(index, run);
    let begun = watch.seconds();
    let drive_limits = DriveLimits {
        tolerance: run.tolerance,
        ..DriveLimits::default()
    };
    let solve = |run: &Run| {
        drive(&run.domain, &drive_limits, Threads::One, &mut |progress| {
            watch.progressed(index, run, progress);
            if watch.is_interrupted() {
                return ControlFlow::Break(StopReason::Interrupted);
            }
            let now = watch.seconds();
            if now - begun > limits.run_seconds || now > limits.batch_seconds {
                return ControlFlow::Break(StopReason::TimeBudget);
            }
            ControlFlow::Continue(())
        })
    };
    let mut outcome = solve(run);
    let slower = run.at_half_speed();
    let mut run = run;
    if matches!(outcome.stop_reason, StopReason::Diverged { .. }) {
        // Fast jets on coarse cells can run away; at half the lattice velocity they rarely do.
        run = &slower;
        outcome = solve(run);
    }
    if outcome.stop_reason == StopReason::Interrupted {
        return None;
    }
    let record = record::record(run, &outcome, kinematic_viscosity, watch.seconds() - begun);
    keep(run, &outcome, &record);
    Some(record)
}
