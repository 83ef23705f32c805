//! The numbers of one run, with every doubt about them.

use crate::likely::{Contribution, Likely, Warning};
use crate::measure::drive::Sample;
use crate::measure::series::StopReason;
use crate::report::run_files::{HistoryRow, RunRecord};
use crate::report::{ObliqueFlow, RunSummary};
use crate::run::conclude::turn_undecided;
use crate::run::face_record;
use crate::run::planned::{Run, Subject};
use crate::run::solved::{Oblique, Readings, Solved};

/// Largest density rise across the plate that is left unmarked.
pub(super) const DENSITY_RISE_LIMIT: f64 = 0.01;

/// Largest difference between K by momentum and K by force that is left unmarked, beyond the fluctuation in time.
const BOOK_KEEPING_LIMIT: f64 = 0.005;

/// Largest relative difference of the mean flow ahead of and behind the plate that is left unmarked.
const FLOW_LIMIT: f64 = 0.005;

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
pub(super) fn record(run: &Run, solved: &Solved, elapsed: f64) -> RunRecord {
    if let (Subject::Face(face), Solved::Face(outcome)) = (&run.subject, solved) {
        return face_record::record(run, face, outcome, elapsed);
    }
    let readings = solved.readings();
    let mean = readings.loss_coefficient;
    let is_number =
        readings.stop_reason == StopReason::Converged && mean.is_some_and(|m| m.mean > 0.0);
    let loss_coefficient = mean.map_or(Likely::exact(f64::NAN), |m| {
        Likely::symmetric(m.mean, m.half_width)
    });
    let summary = RunSummary {
        key: run.key.clone(),
        view: run.view_in_words().to_owned(),
        face_velocity_m_per_s: run.face_velocity,
        hole_reynolds_number: run.hole_reynolds_number,
        cells_across: readings.cells_across,
        loss_coefficient,
        loss_coefficient_by_force: readings.loss_coefficient_by_force,
        oblique: readings
            .oblique
            .filter(Oblique::is_finite)
            .map(|oblique| ObliqueFlow {
                total_loss_coefficient: oblique.total_loss_coefficient,
                inflow_angle_deg: oblique.inflow_tangents[0].atan().to_degrees(),
                outflow_angle_deg: oblique.outflow_tangents[0].atan().to_degrees(),
                outflow_cross_angle_deg: oblique.outflow_tangents[1].atan().to_degrees(),
                side_force_coefficients: oblique.side_force,
                torque_coefficient: oblique.torque,
            }),
        fan_view: None,
        density_rise: readings.density_rise,
        stop_reason: readings.stop_reason.in_words(),
        is_valid: is_number,
        step_count: readings.step_count,
        cell_count: readings.cell_count as u64,
        elapsed_s: elapsed,
        was_reused: false,
        warnings: warnings(run, &readings),
    };
    let start_up = mean.map_or(0, |m| m.cut);
    let time_at = |index: usize| {
        let sample = readings.history.get(index);
        sample.map_or(0.0, |sample| sample.time) * run.pitch_time()
    };
    let last = readings.history.last().map_or(0.0, |sample| sample.time) * run.pitch_time();
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
pub(super) fn history(run: &Run, samples: &[Sample]) -> Vec<HistoryRow> {
    let row = |sample: &Sample| HistoryRow {
        time_s: sample.time * run.pitch_time(),
        loss_coefficient: sample.loss_coefficient,
        loss_coefficient_by_force: sample.loss_coefficient_by_force,
        mean_density_error: sample.mean_density,
    };
    samples.iter().map(row).collect()
}

fn warnings(run: &Run, readings: &Readings<'_>) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if matches!(&run.subject, Subject::Flat(flat) if flat.is_turned) {
        warnings.push(turn_undecided());
    }
    let mut doubt = |code: &'static str, message: String, advice: &str| {
        warnings.push(Warning {
            code,
            message,
            advice: advice.to_owned(),
        });
    };
    match readings.stop_reason {
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
    if readings.density_rise > DENSITY_RISE_LIMIT {
        doubt(
            "density-rise",
            format!(
                "the solver's air is compressed by {:.1} % ahead of the plate",
                100.0 * readings.density_rise
            ),
            "a higher quality runs at a lower lattice velocity",
        );
    }
    if let Some(mean) = readings.loss_coefficient {
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
        let difference = (mean.mean - readings.loss_coefficient_by_force).abs();
        if difference > BOOK_KEEPING_LIMIT * mean.mean.abs() + 2.0 * mean.half_width {
            doubt(
                "book-keeping",
                format!(
                    "K by momentum {:.3} and by force {:.3} differ",
                    mean.mean, readings.loss_coefficient_by_force
                ),
                "allow more time; if it stays, this is a fault of the program: please tell us",
            );
        }
    }
    if readings.flow_error.abs() > FLOW_LIMIT {
        doubt(
            "flow-balance",
            format!(
                "the mean flow behind the plate differs by {:.2} % from that ahead of it",
                100.0 * readings.flow_error
            ),
            "allow more time",
        );
    }
    let (narrowest, wanted) = readings.narrowest;
    if narrowest < wanted {
        doubt(
            "few-cells",
            format!("only {narrowest:.1} cells across the narrowest part, {wanted} are wanted"),
            "choose a higher quality",
        );
    }
    warnings
}
