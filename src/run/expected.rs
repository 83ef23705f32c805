//! What a handbook lets expect, before anything is solved: velocities to solve at, a K to choose steps by, a K to set beside the solved one.

use crate::fan::Supply;
use crate::grille::{Grille, ZoneFlow};
use crate::handbook::perforated_plate;
use crate::ranking::{GrilleLoss, LossLaw, ZoneLoss, rank};
use crate::run::plan::{circuit, repeat_area};
use crate::run::view::ZoneView;
use crate::study::Study;
use crate::tunnel::EdgeShape;

/// Velocity in front of each zone if K were the handbook's.
pub(super) fn expected_velocities(
    study: &Study,
    grille: &Grille,
    flows: &[ZoneFlow],
    views: &[ZoneView],
) -> Vec<f64> {
    let zones = flows.iter().zip(views).map(|(flow, view)| ZoneLoss {
        area: repeat_area(flow),
        law: LossLaw::constant(estimated_loss(view), 0.0),
        bands: Vec::new(),
    });
    let loss = GrilleLoss {
        name: grille.name.clone(),
        zones: zones.collect(),
    };
    let fallback = match study.fan.supply {
        Supply::GivenFlow(flow) => flow,
        _ => study.reference_area(),
    } / study.reference_area();
    rank(&circuit(study), std::slice::from_ref(&loss))
        .ok()
        .and_then(|ranking| ranking.grilles.into_iter().next())
        .map_or_else(
            || vec![fallback; flows.len()],
            |ranked| ranked.zone_velocities,
        )
}

/// K of a sharp thick plate, used far outside its range of Reynolds numbers too: only to choose velocities and steps.
pub(super) fn estimated_loss(view: &ZoneView) -> f64 {
    let thickness = (view.thickness / view.hydraulic_diameter).max(0.02);
    perforated_plate(view.free_area_ratio.clamp(0.01, 0.95), thickness, 1e5)
        .map_or(2.0, |loss| loss.loss_coefficient)
}

/// K of a sharp thick plate by the handbook, with its source; `None` outside its range, and for edges that are not sharp.
pub(super) fn handbook_loss(
    view: &ZoneView,
    velocity: f64,
    kinematic_viscosity: f64,
) -> Option<(f64, &'static str)> {
    if view.front_edge != EdgeShape::Sharp || view.rear_edge != EdgeShape::Sharp {
        return None;
    }
    let reynolds = view.hole_reynolds_number(velocity, kinematic_viscosity);
    perforated_plate(
        view.free_area_ratio,
        view.thickness / view.hydraulic_diameter,
        reynolds,
    )
    .map(|loss| (loss.loss_coefficient, loss.source))
}
