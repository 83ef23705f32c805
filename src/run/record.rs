//! The numbers of one run, with every doubt about them.

use crate::likely::{Contribution, Likely, Warning};
use crate::measure::drive::Outcome;
use crate::measure::series::StopReason;
use crate::report::RunSummary;
use crate::report::run_files::{HistoryRow, RunRecord};
use crate::run::conclude::turn_undecided;
use crate::run::plan::Run;

/// Largest density rise across the plate that is left unmarked.
const DENSITY_RISE_LIMIT: f64 = 0.01;

/// Largest difference between K by momentum and K by force that is left unmarked, beyond the fluctuation in time.
const BOOK_KEEPING_LIMIT: f64 = 0.005;

/// Largest relative difference of the mean flow ahead of and behind the plate that is left unmarked.
const FLOW_LIMIT: f64 = 0.005;

/// Fewest cells across an opening or a rib.
const FEWEST_CELLS: f64 = 6.0;

impl StopReason {
    /// Why a run stopped, in plain words.
    pub fn in_words(self) -> String {
        match self {
            Self::Converged => "settled".to_owned(),
            Self::StepLimit => "not settled within the longest time".to_owned(),
            Self::TimeBudget => "out of time".to_owned(),
            Self::Diverged { step } => format!("the numbers ran away at step {step}"),
            Self::Interrupted => "stopped from outside".to_owned(),
        }
    }
}

/// Puts together what is told about a run. `elapsed` in seconds.
pub(super) fn record(
    run: &Run,
    outcome: &Outcome,
    kinematic_viscosity: f64,
    elapsed: f64,
) -> RunRecord {
    let mean = outcome.loss_coefficient;
    let is_number =
        outcome.stop_reason == StopReason::Converged && mean.is_some_and(|m| m.mean > 0.0);
    let loss_coefficient = mean.map_or(Likely::exact(f64::NAN), |m| {
        Likely::symmetric(m.mean, m.half_width)
    });
    let pitch_time = outcome.layout.pitch / run.domain.face_velocity.0 * run.scale.step;
    let summary = RunSummary {
        key: run.key.clone(),
        view: run.zone.view.in_words().to_owned(),
        face_velocity_m_per_s: run.face_velocity,
        hole_reynolds_number: run
            .zone
            .hole_reynolds_number(run.face_velocity, kinematic_viscosity),
        cells_across: outcome.layout.cells_across_opening,
        loss_coefficient,
        loss_coefficient_by_force: outcome.loss_coefficient_by_force,
        density_rise: outcome.density_rise,
        stop_reason: outcome.stop_reason.in_words(),
        is_valid: is_number,
        step_count: outcome.step_count,
        cell_count: outcome.cell_count as u64,
        elapsed_s: elapsed,
        was_reused: false,
        warnings: warnings(run, outcome),
    };
    let start_up = mean.map_or(0, |m| m.cut);
    let time_at =
        |index: usize| outcome.history.get(index).map_or(0.0, |sample| sample.time) * pitch_time;
    let last = outcome.history.last().map_or(0.0, |sample| sample.time) * pitch_time;
    let fluctuation = Contribution {
        source: "fluctuation in time".to_owned(),
        half_width_percent: mean.map_or(f64::NAN, |m| 100.0 * m.half_width / m.mean),
    };
    RunRecord {
        code_version: env!("CARGO_PKG_VERSION").to_owned(),
        seed: 0,
        inputs: run.inputs.clone(),
        summary,
        contributions: vec![fluctuation],
        averaging_time_s: last - time_at(start_up),
        start_up_time_s: time_at(start_up),
    }
}

/// The history of K in seconds.
pub(super) fn history(run: &Run, outcome: &Outcome) -> Vec<HistoryRow> {
    let pitch_time = outcome.layout.pitch / run.domain.face_velocity.0 * run.scale.step;
    let row = |sample: &crate::measure::drive::Sample| HistoryRow {
        time_s: sample.time * pitch_time,
        loss_coefficient: sample.loss_coefficient,
        loss_coefficient_by_force: sample.loss_coefficient_by_force,
        mean_density_error: sample.mean_density,
    };
    outcome.history.iter().map(row).collect()
}

fn warnings(run: &Run, outcome: &Outcome) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if run.is_turned {
        warnings.push(turn_undecided());
    }
    let mut doubt = |code: &'static str, message: String, advice: &str| {
        warnings.push(Warning {
            code,
            message,
            advice: advice.to_owned(),
        });
    };
    match outcome.stop_reason {
        StopReason::Converged => {}
        StopReason::Diverged { .. } => doubt(
            "diverged",
            format!("the flow at {} m/s ran away: no number", run.face_velocity),
            "choose a higher quality: finer cells keep it steady",
        ),
        reason => doubt(
            "not-settled",
            format!(
                "the flow at {} m/s: {}; its K is not used",
                run.face_velocity,
                reason.in_words()
            ),
            "raise time_limit_per_run_min or tolerance_percent in [run]",
        ),
    }
    if outcome.density_rise > DENSITY_RISE_LIMIT && run.domain.cells_across_opening > 0.0 {
        doubt(
            "density-rise",
            format!(
                "the solver's air is compressed by {:.1} % ahead of the plate",
                100.0 * outcome.density_rise
            ),
            "a higher quality runs at a lower lattice velocity",
        );
    }
    if let Some(mean) = outcome.loss_coefficient {
        if mean.mean <= 0.0 {
            doubt(
                "no-loss",
                format!(
                    "K came out as {:.3}: air does not gain pressure in a grille",
                    mean.mean
                ),
                "look at the picture of the run; a higher quality may help",
            );
        }
        let difference = (mean.mean - outcome.loss_coefficient_by_force).abs();
        if difference > BOOK_KEEPING_LIMIT * mean.mean.abs() + 2.0 * mean.half_width {
            doubt(
                "book-keeping",
                format!(
                    "K by momentum {:.3} and by force {:.3} differ",
                    mean.mean, outcome.loss_coefficient_by_force
                ),
                "allow more time; if it stays, this is a fault of the program: please tell us",
            );
        }
    }
    if outcome.flow_error.abs() > FLOW_LIMIT {
        doubt(
            "flow-balance",
            format!(
                "the mean flow behind the plate differs by {:.2} % from that ahead of it",
                100.0 * outcome.flow_error
            ),
            "allow more time",
        );
    }
    let section = outcome.layout.section;
    let rib = 2.0 * (section.cells_across as f64 - section.opening);
    let narrowest = outcome.layout.cells_across_opening.min(rib);
    if narrowest < FEWEST_CELLS {
        doubt(
            "few-cells",
            format!(
                "only {narrowest:.1} cells across the narrowest part, {FEWEST_CELLS} are wanted"
            ),
            "choose a higher quality",
        );
    }
    warnings
}
