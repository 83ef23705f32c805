//! One grille of the report.

use std::io;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

use crate::document::drawing::faces;
use crate::document::loss_chart::{Beside, Point, chart};
use crate::document::passage_part::{geometry, warnings};
use crate::document::pressure_part::shares;
use crate::document::ranking_part::{place, tied};
use crate::document::svg::figure;
use crate::document::words::{listed, sentence, whole, with_range};
use crate::document::{Drawn, Material};
use crate::likely::Likely;
use crate::ranking::loss_coefficient_on_area;
use crate::report::kept::{KeptFanView, KeptGrille, KeptMeter};
use crate::report::{compact, harmless};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Letters that all drawings of a report may take together.
const DRAWING_LETTERS: usize = 1_000_000;

/// Letters that the drawings of one grille may take.
const MOST_DRAWING_LETTERS: usize = 300_000;

/// Everything about one grille; `number` counts from 1 down the ranking.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn grille(
    material: &Material<'_>,
    number: usize,
    kept: &KeptGrille,
) -> io::Result<Markup> {
    let ranking = material.ranking;
    let drawn = material.drawn(kept);
    let room = (DRAWING_LETTERS / ranking.grilles.len().max(1)).min(MOST_DRAWING_LETTERS);
    let paths = ranking.air_path.iter().flat_map(|path| &path.grilles);
    let path = paths.clone().find(|path| path.name == kept.name);
    let pictures = material.pictures.iter().filter(|p| p.grille == kept.name);
    let of_runs = kept.runs.iter().flat_map(|run| &run.warnings);
    let doubts = kept.warnings.iter().chain(of_runs);
    Ok(html! {
        article id={ "grille-" (number) } {
            h3 { span.place { (place(ranking, kept)) } " " (harmless(&kept.name)) }
            p { (sentence(&kept.description)) @if !kept.quality.is_empty() { " Quality " (kept.quality) "." } }
            @if let Some(line) = headline(kept) { p.answer-line { (line) } }
            @if let Some(tied) = tied(kept) { p { (tied) } }
            @match (&drawn, material.study) {
                (Some(drawn), Some(study)) => {
                    (faces(drawn, study.fan.hub_diameter, room))
                    h4 { "Geometry" }
                    (geometry(study, drawn))
                },
                _ => p.note { "No drawing: the resolved study beside this report is missing or has another grille of this name." },
            }
            h4 { "What it costs" }
            (loss(material, kept, drawn.as_ref())?)
            @if let Some(path) = path { (shares(path)) }
            @if let Some(view) = &kept.fan_view { (behind(view)) }
            @if let Some(swirl) = &kept.swirl {
                p {
                    "The air meets it at " (angles(&swirl.inflow_angles_deg)) " degrees from the fan's axis and leaves at "
                    (angles(&swirl.outflow_angles_deg)) " (at " (angles(&swirl.radii_mm)) "\u{a0}mm from the axis; positive: with the fan's rotation)."
                }
            }
            @if let Some(meter) = &kept.meter { p { (shown(meter, kept.flow_percent.map(Likely::from))) } }
            @if let Some(rise) = kept.temperature_rise_k {
                p { "The heat load warms the passing air by " (format!("{rise:.1}")) "\u{a0}°C on average." }
            }
            @for picture in pictures {
                figure {
                    img src={ "data:" (picture.media_type) ";base64," (STANDARD.encode(&picture.bytes)) }
                        alt=(harmless(&format!("{}: {}", kept.name, picture.caption)));
                    figcaption { (sentence(&picture.caption)) }
                }
            }
            (warnings(doubts.map(|w| (w.message.as_str(), w.advice.as_str()))))
        }
    })
}

fn headline(kept: &KeptGrille) -> Option<String> {
    kept.rank?;
    let mut parts = Vec::new();
    if let Some(percent) = kept.flow_percent {
        let percent = with_range(&percent.into());
        parts.push(format!("{percent}\u{a0}% of the bare fan's air"));
    }
    if let Some(flow) = kept.flow_m3_per_h {
        parts.push(format!("{}\u{a0}m³/h", with_range(&flow.into())));
    }
    if let Some(drop) = kept.pressure_drop_pa {
        parts.push(format!("costs {}\u{a0}Pa", with_range(&drop.into())));
    }
    Some(format!("{}.", parts.join(", ")))
}

fn angles(values: &[f64]) -> String {
    listed(&values.iter().map(|value| whole(*value)).collect::<Vec<_>>())
}

/// K: what is ranked, the handbook, the chart and the runs.
fn loss(
    material: &Material<'_>,
    kept: &KeptGrille,
    drawn: Option<&Drawn<'_>>,
) -> io::Result<Markup> {
    let ranked = kept.loss_coefficient.map(Likely::from);
    let handbook = kept.handbook_loss_coefficient.as_ref();
    let chart = loss_chart(material, kept, drawn)?;
    Ok(html! {
        p {
            @match ranked {
                Some(ranked) => { "K " (with_range(&ranked)) " where the fan settles" },
                None => { "No K where the fan settles" },
            }
            @match handbook {
                Some(book) => { "; a handbook lets expect " (compact(book.value)) " (" (harmless(&book.formula)) ")." },
                None => { "; no handbook formula covers it." },
            }
            @if let Some(number) = kept.hole_reynolds_number { " Reynolds number in the holes: " (compact(number)) "." }
        }
        @if let Some(chart) = chart { (chart) }
        @if !kept.runs.is_empty() {
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
                            td.number data-label="m/s" { (run.face_velocity_m_per_s.map_or("–".to_owned(), |v| format!("{v:.2}"))) }
                            td.number data-label="K (likely in time)" {
                                @match run.loss_coefficient.filter(|_| run.is_valid) {
                                    Some(loss) => (with_range(&loss.into())),
                                    None => "no number",
                                }
                            }
                            td.number data-label="cells across" { (run.cells_across.map_or("–".to_owned(), |c| format!("{c:.0}"))) }
                            td data-label="ended" { (harmless(&run.stop_reason)) }
                        }
                    }
                }
            }
        }
    })
}

