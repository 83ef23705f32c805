//! The numbers of a fan view, with every doubt about them.

use std::collections::BTreeMap;

use crate::likely::{Contribution, Likely, Warning};
use crate::measure::face::FaceOutcome;
use crate::measure::series::{SettledMean, StopReason};
use crate::report::cautions::FAN_VIEW_UNSTEADY;
use crate::report::run_files::RunRecord;
use crate::result::check::{Check, CheckKind, DENSITY_RISE_LIMIT_PERCENT};
use crate::result::{BenchPoint, FanViewSeen, JetSeen, RunSummary};
use crate::run::planned::Run;
use crate::run::views::fan::Face;
use crate::units::LatticeVelocity;

/// Distances behind the grille at which the jet is told of, bore diameters.
const DISTANCES: [f64; 3] = [1.0, 2.0, 3.0];

/// What to make of a view that ended before its mean was sure.
pub(in crate::run) const UNSTEADY_ADVICE: &str =
    "a jet into a room may never settle; take the result as a mean over that time";

/// Bore diameters that the flow passes between two samples of the fields.
const SAMPLE_TIME: f64 = 0.2;

/// Puts together what is told about a fan view. `elapsed` in seconds.
pub(super) fn record(run: &Run, face: &Face, outcome: &FaceOutcome, elapsed: f64) -> RunRecord {
    let mean = outcome.drive.loss_coefficient;
    let is_whole = matches!(
        outcome.drive.stop_reason,
        StopReason::Converged | StopReason::StepLimit
    );
    let seen = seen(run, face, outcome);
    let is_valid = is_whole && mean.is_some() && is_finite(&seen);
    let averaging = SAMPLE_TIME * f64::from(outcome.sample_count);
    let total = outcome
        .drive
        .history
        .last()
        .map_or(0.0, |sample| sample.time);
    let rise = Check::new(
        CheckKind::DensityRise,
        100.0 * outcome.drive.density_rise,
        DENSITY_RISE_LIMIT_PERCENT,
    );
    let warnings = warnings(run, outcome, &seen, is_valid, &rise);
    let summary = RunSummary {
        key: run.key.clone(),
        view: run.view(),
        face_velocity_m_per_s: run.face_velocity,
        hole_reynolds_number: run.hole_reynolds_number,
        cells_across: outcome.layout.bore as f64,
        loss_coefficient: mean.map_or(Likely::exact(f64::NAN), |m| {
            Likely::symmetric(m.mean, m.half_width)
        }),
        loss_coefficient_by_force: outcome.static_loss_coefficient_by_force,
        oblique: None,
        // JSON has no word for what a run that blew up leaves behind.
        fan_view: is_finite(&seen).then(|| Box::new(seen)),
        density_rise: outcome.drive.density_rise,
        stop_reason: match outcome.drive.stop_reason {
            StopReason::StepLimit => "mean over the longest time".to_owned(),
            reason => reason.in_words(),
        },
        is_valid,
        step_count: outcome.drive.step_count,
        cell_count: outcome.drive.cell_count as u64,
        elapsed_s: elapsed,
        was_reused: false,
        checks: vec![rise],
        warnings,
    };
    RunRecord {
        code_version: env!("CARGO_PKG_VERSION").to_owned(),
        seed: 0,
        inputs: run.inputs.clone(),
        summary,
        contributions: vec![Contribution {
            source: "fluctuation in time".to_owned(),
            half_width_percent: mean.map_or(f64::NAN, |m| 100.0 * m.half_width / m.mean),
        }],
        averaging_time_s: averaging * run.pitch_time(),
        start_up_time_s: (total - averaging).max(0.0) * run.pitch_time(),
        files: BTreeMap::new(),
    }
}

