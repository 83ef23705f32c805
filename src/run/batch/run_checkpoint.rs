//! Checkpoints of runs: keeps the state of a run every few minutes and when it is stopped, and goes on with it in another program.

use std::io::{self, Read, Write};
use std::ops::ControlFlow;
use std::path::PathBuf;

use crate::lattice::state::{put, take};
use crate::measure::attendant::{Attendant, State};
use crate::measure::drive::DriveProgress;
use crate::measure::series::StopReason;
use crate::run::batch::{BatchLimits, Watch};
use crate::run::planned::{Run, SOLVER_VERSION};
use crate::store::{
    CheckpointFault, CheckpointOnDisk, CheckpointOwner, StudyFolder, find_checkpoint,
    glance_at_checkpoint, keep_checkpoint,
};

/// The next checkpoint waits for at least so many times what writing the last one took: less than a hundredth of the time goes into them, however large they are.
const LEAST_REST: f64 = 120.0;

/// What is known of an interrupted run besides its state.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Done {
    /// Whether it is the second attempt, at half the lattice velocity.
    pub(super) is_at_half_speed: bool,
    /// Working time so far, s.
    pub(super) seconds: f64,
    /// Steps so far.
    pub(super) steps: u64,
}

impl Done {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        put(out, u64::from(self.is_at_half_speed))?;
        put(out, self.seconds)?;
        put(out, self.steps)
    }

    fn restore(from: &mut dyn Read) -> io::Result<Self> {
        Ok(Self {
            is_at_half_speed: take::<u64>(from)? != 0,
            seconds: take::<f64>(from)?.max(0.0),
            steps: take(from)?,
        })
    }
}

/// An interrupted run that was found.
pub(super) type FoundCheckpoint = (Done, CheckpointOnDisk);

/// The interrupted run that lies in the folder of `run`, if there is one.
pub(super) fn find_run_checkpoint(
    folder: &StudyFolder,
    run: &Run,
) -> Result<Option<FoundCheckpoint>, CheckpointFault> {
    let Some(mut state) = find_checkpoint(&folder.checkpoint(&run.key), &owner(run))? else {
        return Ok(None);
    };
    let done = Done::restore(&mut state)?;
    Ok(Some((done, state)))
}

/// Steps that were done of an interrupted run that lies in the folder of `run`; 0 if there is none.
pub(super) fn steps_done(folder: &StudyFolder, run: &Run) -> u64 {
    let path = folder.checkpoint(&run.key);
    let state = glance_at_checkpoint(&path, &owner(run));
    let done = state.and_then(|mut state| Done::restore(&mut state).ok());
    done.map_or(0, |done| done.steps)
}

fn owner(run: &Run) -> CheckpointOwner {
    CheckpointOwner::new(SOLVER_VERSION, run.identity().as_bytes())
}

/// Stands beside a run in a batch: tells the watch, minds the limits, keeps the state.
pub(super) struct Keeper<'a> {
    index: usize,
    run: &'a Run,
    limits: &'a BatchLimits,
    watch: &'a dyn Watch,
    path: PathBuf,
    owner: CheckpointOwner,
    /// When this program began with the run.
    begun: f64,
    /// What was done before, and steps since.
    done: Done,
    /// When the next checkpoint is due.
    next: f64,
    /// Whether the user knows that they cannot be written.
    has_failed: bool,
}

impl<'a> Keeper<'a> {
    pub(super) fn new(
        index: usize,
        run: &'a Run,
        folder: &StudyFolder,
        limits: &'a BatchLimits,
        watch: &'a dyn Watch,
    ) -> Self {
        let begun = watch.seconds();
        Self {
            index,
            run,
            limits,
            watch,
            path: folder.checkpoint(&run.key),
            owner: owner(run),
            begun,
            done: Done::default(),
            next: begun + limits.checkpoint_seconds,
            has_failed: false,
        }
    }

    /// Goes on with what was done before.
    pub(super) fn go_on_with(&mut self, done: Done) {
        self.done = done;
        self.watch
            .resumed(self.index, self.run, done.seconds, done.steps);
    }

    /// Starts anew after all.
    pub(super) fn start_anew(&mut self) {
        self.done = Done::default();
    }

    /// Tries again at half the lattice velocity.
    pub(super) fn slow_down(&mut self) {
        self.done.is_at_half_speed = true;
    }

    /// Working time of the run so far, that of other programs included, s.
    pub(super) fn seconds(&self) -> f64 {
        self.done.seconds + self.watch.seconds() - self.begun
    }

    /// Why the run has to stop, if it has to.
    fn end(&self) -> Option<StopReason> {
        if self.watch.is_interrupted() {
            return Some(StopReason::Interrupted);
        }
        let is_over = self.seconds() > self.limits.run_seconds
            || self.watch.seconds() > self.limits.batch_seconds;
        is_over.then_some(StopReason::TimeBudget)
    }

    fn keep(&mut self, state: &dyn State) {
        let begun = self.watch.seconds();
        let done = Done {
            seconds: self.seconds(),
            ..self.done
        };
        let kept = keep_checkpoint(&self.path, &self.owner, |out| {
            done.save(out)?;
            state.save(out)
        });
        if let Err(error) = kept
            && !std::mem::replace(&mut self.has_failed, true)
        {
            self.watch.failed(self.run, &error);
        }
        let now = self.watch.seconds();
        let rest = LEAST_REST * (now - begun);
        self.next = now + rest.max(self.limits.checkpoint_seconds);
    }
}

impl Attendant for Keeper<'_> {
    fn attend(
        &mut self,
        progress: &DriveProgress,
        state: Option<&dyn State>,
    ) -> ControlFlow<StopReason> {
        self.done.steps = self.done.steps.saturating_add(progress.steps);
        self.watch.progressed(self.index, self.run, progress);
        let end = self.end();
        let is_due = end.is_some() || self.watch.seconds() >= self.next;
        if let Some(state) = state
            && is_due
            && self.limits.checkpoint_seconds > 0.0
        {
            self.keep(state);
        }
        match end {
            Some(reason) => ControlFlow::Break(reason),
            None => ControlFlow::Continue(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::planning::plan::plan;
    use crate::study::{Draft, starter};

    #[test]
    fn what_was_done_of_a_half_run_is_known_before_it_goes_on() {
        let draft = Draft::parse(starter("half").as_bytes(), "half").unwrap();
        let study = draft.resolve(&mut |_| Err(String::new())).unwrap();
        let run = plan(&study).unwrap().runs.remove(0);
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "half").unwrap();
        assert_eq!(steps_done(&folder, &run), 0);
        let path = folder.checkpoint(&run.key);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        let done = Done {
            steps: 1234,
            ..Done::default()
        };
        keep_checkpoint(&path, &owner(&run), |out| done.save(out)).unwrap();
        assert_eq!(steps_done(&folder, &run), 1234);
        let other = CheckpointOwner::new(SOLVER_VERSION, b"another run");
        keep_checkpoint(&path, &other, |out| done.save(out)).unwrap();
        assert_eq!(steps_done(&folder, &run), 0);
    }
}
