//! What the air goes through besides the grilles: from the study's panels to parts of the ranking, and what each takes where the fan settles.

use crate::fabric::{Contact, SPACED_GAP_IN_HOLES, clogging_caution};
use crate::likely::Warning;
use crate::ranking::{
    Circuit, GrilleLoss, OtherFans, PathPart, RankedGrille, Ranking, Seat, SharedCase, rank,
};
use crate::report::{AirPathOfGrille, AirPathResult, OnRig, PressureShare};
use crate::run::plan::circuit;
use crate::run::what_if::Candidate;
use crate::study::{Panel, PanelLoss, Side, Study};
use crate::units::CUBIC_METRES_PER_HOUR;

/// The panels of a study as the ranking takes them for a grille whose zones have these free-area ratios and hydraulic diameters (m).
///
/// A panel nearer than [`SPACED_GAP_IN_HOLES`] hydraulic diameters of the widest zone is taken as partly on the holes and partly apart, by its gap, and its band takes in both.
pub fn parts(study: &Study, free_area_ratios: &[f64], widest_hole: f64) -> Vec<PathPart> {
    let mut made = Vec::new();
    for panel in &study.panels {
        let area = panel.area.unwrap_or_else(|| study.reference_area());
        let Some(([viscous, inertial], band)) = law(study, panel, area) else {
            continue;
        };
        let apart = match panel.gap {
            Some(gap) => (gap / (SPACED_GAP_IN_HOLES * widest_hole)).min(1.0),
            None => 1.0,
        };
        let opened = free_area_ratios
            .iter()
            .copied()
            .reduce(f64::min)
            .unwrap_or(1.0);
        // Both ends, by the part that goes with the square: it differs the most.
        let between = apart + (1.0 - apart) / (opened * opened);
        let ends = [between.recip(), (opened * opened * between).recip()];
        let is_between = apart > 0.0 && apart < 1.0;
        let band = if is_between {
            [joined(band[0], ends[0]).recip(), joined(band[1], ends[1])]
        } else {
            band
        };
        let mut add = |share: f64, seat: Seat| {
            if share > 0.0 {
                made.push(PathPart {
                    name: panel.name.clone(),
                    viscous: share * viscous,
                    inertial: share * inertial,
                    band,
                    seat,
                });
            }
        };
        let free_area_ratios = free_area_ratios.to_vec();
        add(apart, Seat::Apart { area });
        add(1.0 - apart, Seat::Pressed { free_area_ratios });
    }
    made
}

/// Two factors that know nothing of each other: their logarithms added in squares, above 1.
fn joined(first: f64, second: f64) -> f64 {
    first.ln().hypot(second.ln()).exp()
}

/// a and b of a panel on the velocity over its area, and its band.
fn law(study: &Study, panel: &Panel, area: f64) -> Option<([f64; 2], [f64; 2])> {
    match &panel.loss {
        PanelLoss::Known(loss) => Some(([0.0, loss.inertial(area, study.air.density)], [1.0; 2])),
        PanelLoss::Fabric(name) => {
            // A study whose fabrics have no law is refused.
            let law = study.fabric_law(study.fabric(name)?).ok()?;
            Some(([law.viscous, law.inertial], [law.band.low, law.band.high]))
        }
    }
}

/// The fabrics of a study, for the table of what would be.
pub(super) fn candidates(study: &Study) -> Vec<Candidate> {
    let candidates = study.fabrics.iter().filter_map(|fabric| {
        let law = study.fabric_law(fabric).ok()?;
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

/// The doubt about panels that neither lie on the holes of a grille nor stand clear of them.
pub(super) fn close_panels(panels: &[Panel], widest_hole: f64) -> Option<Warning> {
    let is_close = |gap: f64| Contact::of_gap(gap, widest_hole) == Contact::Near;
    let close: Vec<&str> = panels
        .iter()
        .filter(|panel| panel.gap.is_some_and(is_close))
        .map(|panel| panel.name.as_str())
        .collect();
    (!close.is_empty()).then(|| Warning {
        code: "panel-close",
        message: format!(
            "{} is nearer to the holes than {SPACED_GAP_IN_HOLES} of their widths: what it costs lies anywhere between standing clear and lying on them",
            close.join(", ")
        ),
        advice: format!("leave {SPACED_GAP_IN_HOLES} of their widths or more"),
    })
}

/// What each thing in the air's way takes where the fan settles, and what the rig makes of the ranking.
pub(super) fn told(study: &Study, ranking: &Ranking, losses: &[GrilleLoss]) -> AirPathResult {
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
        name: ranked.name.clone(),
        shares: shares(ranked, losses),
        case_pressure_pa: over_room(study, ranked.place_pressure),
        speed_ratio_for_bare_flow: ranked.speed_ratio_for_bare_flow,
        on_rig: on_rig
            .as_ref()
            .and_then(|rig| rig.grilles.iter().find(|on_rig| on_rig.name == ranked.name))
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
fn shares(ranked: &RankedGrille, losses: &[GrilleLoss]) -> Vec<PressureShare> {
    let flow = ranked.flow.value;
    let mut shares = vec![PressureShare {
        what: "grille".to_owned(),
        pressure_pa: ranked.pressure_drop.value,
    }];
    let loss = losses.iter().find(|loss| loss.name == ranked.name);
    if let Some(loss) = loss {
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
            match shares.iter_mut().find(|share| share.what == part.name) {
                Some(share) => share.pressure_pa += pressure_pa,
                None => shares.push(PressureShare {
                    what: part.name.clone(),
                    pressure_pa,
                }),
            }
        }
    }
    if ranked.place_pressure.abs() > 0.0 {
        shares.push(PressureShare {
            what: "PC case".to_owned(),
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
