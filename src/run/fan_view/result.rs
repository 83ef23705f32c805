//! What the fan views add to the result of a study: where the air goes behind each grille, what the fan pays by this view beside what the ranking charges, and what a meter is met by.

use std::f64::consts::PI;

use crate::fan::FanExit;
use crate::likely::Warning;
use crate::meter::{Meter, MeterReading};
use crate::report::cautions::{FAN_VIEW_UNSTEADY, METER_IN_BACK_FLOW};
use crate::result::{
    BenchPoint, FanViewResult, FanViewSeen, GrilleResult, RunSummary, StudyResult,
};
use crate::run::fan_view::plan::FacePlan;
use crate::run::swirl::behind::shown;
use crate::run::views::Subject;
use crate::run::views::fan::Face;
use crate::run::views::fan_record::UNSTEADY_ADVICE;
use crate::study::Study;

/// Share of the ranked K, beyond its likely range, by which what the fan pays by the fan view may differ without a doubt. Judgement: the view lets the hub's
/// wake reach the grille as it is, where the ranking takes air that has half spread.
const PAID_SHARE: f64 = 0.25;

/// Most air that may run back through a meter's wheel, of that which runs forward. Judgement: a free wheel is driven by all of its area, and one that is driven both ways shows neither.
const MOST_BACK_FLOW: f64 = 0.1;

impl FacePlan {
    /// Enters what came out of the fan views (`summaries` in the order of the runs) into a result. Flows, K and ranks stay as they are.
    pub fn enter(&self, study: &Study, summaries: &[Option<RunSummary>], told: &mut StudyResult) {
        if self.runs.is_empty() {
            return;
        }
        let view = |run: usize| summaries.get(run).cloned().flatten();
        let bare = self.bare.and_then(view);
        let bare_seen = bare.as_ref().and_then(valid);
        for of in &self.grilles {
            let Some(result) = told.grilles.iter_mut().find(|it| it.id == of.grille.id) else {
                continue;
            };
            let Some(run) = view(of.run) else {
                result.warnings.push(not_run());
                continue;
            };
            let paid = match (valid(&run), bare_seen, self.bare) {
                (Some(own), Some(bare), Some(control)) => {
                    self.paid(study, of.run, own, control, bare)
                }
                _ => None,
            };
            // Which did not settle is said once for all.
            let doubts = run.warnings.iter();
            let own = doubts.filter(|doubt| doubt.code != FAN_VIEW_UNSTEADY);
            result.warnings.extend(own.cloned());
            result.warnings.extend(far_apart(result, paid));
            result.fan_view = Some(FanViewResult {
                run,
                paid_loss_coefficient: paid,
                rings: of.rings.and_then(view),
            });
        }
        if let (Some(meter), Some(bare)) = (&study.meter, bare_seen) {
            read_meters(meter, bare, told);
        }
        told.warnings.extend(unsteady(summaries));
        told.bare_fan_view = bare.map(|run| FanViewResult {
            run,
            paid_loss_coefficient: None,
            rings: None,
        });
        told.note_runs();
    }

    /// K on the reference area that the fan pays by the fan view: pressure ahead of the grille less that of the bare fan. The bare fan settles at another flow, where its air may turn
    /// more or less; what that changes of its suction is taken from radial equilibrium.
    fn paid(
        &self,
        study: &Study,
        own_run: usize,
        own: &FanViewSeen,
        bare_run: usize,
        bare: &FanViewSeen,
    ) -> Option<f64> {
        let face = |run: usize| match &self.runs[run].subject {
            Subject::Face(face) => Some(face),
            _ => None,
        };
        let (own_face, bare_face): (&Face, &Face) = (face(own_run)?, face(bare_run)?);
        let suction = unit_suction(&own_face.exit);
        let turned = suction * (own_face.swirl.powi(2) - bare_face.swirl.powi(2));
        let paid = own.pressure_ahead - (bare.pressure_ahead + turned);
        let bore_area = PI * own_face.bore_radius().powi(2);
        Some(paid * (study.reference_area() / bore_area).powi(2))
    }
}

/// What a swirl sucks, area mean over the annulus, over the dynamic pressure, for a circulation that is the mean velocity times the bore's radius.
fn unit_suction(exit: &FanExit) -> f64 {
    exit.mean_suction(exit.tip_radius()) / (0.5 * exit.density())
}

