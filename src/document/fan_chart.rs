//! The fan's pressure over its flow, what the air's way takes, and the points where the two meet.

use std::io;

use plotters::chart::ChartBuilder;
use plotters::coord::Shift;
use plotters::element::{Circle, DashedPathElement, PathElement};
use plotters::prelude::{DrawingArea, DrawingBackend, IntoDrawingArea, SVGBackend, Text};
use plotters::style::Color;
use plotters::style::text_anchor::HPos;

use crate::document::svg::{DEEP, INK, LETTER_PART, LETTERS, PALE, WARM, draw_axes, fault, words};
use crate::document::words::cut_to_width;
use crate::fan::{Characteristic, FanBand};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Pieces of a curve.
const PIECES: u32 = 96;

/// The library places everything on whole pixels: drawn so many times as large, curves come out smooth.
const FINENESS: u32 = 4;

/// Pixels from one name to the next.
const NAME_ROW: i32 = 17;

/// Room for the names, parts of the width of the chart.
const NAMES: f64 = 0.26;

/// Most names.
const MOST_NAMES: usize = 12;

/// Where the fan settles.
pub(super) struct Settled {
    /// Place of the grille.
    pub(super) place: String,
    /// Its name.
    pub(super) name: String,
    /// Flow, m³/h.
    pub(super) flow: f64,
    /// Pressure, Pa.
    pub(super) pressure: f64,
}

/// The chart as SVG in so many pixels.
///
/// # Errors
/// None that can happen: it is drawn into a text.
pub(super) fn chart(
    band: &FanBand,
    settled: &[Settled],
    lines: &[&Settled],
    size: (u32, u32),
) -> io::Result<String> {
    let mut text = String::new();
    {
        let (width, height) = size;
        let fine = (FINENESS * width, FINENESS * height);
        let area = SVGBackend::with_string(&mut text, fine).into_drawing_area();
        draw(&area, band, settled, lines, FINENESS.cast_signed())?;
        area.present().map_err(fault)?;
    }
    // The frame of what is drawn stays fine, its size on the page does not.
    let side = |factor: u32| {
        let (width, height) = size;
        format!(
            "width=\"{}\" height=\"{}\"",
            factor * width,
            factor * height
        )
    };
    Ok(text.replacen(&side(FINENESS), &side(1), 1))
}

/// Draws the chart as large as the area, everything in it `zoom` times as large as on the page; a line of the way for each of the second points.
///
/// # Errors
/// What the drawing library reports.
pub(super) fn draw<B: DrawingBackend>(
    area: &DrawingArea<B, Shift>,
    band: &FanBand,
    settled: &[Settled],
    lines: &[&Settled],
    zoom: i32,
) -> io::Result<()> {
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
    let width = i32::try_from(area.dim_in_pixel().0).unwrap_or(i32::MAX) / zoom;
    #[expect(clippy::cast_possible_truncation, reason = "a part of the chart")]
    let room = (NAMES * f64::from(width)).min(170.0) as i32;
    let stroke = |pixels: i32| (pixels * zoom).unsigned_abs();
    let mut chart = ChartBuilder::on(area)
        .margin(6 * zoom)
        .margin_right((room + 18) * zoom)
        .x_label_area_size(50 * zoom)
        .y_label_area_size(60 * zoom)
        .build_cartesian_2d(0.0..widest * 1.02, 0.0..highest)
        .map_err(fault)?;
    draw_axes(
        &mut chart,
        if width > 500 { 10 } else { 5 },
        ["flow, m³/h", "static pressure, Pa"],
        zoom,
    )?;
    for member in &band.members {
        let line = PathElement::new(curve(member), PALE.stroke_width(stroke(2)));
        chart.draw_series([line]).map_err(fault)?;
    }
    for point in lines {
        let steep = point.pressure / (point.flow * point.flow);
        let end = (highest / steep).sqrt().min(widest * 1.02);
        let way = (0..=PIECES).map(|piece| {
            let flow = end * f64::from(piece) / f64::from(PIECES);
            (flow, steep * flow * flow)
        });
        let dashed = DashedPathElement::new(
            way.collect::<Vec<_>>(),
            6 * zoom,
            5 * zoom,
            WARM.stroke_width(stroke(2)),
        );
        chart.draw_series([dashed]).map_err(fault)?;
    }
    let line = PathElement::new(curve(&band.central), DEEP.stroke_width(stroke(3)));
    chart.draw_series([line]).map_err(fault)?;
    let points = settled
        .iter()
        .map(|point| Circle::new((point.flow, point.pressure), 5 * zoom, INK.filled()));
    chart.draw_series(points).map_err(fault)?;
    let points: Vec<Named<'_>> = named(settled)
        .map(|point| Named {
            name: &point.name,
            at: chart.backend_coord(&(point.flow, point.pressure)),
        })
        .collect();
    draw_names(
        area,
        points,
        (width * zoom - (room + 10) * zoom, room),
        zoom,
    )
}

