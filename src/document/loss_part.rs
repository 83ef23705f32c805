//! What a grille costs: K where the fan settles, K over the air speed zone by zone, and the runs behind it.

use std::fmt::Write as _;
use std::io;

use maud::{Markup, html};

use crate::document::Material;
use crate::document::loss_chart::{Drawing, Point, chart};
use crate::document::svg::figure;
use crate::document::words::with_range;
use crate::likely::Likely;
use crate::ranking::loss_coefficient_on_area;
use crate::report::{compact, harmless};
use crate::result::{GrilleResult, Side, View, ZoneResult};
use crate::units::CUBIC_METRES_PER_HOUR;

/// K: what is ranked, the handbook, the charts and the runs.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn loss(material: &Material<'_>, kept: &GrilleResult) -> io::Result<Markup> {
    let ranked = kept.loss_coefficient;
    let handbook = kept.handbook_loss_coefficient.as_ref();
    let charts = charts(material, kept)?;
    Ok(html! {
        p {
            @match ranked {
                Some(ranked) => { "K " (with_range(&ranked)) " where the fan settles" },
                None => { "No K where the fan settles" },
            }
            @match handbook {
                Some(book) => { "; a handbook predicts " (compact(book.value)) " (" (harmless(&book.formula)) ")." },
                None if kept.rank.is_none() => { "." },
                None if kept.zones.iter().any(|zone| zone.handbook_loss_coefficient.is_some()) => { "; the handbook value is given with each zone." },
                None => { "; no handbook formula covers it." },
            }
            @if let Some(number) = kept.hole_reynolds_number { " Reynolds number in the holes: " (compact(number)) "." }
        }
        div.beside {
            @if !charts.is_empty() { div.charts { @for chart in &charts { (chart) } } }
            @if !kept.runs.is_empty() { (runs(kept)) }
        }
    })
}

/// A row for each run.
fn runs(kept: &GrilleResult) -> Markup {
    html! {
        table.stack {
            caption { "What was solved (K of the patterned part on the speed in front of it)" }
            thead { tr {
                th scope="col" { "view" } th.number scope="col" { "m/s" } th.number scope="col" { "K (likely in time)" }
                th.number scope="col" { "cells across" } th scope="col" { "ended" }
            } }
            tbody {
                @for run in &kept.runs {
                    tr {
                        th scope="row" { (run.view) }
                        td.number data-label="m/s" { (format!("{:.2}", run.face_velocity_m_per_s)) }
                        td.number data-label="K (likely in time)" {
                            @if run.is_valid { (with_range(&run.loss_coefficient)) } @else { "no number" }
                        }
                        td.number data-label="cells across" { (format!("{:.0}", run.cells_across)) }
                        td data-label="ended" { (harmless(&run.stop_reason)) }
                    }
                }
            }
        }
    }
}

/// A chart for each zone that has numbers: of the only one on the area that all grilles share, of several on the speed in front of each.
fn charts(material: &Material<'_>, kept: &GrilleResult) -> io::Result<Vec<Markup>> {
    let is_only = kept.zones.len() == 1;
    let mut charts = Vec::new();
    for (at, zone) in kept.zones.iter().enumerate() {
        let drawing = if is_only {
            on_shared_area(material, kept, zone)
        } else {
            Some(on_own_speed(kept, zone))
        };
        let Some(drawing) = drawing else { continue };
        let Some(svg) = chart(&drawing)? else {
            continue;
        };
        let of = if is_only {
            harmless(&kept.name)
        } else {
            format!("zone {} of {}", at + 1, harmless(&kept.name))
        };
        let told: Vec<String> = drawing
            .points
            .iter()
            .map(|point| format!("{:.2} m/s {}", point.speed, with_range(&point.loss)))
            .collect();
        let alternative = format!(
            "Chart of K over the air speed of {of}: {}.",
            told.join("; ")
        );
        charts.push(html! {
            figure.small {
                (figure("chart", &svg, &alternative))
                figcaption {
                    @if is_only {
                        "K over the air speed, both on the area that all grilles share. "
                    } @else {
                        "Zone " (at + 1) ", " (format!("{:.1} to {:.1}", zone.inner_diameter_mm, zone.outer_diameter_mm))
                        " mm across: its own K over the speed in front of it. "
                    }
                    (legend(material, &drawing))
                }
            }
        });
    }
    Ok(charts)
}