/// K over the air speed on the reference area; only where one pattern fills the face.
fn loss_chart(
    material: &Material<'_>,
    kept: &KeptGrille,
    drawn: Option<&Drawn<'_>>,
) -> io::Result<Option<Markup>> {
    let Some([zone]) = drawn.map(|drawn| drawn.geometry.zones.as_slice()) else {
        return Ok(None);
    };
    let reference = material.ranking.reference_area.area_m2;
    let area = zone.open_area / zone.pattern_free_area_ratio;
    let moved = |loss: f64| loss_coefficient_on_area(loss, area, reference);
    let points: Vec<Point> = kept
        .runs
        .iter()
        .filter(|run| run.is_valid)
        .filter_map(|run| {
            let loss = run.loss_coefficient?;
            Some(Point {
                speed: run.face_velocity_m_per_s? * area / reference,
                loss: Likely {
                    value: moved(loss.value),
                    low: moved(loss.low),
                    high: moved(loss.high),
                },
                is_solid: run.view == "repeat view",
            })
        })
        .collect();
    let flow = kept.flow_m3_per_h.map(|flow| flow.value);
    let flow = flow.or(material.ranking.given_flow_m3_per_h);
    let ranked = flow.zip(kept.loss_coefficient);
    let beside = Beside {
        ranked: ranked.map(|(flow, loss)| (flow / CUBIC_METRES_PER_HOUR / reference, loss.into())),
        handbook: kept
            .handbook_loss_coefficient
            .as_ref()
            .map(|book| book.value),
    };
    let Some(svg) = chart(&points, beside)? else {
        return Ok(None);
    };
    let told: Vec<String> = points
        .iter()
        .map(|point| format!("{:.2} m/s {}", point.speed, with_range(&point.loss)))
        .collect();
    let alternative = harmless(&format!(
        "Chart of K over the air speed, both on the reference area, of {}: {}.",
        kept.name,
        told.join("; ")
    ));
    let has_solid = points.iter().any(|point| point.is_solid);
    Ok(Some(html! {
        figure.small {
            (figure("chart", &svg, &alternative))
            figcaption {
                "K over the air speed, both on the area that all grilles share. "
                (if has_solid { "Squares: solved in three dimensions; discs: flat view. " } else { "Discs: solved. " })
                (if beside.ranked.is_some() { "Stroke with its range: what is ranked. " } else { "" })
                (if beside.handbook.is_some() { "Dashed: the handbook. " } else { "" })
                (if material.ranking.side == "exhaust" { "Behind a fan what is ranked also holds what uneven, turning air adds." } else { "" })
            }
        }
    }))
}

/// Splay, calm core and what still turns.
fn behind(view: &KeptFanView) -> Markup {
    if !view.is_valid {
        return html! { p { "The view of the whole fan face gave no valid numbers." } };
    }
    let mut parts = Vec::new();
    if !view.jet.is_empty() {
        let angles: Vec<String> = view
            .jet
            .iter()
            .map(|jet| whole(jet.splay_angle_deg))
            .collect();
        let places: Vec<String> = view
            .jet
            .iter()
            .map(|jet| jet.distance_diameters.to_string())
            .collect();
        parts.push(format!(
            "the jet spreads (splay) by {} degrees up to {} bore diameters",
            listed(&angles),
            listed(&places)
        ));
    }
    parts.extend(match (view.hub_wake_mm, view.is_hub_wake_beyond_view) {
        (_, Some(true)) => Some("the calm core behind the hub reaches beyond the view".to_owned()),
        (Some(length), _) if length < 0.5 => {
            Some("there is no calm core behind the hub".to_owned())
        }
        (Some(length), _) => Some(format!(
            "the calm core behind the hub is {length:.0}\u{a0}mm long"
        )),
        _ => None,
    });
    if let (Some(angle), Some(distance)) = (view.bench_swirl_angle_deg, view.bench_distance_mm) {
        parts.push(format!(
            "{distance:.0}\u{a0}mm behind the grille the air still turns by {} degrees (residual swirl)",
            whole(angle)
        ));
    }
    if let (Some(before), Some(after)) = (view.swirl_number_in, view.swirl_number_out) {
        parts.push(format!(
            "swirl number {:.2} ahead of the grille, {:.2} behind it",
            before + 0.0,
            after + 0.0
        ));
    }
    html! {
        h4 { "Behind it" }
        p { (sentence(&parts.join("; "))) " A trend: compare grilles, trust no single number." }
    }
}

/// What a meter is expected to show.
fn shown(meter: &KeptMeter, percent: Option<Likely>) -> String {
    let span = |[low, high]: [f64; 2], places: usize| {
        let [low, high] = [low, high].map(|value| format!("{value:.places$}"));
        if low == high {
            low
        } else {
            format!("{low} to {high}")
        }
    };
    let beside = match (meter.reading_percent_of_bare_fan, percent) {
        (Some(reading), Some(flow)) => format!(
            ", {}\u{a0}% of the bare fan's reading, while the true flow is {:.0}\u{a0}%",
            span(reading, 0),
            flow.value
        ),
        _ => String::new(),
    };
    format!(
        "A hobby vane meter is expected to show {}\u{a0}m/s where the air moves at {:.2}{beside}. Common practice without a source: rank by the true flow.",
        span(meter.reading_m_per_s, 2),
        meter.air_speed_m_per_s
    )
}
