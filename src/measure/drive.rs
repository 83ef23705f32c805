//! Drives one flat view until its loss coefficient is known well enough, or until there is a reason to stop.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of steps and samples are small, whole and positive"
)]

use crate::lattice::simulation::PlaneLattice;
use crate::lattice::step::Threads;
use crate::measure::mean_fields::{Fields, MeanFields, instant};
use crate::measure::momentum::plane_mean;
use crate::measure::series::{SettledMean, StopReason, is_settled, settled_mean};
use crate::tunnel::{Domain, Layout, View};
use std::ops::ControlFlow;

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
    /// Longest time that may be needed.
    pub longest_time: f64,
    /// Steps done since the last call.
    pub steps: u64,
    /// Running mean, once there is one.
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

/// What came out of a run.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The domain in cells.
    pub layout: Layout,
    /// Why it stopped.
    pub stop_reason: StopReason,
    /// K by momentum on the face velocity, with its interval in time; `None` if it diverged or is too short.
    pub loss_coefficient: Option<SettledMean>,
    /// K by force, mean over the same samples.
    pub loss_coefficient_by_force: f64,
    /// Mean volume flow behind the plate over that ahead of it, minus 1.
    pub flow_error: f64,
    /// Density rise across the plate.
    pub density_rise: f64,
    /// Steps done.
    pub step_count: u64,
    /// Fluid cells.
    pub cell_count: usize,
    /// All samples.
    pub history: Vec<Sample>,
    /// Time means.
    pub mean: Fields,
    /// The last instant.
    pub last: Fields,
}

/// Samples of K per pitch-time.
const SAMPLES_PER_PITCH: f64 = 60.0;

/// Samples of K between two samples of the fields.
const SAMPLES_PER_FIELD: usize = 12;

/// Start-up time after which fields are collected, in pitch-times.
const START_UP: f64 = 7.0;

/// Loss coefficient that no grille reaches: beyond it the run has diverged.
const RUNAWAY: f64 = 1e5;

/// Runs `domain` on `threads`. The observer is asked about once per pitch-time and may break off.
pub fn drive(
    domain: &Domain,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> Outcome {
    let (mut lattice, layout) = domain.build(threads);
    let velocity = domain.face_velocity.0;
    let dynamic_pressure = 0.5 * velocity * velocity;
    let area = repeat_area(domain.view, lattice.extent().ny);
    let fluid_volume = fluid_volume(&lattice);
    let pairs = (layout.pitch / velocity / SAMPLES_PER_PITCH / 2.0)
        .round()
        .max(1.0);
    let time_per_sample = 2.0 * pairs * velocity / layout.pitch;
    let mut history: Vec<Sample> = Vec::new();
    let mut flows: Vec<f64> = Vec::new();
    let mut means = MeanFields::new(&lattice);
    let mut next_forget = 1.5 * START_UP;
    let mut told_steps = 0;
    let mut settled_before = false;
    let mut mean_density = 0.0;
    let stop_reason = loop {
        lattice.step_pairs(pairs as usize);
        let time = time_per_sample * (history.len() + 1) as f64;
        if history.len().is_multiple_of(SAMPLES_PER_FIELD) {
            mean_density = lattice.total_mass() / fluid_volume;
        }
        let (ahead, behind) = (
            plane_mean(&lattice, layout.ahead),
            plane_mean(&lattice, layout.behind),
        );
        flows.push(behind.velocity / ahead.velocity - 1.0);
        let sample = Sample {
            time,
            loss_coefficient: (ahead.momentum_flux - behind.momentum_flux) / dynamic_pressure,
            loss_coefficient_by_force: lattice.wall_force().body[0] / area / dynamic_pressure,
            mean_density,
        };
        history.push(sample);
        if !(sample.loss_coefficient.abs() < RUNAWAY
            && sample.loss_coefficient_by_force.abs() < RUNAWAY)
        {
            break StopReason::Diverged {
                step: lattice.step_count(),
            };
        }
        if time > START_UP && history.len().is_multiple_of(SAMPLES_PER_FIELD) {
            means.add(&lattice);
            if time > next_forget {
                means.forget_early_samples();
                next_forget *= 1.5;
            }
        }
        if !history.len().is_multiple_of(SAMPLES_PER_PITCH as usize) {
            continue;
        }
        let mean = settled_mean(&loss_coefficients(&history));
        let progress = DriveProgress {
            time,
            longest_time: limits.longest_time,
            steps: lattice.step_count() - told_steps,
            mean,
        };
        told_steps = lattice.step_count();
        if let ControlFlow::Break(reason) = observer(&progress) {
            break reason;
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
    if means.sample_count() == 0 {
        means.add(&lattice);
    }
    outcome(
        domain,
        layout,
        stop_reason,
        &lattice,
        (history, &flows),
        &means,
    )
}

fn outcome(
    domain: &Domain,
    layout: Layout,
    stop_reason: StopReason,
    lattice: &PlaneLattice,
    (history, flows): (Vec<Sample>, &[f64]),
    means: &MeanFields,
) -> Outcome {
    let velocity = domain.face_velocity.0;
    let has_diverged = matches!(stop_reason, StopReason::Diverged { .. });
    let loss_coefficient = if has_diverged {
        None
    } else {
        settled_mean(&loss_coefficients(&history))
    };
    let cut = loss_coefficient.map_or(history.len() / 2, |m| m.cut);
    let settled = &history[cut..];
    let mean = means.fields(lattice);
    let mean_of = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    let by_force = settled
        .iter()
        .map(|s| s.loss_coefficient_by_force)
        .sum::<f64>()
        / settled.len().max(1) as f64;
    Outcome {
        loss_coefficient,
        loss_coefficient_by_force: by_force,
        flow_error: mean_of(&flows[cut..]),
        density_rise: 1.5 * by_force * velocity * velocity,
        step_count: lattice.step_count(),
        cell_count: lattice.fluid_cell_count(),
        mean,
        last: instant(lattice),
        layout,
        stop_reason,
        history,
    }
}

fn loss_coefficients(history: &[Sample]) -> Vec<f64> {
    history.iter().map(|s| s.loss_coefficient).collect()
}

/// Volume of the air in the domain: per unit depth in the plane, per radian around the axis.
fn fluid_volume(lattice: &PlaneLattice) -> f64 {
    let radius = |y: usize| {
        if lattice.is_axisymmetric() {
            y as f64 + 0.5
        } else {
            1.0
        }
    };
    let row = |y: usize| {
        lattice
            .fluid_runs(y)
            .iter()
            .map(ExactSizeIterator::len)
            .sum::<usize>() as f64
    };
    (0..lattice.extent().ny).map(|y| radius(y) * row(y)).sum()
}

/// Area of the computed half repeat: per unit depth in the plane, per radian around the axis.
fn repeat_area(view: View, cells_across: usize) -> f64 {
    match view {
        View::Slice => cells_across as f64,
        View::Hole => 0.5 * (cells_across * cells_across) as f64,
    }
}