fn valid(run: &RunSummary) -> Option<&FanViewSeen> {
    run.fan_view
        .as_ref()
        .filter(|_| run.is_valid)
        .map(Box::as_ref)
}

fn not_run() -> Warning {
    Warning {
        code: "fan-view-not-run".into(),
        message: "its fan view was not finished".to_owned(),
        advice: "the ranking does not need it; run the study again, finished runs are kept"
            .to_owned(),
    }
}

/// The doubt when fan view and ranking say different things of what the fan pays.
fn far_apart(result: &GrilleResult, paid: Option<f64>) -> Option<Warning> {
    let (paid, ranked) = (paid?, result.loss_coefficient?);
    let room = PAID_SHARE * ranked.value;
    let is_near = (ranked.low - room..=ranked.high + room).contains(&paid);
    (!is_near).then(|| Warning {
        code: "fan-view-differs".into(),
        message: format!(
            "in the fan view it costs the fan a K of {paid:.2}, in the ranking {:.2}",
            ranked.value
        ),
        advice: "the ranking assumes air that has spread halfway over the face; with a wide hub or a narrow gap it spreads less: compare on the bench".to_owned(),
    })
}

/// What is said once of all views that did not settle.
fn unsteady(summaries: &[Option<RunSummary>]) -> Option<Warning> {
    let views: Vec<&RunSummary> = summaries.iter().flatten().filter(|v| v.is_valid).collect();
    let is_unsteady =
        |view: &&&RunSummary| view.warnings.iter().any(|w| w.code == FAN_VIEW_UNSTEADY);
    let swings: Vec<f64> = views
        .iter()
        .filter(is_unsteady)
        .filter_map(|view| view.fan_view.as_ref()?.total_pressure_swing_percent)
        .collect();
    let most = swings.iter().copied().reduce(f64::max)?;
    let swing = if swings.len() == 1 {
        format!("by {most:.0} %")
    } else {
        format!("by up to {most:.0} %")
    };
    Some(Warning {
        code: FAN_VIEW_UNSTEADY.into(),
        message: format!(
            "{} of {} fan views did not settle: the total pressure ahead of the grille still fluctuates {swing}",
            swings.len(),
            views.len()
        ),
        advice: UNSTEADY_ADVICE.to_owned(),
    })
}

/// Air that runs back through a meter's wheel over the air that runs forward, where it is more than a wheel can be read in.
fn back_flow(meter: &Meter, seen: &FanViewSeen) -> Option<f64> {
    let axial = |point: &BenchPoint| point.axial_m_per_s;
    let share = meter.back_flow_share(|radius| between(&seen.bench_profile, 1e3 * radius, axial));
    (share > MOST_BACK_FLOW).then_some(share)
}

/// The doubt about readings in air that runs back, `behind` the bare fan or some grilles.
fn in_back_flow(behind: &str, share: f64, what: &str) -> Warning {
    let share = if share < 1.0 {
        format!("{:.0} % of the forward flow", 100.0 * share)
    } else {
        "more than the forward flow".to_owned()
    };
    Warning {
        code: METER_IN_BACK_FLOW.into(),
        message: format!(
            "in the fan view air flows backwards through the wheel behind {behind} ({share}), where no meter reads anything useful: {what} taken from a stream that mixes over the bore"
        ),
        advice: "move the meter out of the calm core, further from the axis or further back, and compare only readings taken at the same place".to_owned(),
    }
}

/// Sets the readings by the fan view in the place of those by the rule of mixing. Behind the bare fan, by which all are measured, the wheel must stand in air that runs
/// forward; else all keep the other reading, so that like is compared with like. A grille behind which it does not keeps its own.
fn read_meters(meter: &Meter, bare: &FanViewSeen, told: &mut StudyResult) {
    let Some(bare_read) = reading(meter, bare) else {
        return;
    };
    if told.bare_meter.is_none() {
        return;
    }
    if let Some(share) = back_flow(meter, bare) {
        let doubt = in_back_flow("the bare fan", share, "all readings are");
        told.warnings.push(doubt);
        return;
    }
    told.bare_meter = Some(shown(&bare_read, None, true));
    let (mut names, mut most) = (Vec::new(), 0.0_f64);
    for result in &mut told.grilles {
        let seen = result.fan_view.as_ref().and_then(FanViewResult::seen);
        let (Some(seen), Some(_)) = (seen, result.meter) else {
            continue;
        };
        if let Some(share) = back_flow(meter, seen) {
            names.push(result.name.clone());
            most = most.max(share);
        } else if let Some(read) = reading(meter, seen) {
            result.meter = Some(shown(&read, Some(&bare_read), true));
        }
    }
    if !names.is_empty() {
        let doubt = in_back_flow(&names.join(", "), most, "these readings are");
        told.warnings.push(doubt);
    }
}

