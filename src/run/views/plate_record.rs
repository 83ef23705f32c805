//! The numbers of a run of a flat view or a repeat, with every doubt about them.

use std::collections::BTreeMap;

use crate::likely::{Contribution, Likely, Warning};
use crate::measure::drive::DriveOutcome;
use crate::measure::series::StopReason;
use crate::report::run_files::RunRecord;
use crate::result::check::{
    BOOK_KEEPING_LIMIT_PERCENT, Check, CheckKind, DENSITY_RISE_LIMIT_PERCENT, FLOW_LIMIT_PERCENT,
    MACH_LIMIT, ROOM_LIMITS,
};
use crate::result::{ObliqueFlow, RunSummary};
use crate::run::planned::Run;

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

/// What came out of a view of a plate.
pub(super) struct Plate<'a> {
    pub(super) drive: &'a DriveOutcome,
    /// Total K and angles, of views that see them.
    pub(super) oblique: Option<ObliqueFlow>,
    /// Cells across the opening, or per hydraulic diameter.
    pub(super) cells_across: f64,
    /// Cells across the narrowest part, and how many are wanted.
    pub(super) narrowest: f64,
    pub(super) narrowest_wanted: f64,
    pub(super) free_area_ratio: f64,
    /// Room ahead of and behind the plate, in pitches.
    pub(super) room: [f64; 2],
    /// What the view does not see.
    pub(super) doubt: Option<Warning>,
}

impl Plate<'_> {
    /// Puts together what is told about a run. `elapsed` in seconds.
    pub(super) fn record(self, run: &Run, elapsed: f64) -> RunRecord {
        let drive = self.drive;
        let mean = drive.loss_coefficient;
        let is_number =
            drive.stop_reason == StopReason::Converged && mean.is_some_and(|m| m.mean > 0.0);
        let checks = self.checks(run);
        let warnings = self.warnings(run, &checks);
        let summary = RunSummary {
            key: run.key.clone(),
            view: run.view(),
            face_velocity_m_per_s: run.face_velocity,
            hole_reynolds_number: run.hole_reynolds_number,
            cells_across: self.cells_across,
            loss_coefficient: mean.map_or(Likely::exact(f64::NAN), |m| {
                Likely::symmetric(m.mean, m.half_width)
            }),
            loss_coefficient_by_force: drive.loss_coefficient_by_force,
            oblique: self.oblique,
            fan_view: None,
            density_rise: drive.density_rise,
            stop_reason: drive.stop_reason.in_words(),
            is_valid: is_number,
            step_count: drive.step_count,
            cell_count: drive.cell_count as u64,
            elapsed_s: elapsed,
            was_reused: false,
            warnings,
            checks,
        };
        let start_up = mean.map_or(0, |m| m.cut);
        let time_at = |index: usize| {
            let sample = drive.history.get(index);
            sample.map_or(0.0, |sample| sample.time) * run.pitch_time()
        };
        let last = drive.history.last().map_or(0.0, |sample| sample.time) * run.pitch_time();
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
            files: BTreeMap::new(),
        }
    }

    fn checks(&self, run: &Run) -> Vec<Check> {
        let mean = self.drive.loss_coefficient;
        let loss = mean.map_or(f64::NAN, |mean| mean.mean);
        let share = |value: f64| 100.0 * (value / loss).abs();
        let in_time = mean.map_or(0.0, |mean| share(mean.half_width));
        let drift = mean.map_or(f64::NAN, |mean| mean.drift);
        let book_keeping = share(loss - self.drive.loss_coefficient_by_force);
        let mach = run.lattice_velocity() / self.free_area_ratio / SPEED_OF_SOUND;
        let [ahead, behind] = self.room;
        vec![
            Check::new(CheckKind::Drift, share(drift), 100.0 * run.allowed_width()),
            Check::new(
                CheckKind::BookKeeping,
                book_keeping,
                BOOK_KEEPING_LIMIT_PERCENT + 2.0 * in_time,
            ),
            Check::new(
                CheckKind::FlowBalance,
                100.0 * self.drive.flow_error.abs(),
                FLOW_LIMIT_PERCENT,
            ),
            Check::new(
                CheckKind::DensityRise,
                100.0 * self.drive.density_rise,
                DENSITY_RISE_LIMIT_PERCENT,
            ),
            Check::new(CheckKind::Mach, mach, MACH_LIMIT),
            Check::new(CheckKind::Cells, self.narrowest, self.narrowest_wanted),
            Check::new(CheckKind::RoomAhead, ahead, ROOM_LIMITS[0]),
            Check::new(CheckKind::RoomBehind, behind, ROOM_LIMITS[1]),
        ]
    }

    fn warnings(&self, run: &Run, checks: &[Check]) -> Vec<Warning> {
        let mut warnings: Vec<Warning> = self.doubt.iter().cloned().collect();
        let mut doubt = |code: &'static str, message: String, advice: &str| {
            warnings.push(Warning {
                code: code.into(),
                message,
                advice: advice.to_owned(),
            });
        };
        match self.drive.stop_reason {
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
        if let Some(mean) = self.drive.loss_coefficient
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
}
