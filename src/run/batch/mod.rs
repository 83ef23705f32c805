//! Drives the runs of a plan, several at a time and beside other programs on the same folder, and keeps what is already there.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use crate::lattice::step::Threads;
use crate::measure::drive::DriveProgress;
use crate::result::RunSummary;
use crate::run::batch::finished::{Before, Finder, find_before, solved_since};
use crate::run::batch::memory_admission::{MemoryAdmission, SharedAdmission};
use crate::run::batch::one_run::{Job, solve_one};
use crate::run::batch::run_checkpoint::steps_done;
use crate::run::batch::schedule::{Capacity, schedule};
use crate::run::planned::Run;
use crate::run::views::files;
use crate::store::{Claim, Lock, StudyFolder};

pub mod disk;
pub mod finished;
pub mod forecast;
pub mod memory_admission;
mod one_run;
mod run_checkpoint;
pub mod schedule;

/// How often it is looked whether another program has finished a run.
const LOOK_AGAIN: Duration = Duration::from_millis(250);

/// Time limits and threads of a batch, in seconds where they are times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchLimits {
    /// Longest time of one run, what other programs did of it included.
    pub run_seconds: f64,
    /// Longest time of the batch.
    pub batch_seconds: f64,
    /// Threads and memory; a run that is larger than the memory by itself is not begun.
    pub capacity: Capacity,
    /// Whether finished runs are solved again, from the start.
    pub is_fresh: bool,
    /// Time between two checkpoints of a run; 0 if there are none.
    pub checkpoint_seconds: f64,
}

/// Is told what happens and says when to stop. Called from several threads. A finished run that is set aside is solved again; where something cannot be written, the run goes on. What an implementation leaves out is not told.
pub trait Watch: Finder + Sync {
    /// Working seconds since the batch began.
    fn seconds(&self) -> f64;
    /// Whether the user wants it to stop.
    fn is_interrupted(&self) -> bool;
    /// So many steps of a run that is not finished were done before.
    fn has_checkpoint(&self, _index: usize, _run: &Run, _steps: u64) {}
    /// A run starts.
    fn started(&self, _index: usize, _run: &Run) {}
    /// It goes on where another program stopped, after so many working seconds and steps.
    fn resumed(&self, _index: usize, _run: &Run, _seconds: f64, _steps: u64) {}
    /// A run got on.
    fn progressed(&self, _index: usize, _run: &Run, _progress: &DriveProgress) {}
    /// A run ended, or was found finished.
    fn finished(&self, _index: usize, _run: &Run, _summary: &RunSummary) {}
    /// An interrupted run cannot be gone on with: `why` names its file and what is wrong with it. The run begins anew.
    fn begun_anew(&self, _run: &Run, _why: &str) {}
    /// A run takes more memory than the batch may, and is not begun.
    fn does_not_fit(&self, _run: &Run, _limit_bytes: u64) {}
    /// So many runs are being solved by other programs, and nothing else is left to do. Called again and again as long as that is so.
    fn waits(&self, _count: usize) {}
    /// The file system has no locks: another program on the same folder would solve the same runs.
    fn has_no_locks(&self, _run: &Run, _why: &std::io::Error) {}
}

/// Watches without a word and never stops a batch: time stands still for it, so no limit ends one.
#[derive(Debug, Clone, Copy)]
pub struct UntilDone;

impl Finder for UntilDone {}

impl Watch for UntilDone {
    fn seconds(&self) -> f64 {
        0.0
    }

    fn is_interrupted(&self) -> bool {
        false
    }
}

/// What became of a batch.
#[derive(Debug)]
pub struct BatchResult {
    /// A summary per run, in their order; `None` where the run was not begun or broken off.
    pub summaries: Vec<Option<RunSummary>>,
    /// Whether some result could not be written.
    pub has_lost_files: bool,
}

/// Drives all runs. Runs with the same inputs that lie finished in `folder` are reused; half ones are gone on with; those that another program works on are
/// waited for at the end, and taken over if that program ends before they do.
///
/// # Panics
/// If the threads cannot be started.
pub fn solve(
    runs: &[Run],
    folder: &StudyFolder,
    limits: &BatchLimits,
    watch: &dyn Watch,
) -> BatchResult {
    let batch = Batch {
        runs,
        folder,
        limits,
        watch,
        slots: runs.iter().map(|_| Mutex::new(None)).collect(),
        before: runs.iter().map(|_| Mutex::new(None)).collect(),
        elsewhere: Mutex::new(Vec::new()),
        has_lost_files: AtomicBool::new(false),
        has_told_of_locks: AtomicBool::new(false),
    };
    let mut pending = batch.look();
    let capacity = limits.capacity;
    pending.retain(|&index| batch.fits(index));
    let threads = capacity.threads.max(1);
    let order = schedule(runs, &pending, capacity);
    // Admitted one by one, so that no thread waits long for the last.
    let abreast = order.abreast.iter();
    let with_memory = abreast.map(|&index| (index, runs[index].peak_bytes()));
    let admission = SharedAdmission::new(MemoryAdmission::new(with_memory, capacity.memory_bytes));
    std::thread::scope(|scope| {
        for _ in 0..threads.min(order.abreast.len()) {
            scope.spawn(|| {
                while let Some(held) = admission.take() {
                    batch.work(held.index, Threads::One);
                }
            });
        }
    });
    let pool = || {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a machine that runs this can start threads")
    };
    let share = if threads > 1 {
        Threads::Pool(threads)
    } else {
        Threads::One
    };
    if !order.alone.is_empty() {
        let pool = pool();
        for index in order.alone {
            pool.install(|| batch.work(index, share));
        }
    }
    let waiting = batch.take_elsewhere();
    if !waiting.is_empty() && !batch.is_over() {
        let pool = pool();
        batch.wait(waiting, &|index| pool.install(|| batch.work(index, share)));
    }
    batch.result()
}

