//! What a handbook lets expect, before anything is solved: velocities to solve at, the swirl that the fan gives the air there, a K to choose steps by, a K to set beside the solved one.

use crate::fan::{FanExit, Supply};
use crate::grille::{Grille, ZoneFlow};
use crate::handbook::perforated_plate;
use crate::ranking::{GrilleLoss, LossLaw, ZoneLoss, rank};
use crate::run::planning::panels::parts;
use crate::run::planning::plan::{circuit, repeat_area};
use crate::run::swirl::exhaust::{covered_share, zone_median_radius};
use crate::run::views::zone_view::ZoneView;
use crate::study::Study;
use crate::tunnel::EdgeShape;

/// What to expect of a zone if K were the handbook's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ExpectedZone {
    /// Velocity in front of it, m/s.
    pub(super) velocity: f64,
    /// Tangent of the angle at which the air meets it, positive with the fan's rotation; of whole degrees where it is computed. 0 ahead of the fan and where it is not known.
    pub(super) inflow: f64,
    /// Strength of the swirl, see [`crate::ranking::ZoneExhaust::step`].
    pub(in crate::run) strength: f64,
}

/// The air as it leaves the fan of an exhaust study; `None` on the intake side, and where the opening is a vent with no fan in it.
pub(in crate::run) fn fan_exit(study: &Study) -> Option<FanExit> {
    let is_met = study.is_behind_fan();
    is_met.then(|| FanExit::of(&study.fan, study.air.density))
}

/// What to expect of each zone.
pub(super) fn expected_zones(
    study: &Study,
    grille: &Grille,
    flows: &[ZoneFlow],
    views: &[ZoneView],
) -> Vec<ExpectedZone> {
    let exit = fan_exit(study).map(|exit| exit.half_spread());
    let zones: Vec<(&ZoneFlow, &ZoneView)> = flows.iter().zip(views).collect();
    let loss = expected_loss(study, &grille.name, &zones);
    let fallback = match study.fan.supply {
        Supply::GivenFlow(flow) => flow,
        _ => study.reference_area(),
    } / study.reference_area();
    let ranked = rank(&circuit(study), std::slice::from_ref(&loss))
        .ok()
        .and_then(|ranking| ranking.grilles.into_iter().next());
    let Some(ranked) = ranked else {
        let none = ExpectedZone {
            velocity: fallback,
            inflow: 0.0,
            strength: 0.0,
        };
        return vec![none; flows.len()];
    };
    let flow = ranked.flow.value;
    let band = study.fan.supply.band();
    let pressure = band.map(|band| band.central.pressure(flow));
    let swirl = exit.and_then(|exit| Some((exit.circulation(flow, pressure)?, exit)));
    let zones = flows.iter().zip(ranked.zone_velocities);
    zones
        .map(|(zone, velocity)| ExpectedZone {
            velocity,
            inflow: swirl.as_ref().map_or(0.0, |(circulation, exit)| {
                let radius = zone_median_radius(exit, zone);
                let computed = exit.swirl_velocity(*circulation, radius) / velocity;
                // A given angle is taken as it stands; whole degrees let like grilles share their runs.
                let given = study.fan.swirl_angle.map(f64::tan);
                given.unwrap_or_else(|| computed.atan().to_degrees().round().to_radians().tan())
            }),
            strength: swirl.as_ref().map_or(0.0, |(circulation, exit)| {
                circulation / (velocity * exit.median_radius())
            }),
        })
        .collect()
}

/// What the zones of a grille cost if K were the handbook's.
pub(in crate::run) fn expected_loss(
    study: &Study,
    name: &str,
    zones: &[(&ZoneFlow, &ZoneView)],
) -> GrilleLoss {
    let exit = fan_exit(study).map(|exit| exit.half_spread());
    let losses = zones.iter().map(|(flow, view)| ZoneLoss {
        area: repeat_area(flow) * exit.as_ref().map_or(1.0, |exit| covered_share(exit, flow)),
        law: LossLaw::constant(estimated_loss(view), 0.0),
        bands: Vec::new(),
    });
    let flows = zones.iter().map(|(flow, _)| flow);
    let ratios: Vec<f64> = flows.clone().map(|flow| flow.free_area_ratio).collect();
    let widest = flows
        .map(|flow| flow.hydraulic_diameter)
        .fold(0.0, f64::max);
    GrilleLoss {
        name: name.to_owned(),
        zones: losses.collect(),
        exhaust: None,
        parts: parts(study, &ratios, widest),
    }
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
