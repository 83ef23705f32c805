//! Drives the runs of a plan, several at a time, and keeps what is already there.

use std::ops::ControlFlow;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::lattice::step::Threads;
use crate::measure::drive::DriveProgress;
use crate::measure::series::StopReason;
use crate::report::RunSummary;
use crate::report::run_files::{RunRecord, read_run};
use crate::run::planned::Run;
use crate::run::schedule::schedule;
use crate::run::solved::{Solved, solve_run};
use crate::run::{files, record};
use crate::store::{RUN_FILE, StoreError, StudyFolder};

/// Time limits and threads of a batch, in seconds where they are times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchLimits {
    /// Longest time of one run.
    pub run_seconds: f64,
    /// Longest time of the batch.
    pub batch_seconds: f64,
    /// Threads: as many runs at a time, or one run on all of them.
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
    /// A summary per run, in their order; `None` where the run was not begun or broken off.
    pub summaries: Vec<Option<RunSummary>>,
    /// Whether some result could not be written.
    pub has_lost_files: bool,
}

/// Drives all runs. Runs with the same inputs that lie finished in `folder` are reused.
///
/// # Panics
/// If the threads cannot be started.
pub fn solve(
    runs: &[Run],
    folder: &StudyFolder,
    limits: &BatchLimits,
    watch: &dyn Watch,
) -> BatchResult {
    let slots: Vec<Mutex<Option<RunSummary>>> = runs.iter().map(|_| Mutex::new(None)).collect();
    let keep = |index: usize, summary: RunSummary| {
        watch.finished(index, &runs[index], &summary);
        *slots[index].lock().expect("no holder of this lock panics") = Some(summary);
    };
    let mut pending = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        let found = (!limits.is_fresh).then(|| finished(folder, run, watch));
        match found.flatten() {
            Some(summary) => keep(index, summary),
            None => pending.push(index),
        }
    }
    let lost = AtomicBool::new(false);
    let work = |index: usize, threads: Threads| {
        if watch.is_interrupted() || watch.seconds() > limits.batch_seconds {
            return;
        }
        let job = Job {
            index,
            run: &runs[index],
            threads,
        };
        if let Some((run, solved, record)) = solve_one(&job, limits, watch) {
            if let Err(error) = files::write(folder, &run, &solved, &record) {
                watch.failed(&run, &error);
                lost.store(true, Ordering::Relaxed);
            }
            keep(index, record.summary);
        }
    };
    let threads = limits.threads.max(1);
    let order = schedule(runs, &pending, threads);
    // Handed out one by one, so that no thread waits long for the last.
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..threads.min(order.abreast.len()) {
            scope.spawn(|| {
                while let Some(&index) = order.abreast.get(next.fetch_add(1, Ordering::Relaxed)) {
                    work(index, Threads::One);
                }
            });
        }
    });
    if !order.alone.is_empty() {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a machine that runs this can start threads");
        let share = if threads > 1 {
            Threads::Pool(threads)
        } else {
            Threads::One
        };
        for index in order.alone {
            pool.install(|| work(index, share));
        }
    }
    let summaries = slots
        .into_iter()
        .map(|slot| slot.into_inner().expect("no holder of this lock panics"))
        .collect();
    BatchResult {
        summaries,
        has_lost_files: lost.into_inner(),
    }
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

/// One run and what it may use.
struct Job<'a> {
    index: usize,
    run: &'a Run,
    threads: Threads,
}

/// What was really solved and what came out; `None` when the user stopped it.
fn solve_one(
    job: &Job<'_>,
    limits: &BatchLimits,
    watch: &dyn Watch,
) -> Option<(Run, Solved, RunRecord)> {
    watch.started(job.index, job.run);
    let begun = watch.seconds();
    let solve = |run: &Run| {
        solve_run(run, job.threads, &mut |progress| {
            watch.progressed(job.index, run, progress);
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
    let mut run = job.run.clone();
    let mut solved = solve(&run);
    if matches!(solved.stop_reason(), StopReason::Diverged { .. }) {
        // Fast jets on coarse cells can run away; at half the lattice velocity they rarely do.
        run = run.at_half_speed();
        solved = solve(&run);
    }
    if solved.stop_reason() == StopReason::Interrupted {
        return None;
    }
    let elapsed = watch.seconds() - begun;
    let record = record::record(&run, &solved, elapsed);
    Some((run, solved, record))
}
