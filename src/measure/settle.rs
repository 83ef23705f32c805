//! Lets a flow run until its loss coefficient is known well enough, or until there is a reason to stop.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "times become counts of steps"
)]

use std::io::{self, Read, Write};
use std::ops::ControlFlow;

use crate::lattice::state::not_fitting;
use crate::measure::attendant::{Attendant, Parts, RunHistory};
use crate::measure::series::{
    SettledMean, StopReason, believed_width, is_hidden, is_settled, settled_mean,
};

/// When a run may stop. Times in pitch-times: the time in which the undisturbed stream passes one pitch of the repeat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriveLimits {
    /// Relative half-width of K at which the run stops.
    pub tolerance: f64,
    /// Relative half-width of what else hides K: the run may also stop once its own part is no more than a third of that. 0 where nothing does.
    pub other_doubts: f64,
    /// Least time before it may stop.
    pub least_time: f64,
    /// Longest time.
    pub longest_time: f64,
}

impl Default for DriveLimits {
    fn default() -> Self {
        Self {
            tolerance: 0.01,
            other_doubts: 0.0,
            least_time: 10.0,
            longest_time: 120.0,
        }
    }
}

/// What an observer is told while a run is under way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriveProgress {
    /// Pitch-times done.
    pub time: f64,
    /// Steps done since the last call.
    pub steps: u64,
    /// Running mean at every whole pitch-time, once there is one; `None` in between, where nothing but breaking off can be decided.
    pub mean: Option<SettledMean>,
}

/// One row of the history of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Pitch-times since the start.
    pub time: f64,
    /// K by momentum.
    pub loss_coefficient: f64,
    /// K by the force on the plate.
    pub loss_coefficient_by_force: f64,
    /// Mean density deviation over the whole domain, renewed every twelfth sample.
    pub mean_density: f64,
}

/// Samples of K per pitch-time.
const SAMPLES_PER_PITCH: f64 = 60.0;

/// Samples of K between two samples of the fields.
const SAMPLES_PER_FIELD: usize = 12;

/// Loss coefficient that no grille reaches: beyond it the run has diverged.
const RUNAWAY: f64 = 1e5;

/// What is read off a flow at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reading {
    /// K by momentum, on the face velocity.
    pub(super) loss_coefficient: f64,
    /// K by the force on the plate.
    pub(super) loss_coefficient_by_force: f64,
    /// Volume flow behind the plate over that ahead of it, minus 1.
    pub(super) flow_error: f64,
}

/// A flow that runs and can be read.
pub(super) trait Sampled {
    /// Advances by pairs of steps.
    fn advance(&mut self, pairs: usize);
    /// Steps done.
    fn step_count(&self) -> u64;
    /// Fluid cells.
    fn fluid_cell_count(&self) -> usize;
    /// Dynamic pressure that makes a pressure a coefficient, lattice units.
    fn dynamic_pressure(&self) -> f64;
    /// Reads it.
    fn reading(&self) -> Reading;
    /// Mean density deviation over the whole domain.
    fn mean_density(&self) -> f64;
    /// Takes a sample of the fields.
    fn collect_fields(&mut self);
    /// Drops what was collected before the last call.
    fn forget_early_fields(&mut self);
    /// Pairs of steps that take about half a second: so long nobody is asked whether to go on.
    fn pairs_at_once(&self) -> usize;
}

/// Cell updates that a slow thread does in about half a second, in three dimensions and with swirl.
pub(super) const HALF_SECOND: usize = 20_000_000;

/// The same of a plane lattice.
pub(super) const HALF_SECOND_OF_PLANE: usize = 80_000_000;

/// Pairs of steps of so many cells within a number of updates, at least one.
pub(super) fn pairs_within(updates: usize, cell_count: usize) -> usize {
    (updates / (2 * cell_count.max(1))).max(1)
}

/// A sampled flow that another program can go on with.
pub(super) trait Resumable: Sampled {
    /// Writes its state.
    fn save(&self, out: &mut dyn Write) -> io::Result<()>;
    /// Reads the state of an equal one.
    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()>;
}

/// What every run comes to, whatever its view.
#[derive(Debug, Clone)]
pub struct DriveOutcome {
    /// Why it stopped.
    pub stop_reason: StopReason,
    /// What the run waits for, with its interval in time: static K by momentum on the axial face velocity; of a fan face the total pressure ahead of the grille ([`crate::measure::face`]).
    /// `None` if it diverged or is too short.
    pub loss_coefficient: Option<SettledMean>,
    /// K by the force on the plate, mean over the same samples.
    pub loss_coefficient_by_force: f64,
    /// Mean volume flow behind the plate over that ahead of it, minus 1, over the same samples.
    pub flow_error: f64,
    /// Density rise across the plate; of a fan face up to the place ahead of the grille.
    pub density_rise: f64,
    /// Steps done.
    pub step_count: u64,
    /// Fluid cells.
    pub cell_count: usize,
    /// All samples.
    pub history: Vec<Sample>,
}