/// The points that carry a name: all, or the bare fan, the first ones and the last.
fn named(settled: &[Settled]) -> impl Iterator<Item = &Settled> {
    let last = settled.len().saturating_sub(1);
    let points = settled.iter().enumerate();
    points
        .filter(move |(at, _)| *at + 1 < MOST_NAMES || *at == last)
        .map(|(_, point)| point)
}

/// A point with its name.
struct Named<'a> {
    name: &'a str,
    /// Pixels from the left and from the top.
    at: (i32, i32),
}

/// Writes the names in a column to the right, each as high as its point or, where they crowd, higher: there the lines to them meet neither the curve nor one another.
fn draw_names<B: DrawingBackend>(
    area: &DrawingArea<B, Shift>,
    mut points: Vec<Named<'_>>,
    (left, room): (i32, i32),
    zoom: i32,
) -> io::Result<()> {
    // The origin of an area may lie within a larger one.
    let (x_range, y_range) = area.get_pixel_range();
    points.sort_by_key(|point| (point.at.1, point.at.0));
    let heights: Vec<i32> = points.iter().map(|it| it.at.1 - y_range.start).collect();
    let rows = rows(&heights, NAME_ROW * zoom);
    for (Named { name, at }, row) in points.into_iter().zip(rows) {
        let (x, y) = (at.0 - x_range.start, at.1 - y_range.start);
        let end = left - 5 * zoom;
        let line = vec![(x + 8 * zoom, y), (end, row)];
        let thin = INK.mix(0.35).stroke_width(zoom.unsigned_abs());
        area.draw(&PathElement::new(line, thin)).map_err(fault)?;
        let name = cut_to_width(name, f64::from(room) / (LETTER_PART * f64::from(LETTERS)));
        let style = words(HPos::Left, zoom);
        area.draw(&Text::new(name, (left, row), style))
            .map_err(fault)?;
    }
    Ok(())
}

/// Where names stand whose points stand so far from the top, the highest first: as high, and where they crowd, higher, but none above the chart.
fn rows(heights: &[i32], step: i32) -> Vec<i32> {
    let mut rows = heights.to_vec();
    for at in (1..rows.len()).rev() {
        rows[at - 1] = rows[at - 1].min(rows[at] - step);
    }
    let mut highest = step / 2;
    for row in &mut rows {
        *row = (*row).max(highest);
        highest = *row + step;
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_their_distance_and_stay_on_the_chart() {
        assert_eq!(rows(&[20, 100, 150], 17), [20, 100, 150]);
        assert_eq!(rows(&[90, 95, 100, 150], 17), [66, 83, 100, 150]);
        // No room above: they go down instead.
        assert_eq!(rows(&[5, 6, 7, 80], 17), [8, 25, 42, 80]);
        assert_eq!(rows(&[], 17), [0; 0]);
    }

    #[test]
    fn of_many_points_the_bare_fan_the_first_and_the_last_have_names() {
        let settled: Vec<Settled> = (0..40)
            .map(|at| Settled {
                place: String::new(),
                name: at.to_string(),
                flow: 1.0,
                pressure: 1.0,
            })
            .collect();
        let names: Vec<&str> = named(&settled).map(|point| point.name.as_str()).collect();
        assert_eq!(names.len(), MOST_NAMES);
        assert_eq!((names[0], names[1], names[11]), ("0", "1", "39"));
        assert_eq!(named(&settled[..9]).count(), 9);
    }
}
