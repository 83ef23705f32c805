//! The fan's curve and where it settles with each grille.

use std::io;

use maud::{Markup, html};
use plotters::chart::ChartBuilder;
use plotters::element::{Circle, DashedPathElement, PathElement};
use plotters::prelude::{IntoDrawingArea, SVGBackend};
use plotters::style::Color;

use crate::document::Material;
use crate::document::ranking_part::place;
use crate::document::svg::{DEEP, INK, PALE, WARM, draw_axes, fault, figure};
use crate::fan::{Characteristic, FanBand};
use crate::report::{compact, harmless};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Pieces of a curve.
const PIECES: u32 = 96;

/// Widths and heights of the two forms of the chart, pixels.
const SIZES: [(&str, (u32, u32)); 2] = [("chart narrow", (360, 320)), ("chart wide", (860, 420))];

/// Where the fan settles: name, place, flow in m³/h, pressure in Pa.
struct Settled {
    place: String,
    name: String,
    flow: f64,
    pressure: f64,
}

/// Chart and table; nothing where a flow was given or the study is missing.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn fan(material: &Material<'_>) -> io::Result<Option<Markup>> {
    let Some(study) = material.study else {
        return Ok(None);
    };
    let Some(band) = study.fan.supply.band() else {
        return Ok(None);
    };
    let settled = settled(material, &band.central);
    let kept = material.ranking;
    let shares_case = kept
        .air_path
        .as_ref()
        .is_some_and(|path| path.has_other_fans);
    let lines = if shares_case {
        Vec::new()
    } else {
        drawn_lines(&settled)
    };
    let told: Vec<String> = settled
        .iter()
        .map(|point| {
            format!(
                "{} at {} m³/h and {} Pa",
                point.name,
                compact(point.flow),
                compact(point.pressure)
            )
        })
        .collect();
    let alternative = harmless(&format!(
        "Chart of the fan's pressure over its flow, with the points where it settles: {}.",
        told.join("; ")
    ));
    let mut charts = Vec::new();
    for (class, size) in SIZES {
        let svg = chart(&band, &settled, &lines, size)?;
        charts.push(figure(class, &svg, &alternative));
    }
    let names: Vec<String> = lines.iter().map(|point| harmless(&point.name)).collect();
    let drawn = match names.as_slice() {
        [] => String::new(),
        [one] => format!("Dashed: what the air's way takes with {one} (system curve)."),
        [first @ .., last] => format!(
            "Dashed: what the air's way takes (system curve) with {} and, steepest, with {last}.",
            first.join(", with ")
        ),
    };
    Ok(Some(html! {
        section #fan {
            h2 { "Where the fan settles" }
            p {
                "The fan makes less pressure the more air it moves (fan curve); the way of the air takes more pressure the more air it lets through. "
                "Where the two meet the fan settles (operating point)."
            }
            figure {
                @for chart in &charts { (chart) }
                figcaption {
                    "Line: fan " (harmless(&study.fan.name)) ", static pressure over flow"
                    (if band.members.is_empty() { ". " } else { "; pale: other curves with the same two numbers. " })
                    "Points: where it settles, the bare fan rightmost. " (drawn)
                    (if drawn.is_empty() { "" } else { " Drawn as pressure over the square of the flow, through the point that was solved." })
                }
            }
            table.stack {
                caption { "Operating points" }
                thead { tr {
                    th scope="col" { "place" } th scope="col" { "grille" }
                    th.number scope="col" { "m³/h" } th.number scope="col" { "pressure of the fan, Pa" }
                } }
                tbody {
                    @for point in &settled {
                        tr {
                            td data-label="place" { (point.place) }
                            th scope="row" { (harmless(&point.name)) }
                            td.number data-label="m³/h" { (compact(point.flow)) }
                            td.number data-label="pressure of the fan, Pa" { (compact(point.pressure)) }
                        }
                    }
                }
            }
        }
    }))
}

fn settled(material: &Material<'_>, fan: &Characteristic) -> Vec<Settled> {
    let kept = material.ranking;
    let at = |flow: f64| fan.pressure(flow / CUBIC_METRES_PER_HOUR);
    let bare = kept.bare_flow_m3_per_h.map(|flow| Settled {
        place: "–".to_owned(),
        name: "the bare fan".to_owned(),
        flow: flow.value,
        pressure: at(flow.value),
    });
    let grilles = kept.grilles.iter().filter_map(|grille| {
        let flow = grille.flow_m3_per_h?.value;
        grille.rank?;
        Some(Settled {
            place: place(kept, grille),
            name: grille.name.clone(),
            flow,
            pressure: at(flow),
        })
    });
    bare.into_iter().chain(grilles).collect()
}

/// The points whose way is drawn: the bare fan, the first and the last.
fn drawn_lines(settled: &[Settled]) -> Vec<&Settled> {
    let mut lines: Vec<&Settled> = Vec::new();
    lines.extend(settled.first());
    lines.extend(settled.get(1));
    lines.extend(settled.last().filter(|_| settled.len() > 2));
    lines
}

fn chart(
    band: &FanBand,
    settled: &[Settled],
    lines: &[&Settled],
    size: (u32, u32),
) -> io::Result<String> {
    let all = || band.members.iter().chain([&band.central]);
    let widest =
        all().map(Characteristic::largest_flow).fold(0.0, f64::max) * CUBIC_METRES_PER_HOUR;
    let highest = all()
        .map(Characteristic::largest_pressure)
        .fold(0.0, f64::max)
        * 1.08;
    let curve = |fan: &Characteristic| -> Vec<(f64, f64)> {
        let end = fan.largest_flow();
        (0..=PIECES)
            .map(|piece| {
                let flow = end * f64::from(piece) / f64::from(PIECES);
                (flow * CUBIC_METRES_PER_HOUR, fan.pressure(flow))
            })
            .collect()
    };
    let mut text = String::new();
    {
        let area = SVGBackend::with_string(&mut text, size).into_drawing_area();
        let mut chart = ChartBuilder::on(&area)
            .margin(6)
            .margin_right(20)
            .x_label_area_size(42)
            .y_label_area_size(60)
            .build_cartesian_2d(0.0..widest * 1.02, 0.0..highest)
            .map_err(fault)?;
        draw_axes(
            &mut chart,
            if size.0 > 500 { 10 } else { 5 },
            ["flow, m³/h", "static pressure, Pa"],
        )?;
        for member in &band.members {
            let line = PathElement::new(curve(member), PALE.stroke_width(2));
            chart.draw_series([line]).map_err(fault)?;
        }
        for point in lines {
            let steep = point.pressure / (point.flow * point.flow);
            let end = (highest / steep).sqrt().min(widest * 1.02);
            let way = (0..=PIECES).map(|piece| {
                let flow = end * f64::from(piece) / f64::from(PIECES);
                (flow, steep * flow * flow)
            });
            let dashed =
                DashedPathElement::new(way.collect::<Vec<_>>(), 6, 5, WARM.stroke_width(2));
            chart.draw_series([dashed]).map_err(fault)?;
        }
        let line = PathElement::new(curve(&band.central), DEEP.stroke_width(3));
        chart.draw_series([line]).map_err(fault)?;
        chart
            .draw_series(
                settled
                    .iter()
                    .map(|point| Circle::new((point.flow, point.pressure), 5, INK.filled())),
            )
            .map_err(fault)?;
        area.present().map_err(fault)?;
    }
    Ok(text)
}
