//! The numbers of one run, with every doubt about them.

use crate::likely::{Contribution, Likely, Warning};
use crate::measure::drive::Sample;
use crate::measure::series::StopReason;
use crate::report::run_files::{HistoryRow, RunRecord};
use crate::result::check::{
    BOOK_KEEPING_LIMIT_PERCENT, Check, CheckKind, DENSITY_RISE_LIMIT_PERCENT, FLOW_LIMIT_PERCENT,
    MACH_LIMIT, ROOM_LIMITS,
};
use crate::result::{ObliqueFlow, RunSummary};
use crate::run::conclude::turn_undecided;
use crate::run::face_record;
use crate::run::planned::{Run, Subject};
use crate::run::solved::{Oblique, Readings, Solved};

/// Speed of sound of the lattice, cells per step: 1/√3, from the moments of its velocity sets.
const SPEED_OF_SOUND: f64 = 0.577_350_269_189_625_8;

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
    let checks = checks(run, &readings);
    let summary = RunSummary {
        key: run.key.clone(),
        view: run.view(),
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
        warnings: warnings(run, &readings, &checks),
        checks,
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

/// What a flat view or a repeat is checked for.
fn checks(run: &Run, readings: &Readings<'_>) -> Vec<Check> {
    let mut checks = Vec::new();
    let mean = readings.loss_coefficient;
    let loss = mean.map_or(f64::NAN, |mean| mean.mean);
    let share = |value: f64| 100.0 * (value / loss).abs();
    let in_time = mean.map_or(0.0, |mean| share(mean.half_width));
    let mut check = |kind, value, limit| checks.push(Check::new(kind, value, limit));
    let drift = mean.map_or(f64::NAN, |mean| mean.drift);
    check(CheckKind::Drift, share(drift), 100.0 * run.allowed_width());
    check(
        CheckKind::BookKeeping,
        share(loss - readings.loss_coefficient_by_force),
        BOOK_KEEPING_LIMIT_PERCENT + 2.0 * in_time,
    );
    check(
        CheckKind::FlowBalance,
        100.0 * readings.flow_error.abs(),
        FLOW_LIMIT_PERCENT,
    );
    check(
        CheckKind::DensityRise,
        100.0 * readings.density_rise,
        DENSITY_RISE_LIMIT_PERCENT,
    );
    let (opening, room) = match &run.subject {
        Subject::Flat(flat) => {
            let domain = &flat.domain;
            let room = [domain.pitches_ahead, domain.pitches_behind];
            (domain.free_area_ratio, Some(room))
        }
        Subject::Repeat(repeat) => {
            let domain = &repeat.domain;
            let room = [domain.pitches_ahead, domain.pitches_behind];
            (domain.free_area_ratio, Some(room))
        }
        Subject::Face(_) => (1.0, None),
    };
    check(
        CheckKind::Mach,
        run.lattice_velocity() / opening / SPEED_OF_SOUND,
        MACH_LIMIT,
    );
    let (narrowest, wanted) = readings.narrowest;
    check(CheckKind::Cells, narrowest, wanted);
    if let Some([ahead, behind]) = room {
        check(CheckKind::RoomAhead, ahead, ROOM_LIMITS[0]);
        check(CheckKind::RoomBehind, behind, ROOM_LIMITS[1]);
    }
    checks
}

fn warnings(run: &Run, readings: &Readings<'_>, checks: &[Check]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if matches!(&run.subject, Subject::Flat(flat) if flat.is_turned) {
        warnings.push(turn_undecided());
    }
    let mut doubt = |code: &'static str, message: String, advice: &str| {
        warnings.push(Warning {
            code: code.into(),
            message,
            advice: advice.to_owned(),
        });
    };
    match readings.stop_reason {
        StopReason::Converged => {}
        StopReason::Diverged { .. } => doubt(
            "diverged",
            format!("the flow at {} m/s blew up: no number", run.face_velocity),
            "choose a higher quality: finer cells keep the flow steady",
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
    if let Some(mean) = readings.loss_coefficient
        && mean.mean <= 0.0
    {
        doubt(
            "no-loss",
            format!(
                "K came out as {:.3}: air does not gain pressure in a grille",
                mean.mean
            ),
            "look at the picture of the run; a higher quality may help",
        );
    }
    warnings.extend(checks.iter().filter_map(Check::doubt));
    warnings
}
