//! Solves one run of a batch, from where another program left it.

use std::io::Read;

use crate::lattice::step::Threads;
use crate::measure::series::StopReason;
use crate::report::run_files::RunRecord;
use crate::run::batch::run_checkpoint::{FoundCheckpoint, Keeper, find_run_checkpoint};
use crate::run::batch::{BatchLimits, Watch};
use crate::run::planned::Run;
use crate::run::views::SolvedView;
use crate::store::StudyFolder;

/// One run and what it may use.
pub(super) struct Job<'a> {
    pub(in crate::run) index: usize,
    pub(super) run: &'a Run,
    pub(super) threads: Threads,
}

/// What was really solved and what came out.
pub(super) struct Ended {
    pub(super) run: Run,
    pub(super) solved: Box<dyn SolvedView>,
    pub(super) record: RunRecord,
}

impl Ended {
    /// Whether more time would help, so that what there is should be kept.
    pub(super) fn wants_time(&self) -> bool {
        self.solved.drive().stop_reason == StopReason::TimeBudget && !self.record.summary.is_valid
    }
}

/// Solves a run; `None` when the user stopped it.
pub(super) fn solve_one(
    job: &Job<'_>,
    folder: &StudyFolder,
    limits: &BatchLimits,
    watch: &dyn Watch,
) -> Option<Ended> {
    watch.started(job.index, job.run);
    let mut keeper = Keeper::new(job.index, job.run, folder, limits, watch);
    let begun_anew = |why: &str| {
        let path = folder.checkpoint(&job.run.key);
        watch.begun_anew(job.run, &format!("{}: {why}", path.display()));
    };
    let half = if limits.is_fresh {
        // What is begun anew is not gone on with after a stop either.
        if let Err(error) = folder.drop_checkpoint(&job.run.key) {
            watch.failed(job.run, &error);
        }
        None
    } else {
        find_run_checkpoint(folder, job.run).unwrap_or_else(|fault| {
            begun_anew(&fault.to_string());
            None
        })
    };
    let (mut run, mut solved) = match half {
        None => from_start(job, &mut keeper),
        Some(half) => go_on(job, half, &mut keeper).unwrap_or_else(|error| {
            begun_anew(&error.to_string());
            keeper.start_anew();
            from_start(job, &mut keeper)
        }),
    };
    let is_at_full_speed = run.lattice_velocity() >= job.run.lattice_velocity();
    let has_diverged = solved
        .as_ref()
        .is_some_and(|solved| matches!(solved.drive().stop_reason, StopReason::Diverged { .. }));
    if is_at_full_speed && has_diverged {
        // Fast jets on coarse cells can run away; at half the lattice velocity they rarely do.
        run = run.at_half_speed();
        keeper.slow_down();
        solved = solve_from_start(&run, job.threads, &mut keeper);
    }
    let solved = solved?;
    let record = solved.record(&run, keeper.seconds());
    Some(Ended {
        run,
        solved,
        record,
    })
}

fn from_start(job: &Job<'_>, keeper: &mut Keeper<'_>) -> (Run, Option<Box<dyn SolvedView>>) {
    let run = job.run.clone();
    let solved = solve_from_start(&run, job.threads, keeper);
    (run, solved)
}

fn solve_from_start(
    run: &Run,
    threads: Threads,
    keeper: &mut Keeper<'_>,
) -> Option<Box<dyn SolvedView>> {
    run.solve(threads, None, keeper)
        .expect("only reading a state can fail")
}

/// Goes on with an interrupted run.
fn go_on(
    job: &Job<'_>,
    (done, mut state): FoundCheckpoint,
    keeper: &mut Keeper<'_>,
) -> std::io::Result<(Run, Option<Box<dyn SolvedView>>)> {
    let run = if done.is_at_half_speed {
        job.run.at_half_speed()
    } else {
        job.run.clone()
    };
    keeper.go_on_with(done);
    let from: &mut dyn Read = &mut state;
    let solved = run.solve(job.threads, Some(from), keeper)?;
    Ok((run, solved))
}