/// What a meter shows in the air of the bench plane; `None` when that lies beyond the view or is another plane.
fn reading(meter: &Meter, seen: &FanViewSeen) -> Option<MeterReading> {
    let profile = &seen.bench_profile;
    let is_there = (1e-3 * seen.bench_distance_mm - meter.distance).abs() < 1e-9;
    let last = 1e-3 * profile.last()?.radius_mm;
    let reach = meter.position + 0.5 * meter.head_diameter;
    (is_there && reach <= last).then(|| {
        meter.reading(
            |radius| between(profile, 1e3 * radius, |point| point.axial_m_per_s),
            |radius| between(profile, 1e3 * radius, |point| point.swirl_m_per_s),
        )
    })
}

/// A value of the profile at a radius in mm, in straight lines between the points.
fn between(profile: &[BenchPoint], radius: f64, value: impl Fn(&BenchPoint) -> f64) -> f64 {
    let above = profile.partition_point(|point| point.radius_mm <= radius);
    match (
        above.checked_sub(1).map(|i| &profile[i]),
        profile.get(above),
    ) {
        (Some(a), Some(b)) => {
            let share = (radius - a.radius_mm) / (b.radius_mm - a.radius_mm);
            value(a) + share * (value(b) - value(a))
        }
        (Some(last), None) => value(last),
        (None, Some(first)) => value(first),
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(swirl: f64) -> FanViewSeen {
        let point = |row: i32| BenchPoint {
            radius_mm: 2.0 * (f64::from(row) + 0.5),
            axial_m_per_s: 3.0,
            swirl_m_per_s: 2e-3 * (f64::from(row) + 0.5) * swirl,
        };
        FanViewSeen {
            jet: Vec::new(),
            hub_wake_mm: 0.0,
            is_hub_wake_beyond_view: false,
            swirl_number_in: 0.0,
            swirl_number_out: 0.0,
            bench_distance_mm: 50.0,
            bench_swirl_angle_deg: None,
            bench_turbulence_percent: None,
            pressure_ahead: 0.0,
            total_pressure_swing_percent: None,
            static_loss_coefficient: 0.0,
            static_loss_coefficient_by_force: 0.0,
            total_loss_coefficient: 0.0,
            bench_profile: (0..60).map(point).collect(),
        }
    }

    #[test]
    fn a_wheel_in_air_that_runs_back_is_not_read() {
        let on_axis = Meter {
            head_diameter: 0.06,
            position: 0.0,
            distance: 0.05,
            blade_angle: 45_f64.to_radians(),
            hand: None,
        };
        let mut view = seen(0.0);
        for point in &mut view.bench_profile {
            point.axial_m_per_s = if point.radius_mm < 20.0 { -1.0 } else { 3.0 };
        }
        // Closed form: 4/9 of the area back at 1 m/s, 5/9 forward at 3 m/s; the profile is in steps of 2 mm.
        let share = back_flow(&on_axis, &view).unwrap();
        assert!((share / (4.0 / 15.0) - 1.0).abs() < 0.1, "{share}");
        let further_out = Meter {
            position: 0.06,
            ..on_axis
        };
        assert!(back_flow(&further_out, &view).is_none());
    }

    #[test]
    fn a_meter_reads_the_profile_of_the_bench_plane() {
        // Closed form: in solid turning W a wheel of radius a is off by 2/3 W a, wherever it stands.
        let meter = Meter {
            head_diameter: 0.04,
            position: 0.03,
            distance: 0.05,
            blade_angle: 45_f64.to_radians(),
            hand: None,
        };
        let read = reading(&meter, &seen(30.0)).unwrap();
        let bias = 2.0 / 3.0 * 30.0 * 0.02;
        assert!((read.air_speed - 3.0).abs() < 1e-12);
        assert!((read.with_and_against[0] - 3.0 - bias).abs() < 1e-3 * bias);
        let elsewhere = Meter {
            distance: 0.08,
            ..meter
        };
        assert!(reading(&elsewhere, &seen(30.0)).is_none());
        let beside = Meter {
            position: 0.2,
            ..meter
        };
        assert!(reading(&beside, &seen(30.0)).is_none());
    }
}
