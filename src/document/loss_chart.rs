//! K over the air speed: the solved points, the law through them, what is ranked, and what a handbook says.

use std::io;

use plotters::chart::ChartBuilder;
use plotters::element::{Circle, DashedPathElement, EmptyElement, PathElement, Polygon, Rectangle};
use plotters::prelude::{IntoDrawingArea, SVGBackend};
use plotters::style::Color;

use crate::document::svg::{DEEP, INK, PALE, WARM, draw_axes, fault};
use crate::likely::Likely;

/// Width and height, pixels.
const SIZE: (u32, u32) = (360, 258);

/// A solved point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Air speed, m/s.
    pub(super) speed: f64,
    /// K on that speed.
    pub(super) loss: Likely,
    /// Whether it was solved in three dimensions.
    pub(super) is_solid: bool,
}

/// What is drawn; all K and speeds on one area.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawing {
    /// Solved points.
    pub(super) points: Vec<Point>,
    /// The law: speed and K, by rising speed.
    pub(super) curve: Vec<(f64, Likely)>,
    /// Speed and K that are ranked.
    pub(super) ranked: Option<(f64, Likely)>,
    /// Speed where the fan settles, where nothing is ranked on this area.
    pub(super) settled: Option<f64>,
    /// K by a handbook.
    pub(super) handbook: Option<f64>,
}

impl Drawing {
    /// Ends of the axes; `None` where there is nothing to draw.
    fn ends(&self) -> Option<(f64, f64)> {
        let speeds = self.points.iter().map(|point| point.speed);
        let speeds = speeds
            .chain(self.ranked.map(|ranked| ranked.0))
            .chain(self.settled)
            .chain(self.curve.iter().map(|at| at.0));
        let losses = self.points.iter().map(|point| point.loss.high);
        let losses = losses
            .chain(self.ranked.map(|ranked| ranked.1.high))
            .chain(self.curve.iter().map(|at| at.1.high))
            .chain(self.handbook);
        let largest = |values: &mut dyn Iterator<Item = f64>| {
            values.filter(|value| value.is_finite()).fold(0.0, f64::max)
        };
        let fastest = 1.1 * largest(&mut speeds.into_iter());
        let highest = 1.15 * largest(&mut losses.into_iter());
        (!self.points.is_empty() && fastest > 0.0 && highest > 0.0).then_some((fastest, highest))
    }
}

/// The chart; `None` without points.
///
/// # Errors
/// None that can happen: it is drawn into a text.
pub(super) fn chart(drawing: &Drawing) -> io::Result<Option<String>> {
    let Some((fastest, highest)) = drawing.ends() else {
        return Ok(None);
    };
    let mut text = String::new();
    {
        let area = SVGBackend::with_string(&mut text, SIZE).into_drawing_area();
        let mut chart = ChartBuilder::on(&area)
            .margin(6)
            .margin_right(14)
            .x_label_area_size(50)
            .y_label_area_size(56)
            .build_cartesian_2d(0.0..fastest, 0.0..highest)
            .map_err(fault)?;
        draw_axes(&mut chart, 6, ["air speed, m/s", "K"], 1)?;
        let curve = &drawing.curve;
        if !curve.is_empty() {
            let upper = curve.iter().map(|(speed, loss)| (*speed, loss.high));
            let lower = curve.iter().rev().map(|(speed, loss)| (*speed, loss.low));
            let band = Polygon::new(upper.chain(lower).collect::<Vec<_>>(), PALE.filled());
            chart.draw_series([band]).map_err(fault)?;
            let line = curve.iter().map(|(speed, loss)| (*speed, loss.value));
            let line = PathElement::new(line.collect::<Vec<_>>(), DEEP.stroke_width(2));
            chart.draw_series([line]).map_err(fault)?;
        }
        if let Some(loss) = drawing.handbook {
            let line = [(0.0, loss), (fastest, loss)];
            let dashed = DashedPathElement::new(line, 6, 4, WARM.stroke_width(2));
            chart.draw_series([dashed]).map_err(fault)?;
        }
        if let Some(speed) = drawing.settled {
            let line = [(speed, 0.0), (speed, highest)];
            let dashed = DashedPathElement::new(line, 3, 4, INK.stroke_width(1));
            chart.draw_series([dashed]).map_err(fault)?;
        }
        let points = &drawing.points;
        let spans = points
            .iter()
            .map(|p| (p.speed, p.loss, DEEP))
            .chain(drawing.ranked.map(|(speed, loss)| (speed, loss, INK)));
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
            .draw_series(drawing.ranked.iter().map(|(speed, loss)| {
                EmptyElement::at((*speed, loss.value))
                    + PathElement::new([(-8, 0), (8, 0)], INK.stroke_width(2))
            }))
            .map_err(fault)?;
        area.present().map_err(fault)?;
    }
    Ok(Some(text))
}
