//! What a handbook lets expect of a grille before it is solved: K, flow and Reynolds number.

use crate::fan::Supply;
use crate::grille::{Edge, Grille, GrilleGeometry, Turn, Zone, ZoneGeometry};
use crate::handbook::{
    HandbookLoss, bevelled_perforated_plate, perforated_plate, rounded_perforated_plate,
    thin_perforated_plate,
};
use crate::ranking::{GrilleLoss, LossLaw, ZoneLoss, rank};
use crate::run::planning::panels::parts;
use crate::run::planning::plan::circuit;
use crate::study::{Side, Study, pattern_turn};

/// What to expect of one grille.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Expectation {
    /// Flow, m³/s.
    pub(super) flow: f64,
    /// Mean velocity in the holes of each zone, m/s.
    pub(super) hole_velocities: Vec<f64>,
    /// Reynolds number in the holes of each zone at that flow, on their hydraulic diameter.
    pub(super) hole_reynolds_numbers: Vec<f64>,
    /// K on the reference area by a handbook formula and its name, or why there is none.
    pub(super) handbook: Result<(f64, &'static str), &'static str>,
}

/// The flow without a grille, or the one that was given, m³/s; `None` when the fan never makes the pressure that the PC case costs.
pub(super) fn bare_flow(study: &Study) -> Option<f64> {
    if let Supply::GivenFlow(flow) = study.fan.supply {
        return Some(flow);
    }
    let ranking = rank(&circuit(study), &[]).ok()?;
    Some(ranking.bare?.flow.value)
}

/// What to expect of a grille; `None` when the fan never makes the pressure that it would cost.
///
/// The flow is that of the handbook's K in straight, fully turbulent holes, even where the formula does not reach down to the Reynolds
/// number that results, or does not know turned openings; then no K is told. Without any formula it is the flow without a grille.
pub(super) fn expect(
    study: &Study,
    grille: &Grille,
    geometry: &GrilleGeometry,
) -> Option<Expectation> {
    let area = study.reference_area();
    let turbulent = vec![f64::INFINITY; geometry.zones.len()];
    let turbulent_loss = handbook_loss(study, grille, geometry, &turbulent);
    let (flow, hole_velocities) = if let Some((loss, _)) = &turbulent_loss {
        let ratios: Vec<f64> = geometry
            .zones
            .iter()
            .map(|zone| zone.pattern_free_area_ratio)
            .collect();
        let widest = geometry
            .zones
            .iter()
            .map(|zone| zone.hydraulic_diameter)
            .fold(0.0, f64::max);
        let with_parts = loss.clone().with_parts(&parts(study, &ratios, widest));
        let ranking = rank(&circuit(study), &[with_parts]).ok()?;
        let ranked = ranking.grilles.into_iter().next()?;
        let velocities = ranked.zone_velocities.iter();
        let in_holes = velocities
            .zip(ratios)
            .map(|(velocity, ratio)| velocity / ratio);
        (ranked.flow.value, in_holes.collect())
    } else {
        let flow = bare_flow(study)?;
        let mean = flow / geometry.open_area;
        (flow, vec![mean; geometry.zones.len()])
    };
    let hole_reynolds_numbers: Vec<f64> = hole_velocities
        .iter()
        .zip(&geometry.zones)
        .map(|(velocity, zone)| velocity * zone.hydraulic_diameter / study.air.kinematic_viscosity)
        .collect();
    let is_turned = |zone: &Zone| pattern_turn(&zone.pattern) != Turn::Straight;
    let handbook = if grille.zones.iter().any(is_turned) {
        Err("its formulas do not know openings that turn")
    } else if turbulent_loss.is_none() {
        Err("it has no formula for such a plate")
    } else {
        handbook_loss(study, grille, geometry, &hole_reynolds_numbers)
            .map(|(loss, source)| (loss.face_loss(flow, area).loss_coefficient, source))
            .ok_or("its formulas do not reach down to this Reynolds number")
    };
    Some(Expectation {
        flow,
        hole_velocities,
        hole_reynolds_numbers,
        handbook,
    })
}

