//! What to mind about a grille and a study: print, fingers, noise, and what this program does not know.
//!
//! Cautions are data: they go into every output, each with what to do.

use crate::fabric::clogging_caution;
use crate::grille::{Grille, GrilleGeometry, Passage, Pattern, Turn};
use crate::likely::Warning;
use crate::study::air_path::DISCHARGE;
use crate::study::describe::pattern_turn;
use crate::study::{PanelLoss, Side, Study};

/// Distance to the blades, in mm, that keeps the fingers of persons of 14 years and more off, for openings up to a width in mm:
/// (width, as a slot, as a square, as a circle).
///
/// Source: ISO 13857:2019, table 4, as quoted by two secondary sources; where they differ the larger value is taken.
const FINGER_DISTANCES_MM: [(f64, [f64; 3]); 6] = [
    (4.0, [2.0, 2.0, 2.0]),
    (6.0, [10.0, 10.0, 5.0]),
    (8.0, [20.0, 15.0, 15.0]),
    (10.0, [80.0, 25.0, 20.0]),
    (12.0, [100.0, 80.0, 80.0]),
    (20.0, [120.0, 120.0, 120.0]),
];

/// What to mind about one grille of the study; `geometry` as [`Grille::resolve`] gave it.
pub fn grille_cautions(study: &Study, grille: &Grille, geometry: &GrilleGeometry) -> Vec<Warning> {
    let mut cautions: Vec<Warning> = geometry
        .warnings
        .iter()
        .map(|warning| Warning {
            code: warning.code().into(),
            message: warning.message(),
            advice: warning.advice(),
        })
        .collect();
    cautions.extend(swirl_caution(study.place.side, grille));
    cautions.extend(hum_caution(study.fan.blade_count, grille));
    cautions.push(finger_caution(geometry, study.vent.is_some()));
    cautions
}

/// What to mind about a study as a whole.
pub fn study_cautions(study: &Study) -> Vec<Warning> {
    let last = if study.vent.is_some() {
        (
            "live-parts",
            "the openings of an electrical box must keep fingers, tools and falling parts away from live parts",
            "that is not checked here: the standard for the device says how wide an opening may be, and of what plastic",
        )
    } else {
        (
            "moving-blades",
            "a printed plate can bend or soften into moving blades",
            "leave a gap, keep it away from heat, and never make it the only guard of a large or mains-driven fan",
        )
    };
    let every = [
        (
            "planning-aid",
            "this is a planning aid, not a safety assessment",
            "the applicable standards and local rules prevail",
        ),
        (
            "blocked-cooling",
            "every grille costs cooling",
            "watch the temperatures inside the PC case after fitting one",
        ),
        last,
    ]
    .map(|(code, message, advice)| Warning {
        code: code.into(),
        message: message.to_owned(),
        advice: advice.to_owned(),
    });
    let clogging = (!study.fabrics.is_empty()).then(clogging_caution);
    unused_swirl(study)
        .into_iter()
        .chain(vent_cautions(study))
        .chain(panel_cautions(study))
        .chain(every)
        .chain(clogging)
        .collect()
}

/// What a vent is taken for; nothing where the grilles sit on a bore.
pub fn vent_cautions(study: &Study) -> Vec<Warning> {
    if study.vent.is_none() {
        return Vec::new();
    }
    let open = DISCHARGE.powi(-2);
    let told = [
        (
            "vent-even-air",
            "the calculation assumes that air reaches the vent evenly and straight on, without a fan's swirl".to_owned(),
            "a fan or a wall close to the vent prevents that: keep them at least the vent's shorter side away, or measure".to_owned(),
        ),
        (
            "vent-itself",
            format!("K is for the plate; the open vent itself has a K of about {open:.1} on its area, between still air on both sides (sharp edges)"),
            "include it in pc_case_k with everything else in the box that the air goes through; the sum errs on the high side, since a plate evens out the flow".to_owned(),
        ),
    ];
    told.map(|(code, message, advice)| Warning {
        code: code.into(),
        message,
        advice,
    })
    .into()
}

/// What panels that are grilles are taken for.
pub fn panel_cautions(study: &Study) -> Vec<Warning> {
    let mut cautions = Vec::new();
    for panel in &study.panels {
        let PanelLoss::Grille(place) = panel.loss else {
            continue;
        };
        let grille = &study.grilles[place];
        cautions.push(Warning {
            code: "panel-grille-ahead".into(),
            message: format!(
                "panel {}: the air meets the grille {} evenly and straight on, ahead of the fan; the uncertainty of its K is treated as independent of the other grilles",
                panel.name, grille.name
            ),
            advice: "a second grille behind the fan meets what swirl is left: give its K as k instead".to_owned(),
        });
        let caution = swirl_caution(Side::Intake, grille);
        cautions.extend(caution.map(|caution| Warning {
            message: format!("panel {}: {}", panel.name, caution.message),
            ..caution
        }));
    }
    cautions
}

/// A swirl that is given where it is not used.
pub fn unused_swirl(study: &Study) -> Option<Warning> {
    let is_unused = study.place.side == Side::Intake && study.fan.swirl_angle.is_some();
    is_unused.then(|| Warning {
        code: "swirl-not-used".into(),
        message: "swirl_deg is not used: on the intake side the air has not reached the fan yet"
            .to_owned(),
        advice: "leave it out, or write side = \"exhaust\"".to_owned(),
    })
}

