//! The fan's pressure over its flow, what the air's way takes, and the points where the two meet.

use std::io;

use plotters::chart::ChartBuilder;
use plotters::coord::Shift;
use plotters::element::{Circle, DashedPathElement, PathElement};
use plotters::prelude::{DrawingArea, DrawingBackend, IntoDrawingArea, SVGBackend};
use plotters::style::Color;

use crate::document::svg::{DEEP, INK, PALE, WARM, draw_axes, fault};
use crate::fan::{Characteristic, FanBand};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Pieces of a curve.
const PIECES: u32 = 96;

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
        let area = SVGBackend::with_string(&mut text, size).into_drawing_area();
        draw(&area, band, settled, lines, 1)?;
        area.present().map_err(fault)?;
    }
    Ok(text)
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
    let stroke = |pixels: i32| (pixels * zoom).unsigned_abs();
    let mut chart = ChartBuilder::on(area)
        .margin(6 * zoom)
        .margin_right(20 * zoom)
        .x_label_area_size(42 * zoom)
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
    Ok(())
}