/// What is read off the mean fields.
fn seen(run: &Run, face: &Face, outcome: &FaceOutcome) -> FanViewSeen {
    let bore_mm = 1e3 * face.bore_radius();
    let jet = DISTANCES.into_iter().filter_map(|distance_diameters| {
        let width = outcome.jet_width(distance_diameters)?;
        Some(JetSeen {
            distance_diameters,
            half_width_mm: bore_mm * width.half_width,
            splay_angle_deg: width.splay_angle_deg,
        })
    });
    let wake = outcome.hub_wake();
    let bench = face.bench_diameters();
    let speed = run.scale.velocity(LatticeVelocity(1.0)).0;
    let profile = outcome.profile(bench).unwrap_or_default();
    let points = profile.iter().map(|point| BenchPoint {
        radius_mm: bore_mm * point.radius,
        axial_m_per_s: speed * point.axial,
        swirl_m_per_s: speed * point.swirl,
    });
    FanViewSeen {
        jet: jet.collect(),
        hub_wake_mm: 2.0 * bore_mm * wake.length,
        is_hub_wake_beyond_view: wake.is_cut_off,
        swirl_number_in: outcome.swirl_number_in,
        swirl_number_out: outcome.swirl_number_out,
        bench_distance_mm: 1e3 * face.bench_distance,
        bench_swirl_angle_deg: outcome.swirl_angle(bench).map(f64::to_degrees),
        bench_turbulence_percent: outcome
            .turbulence(bench)
            .map(|turbulence| 100.0 * turbulence / outcome.face_velocity),
        pressure_ahead: outcome.pressure_ahead_beyond(face.exit.hub_radius() / face.bore_radius()),
        total_pressure_swing_percent: outcome.drive.loss_coefficient.and_then(|mean| {
            let all = outcome.drive.history.iter().skip(mean.cut);
            let values: Vec<f64> = all.map(|sample| sample.loss_coefficient).collect();
            swing_percent(&values)
        }),
        static_loss_coefficient: outcome.static_loss_coefficient,
        static_loss_coefficient_by_force: outcome.static_loss_coefficient_by_force,
        total_loss_coefficient: outcome.total_loss_coefficient,
        bench_profile: points.collect(),
    }
}

/// Root mean square of the deviations from the mean, per cent of it; `None` without values.
fn swing_percent(values: &[f64]) -> Option<f64> {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let square = values
        .iter()
        .map(|value| (value - mean).powi(2))
        .sum::<f64>()
        / count;
    let share = 100.0 * square.sqrt() / mean.abs();
    share.is_finite().then_some(share)
}

fn is_finite(seen: &FanViewSeen) -> bool {
    let numbers = [
        seen.hub_wake_mm,
        seen.swirl_number_in,
        seen.swirl_number_out,
        seen.pressure_ahead,
        seen.static_loss_coefficient,
        seen.static_loss_coefficient_by_force,
        seen.total_loss_coefficient,
    ];
    let profile = seen.bench_profile.iter();
    let jet = seen.jet.iter();
    numbers.iter().all(|number| number.is_finite())
        && profile
            .flat_map(|point| [point.axial_m_per_s, point.swirl_m_per_s])
            .chain(jet.map(|width| width.half_width_mm))
            .chain(seen.bench_swirl_angle_deg)
            .chain(seen.bench_turbulence_percent)
            .all(f64::is_finite)
}

/// The doubt about a view whose mean was not sure when it had to end.
fn unsteady(mean: &SettledMean, swing: f64) -> Warning {
    Warning {
        code: FAN_VIEW_UNSTEADY.into(),
        message: format!(
            "the fan view did not settle: the total pressure ahead of the grille still fluctuates by {swing:.1} % (root mean square) around a mean known to ±{:.1} %",
            100.0 * mean.half_width / mean.mean.abs()
        ),
        advice: UNSTEADY_ADVICE.to_owned(),
    }
}

fn warnings(
    run: &Run,
    outcome: &FaceOutcome,
    seen: &FanViewSeen,
    is_valid: bool,
    rise: &Check,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if !is_valid {
        warnings.push(Warning {
            code: "fan-view-failed".into(),
            message: format!(
                "the fan view at {} m/s: {}; it is not used",
                run.face_velocity,
                outcome.drive.stop_reason.in_words()
            ),
            advice: "the ranking does not need it; a higher quality keeps the flow steady, more time lets it finish".to_owned(),
        });
    }
    if is_valid && outcome.drive.stop_reason == StopReason::StepLimit {
        let swing = outcome
            .drive
            .loss_coefficient
            .zip(seen.total_pressure_swing_percent);
        warnings.extend(swing.map(|(mean, swing)| unsteady(&mean, swing)));
    }
    if !rise.is_passed() {
        warnings.push(Warning {
            code: "density-rise".into(),
            message: format!(
                "the solver's air is compressed by {:.1} % ahead of the grille in the fan view",
                100.0 * outcome.drive.density_rise
            ),
            advice: "the fan view is a trend anyway; please report it if this is more than 2 %"
                .to_owned(),
        });
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swing_is_the_root_mean_square_about_the_mean() {
        // By hand: mean 2, deviations of 1 to either side.
        let swing = swing_percent(&[1.0, 3.0, 1.0, 3.0]).unwrap();
        assert!((swing - 50.0).abs() < 1e-12);
        assert!(swing_percent(&[]).is_none());
    }
}