/// The handbook's K of every zone, put together as the ranking does with solved ones, and the name of the formula.
fn handbook_loss(
    study: &Study,
    grille: &Grille,
    geometry: &GrilleGeometry,
    hole_reynolds_numbers: &[f64],
) -> Option<(GrilleLoss, &'static str)> {
    let upstream_edge = match study.place.side {
        Side::Intake => grille.front_edge,
        Side::Exhaust => grille.back_edge,
    };
    let mut source = "";
    let mut zones = Vec::with_capacity(geometry.zones.len());
    for (zone, hole_reynolds) in geometry.zones.iter().zip(hole_reynolds_numbers) {
        let loss = zone_loss(zone, upstream_edge, *hole_reynolds)?;
        source = loss.source;
        zones.push(ZoneLoss {
            area: repeat_area(zone),
            law: LossLaw::constant(loss.loss_coefficient, 0.0),
            bands: Vec::new(),
        });
    }
    let name = grille.name.clone();
    let loss = GrilleLoss {
        name,
        zones,
        exhaust: None,
        parts: Vec::new(),
    };
    Some((loss, source))
}

/// Area of the repeats that a zone's openings stand for, m², so that the velocity in the holes is the real one.
fn repeat_area(zone: &ZoneGeometry) -> f64 {
    zone.open_area / zone.pattern_free_area_ratio
}

fn zone_loss(zone: &ZoneGeometry, upstream_edge: Edge, hole_reynolds: f64) -> Option<HandbookLoss> {
    let (phi, width) = (zone.pattern_free_area_ratio, zone.hydraulic_diameter);
    match upstream_edge {
        Edge::Sharp => perforated_plate(phi, zone.thickness_ratio, hole_reynolds)
            .or_else(|| thin_perforated_plate(phi, hole_reynolds)),
        Edge::Rounded(radius) => rounded_perforated_plate(phi, radius / width, hole_reynolds),
        Edge::Chamfered(depth) => bevelled_perforated_plate(phi, depth / width, hole_reynolds),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::Draft;

    const TWO_ZONES: &str = r#"
        format = 1
        study.name = "zones"
        fan = { bore_mm = 135, hub_mm = 42, free_flow_m3_per_h = 119, shut_off_pressure_pa = 21.6 }
        place = { side = "intake", pc_case_k = 2 }
        [[grille]]
        name = "zones"
        thickness_mm = 3
        [[grille.zone]]
        inner_diameter_mm = 0
        outer_diameter_mm = 60
        holes = { shape = "round", diameter_mm = 8, rib_mm = 2 }
        [[grille.zone]]
        inner_diameter_mm = 62
        outer_diameter_mm = 131
        holes = { shape = "hexagon", across_flats_mm = 9, rib_mm = 1 }
    "#;

    fn study() -> Study {
        let draft = Draft::parse(TWO_ZONES.as_bytes(), "zones").unwrap();
        draft.resolve(&mut |_| Err(String::new())).unwrap()
    }

    #[test]
    fn the_zones_carry_the_whole_flow() {
        let study = study();
        let grille = &study.grilles[0];
        let geometry = grille.resolve(study.fan.hub_diameter).unwrap();
        let expectation = expect(&study, grille, &geometry).unwrap();
        let carried: f64 = geometry
            .zones
            .iter()
            .zip(&expectation.hole_velocities)
            .map(|(zone, velocity)| zone.open_area * velocity)
            .sum();
        assert!((carried / expectation.flow - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_expected_flow_lies_on_fan_curve_and_system_curve() {
        let study = study();
        let grille = &study.grilles[0];
        let geometry = grille.resolve(study.fan.hub_diameter).unwrap();
        let expectation = expect(&study, grille, &geometry).unwrap();
        let (loss, _) = expectation.handbook.unwrap();
        let velocity = expectation.flow / study.reference_area();
        let cost = (2.0 + loss) * study.air.dynamic_pressure(velocity);
        let fan = study
            .fan
            .supply
            .band()
            .unwrap()
            .central
            .pressure(expectation.flow);
        assert!((cost / fan - 1.0).abs() < 1e-6, "{cost} Pa, {fan} Pa");
        assert!(expectation.flow < bare_flow(&study).unwrap());
    }
}
