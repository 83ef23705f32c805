//! What the outputs tell of each patterned zone: which runs stand for it, and its K over the air speed with its range.

use crate::likely::{HALF_WIDTH_95, Likely};
use crate::ranking::{EXTRAPOLATION_LIMIT, GrilleLoss, ZoneLoss};
use crate::result::{HandbookLoss, LossAtSpeed, RunSummary, ZoneResult};
use crate::run::planning::plan::{GrillePlan, ZonePlan};

/// Points of a curve.
const POINTS: u32 = 9;

/// The zones of a grille before it has a law, from the inside out.
pub(super) fn zone_results(plan: &GrillePlan, summaries: &[Option<RunSummary>]) -> Vec<ZoneResult> {
    let zones = plan.zones.iter().zip(&plan.geometry.zones);
    zones
        .map(|(zone, drawn)| ZoneResult {
            inner_diameter_mm: 2e3 * drawn.inner_radius,
            outer_diameter_mm: 2e3 * drawn.outer_radius,
            free_area_ratio: zone.flow.free_area_ratio,
            hydraulic_diameter_mm: 1e3 * zone.flow.hydraulic_diameter,
            face_velocity_m_per_s: None,
            area_m2: None,
            handbook_loss_coefficient: zone.handbook.map(|(value, formula)| HandbookLoss {
                value,
                formula: formula.to_owned(),
            }),
            loss_curve: Vec::new(),
            runs: keys(zone, summaries),
        })
        .collect()
}

/// Keys of the runs of a zone that have come to an end.
fn keys(zone: &ZonePlan, summaries: &[Option<RunSummary>]) -> Vec<String> {
    let points = zone.points.iter().chain(&zone.repeat);
    let solved = points
        .flat_map(|point| &point.runs)
        .filter_map(|&index| summaries[index].as_ref());
    solved.map(|summary| summary.key.clone()).collect()
}

/// Enters the laws into the zones.
pub(super) fn enter_laws(told: &mut [ZoneResult], loss: &GrilleLoss) {
    for (zone, law) in told.iter_mut().zip(&loss.zones) {
        zone.area_m2 = Some(law.area);
        zone.loss_curve = curve(law);
    }
}

/// K at speeds as far as the law may be used, even steps in the logarithm.
fn curve(zone: &ZoneLoss) -> Vec<LossAtSpeed> {
    let (low, high) = zone.law.velocity_range;
    if !(low > 0.0 && high.is_finite()) {
        return Vec::new();
    }
    let (low, high) = (
        low * (1.0 - EXTRAPOLATION_LIMIT),
        high * (1.0 + EXTRAPOLATION_LIMIT),
    );
    (0..POINTS)
        .map(|point| {
            let share = f64::from(point) / f64::from(POINTS - 1);
            let velocity = low * (high / low).powf(share);
            let value = zone.law.loss_coefficient(velocity);
            let in_time = HALF_WIDTH_95 * zone.law.standard_uncertainty(velocity);
            let bands = zone.bands.iter().map(|band| value * band.half_width);
            let half_width = bands.fold(in_time, f64::hypot);
            LossAtSpeed {
                face_velocity_m_per_s: velocity,
                loss_coefficient: Likely::symmetric(value, half_width),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ranking::{LossBand, LossLaw};

    #[test]
    fn a_curve_goes_as_far_as_the_law_and_its_range_joins_time_and_bands() {
        let mut law = LossLaw::constant(2.0, 0.03);
        law.viscous = 0.5;
        law.velocity_range = (1.0, 3.0);
        let band = |half_width| LossBand {
            source: "grid".to_owned(),
            half_width,
            shared_by: None,
        };
        let curve = curve(&ZoneLoss {
            area: 0.01,
            law,
            bands: vec![band(0.03), band(0.04)],
        });
        assert_eq!(curve.len(), 9);
        let (first, last) = (curve[0], curve[8]);
        assert!((first.face_velocity_m_per_s - 0.8).abs() < 1e-12);
        assert!((last.face_velocity_m_per_s - 3.6).abs() < 1e-12);
        assert!((first.loss_coefficient.value - (2.0 + 0.5 / 0.8)).abs() < 1e-12);
        // Three and four per cent of 2.625 are five together, and 1.96 * 0.03 on top by squares.
        let expected = (0.05_f64 * 2.625).hypot(HALF_WIDTH_95 * 0.03);
        assert!((first.loss_coefficient.half_width() - expected).abs() < 1e-12);
    }
}