/// Runs a flow from the start. The observer is asked at every sample and may break off: a pitch-time of a large flow lasts a minute, and nobody who stops it wants to wait that long.
///
/// Fields are collected after `start_up` pitch-times.
pub(super) fn run_until_settled<F: Sampled>(
    flow: &mut F,
    steps_per_pitch: f64,
    start_up: f64,
    limits: &DriveLimits,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> DriveOutcome {
    let pace = Pace::new(steps_per_pitch, start_up);
    let mut so_far = RunHistory::new(start_up);
    let stop_reason = go_on(
        flow,
        &mut so_far,
        &pace,
        limits,
        &mut |_, _, progress, _| observer(progress),
    );
    DriveOutcome::new(flow, stop_reason, so_far, limits)
}

/// The same with an attendant, from a state that it kept before. `None` if it was interrupted.
pub(super) fn go_on_from<F: Resumable>(
    flow: &mut F,
    pace: &Pace,
    limits: &DriveLimits,
    from: Option<&mut dyn Read>,
    attendant: &mut dyn Attendant,
) -> io::Result<Option<DriveOutcome>> {
    let mut so_far = RunHistory::new(pace.start_up);
    if let Some(from) = from {
        so_far = RunHistory::restore(from)?;
        flow.restore(from)?;
        if so_far.pairs >= pace.pairs {
            return Err(not_fitting("the samples lie at other times"));
        }
    }
    // Building takes a while: who was asked to stop meanwhile need not keep again what was just read.
    let progress = DriveProgress {
        time: pace.time(so_far.history.len(), so_far.pairs),
        steps: 0,
        mean: None,
    };
    if attendant.attend(&progress, None) == ControlFlow::Break(StopReason::Interrupted) {
        return Ok(None);
    }
    let stop_reason = go_on(
        flow,
        &mut so_far,
        pace,
        limits,
        &mut |flow, so_far, progress, can_go_on| {
            let state = Parts(&|out| {
                so_far.save(out)?;
                flow.save(out)
            });
            attendant.attend(progress, can_go_on.then_some(&state))
        },
    );
    if stop_reason == StopReason::Interrupted {
        return Ok(None);
    }
    Ok(Some(DriveOutcome::new(flow, stop_reason, so_far, limits)))
}

/// How fast a run goes through its time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace {
    /// Pairs of steps between two samples.
    pairs: usize,
    /// Pitch-times between them.
    time_per_sample: f64,
    /// Pitch-times after which fields are collected.
    start_up: f64,
}

impl Pace {
    pub(super) fn new(steps_per_pitch: f64, start_up: f64) -> Self {
        let pairs = (steps_per_pitch / SAMPLES_PER_PITCH / 2.0).round().max(1.0);
        Self {
            pairs: pairs as usize,
            time_per_sample: 2.0 * pairs / steps_per_pitch,
            start_up,
        }
    }

    /// Pitch-times at so many samples and so many pairs of steps beyond them.
    fn time(&self, samples: usize, pairs: usize) -> f64 {
        self.time_per_sample * (samples as f64 + pairs as f64 / self.pairs as f64)
    }
}

/// Is asked whether to go on: with the flow, its history, what is new, and whether another program could go on from here.
pub(super) type Ask<'a, F> =
    &'a mut dyn FnMut(&F, &RunHistory, &DriveProgress, bool) -> ControlFlow<StopReason>;

/// Goes on with a flow until there is a reason to stop.
pub(super) fn go_on<F: Sampled>(
    flow: &mut F,
    so_far: &mut RunHistory,
    pace: &Pace,
    limits: &DriveLimits,
    ask: Ask<'_, F>,
) -> StopReason {
    let mut told_steps = flow.step_count();
    loop {
        while so_far.pairs < pace.pairs {
            let count = (pace.pairs - so_far.pairs).min(flow.pairs_at_once());
            flow.advance(count);
            so_far.pairs += count;
            if so_far.pairs < pace.pairs {
                let progress = DriveProgress {
                    time: pace.time(so_far.history.len(), so_far.pairs),
                    steps: flow.step_count() - told_steps,
                    mean: None,
                };
                told_steps = flow.step_count();
                if let ControlFlow::Break(reason) = ask(flow, so_far, &progress, true) {
                    return reason;
                }
            }
        }
        so_far.pairs = 0;
        let time = pace.time(so_far.history.len() + 1, 0);
        if let Err(reason) = take_sample(flow, so_far, pace, time) {
            return reason;
        }
        let is_whole = so_far
            .history
            .len()
            .is_multiple_of(SAMPLES_PER_PITCH as usize);
        let mean = if is_whole {
            settled_mean(&loss_coefficients(&so_far.history))
        } else {
            None
        };
        let end = if is_whole {
            look(so_far, limits, time, mean.as_ref())
        } else {
            None
        };
        let steps = flow.step_count() - told_steps;
        told_steps = flow.step_count();
        let progress = DriveProgress { time, steps, mean };
        // A run that has come to its end is not broken off: what it has is what it would have.
        let asked = ask(flow, so_far, &progress, end.is_none());
        match (end, asked) {
            (Some(reason), _) | (None, ControlFlow::Break(reason)) => return reason,
            (None, ControlFlow::Continue(())) => {}
        }
    }
}

