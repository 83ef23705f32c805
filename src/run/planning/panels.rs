//! What the air goes through besides the grilles, as parts of the ranking: panels, and a PC case with other fans in it.

use crate::fabric::{Band, FabricLaw, Source, excess_left};
use crate::fan::{Supply, operating_points};
use crate::ranking::{OtherFans, PathPart, Seat, SharedCase};
use crate::run::planning::panel_grille::expected_panel;
use crate::study::{Panel, PanelLoss, Study};

/// The panels of a study as the ranking takes them for a grille whose zones have these free-area ratios, the widest hole being `widest_hole` (hydraulic diameter, m).
///
/// A panel close to the holes is two parts of one name: what it costs by itself, and what is left at its gap of the extra cost of lying on the holes.
/// One that is a grille counts with the handbook's K.
pub fn parts(study: &Study, free_area_ratios: &[f64], widest_hole: f64) -> Vec<PathPart> {
    let estimated = |panel: &Panel, grille: usize| expected_panel(study, panel, grille);
    parts_with(study, free_area_ratios, widest_hole, &estimated)
}

/// The same; `of_grille` gives the part of a panel that is the grille at this place of the study.
pub(in crate::run) fn parts_with(
    study: &Study,
    free_area_ratios: &[f64],
    widest_hole: f64,
    of_grille: &dyn Fn(&Panel, usize) -> Option<PathPart>,
) -> Vec<PathPart> {
    let mut made = Vec::new();
    for panel in &study.panels {
        if let PanelLoss::Grille(grille) = panel.loss {
            made.extend(of_grille(panel, grille));
            continue;
        }
        let area = panel.area.unwrap_or_else(|| study.reference_area());
        let Some(law) = law(study, panel, area) else {
            continue;
        };
        let gap = panel.gap.unwrap_or(f64::INFINITY);
        let [viscous, inertial] = excess_left(gap, widest_hole);
        let least_open = free_area_ratios.iter().copied().fold(1.0, f64::min);
        let band = law.at_gap(gap, widest_hole, least_open).band;
        let mut add = |shares: [f64; 2], seat: Seat| {
            if shares[0] > 0.0 || shares[1] > 0.0 {
                made.push(PathPart {
                    name: panel.name.clone(),
                    viscous: shares[0] * law.viscous,
                    inertial: shares[1] * law.inertial,
                    band: [band.low, band.high],
                    seat,
                });
            }
        };
        let free_area_ratios = free_area_ratios.to_vec();
        add([1.0 - viscous, 1.0 - inertial], Seat::Apart { area });
        add([viscous, inertial], Seat::Pressed { free_area_ratios });
    }
    made
}

/// The law of a panel on the velocity over its area (m²).
fn law(study: &Study, panel: &Panel, area: f64) -> Option<FabricLaw> {
    match &panel.loss {
        PanelLoss::Known(loss) => Some(FabricLaw {
            viscous: 0.0,
            inertial: loss.inertial(area, study.air.density),
            velocities: (1.0, 1.0),
            band: Band::EXACT,
            // A point is told to go with the square of the flow: no split is asked for.
            source: Source::Bench {
                reading_count: 1,
                residual: None,
            },
        }),
        // A study whose fabrics have no law is refused.
        PanelLoss::Fabric(name) => {
            let law = study.fabric_law(study.fabric(name)?).ok()?;
            Some(where_it_settles(study, law, area))
        }
        PanelLoss::Grille(_) => None,
    }
}

/// The law of a fabric over an area (m²) with the band that it has at the air speed where the fan settles with it, before any grille.
///
/// Only where one reading stands behind the law does that speed matter; a grille slows the air further, by little beside the split that is in doubt.
pub(in crate::run) fn where_it_settles(study: &Study, law: FabricLaw, area: f64) -> FabricLaw {
    let place = |flow: f64| {
        let velocity = flow / study.reference_area();
        study.place_loss_coefficient() * study.air.dynamic_pressure(velocity)
            + law.pressure_drop(flow / area)
    };
    let flow = match (&study.fan.supply, study.fan.supply.band()) {
        (Supply::GivenFlow(flow), _) => Some(*flow),
        (_, band) => {
            band.and_then(|band| Some(operating_points(&band.central, place).ok()?.main.flow))
        }
    };
    let band = flow.map_or(law.band, |flow| law.band_at(flow / area));
    FabricLaw { band, ..law }
}

/// The PC case with other fans in it; `None` where there are none.
pub(super) fn shared_case(study: &Study) -> Option<SharedCase> {
    if study.other_fans.is_empty() {
        return None;
    }
    let (area, place) = (study.reference_area(), &study.place);
    let others = study.other_fans.iter().filter_map(|fans| {
        Some(OtherFans {
            characteristic: fans.supply.band()?.central,
            count: fans.count,
            is_same_way: fans.side == place.side,
            // Over its own flow, on any area.
            in_their_way: fans.in_their_way.inertial(1.0, study.air.density),
        })
    });
    Some(SharedCase {
        fan_count: place.fan_count,
        openings: 0.5 * study.air.density * study.openings_loss_coefficient() / (area * area),
        others: others.collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::Draft;

    fn study(gap: &str) -> Study {
        let text = format!(
            r#"
            format = 1
            study = {{ name = "panels" }}
            fan = {{ bore_mm = 135, hub_mm = 42, free_flow_m3_per_h = 120, shut_off_pressure_pa = 24 }}
            place = {{ side = "intake", pc_case_k = 3 }}
            [[fabric]]
            name = "cloth"
            woven = {{ thread_um = 60, opening_um = 250 }}
            [[panel]]
            name = "front"
            fabric = "cloth"
            {gap}
            [[grille]]
            name = "holes"
            thickness_mm = 3
            holes = {{ shape = "round", diameter_mm = 6, rib_mm = 1.2 }}
        "#
        );
        let draft = Draft::parse(text.as_bytes(), "study.toml").unwrap();
        draft.resolve(&mut |_| Err("no files".to_owned())).unwrap()
    }

    #[test]
    fn a_panel_costs_what_its_fabric_does_at_that_gap() {
        let (open, width, velocity) = (0.6, 0.006, 1.7);
        for (gap_mm, gap) in [
            (Some(0.0), "gap_mm = 0"),
            (Some(1.5), "gap_mm = 1.5"),
            (None, ""),
        ] {
            let study = study(gap);
            let law = study.fabric_law(&study.fabrics[0]).unwrap();
            let metres = gap_mm.map_or(f64::INFINITY, |gap: f64| gap / 1000.0);
            let expected = law.at_gap(metres, width, open);
            let mut found = 0.0;
            for part in parts(&study, &[open], width) {
                let inside = match part.seat {
                    Seat::Apart { .. } => velocity,
                    Seat::Pressed { .. } => velocity / open,
                };
                found += (part.viscous + part.inertial * inside) * inside;
                assert!((part.band[1] - expected.band.high).abs() < 1e-12);
            }
            let error = found / expected.pressure_drop(velocity) - 1.0;
            assert!(error.abs() < 1e-12, "{gap}: {error}");
        }
    }
}
