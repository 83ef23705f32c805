//! What `check` tells of the things in the air's way besides the grilles.

use crate::study::{Panel, PanelLoss, PathLoss, Study};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Where the fan's air goes besides the grilles, in words.
pub(super) fn place_in_words(study: &Study) -> String {
    let place = &study.place;
    let mut words = vec![format!("PC case: {}", loss_in_words(&place.pc_case))];
    let leak_cm2 = 1e4 * place.leak_area;
    if leak_cm2 > 0.0 {
        words.push(format!("with {} cm2 of gaps beside it", figure(leak_cm2)));
    }
    if place.fan_count > 1 {
        words.push(format!("shared by {} identical fans", place.fan_count));
    }
    if words.len() > 1 {
        let met = figure(study.place_loss_coefficient());
        words.push(format!("which for this fan comes to K {met}"));
    }
    let mut words = words.join(", ");
    for fans in &study.other_fans {
        let other = if fans.count == 1 {
            "other fan"
        } else {
            "other fans"
        };
        words = format!("{words}; {} {other} on the {} side", fans.count, fans.side);
    }
    if let Some(rig) = &place.rig {
        words = format!("{words}; rig: {}", loss_in_words(rig));
    }
    words
}

/// A line for each panel.
pub(super) fn panel_lines(study: &Study) -> Vec<String> {
    let lines = study.panels.iter().map(|panel| {
        let area = panel.area.unwrap_or_else(|| study.reference_area());
        format!(
            "panel {}: {} on {} cm2, {}",
            panel.name,
            what_in_words(study, &panel.loss),
            figure(1e4 * area),
            seat_in_words(panel)
        )
    });
    lines.collect()
}

fn what_in_words(study: &Study, loss: &PanelLoss) -> String {
    match loss {
        PanelLoss::Known(loss) => loss_in_words(loss),
        PanelLoss::Fabric(name) => format!("the fabric {name}"),
        PanelLoss::Grille(place) => {
            format!("the grille {}, as solved,", study.grilles[*place].name)
        }
    }
}

fn seat_in_words(panel: &Panel) -> String {
    match panel.gap {
        None if matches!(panel.loss, PanelLoss::Grille(_)) => {
            "ahead of the fan and away from the grille".to_owned()
        }
        None => "away from the grille".to_owned(),
        Some(_) if panel.is_pressed() => {
            "lies on the holes: the ribs block part of it, so it costs more".to_owned()
        }
        Some(gap) => format!("{} mm from the grille", figure(1e3 * gap)),
    }
}

fn loss_in_words(loss: &PathLoss) -> String {
    match *loss {
        PathLoss::Coefficient(loss_coefficient) => format!("K {loss_coefficient}"),
        PathLoss::Point { flow, pressure } => format!(
            "{} Pa at {} m3/h",
            figure(pressure),
            figure(flow * CUBIC_METRES_PER_HOUR)
        ),
    }
}

/// Three figures that count.
fn figure(value: f64) -> String {
    let rounded: f64 = format!("{value:.2e}").parse().unwrap_or(value);
    format!("{rounded}")
}