/// What the signs of a chart mean.
fn legend(material: &Material<'_>, drawing: &Drawing) -> String {
    let has_solid = drawing.points.iter().any(|point| point.is_solid);
    let mut words = if has_solid {
        "Squares: solved in three dimensions; discs: flat view. "
    } else {
        "Discs: solved. "
    }
    .to_owned();
    if !drawing.curve.is_empty() {
        words += "Line and pale band: the K(U) that is used, with its likely range; it differs from the discs by what a flat view does not see (shape, turn). ";
    }
    if drawing.ranked.is_some() {
        words += "Stroke with its range: what is ranked. ";
    }
    if drawing.settled.is_some() {
        words += "Upright dashes: where the fan settles. ";
    }
    if let Some(handbook) = drawing.handbook {
        // Writing into a text does not fail.
        let _ = write!(words, "Dashed: the handbook, {}. ", compact(handbook));
    }
    if drawing.ranked.is_some() && material.ranking.side == Side::Exhaust {
        words += "Behind a fan the ranked value also includes what uneven, turning air adds.";
    }
    words.trim_end().to_owned()
}

/// Points of a zone as they were solved.
fn solved(kept: &GrilleResult, zone: &ZoneResult) -> Vec<Point> {
    let mut seen: Vec<&str> = Vec::new();
    let mut points = Vec::new();
    for run in kept.runs.iter().filter(|run| run.is_valid) {
        if !zone.runs.contains(&run.key) || seen.contains(&run.key.as_str()) {
            continue;
        }
        seen.push(&run.key);
        points.push(Point {
            speed: run.face_velocity_m_per_s,
            loss: run.loss_coefficient,
            is_solid: run.view == View::Repeat,
        });
    }
    points
}

fn on_own_speed(kept: &GrilleResult, zone: &ZoneResult) -> Drawing {
    let curve = zone.loss_curve.iter();
    Drawing {
        points: solved(kept, zone),
        curve: curve
            .map(|at| (at.face_velocity_m_per_s, at.loss_coefficient))
            .collect(),
        ranked: None,
        settled: zone.face_velocity_m_per_s,
        handbook: zone
            .handbook_loss_coefficient
            .as_ref()
            .map(|book| book.value),
    }
}

/// The same on the area that all grilles share; `None` without a number.
fn on_shared_area(
    material: &Material<'_>,
    kept: &GrilleResult,
    zone: &ZoneResult,
) -> Option<Drawing> {
    let reference = material.ranking.reference_area.area_m2;
    let area = zone.area_m2?;
    let moved = |loss: Likely| loss.map(|loss| loss_coefficient_on_area(loss, area, reference));
    let own = on_own_speed(kept, zone);
    let flow = kept.flow_m3_per_h.map(|flow| flow.value);
    let flow = flow.or(material.ranking.given_flow_m3_per_h);
    let ranked = flow.zip(kept.loss_coefficient);
    let book = kept.handbook_loss_coefficient.as_ref();
    Some(Drawing {
        points: own
            .points
            .into_iter()
            .map(|point| Point {
                speed: point.speed * area / reference,
                loss: moved(point.loss),
                ..point
            })
            .collect(),
        curve: own
            .curve
            .into_iter()
            .map(|(speed, loss)| (speed * area / reference, moved(loss)))
            .collect(),
        ranked: ranked.map(|(flow, loss)| (flow / CUBIC_METRES_PER_HOUR / reference, loss)),
        settled: None,
        handbook: book.map(|book| book.value),
    })
}