/// Reads the flow and collects its fields; the reason to stop if it has run away.
fn take_sample<F: Sampled>(
    flow: &mut F,
    so_far: &mut RunHistory,
    pace: &Pace,
    time: f64,
) -> Result<(), StopReason> {
    if so_far.history.len().is_multiple_of(SAMPLES_PER_FIELD) {
        so_far.mean_density = flow.mean_density();
    }
    let reading = flow.reading();
    let (loss_coefficient, loss_coefficient_by_force) =
        (reading.loss_coefficient, reading.loss_coefficient_by_force);
    so_far.flow_errors.push(reading.flow_error);
    so_far.history.push(Sample {
        time,
        loss_coefficient,
        loss_coefficient_by_force,
        mean_density: so_far.mean_density,
    });
    if !(loss_coefficient.abs() < RUNAWAY && loss_coefficient_by_force.abs() < RUNAWAY) {
        return Err(StopReason::Diverged {
            step: flow.step_count(),
        });
    }
    if time > pace.start_up && so_far.history.len().is_multiple_of(SAMPLES_PER_FIELD) {
        flow.collect_fields();
        if time > so_far.next_forget {
            flow.forget_early_fields();
            so_far.next_forget *= 1.5;
        }
    }
    Ok(())
}

/// Looks at a whole pitch-time whether the run is at its end. Two looks in a row must agree, so that a lucky first look does not end it.
fn look(
    so_far: &mut RunHistory,
    limits: &DriveLimits,
    time: f64,
    mean: Option<&SettledMean>,
) -> Option<StopReason> {
    let may_stop = |mean: &SettledMean| {
        is_settled(mean, limits.tolerance) || is_hidden(mean, limits.other_doubts)
    };
    let settled = time >= limits.least_time && mean.is_some_and(may_stop);
    if settled && so_far.settled_before {
        return Some(StopReason::Converged);
    }
    so_far.settled_before = settled;
    (time >= limits.longest_time).then_some(StopReason::StepLimit)
}

impl DriveOutcome {
    /// What a run that has come to its end came to.
    ///
    /// Where it did not become as steady as its tolerance asks, and something else hides K, the interval is as wide as it is to be believed.
    fn new<F: Sampled>(
        flow: &F,
        stop_reason: StopReason,
        so_far: RunHistory,
        limits: &DriveLimits,
    ) -> Self {
        let history = so_far.history;
        let has_diverged = matches!(stop_reason, StopReason::Diverged { .. });
        let mut loss_coefficient = if has_diverged {
            None
        } else {
            settled_mean(&loss_coefficients(&history))
        };
        if let Some(mean) = &mut loss_coefficient
            && limits.other_doubts > 0.0
            && !is_settled(mean, limits.tolerance)
        {
            mean.half_width = believed_width(mean);
        }
        let cut = loss_coefficient.map_or(history.len() / 2, |m| m.cut);
        let by_force: Vec<f64> = history
            .iter()
            .map(|sample| sample.loss_coefficient_by_force)
            .collect();
        let loss_coefficient_by_force = mean_of(&by_force[cut..]);
        Self {
            stop_reason,
            loss_coefficient,
            loss_coefficient_by_force,
            flow_error: mean_of(&so_far.flow_errors[cut..]),
            // The lattice's pressure is a third of its density.
            density_rise: 3.0 * flow.dynamic_pressure() * loss_coefficient_by_force,
            step_count: flow.step_count(),
            cell_count: flow.fluid_cell_count(),
            history,
        }
    }
}

fn mean_of(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

fn loss_coefficients(history: &[Sample]) -> Vec<f64> {
    history
        .iter()
        .map(|sample| sample.loss_coefficient)
        .collect()
}

#[cfg(test)]
mod tests;
