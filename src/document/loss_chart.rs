//! K over the air speed: the solved points, what is ranked, and what a handbook says, all on the reference area.

use std::io;

use plotters::chart::ChartBuilder;
use plotters::element::{Circle, DashedPathElement, EmptyElement, PathElement, Rectangle};
use plotters::prelude::{IntoDrawingArea, SVGBackend};
use plotters::style::Color;

use crate::document::svg::{DEEP, INK, WARM, draw_axes, fault};
use crate::likely::Likely;

/// Width and height, pixels.
const SIZE: (u32, u32) = (360, 250);

/// A solved point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Speed on the reference area, m/s.
    pub(super) speed: f64,
    /// K on the reference area.
    pub(super) loss: Likely,
    /// Whether it was solved in three dimensions.
    pub(super) is_solid: bool,
}

/// What is shown beside the solved points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beside {
    /// Speed and K that are ranked.
    pub(super) ranked: Option<(f64, Likely)>,
    /// K by a handbook.
    pub(super) handbook: Option<f64>,
}

/// The chart; `None` without points.
///
/// # Errors
/// None that can happen: it is drawn into a text.
pub(super) fn chart(points: &[Point], beside: Beside) -> io::Result<Option<String>> {
    if points.is_empty() {
        return Ok(None);
    }
    let speeds = points
        .iter()
        .map(|p| p.speed)
        .chain(beside.ranked.map(|r| r.0));
    let fastest = speeds.fold(0.0, f64::max) * 1.1;
    let losses = points
        .iter()
        .map(|p| p.loss.high)
        .chain(beside.ranked.map(|r| r.1.high))
        .chain(beside.handbook);
    let highest = losses.filter(|k| k.is_finite()).fold(0.0, f64::max) * 1.15;
    if !(fastest > 0.0 && fastest.is_finite() && highest > 0.0) {
        return Ok(None);
    }
    let mut text = String::new();
    {
        let area = SVGBackend::with_string(&mut text, SIZE).into_drawing_area();
        let mut chart = ChartBuilder::on(&area)
            .margin(6)
            .margin_right(14)
            .x_label_area_size(42)
            .y_label_area_size(56)
            .build_cartesian_2d(0.0..fastest, 0.0..highest)
            .map_err(fault)?;
        draw_axes(&mut chart, 6, ["air speed, m/s", "K"])?;
        if let Some(loss) = beside.handbook {
            let line = [(0.0, loss), (fastest, loss)];
            let dashed = DashedPathElement::new(line, 6, 4, WARM.stroke_width(2));
            chart.draw_series([dashed]).map_err(fault)?;
        }
        let spans = points
            .iter()
            .map(|p| (p.speed, p.loss, DEEP))
            .chain(beside.ranked.map(|(speed, loss)| (speed, loss, INK)));
        chart
            .draw_series(spans.map(|(speed, loss, ink)| {
                PathElement::new([(speed, loss.low), (speed, loss.high)], ink.stroke_width(2))
            }))
            .map_err(fault)?;
        let (solid, flat): (Vec<&Point>, Vec<&Point>) = points.iter().partition(|p| p.is_solid);
        chart
            .draw_series(
                flat.iter()
                    .map(|p| Circle::new((p.speed, p.loss.value), 4, DEEP.filled())),
            )
            .map_err(fault)?;
        chart
            .draw_series(solid.iter().map(|p| {
                EmptyElement::at((p.speed, p.loss.value))
                    + Rectangle::new([(-4, -4), (4, 4)], DEEP.filled())
            }))
            .map_err(fault)?;
        chart
            .draw_series(beside.ranked.iter().map(|(speed, loss)| {
                EmptyElement::at((*speed, loss.value))
                    + PathElement::new([(-8, 0), (8, 0)], INK.stroke_width(2))
            }))
            .map_err(fault)?;
        area.present().map_err(fault)?;
    }
    Ok(Some(text))
}
