//! A second grille that every grille is used with: a panel whose loss is solved in the same batch.
//!
//! It stands ahead of the fan, on either side of the PC case, so it is met straight on and costs total K; over a vent it is met as the other plates are.
//! Its range is taken as its own: independent of the range of the grilles that it is used with, though views and grids may be off alike.
//! That counts a common error of two like plates as the root of the sum of squares instead of the sum, and leaves the order alone: the same panel stands before every grille.

use std::borrow::Cow;

use crate::likely::HALF_WIDTH_95;
use crate::ranking::{GrilleLoss, PathPart, Seat, ZoneLoss};
use crate::run::planning::expected::expected_loss;
use crate::run::views::zone_view::ZoneView;
use crate::study::{Panel, PanelLoss, Side, Study};

/// Least share of its pressure drop that is left of a panel at the low end of its range.
const LEAST_SHARE: f64 = 0.05;

/// The study as a grille ahead of its fan meets the air; the study itself where no grille meets the air of a fan.
pub(in crate::run) fn ahead_of_fan(study: &Study) -> Cow<'_, Study> {
    if !study.is_behind_fan() {
        return Cow::Borrowed(study);
    }
    let mut ahead = study.clone();
    ahead.place.side = Side::Intake;
    ahead.meter = None;
    ahead.fan_view = None;
    Cow::Owned(ahead)
}

/// Places in the study of the grilles that panels are made of, each once.
pub(super) fn panel_grilles(study: &Study) -> Vec<usize> {
    let mut found = Vec::new();
    for panel in &study.panels {
        if let PanelLoss::Grille(place) = panel.loss
            && !found.contains(&place)
        {
            found.push(place);
        }
    }
    found
}

/// What a panel of this grille would take if K were the handbook's; `None` where its drawing cannot be made, which is refused elsewhere.
pub(in crate::run) fn expected_panel(
    study: &Study,
    panel: &Panel,
    grille: usize,
) -> Option<PathPart> {
    let ahead = ahead_of_fan(study);
    let drawn = &ahead.grilles[grille];
    let flows = drawn.flow_geometry(ahead.geometries.get(grille)?);
    let views: Vec<ZoneView> = flows
        .iter()
        .map(|flow| ZoneView::of(flow, ahead.place.side))
        .collect();
    let zones: Vec<_> = flows.iter().zip(&views).collect();
    // Its own K only: what else stands in the way is no part of it.
    let mut alone = ahead.clone().into_owned();
    alone.panels.clear();
    Some(part(
        &alone,
        panel,
        &expected_loss(&alone, &drawn.name, &zones),
    ))
}

/// The loss of a grille as that of a panel: a law through K on the reference area at the ends of the flows at which it was solved.
///
/// ```text
/// Δp = 0.5 rho (a U + b U²)    a = (K1 - K2) / (1/U1 - 1/U2), at least 0;   b = K2 - a/U2
/// ```
pub(in crate::run) fn part(study: &Study, panel: &Panel, loss: &GrilleLoss) -> PathPart {
    let area = study.reference_area();
    let velocity = |of: fn((f64, f64)) -> f64| -> f64 {
        let zones = loss.zones.iter();
        let flow: f64 = zones
            .map(|zone| zone.area * of(zone.law.velocity_range))
            .sum();
        flow / area
    };
    let (slow, fast) = (velocity(|range| range.0), velocity(|range| range.1));
    let is_rising = slow > 0.0 && fast.is_finite() && fast > slow * (1.0 + 1e-9);
    let on_area = |velocity: f64| loss.face_loss(velocity * area, area).loss_coefficient;
    let (viscous, inertial) = if is_rising {
        let [first, last] = [slow, fast].map(on_area);
        let viscous = ((first - last) / (1.0 / slow - 1.0 / fast)).max(0.0);
        (viscous, last - viscous / fast)
    } else {
        (0.0, on_area(1.0))
    };
    let half_width = loss.zones.iter().map(half_width).fold(0.0, f64::max);
    let dynamic = 0.5 * study.air.density;
    PathPart {
        name: panel.name.clone(),
        viscous: dynamic * viscous,
        inertial: dynamic * inertial,
        band: [(1.0 - half_width).max(LEAST_SHARE), 1.0 + half_width],
        seat: Seat::Apart { area },
    }
}

/// Half-width at 95 % of the K of a zone, as a part of it: fluctuation in time and all bands, independent of each other.
fn half_width(zone: &ZoneLoss) -> f64 {
    let (low, high) = zone.law.velocity_range;
    let middle = if high.is_finite() {
        0.5 * (low + high)
    } else {
        1.0
    };
    let in_time =
        HALF_WIDTH_95 * zone.law.standard_uncertainty(middle) / zone.law.loss_coefficient(middle);
    let bands = zone.bands.iter().map(|band| band.half_width.powi(2));
    (in_time.powi(2) + bands.sum::<f64>()).sqrt()
}

/// A study of one grille that is the front panel as well.
#[cfg(test)]
pub(in crate::run) fn behind_a_front_panel(side: &str) -> Study {
    let text = format!(
        "format = 1\nstudy.name = \"two\"\nplace = {{ side = \"{side}\" }}\n\
         fan = {{ bore_mm = 90, hub_mm = 30, free_flow_m3_per_h = 60, shut_off_pressure_pa = 20, swirl_deg = 30 }}\n\
         [[panel]]\nname = \"front\"\ngrille = \"holes\"\n\
         [[grille]]\nname = \"holes\"\nthickness_mm = 3\nholes = {{ shape = \"round\", diameter_mm = 6, rib_mm = 1.2 }}\n"
    );
    let draft = crate::study::Draft::parse(text.as_bytes(), "two.toml").unwrap();
    draft.resolve(&mut |_| Err(String::new())).unwrap()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ranking::{LossBand, LossLaw};

    #[test]
    fn a_panel_takes_what_its_grille_takes() {
        let study = behind_a_front_panel("intake");
        let area = study.reference_area();
        let law = LossLaw {
            viscous: 0.6,
            inertial: 2.5,
            covariance: [0.0; 3],
            velocity_range: (1.0, 3.0),
            warnings: Vec::new(),
        };
        let zone = |share: f64| ZoneLoss {
            area: share * area,
            law: law.clone(),
            bands: [0.03, 0.04]
                .map(|half_width| LossBand {
                    source: half_width.to_string(),
                    half_width,
                    shared_by: None,
                })
                .into(),
        };
        for (zones, tolerance) in [(vec![zone(1.0)], 1e-12), (vec![zone(0.3), zone(0.5)], 5e-3)] {
            let loss = GrilleLoss {
                name: "holes".to_owned(),
                zones,
                exhaust: None,
                parts: Vec::new(),
            };
            let part = part(&study, &study.panels[0], &loss);
            assert_eq!(part.seat, Seat::Apart { area });
            // 3, 4, 5: the root of the sum of two squares.
            assert!((part.band[0] - 0.95).abs() < 1e-12 && (part.band[1] - 1.05).abs() < 1e-12);
            for velocity in [0.9, 1.5, 2.4] {
                let drop = (part.viscous + part.inertial * velocity) * velocity;
                let whole = loss.face_loss(velocity * area, area).loss_coefficient;
                let expected = whole * study.air.dynamic_pressure(velocity);
                let error = drop / expected - 1.0;
                assert!(error.abs() < tolerance, "{velocity} m/s: {error:e}");
            }
        }
    }
}