struct Batch<'a> {
    runs: &'a [Run],
    folder: &'a StudyFolder,
    limits: &'a BatchLimits,
    watch: &'a dyn Watch,
    slots: Vec<Mutex<Option<RunSummary>>>,
    /// What lay in the folder of a run when the batch began and was not to be used.
    before: Vec<Mutex<Option<Before>>>,
    /// Runs that other programs work on.
    elsewhere: Mutex<Vec<usize>>,
    has_lost_files: AtomicBool,
    has_told_of_locks: AtomicBool,
}

impl Batch<'_> {
    /// Keeps what is finished and returns the places of the other runs.
    fn look(&self) -> Vec<usize> {
        let mut pending = Vec::new();
        for (index, run) in self.runs.iter().enumerate() {
            let (summary, before) = find_before(self.folder, run, self.limits.is_fresh, self.watch);
            if let Some(summary) = summary {
                if let Err(error) = self.folder.tidy_finished(&summary.key) {
                    self.watch.failed(run, &error);
                }
                self.keep(index, summary);
            } else {
                *lock(&self.before[index]) = before;
                if !self.limits.is_fresh {
                    self.watch
                        .has_checkpoint(index, run, steps_done(self.folder, run));
                }
                pending.push(index);
            }
        }
        pending
    }

    fn keep(&self, index: usize, summary: RunSummary) {
        self.watch.finished(index, &self.runs[index], &summary);
        *lock(&self.slots[index]) = Some(summary);
    }

    /// Whether there is memory enough for a run.
    fn fits(&self, index: usize) -> bool {
        let (run, limit) = (&self.runs[index], self.limits.capacity.memory_bytes);
        let fits = run.peak_bytes() <= limit;
        if !fits {
            self.watch.does_not_fit(run, limit);
        }
        fits
    }

    fn is_over(&self) -> bool {
        self.watch.is_interrupted() || self.watch.seconds() > self.limits.batch_seconds
    }

    /// Solves a run, unless another program does or has done so.
    fn work(&self, index: usize, threads: Threads) {
        if self.is_over() {
            return;
        }
        let run = &self.runs[index];
        let held = match self.folder.claim_run(&run.key) {
            Ok(Claim::Ours(held)) => Some(held),
            Ok(Claim::Taken) => {
                lock(&self.elsewhere).push(index);
                return;
            }
            // Without a folder there is a number to be had all the same; writing its files will tell why they are lost.
            Err(_) => None,
        };
        if let Some(why) = held.as_ref().and_then(Lock::why_not)
            && !self.has_told_of_locks.swap(true, Ordering::Relaxed)
        {
            self.watch.has_no_locks(run, why);
        }
        let before = lock(&self.before[index]).take();
        if let Some(summary) = solved_since(self.folder, run, before.as_ref()) {
            self.keep(index, summary);
            return;
        }
        if let Some(held) = &held {
            self.folder.sweep_run(&run.key, held);
            if before.is_some_and(|before| before.is_damaged(run))
                && let Err(error) = self.folder.keep_damaged(&run.key, held)
            {
                self.watch.failed(run, &error);
            }
        }
        self.solve(index, threads);
    }

    fn solve(&self, index: usize, threads: Threads) {
        let run = &self.runs[index];
        let job = Job {
            index,
            run,
            threads,
        };
        let Some(ended) = solve_one(&job, self.folder, self.limits, self.watch) else {
            return;
        };
        let written = files::write(self.folder, &ended.run, &*ended.solved, &ended.record);
        let written = written.and_then(|()| {
            if ended.wants_time() {
                Ok(())
            } else {
                self.folder.drop_checkpoint(&run.key)
            }
        });
        if let Err(error) = written {
            self.watch.failed(run, &error);
            self.has_lost_files.store(true, Ordering::Relaxed);
        }
        self.keep(index, ended.record.summary);
    }

    fn take_elsewhere(&self) -> Vec<usize> {
        std::mem::take(&mut *lock(&self.elsewhere))
    }

    /// Asks again and again for the runs that other programs had, until there is none left.
    fn wait(&self, mut waiting: Vec<usize>, work: &dyn Fn(usize)) {
        loop {
            self.watch.waits(waiting.len());
            for index in waiting {
                work(index);
            }
            waiting = self.take_elsewhere();
            if waiting.is_empty() || self.is_over() {
                return;
            }
            std::thread::sleep(LOOK_AGAIN);
        }
    }

    fn result(self) -> BatchResult {
        let slots = self.slots.into_iter();
        BatchResult {
            summaries: slots
                .map(|slot| slot.into_inner().expect("no holder of this lock panics"))
                .collect(),
            has_lost_files: self.has_lost_files.into_inner(),
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().expect("no holder of this lock panics")
}
