//! The ranking as bars: one for each grille, its likely range paler, a stroke at the best estimate.

use std::io;

use plotters::coord::Shift;
use plotters::prelude::{
    DrawingArea, DrawingBackend, IntoDrawingArea, PathElement, Rectangle, SVGBackend, Text,
};
use plotters::style::Color;
use plotters::style::text_anchor::HPos;

use crate::document::svg::{DEEP, FAINT, INK, LETTER_PART, LETTERS, PALE, fault, words};
use crate::document::words::{cut_to_width, text_width, with_range};
use crate::likely::Likely;
use crate::report::BarScale;

/// Pixels from one grille to the next.
const ROW: i32 = 46;

/// Pixels left and right of the bars.
const MARGIN: i32 = 14;

/// A grille in the chart.
pub(super) struct Bar {
    /// Place and tie letters.
    pub(super) place: String,
    /// Name.
    pub(super) name: String,
    /// What it is ranked by; `None` without a number.
    pub(super) measure: Option<Likely>,
}

/// Height of a chart of so many grilles, pixels.
pub(super) fn height(count: usize) -> i32 {
    rows(count) * ROW + 34
}

fn rows(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX / ROW / 2)
}

/// The chart as SVG, so many pixels wide, with this unit behind the numbers.
///
/// # Errors
/// None that can happen: it is drawn into a text.
pub(super) fn chart(bars: &[Bar], scale: BarScale, unit: &str, width: i32) -> io::Result<String> {
    let mut text = String::new();
    {
        let size = (width.unsigned_abs(), height(bars.len()).unsigned_abs());
        let area = SVGBackend::with_string(&mut text, size).into_drawing_area();
        draw(&area, bars, scale, unit, 1)?;
        area.present().map_err(fault)?;
    }
    Ok(text)
}

/// Draws the chart as wide as the area, `zoom` times as large as on the page.
///
/// # Errors
/// What the drawing library reports.
pub(super) fn draw<B: DrawingBackend>(
    area: &DrawingArea<B, Shift>,
    bars: &[Bar],
    scale: BarScale,
    unit: &str,
    zoom: i32,
) -> io::Result<()> {
    let width = i32::try_from(area.dim_in_pixel().0).unwrap_or(i32::MAX);
    let margin = MARGIN * zoom;
    let at = |value: f64| {
        let share = ((value - scale.low) / (scale.high - scale.low)).clamp(0.0, 1.0);
        #[expect(clippy::cast_possible_truncation, reason = "a place within the chart")]
        let place = (share * f64::from(width - 2 * margin)).round() as i32;
        margin + place
    };
    let foot = (rows(bars.len()) * ROW + 2) * zoom;
    for value in ticks(scale) {
        let side = if (value - scale.low).abs() < 1e-9 {
            HPos::Left
        } else if (value - scale.high).abs() < 1e-9 {
            HPos::Right
        } else {
            HPos::Center
        };
        // At the ends names and numbers begin and end: a line would touch them.
        if matches!(side, HPos::Center) {
            let line = vec![(at(value), 0), (at(value), foot)];
            let faint = FAINT.stroke_width(zoom.unsigned_abs());
            area.draw(&PathElement::new(line, faint)).map_err(fault)?;
        }
        let label = format!("{value:.*} {unit}", decimals(scale));
        let place = (at(value), foot + 14 * zoom);
        area.draw(&Text::new(label, place, words(side, zoom)))
            .map_err(fault)?;
    }
    for (row, bar) in (0..).zip(bars) {
        let top = row * ROW * zoom;
        let number = bar
            .measure
            .map_or_else(|| "no number".to_owned(), |measure| with_range(&measure));
        let room = f64::from(width / zoom - 2 * MARGIN) / (LETTER_PART * f64::from(LETTERS));
        let room = room - text_width(&number) - 1.0;
        let label = cut_to_width(&format!("{} {}", bar.place, bar.name), room);
        let line = top + 12 * zoom;
        area.draw(&Text::new(label, (margin, line), words(HPos::Left, zoom)))
            .map_err(fault)?;
        area.draw(&Text::new(
            number,
            (width - margin, line),
            words(HPos::Right, zoom),
        ))
        .map_err(fault)?;
        let Some(measure) = bar.measure else { continue };
        let (over, under) = (top + 22 * zoom, top + 38 * zoom);
        let part = |from: f64, to: f64| [(at(from), over), (at(to), under)];
        let full = Rectangle::new(part(scale.low, measure.low), DEEP.filled());
        area.draw(&full).map_err(fault)?;
        let range = Rectangle::new(part(measure.low, measure.high), PALE.filled());
        area.draw(&range).map_err(fault)?;
        let middle = at(measure.value);
        let stroke = [
            (middle - zoom, over - 3 * zoom),
            (middle + zoom, under + 3 * zoom),
        ];
        area.draw(&Rectangle::new(stroke, INK.filled()))
            .map_err(fault)?;
    }
    Ok(())
}

/// Places of the axis: the ends and what lies between in even, round steps.
fn ticks(scale: BarScale) -> impl Iterator<Item = f64> {
    let width = scale.high - scale.low;
    let is_whole = |step: f64, of: f64| (step / of - (step / of).round()).abs() < 1e-9;
    let counts = [4, 5, 3, 6, 2];
    let by = |unit: f64| {
        let mut counts = counts.into_iter();
        counts.find(|count| is_whole(width / f64::from(*count), unit))
    };
    let count = by(5.0).or_else(|| by(1.0)).unwrap_or(4);
    let step = width / f64::from(count);
    (0..=count).map(move |i| scale.low + f64::from(i) * step)
}

fn decimals(scale: BarScale) -> usize {
    let is_whole = |value: f64| (value - value.round()).abs() < 1e-9;
    match scale.high - scale.low {
        _ if ticks(scale).all(is_whole) => 0,
        width if width >= 1.0 => 1,
        _ => 3,
    }
}
