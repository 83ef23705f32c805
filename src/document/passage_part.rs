//! The numbers that follow from a grille's drawing: zones, ribs, sight, what passes and how far fingers reach, bars against blades.

use maud::{Markup, html};

use crate::document::Drawn;
use crate::document::words::sentence;
use crate::report::harmless;
use crate::study::{Study, bars_against_blades, finger_distance_mm, straight_of, zone_lines};

/// A list of what the drawing says.
pub(super) fn geometry(study: &Study, drawn: &Drawn<'_>) -> Markup {
    let (grille, geometry) = (drawn.grille, &drawn.geometry);
    let straight = straight_of(grille);
    html! {
        dl {
            @for (number, (zone, numbers)) in grille.zones.iter().zip(&geometry.zones).enumerate() {
                @if grille.zones.len() > 1 {
                    dt { "zone " (number + 1) }
                    dd {
                        (format!("from {:.1} to {:.1} mm across, its hole area {:.1} %",
                            2e3 * numbers.inner_radius, 2e3 * numbers.outer_radius, 100.0 * numbers.placed_free_area_ratio))
                    }
                }
                @for (subject, text) in zone_lines(straight, zone, numbers) {
                    dt { (subject) }
                    dd { (text) @if subject == "walls" { "; printed lying flat, that is how far they hang over" } }
                }
                dt { "reach" }
                dd { (reach(study, finger_distance_mm(&numbers.passage))) }
            }
            dt { "plastic" }
            dd { (format!("{:.1} cm³", geometry.plastic_volume * 1e6)) }
            @if let Some(tone) = tone(study, drawn) {
                dt { "tone" }
                dd { (tone) }
            }
        }
    }
}

/// What a published table asks for openings of this size.
fn reach(study: &Study, distance_mm: Option<f64>) -> String {
    let to = if study.vent.is_some() {
        "whatever moves behind it"
    } else {
        "the blades"
    };
    let asked = distance_mm.map_or_else(
        || "a hand fits through openings of this size".to_owned(),
        |distance| {
            format!("fingers: at least {distance}\u{a0}mm from the outside of the grille to {to}")
        },
    );
    format!(
        "{asked} (ISO 13857:2019, table 4, as quoted by secondary sources, from 14 years of age; children need more). Not a safety assessment: the standard itself prevails"
    )
}

/// Whether bars and blades have a common factor; nothing without bars.
fn tone(study: &Study, drawn: &Drawn<'_>) -> Option<String> {
    let Some(blades) = study.fan.blade_count else {
        // One blade goes with any number of bars: whether there are bars at all.
        let (bars, _) = bars_against_blades(1, drawn.grille)?;
        return Some(format!(
            "{bars} bars; the number of blades was not given, so whether they pass in step is unknown"
        ));
    };
    let (bars, factor) = bars_against_blades(blades, drawn.grille)?;
    Some(if factor > 1 {
        format!(
            "{bars} bars and {blades} blades share the factor {factor}: several blades pass a bar at the same moment, which hums"
        )
    } else {
        format!(
            "{bars} bars and {blades} blades have no common factor: no two blades pass a bar at the same moment"
        )
    })
}

/// Warnings with what to do; each once.
pub(super) fn warnings<'a>(warnings: impl Iterator<Item = (&'a str, &'a str)>) -> Markup {
    let mut told: Vec<(&str, &str)> = Vec::new();
    for warning in warnings {
        if !told.contains(&warning) {
            told.push(warning);
        }
    }
    html! {
        @if !told.is_empty() {
            ul.warnings {
                @for (message, advice) in told {
                    li { (sentence(message)) " " span.advice { (sentence(&harmless(advice))) } }
                }
            }
        }
    }
}
