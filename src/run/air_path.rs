//! What the air goes through besides the grilles: from the study's panels to parts of the ranking, and what each takes where the fan settles.

use crate::fabric::{Band, Contact, FabricLaw, Source, clogging_caution, excess_left};
use crate::fan::{Supply, operating_points};
use crate::likely::Warning;
use crate::ranking::{
    Circuit, GrilleLoss, OtherFans, PathPart, RankedGrille, Ranking, Seat, SharedCase, rank,
};
use crate::result::{AirPathOfGrille, AirPathResult, GrilleName, OnRig, PressureShare};
use crate::run::panel_grille::expected_panel;
use crate::run::plan::circuit;
use crate::run::what_if::Candidate;
use crate::study::{Panel, PanelLoss, Side, Study};
use crate::units::CUBIC_METRES_PER_HOUR;

/// The panels of a study as the ranking takes them for a grille whose zones have these free-area ratios, the widest hole being `widest_hole` (hydraulic diameter, m).
///
/// A panel close to the holes is two parts of one name: what it costs by itself, and what is left at its gap of the extra cost of lying on the holes.
/// One that is a grille counts with the handbook's K.
pub fn parts(study: &Study, free_area_ratios: &[f64], widest_hole: f64) -> Vec<PathPart> {
    let estimated = |panel: &Panel, grille: &str| expected_panel(study, panel, grille);
    parts_with(study, free_area_ratios, widest_hole, &estimated)
}