/// Leaned openings ahead of the fan change what it does.
fn swirl_caution(side: Side, grille: &Grille) -> Option<Warning> {
    let mut turns = grille.zones.iter().map(|zone| pattern_turn(&zone.pattern));
    let makes_swirl =
        turns.any(|turn| matches!(turn, Turn::Lean { .. } | Turn::PatternTwist { .. }));
    (makes_swirl && side == Side::Intake).then(|| Warning {
        code: "swirl-into-fan".into(),
        message:
            "leaned openings ahead of the fan make the air swirl, which changes how the fan performs"
                .to_owned(),
        advice: "these numbers leave that out: compare it with the same grille without lean on the bench"
            .to_owned(),
    })
}

/// The first count of radial bars of a grille that goes with this count of blades, and their greatest common factor: the one with a factor above 1, else any; `None` without bars.
pub fn bars_against_blades(blade_count: u32, grille: &Grille) -> Option<(u32, u32)> {
    let counts = grille.zones.iter().map(|zone| match &zone.pattern {
        Pattern::Rings(rings) => rings.bar_count,
        Pattern::Bars(bars) => bars.bar_count,
        Pattern::Holes(_) => 0,
    });
    let counts: Vec<u32> = counts.filter(|count| *count > 1).collect();
    let factors = counts
        .iter()
        .map(|count| (*count, common_factor(*count, blade_count)));
    let mut in_step = factors.clone().filter(|(_, factor)| *factor > 1);
    in_step.next().or_else(|| factors.clone().next())
}

/// Bars in step with the blades hum.
fn hum_caution(blade_count: Option<u32>, grille: &Grille) -> Option<Warning> {
    let blade_count = blade_count?;
    let (bar_count, factor) = bars_against_blades(blade_count, grille)?;
    if factor < 2 {
        return None;
    }
    Some(Warning {
        code: "bars-in-step".into(),
        message: format!(
            "{bar_count} bars and {blade_count} blades have a common factor, so several blades pass a bar at the same moment"
        ),
        advice: "use a number of bars without a common factor; it hums less".to_owned(),
    })
}

/// Greatest common factor of two whole numbers (Euclid).
fn common_factor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common_factor(b, a % b) }
}

/// How far the blades must be away.
fn finger_caution(geometry: &GrilleGeometry, is_vent: bool) -> Warning {
    let to = if is_vent {
        "whatever moves behind it"
    } else {
        "the blades"
    };
    let message = match grille_finger_distance_mm(geometry) {
        Some(distance) => {
            format!("fingers: at least {distance} mm from the outside of the grille to {to}")
        }
        None => "fingers: a hand fits through openings of this size".to_owned(),
    };
    Warning {
        code: "finger-distance".into(),
        message,
        advice: "ISO 13857:2019 table 4, for people aged 14 and over; children need more distance"
            .to_owned(),
    }
}

/// Distance to moving parts, mm, that the openings of a grille ask for; `None` where a hand reaches through some of them. A source stands at [`finger_distance_mm`].
pub fn grille_finger_distance_mm(geometry: &GrilleGeometry) -> Option<f64> {
    let distances = geometry
        .zones
        .iter()
        .map(|zone| finger_distance_mm(&zone.passage));
    // A zone without a distance in the table is the worst.
    distances.reduce(|a, b| Some(a?.max(b?))).flatten()
}

/// Distance to moving parts, mm, that an opening asks for by the smallest slot, square and circle around it, whichever asks for least; `None` where a hand reaches through.
///
/// Source: ISO 13857:2019, table 4 (persons of 14 years and more), as quoted by two secondary sources; where they differ the larger value is taken.
pub fn finger_distance_mm(passage: &Passage) -> Option<f64> {
    let around = [
        Some(passage.slot),
        passage.enclosing_square,
        passage.enclosing_circle,
    ];
    let distances = around.iter().enumerate().filter_map(|(column, width)| {
        let width_mm = (*width)? * 1000.0;
        FINGER_DISTANCES_MM
            .iter()
            .find(|(widest, _)| width_mm <= widest * (1.0 + 1e-9))
            .map(|(_, distances)| distances[column])
    });
    distances.reduce(f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::HoleShape;

    #[test]
    fn finger_distances_follow_the_table() {
        // ISO 13857:2019, table 4, as quoted by secondary sources: 8 mm round asks for 15 mm, 8 mm square for 15 mm, 6 mm slots for 10 mm.
        let round = HoleShape::Round { diameter: 0.008 }.passage();
        assert_eq!(finger_distance_mm(&round), Some(15.0));
        let slot = HoleShape::Slot {
            width: 0.006,
            length: 0.1,
        };
        assert_eq!(finger_distance_mm(&slot.passage()), Some(10.0));
        let wide = HoleShape::Round { diameter: 0.03 }.passage();
        assert_eq!(finger_distance_mm(&wide), None);
    }

    #[test]
    fn common_factors() {
        assert_eq!(common_factor(6, 9), 3);
        assert_eq!(common_factor(7, 6), 1);
    }
}
