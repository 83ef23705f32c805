//! Lets a flow run until its loss coefficient is known well enough, or until there is a reason to stop.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "times become counts of steps"
)]

use std::ops::ControlFlow;

use crate::measure::series::{SettledMean, StopReason, is_settled, settled_mean};

/// When a run may stop. Times in pitch-times: the time in which the undisturbed stream passes one pitch of the repeat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriveLimits {
    /// Relative half-width of K at which the run stops.
    pub tolerance: f64,
    /// Least time before it may stop.
    pub least_time: f64,
    /// Longest time.
    pub longest_time: f64,
}

impl Default for DriveLimits {
    fn default() -> Self {
        Self {
            tolerance: 0.01,
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
    /// Reads it.
    fn reading(&self) -> Reading;
    /// Mean density deviation over the whole domain.
    fn mean_density(&self) -> f64;
    /// Takes a sample of the fields.
    fn collect_fields(&mut self);
    /// Drops what was collected before the last call.
    fn forget_early_fields(&mut self);
}

/// What a flow came to.
#[derive(Debug, Clone)]
pub(super) struct Settled {
    /// Why it stopped.
    pub(super) stop_reason: StopReason,
    /// K by momentum with its interval in time; `None` if it diverged or is too short.
    pub(super) loss_coefficient: Option<SettledMean>,
    /// K by force, mean over the same samples.
    pub(super) loss_coefficient_by_force: f64,
    /// Mean of the flow error over the same samples.
    pub(super) flow_error: f64,
    /// All samples.
    pub(super) history: Vec<Sample>,
}

/// Runs a flow. The observer is asked at every sample and may break off: a pitch-time of a large flow lasts a minute, and nobody who stops it wants to wait that long.
///
/// Fields are collected after `start_up` pitch-times.
pub(super) fn run_until_settled(
    flow: &mut dyn Sampled,
    steps_per_pitch: f64,
    start_up: f64,
    limits: &DriveLimits,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> Settled {
    let pairs = (steps_per_pitch / SAMPLES_PER_PITCH / 2.0).round().max(1.0);
    let time_per_sample = 2.0 * pairs / steps_per_pitch;
    let mut history: Vec<Sample> = Vec::new();
    let mut flows: Vec<f64> = Vec::new();
    let mut next_forget = 1.5 * start_up;
    let mut told_steps = 0;
    let mut settled_before = false;
    let mut mean_density = 0.0;
    let stop_reason = loop {
        flow.advance(pairs as usize);
        let time = time_per_sample * (history.len() + 1) as f64;
        if history.len().is_multiple_of(SAMPLES_PER_FIELD) {
            mean_density = flow.mean_density();
        }
        let reading = flow.reading();
        let (loss_coefficient, loss_coefficient_by_force) =
            (reading.loss_coefficient, reading.loss_coefficient_by_force);
        flows.push(reading.flow_error);
        history.push(Sample {
            time,
            loss_coefficient,
            loss_coefficient_by_force,
            mean_density,
        });
        if !(loss_coefficient.abs() < RUNAWAY && loss_coefficient_by_force.abs() < RUNAWAY) {
            break StopReason::Diverged {
                step: flow.step_count(),
            };
        }
        if time > start_up && history.len().is_multiple_of(SAMPLES_PER_FIELD) {
            flow.collect_fields();
            if time > next_forget {
                flow.forget_early_fields();
                next_forget *= 1.5;
            }
        }
        let is_whole = history.len().is_multiple_of(SAMPLES_PER_PITCH as usize);
        let mean = if is_whole {
            settled_mean(&loss_coefficients(&history))
        } else {
            None
        };
        let steps = flow.step_count() - told_steps;
        told_steps = flow.step_count();
        let progress = DriveProgress { time, steps, mean };
        if let ControlFlow::Break(reason) = observer(&progress) {
            break reason;
        }
        if !is_whole {
            continue;
        }
        // Two looks in a row must agree, so that a lucky first look does not end the run.
        let settled =
            time >= limits.least_time && mean.is_some_and(|m| is_settled(&m, limits.tolerance));
        if settled && settled_before {
            break StopReason::Converged;
        }
        settled_before = settled;
        if time >= limits.longest_time {
            break StopReason::StepLimit;
        }
    };
    let has_diverged = matches!(stop_reason, StopReason::Diverged { .. });
    let loss_coefficient = if has_diverged {
        None
    } else {
        settled_mean(&loss_coefficients(&history))
    };
    let cut = loss_coefficient.map_or(history.len() / 2, |m| m.cut);
    let by_force: Vec<f64> = history
        .iter()
        .map(|sample| sample.loss_coefficient_by_force)
        .collect();
    Settled {
        stop_reason,
        loss_coefficient,
        loss_coefficient_by_force: mean_of(&by_force[cut..]),
        flow_error: mean_of(&flows[cut..]),
        history,
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
mod tests {
    use super::*;

    const STEPS_PER_PITCH: f64 = 600.0;
    const START_UP: f64 = 7.0;

    /// K swings about 2 and settles.
    #[derive(Default)]
    struct Swinging {
        steps: u64,
    }

    impl Sampled for Swinging {
        fn advance(&mut self, pairs: usize) {
            self.steps += 2 * pairs as u64;
        }

        fn step_count(&self) -> u64 {
            self.steps
        }

        fn reading(&self) -> Reading {
            let time = self.steps as f64 / STEPS_PER_PITCH;
            let loss_coefficient = 2.0 + 0.05 * (7.0 * time).sin() + (-time).exp();
            Reading {
                loss_coefficient,
                loss_coefficient_by_force: loss_coefficient,
                flow_error: 0.0,
            }
        }

        fn mean_density(&self) -> f64 {
            0.0
        }

        fn collect_fields(&mut self) {}

        fn forget_early_fields(&mut self) {}
    }

    #[test]
    fn the_observer_is_asked_at_every_sample_and_told_the_mean_at_whole_pitch_times() {
        let mut told = Vec::new();
        let settled = run_until_settled(
            &mut Swinging::default(),
            STEPS_PER_PITCH,
            START_UP,
            &DriveLimits::default(),
            &mut |progress| {
                told.push(*progress);
                ControlFlow::Continue(())
            },
        );
        assert_eq!(settled.stop_reason, StopReason::Converged);
        assert_eq!(told.len(), settled.history.len());
        for (index, progress) in told.iter().enumerate() {
            assert_eq!(progress.steps, 10);
            assert_eq!(progress.mean.is_some(), (index + 1) % 60 == 0, "{index}");
        }
        assert_eq!(told[told.len() - 1].mean, settled.loss_coefficient);
    }

    #[test]
    fn a_flow_is_broken_off_within_a_pitch_time() {
        let settled = run_until_settled(
            &mut Swinging::default(),
            STEPS_PER_PITCH,
            START_UP,
            &DriveLimits::default(),
            &mut |progress| {
                if progress.time > 3.3 {
                    return ControlFlow::Break(StopReason::Interrupted);
                }
                ControlFlow::Continue(())
            },
        );
        assert_eq!(settled.stop_reason, StopReason::Interrupted);
        assert_eq!(settled.history.len(), 199);
    }
}