/// The same; `of_grille` gives the part of a panel that is the grille of this name.
pub(super) fn parts_with(
    study: &Study,
    free_area_ratios: &[f64],
    widest_hole: f64,
    of_grille: &dyn Fn(&Panel, &str) -> Option<PathPart>,
) -> Vec<PathPart> {
    let mut made = Vec::new();
    for panel in &study.panels {
        if let PanelLoss::Grille(grille) = &panel.loss {
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
fn where_it_settles(study: &Study, law: FabricLaw, area: f64) -> FabricLaw {
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

/// The fabrics of a study, for the table of what would be.
pub(super) fn candidates(study: &Study) -> Vec<Candidate> {
    let candidates = study.fabrics.iter().filter_map(|fabric| {
        let law = study.fabric_law(fabric).ok()?;
        let law = where_it_settles(study, law, study.reference_area());
        Some(Candidate {
            name: fabric.name.clone(),
            law: [law.viscous, law.inertial],
            band: [law.band.low, law.band.high],
            is_ranked: law.may_be_ranked(),
        })
    });
    candidates.collect()
}

/// What is doubtful about the fabrics of a study at a mean air speed (m/s) and a pressure (Pa).
pub(super) fn fabric_doubts(study: &Study, velocity: f64) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = Vec::new();
    for fabric in &study.fabrics {
        let Ok(law) = study.fabric_law(fabric) else {
            continue;
        };
        let own = fabric.doubts(&law, velocity, &study.air);
        doubts.extend(own.into_iter().map(|doubt| Warning {
            message: format!("{}: {}", fabric.name, doubt.message),
            ..doubt
        }));
    }
    if !study.fabrics.is_empty() {
        doubts.push(clogging_caution());
    }
    doubts
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

/// What to mind about panels on or close to the holes of a grille.
pub(super) fn close_panels(panels: &[Panel], widest_hole: f64) -> Option<Warning> {
    let gaps = panels.iter().filter_map(|panel| panel.gap);
    let nearest = gaps.reduce(f64::min)?;
    Contact::of_gap(nearest, widest_hole).caution()
}

/// What each thing in the air's way takes where the fan settles, and what the rig makes of the ranking; `losses` and `named` are the grilles that it was given.
pub(super) fn told(
    study: &Study,
    ranking: &Ranking,
    losses: &[GrilleLoss],
    named: &[GrilleName],
) -> AirPathResult {
    let circuit = circuit(study);
    let on_rig = study.rig_loss_coefficient().and_then(|place_loss| {
        let rig = Circuit {
            place_loss,
            shared_case: None,
            ..circuit.clone()
        };
        rank(&rig, losses).ok()
    });
    let grilles = ranking.grilles.iter().map(|ranked| AirPathOfGrille {
        id: named[ranked.index].id,
        name: named[ranked.index].name.clone(),
        shares: shares(ranked, &losses[ranked.index]),
        case_pressure_pa: over_room(study, ranked.place_pressure),
        speed_ratio_for_bare_flow: ranked.speed_ratio_for_bare_flow,
        on_rig: on_rig
            .as_ref()
            .and_then(|rig| rig.grilles.iter().find(|it| it.index == ranked.index))
            .map(|on_rig| OnRig {
                flow_m3_per_h: on_rig.flow.scaled(CUBIC_METRES_PER_HOUR),
                flow_percent: on_rig.flow_percent,
                rank: u32::try_from(on_rig.rank).unwrap_or(u32::MAX),
            }),
    });
    AirPathResult {
        fan_count: study.place.fan_count,
        panels: study
            .panels
            .iter()
            .map(|panel| panel.name.clone())
            .collect(),
        grilles: grilles.collect(),
        has_other_fans: !study.other_fans.is_empty(),
        bare_case_pressure_pa: ranking
            .bare
            .as_ref()
            .map(|bare| over_room(study, bare.place_pressure)),
        bare_on_rig_m3_per_h: on_rig
            .as_ref()
            .and_then(|rig| rig.bare.as_ref())
            .map(|bare| bare.flow.scaled(CUBIC_METRES_PER_HOUR)),
    }
}

/// What a PC case takes of a fan, as its pressure over the room's: a fan that blows in works against it, one that blows out draws it down.
fn over_room(study: &Study, place_pressure: f64) -> f64 {
    match study.place.side {
        Side::Intake => place_pressure,
        Side::Exhaust => -place_pressure,
    }
}

/// Pressure of the grille, of each part and of the PC case; they add up to the fan's.
fn shares(ranked: &RankedGrille, loss: &GrilleLoss) -> Vec<PressureShare> {
    let flow = ranked.flow.value;
    let mut shares = vec![PressureShare {
        what: "grille".to_owned(),
        is_panel: false,
        pressure_pa: ranked.pressure_drop.value,
    }];
    let alone: Vec<f64> = loss
        .parts
        .iter()
        .map(|part| pressure(part, ranked, loss, flow))
        .collect();
    // What lies on the holes of several zones changes how the air divides: their sum is the ranking's.
    let sum: f64 = alone.iter().sum();
    let factor = if sum > 0.0 {
        ranked.parts_pressure_drop.value / sum
    } else {
        0.0
    };
    let parts = loss.parts.iter().zip(&alone);
    for (part, pressure) in parts {
        let pressure_pa = factor * pressure;
        // A panel close to the holes is two parts.
        let same = |share: &&mut PressureShare| share.is_panel && share.what == part.name;
        match shares.iter_mut().find(same) {
            Some(share) => share.pressure_pa += pressure_pa,
            None => shares.push(PressureShare {
                what: part.name.clone(),
                is_panel: true,
                pressure_pa,
            }),
        }
    }
    if ranked.place_pressure.abs() > 0.0 {
        shares.push(PressureShare {
            what: "PC case".to_owned(),
            is_panel: false,
            pressure_pa: ranked.place_pressure,
        });
    }
    shares
}

/// Pressure drop of a part at a flow, mean over the air.
fn pressure(part: &PathPart, ranked: &RankedGrille, loss: &GrilleLoss, flow: f64) -> f64 {
    let law = |velocity: f64| (part.viscous + part.inertial * velocity) * velocity;
    match &part.seat {
        Seat::Apart { area } => law(flow / area),
        Seat::Pressed { free_area_ratios } => {
            let zones = loss.zones.iter().zip(&ranked.zone_velocities);
            let streams = zones.zip(free_area_ratios);
            let (mut sum, mut air) = (0.0, 0.0);
            for ((zone, velocity), ratio) in streams {
                sum += zone.area * velocity * law(velocity / ratio);
                air += zone.area * velocity;
            }
            sum / air
        }
    }
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
