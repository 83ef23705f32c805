//! What a handbook lets expect of a grille before it is solved: K, flow and Reynolds number.

use crate::fan::{Supply, operating_points};
use crate::grille::{Edge, Grille, GrilleGeometry, Turn, Zone, ZoneGeometry};
use crate::handbook::{
    HandbookLoss, bevelled_perforated_plate, perforated_plate, rounded_perforated_plate,
    thin_perforated_plate,
};
use crate::study::{Side, Study, pattern_turn};

/// What to expect of one grille.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Expectation {
    /// Flow, m³/s.
    pub(super) flow: f64,
    /// Reynolds number in the holes of each zone at that flow, on their hydraulic diameter.
    pub(super) hole_reynolds_numbers: Vec<f64>,
    /// K on the reference area by a handbook formula and its name, or why there is none.
    pub(super) handbook: Result<(f64, &'static str), &'static str>,
}

/// The flow without a grille, or the one that was given, m³/s; `None` when the fan never makes the pressure that the PC case costs.
pub(super) fn bare_flow(study: &Study) -> Option<f64> {
    flow_against(study, 0.0)
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
    let turbulent = vec![f64::INFINITY; geometry.zones.len()];
    let turbulent_loss = handbook_loss(study, grille, geometry, &turbulent);
    let flow = flow_against(study, turbulent_loss.map_or(0.0, |(loss, _)| loss))?;
    let hole_velocity = flow / geometry.open_area;
    let hole_reynolds_numbers: Vec<f64> = geometry
        .zones
        .iter()
        .map(|zone| hole_velocity * zone.hydraulic_diameter / study.air.kinematic_viscosity)
        .collect();
    let is_turned = |zone: &Zone| pattern_turn(&zone.pattern) != Turn::Straight;
    let handbook = if grille.zones.iter().any(is_turned) {
        Err("its formulas do not know openings that turn")
    } else if turbulent_loss.is_none() {
        Err("it has no formula for such a plate")
    } else {
        handbook_loss(study, grille, geometry, &hole_reynolds_numbers)
            .ok_or("its formulas do not reach down to this Reynolds number")
    };
    Some(Expectation {
        flow,
        hole_reynolds_numbers,
        handbook,
    })
}

/// Flow at which the fan settles against the PC case and a further K on the reference area, m³/s.
fn flow_against(study: &Study, loss_coefficient: f64) -> Option<f64> {
    if let Supply::GivenFlow(flow) = study.fan.supply {
        return Some(flow);
    }
    let band = study.fan.supply.band()?;
    let area = study.reference_area();
    let total = study.place.pc_case_loss_coefficient + loss_coefficient;
    let settled = operating_points(&band.central, |flow| {
        total * study.air.dynamic_pressure(flow / area)
    });
    Some(settled.ok()?.main.flow)
}

/// K on the reference area and the name of the formula.
///
/// ```text
/// K = (A / sum(a / sqrt(k)))^2    A: reference area;  k: K of a zone on the velocity in front of it
///                                 a: open area / free-area ratio of the endless pattern, so that the velocity in the holes is the real one
/// ```
///
/// The zones share one pressure drop, so their flows add.
fn handbook_loss(
    study: &Study,
    grille: &Grille,
    geometry: &GrilleGeometry,
    hole_reynolds_numbers: &[f64],
) -> Option<(f64, &'static str)> {
    let upstream_edge = match study.place.side {
        Side::Intake => grille.front_edge,
        Side::Exhaust => grille.back_edge,
    };
    let mut conductance = 0.0;
    let mut source = "";
    for (zone, hole_reynolds) in geometry.zones.iter().zip(hole_reynolds_numbers) {
        let loss = zone_loss(zone, upstream_edge, *hole_reynolds)?;
        conductance += zone.open_area / zone.pattern_free_area_ratio / loss.loss_coefficient.sqrt();
        source = loss.source;
    }
    Some(((study.reference_area() / conductance).powi(2), source))
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
    fn zones_share_one_pressure_drop() {
        let study = study();
        let grille = &study.grilles[0];
        let geometry = grille.resolve(study.fan.hub_diameter).unwrap();
        let (loss, _) = handbook_loss(&study, grille, &geometry, &[f64::INFINITY; 2]).unwrap();
        // At this drop each zone lets through what its own K says; both together must be the flow that the common K says.
        let drop = 5.0;
        let flow: f64 = geometry
            .zones
            .iter()
            .map(|zone| {
                let phi = zone.pattern_free_area_ratio;
                let own = perforated_plate(phi, zone.thickness_ratio, 1e6).unwrap();
                let velocity = (drop / (0.5 * study.air.density * own.loss_coefficient)).sqrt();
                velocity / phi * zone.open_area
            })
            .sum();
        let by_common_loss = loss * study.air.dynamic_pressure(flow / study.reference_area());
        assert!((by_common_loss / drop - 1.0).abs() < 1e-12);
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
