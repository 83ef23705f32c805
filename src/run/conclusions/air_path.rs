//! What the air goes through besides the grilles takes where the fan settles.

use crate::fabric::{Contact, clogging_caution};
use crate::likely::Warning;
use crate::ranking::{Circuit, GrilleLoss, PathPart, RankedGrille, Ranking, Seat, rank};
use crate::result::{AirPathOfGrille, AirPathResult, GrilleName, OnRig, PressureShare};
use crate::run::conclusions::what_if::Candidate;
use crate::run::planning::panels::where_it_settles;
use crate::run::planning::plan::circuit;
use crate::study::{Panel, Side, Study};
use crate::units::CUBIC_METRES_PER_HOUR;

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

/// What to mind about panels on or close to the holes of a grille.
pub(super) fn close_panels(panels: &[Panel], widest_hole: f64) -> Option<Warning> {
    let gaps = panels.iter().filter_map(|panel| panel.gap);
    let nearest = gaps.reduce(f64::min)?;
    Contact::of_gap(nearest, widest_hole).caution()
}

/// What each thing in the air's way takes where the fan settles, and what the rig makes of the ranking; `losses` and `named` are the grilles that it was given.
pub(super) fn air_path_result(
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
