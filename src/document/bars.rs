//! The ranking as bars: one for each grille, its likely range paler, a stroke at the best estimate.

use std::io;

use plotters::prelude::{IntoDrawingArea, PathElement, Rectangle, SVGBackend, Text};
use plotters::style::Color;
use plotters::style::text_anchor::HPos;

use crate::document::svg::{DEEP, FAINT, INK, PALE, fault, words};
use crate::document::words::{cut, with_range};
use crate::likely::Likely;
use crate::report::BarScale;

/// Pixels from one grille to the next.
const ROW: i32 = 46;

/// Pixels that a letter takes on average.
const LETTER: i32 = 8;

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

/// The chart in so many pixels, with this unit behind the numbers.
///
/// # Errors
/// None that can happen: it is drawn into a text.
pub(super) fn chart(bars: &[Bar], scale: BarScale, unit: &str, width: i32) -> io::Result<String> {
    let rows = i32::try_from(bars.len()).unwrap_or(i32::MAX / ROW / 2);
    let height = rows * ROW + 34;
    let mut text = String::new();
    {
        let size = (width.unsigned_abs(), height.unsigned_abs());
        let area = SVGBackend::with_string(&mut text, size).into_drawing_area();
        let at = |value: f64| {
            let share = ((value - scale.low) / (scale.high - scale.low)).clamp(0.0, 1.0);
            #[expect(clippy::cast_possible_truncation, reason = "a place within the chart")]
            let place = (share * f64::from(width - 2 * MARGIN)).round() as i32;
            MARGIN + place
        };
        let foot = rows * ROW + 2;
        for value in ticks(scale) {
            let line = vec![(at(value), 0), (at(value), foot)];
            area.draw(&PathElement::new(line, FAINT)).map_err(fault)?;
            let side = if (value - scale.low).abs() < 1e-9 {
                HPos::Left
            } else if (value - scale.high).abs() < 1e-9 {
                HPos::Right
            } else {
                HPos::Center
            };
            let label = format!("{value:.*} {unit}", decimals(scale));
            let place = (at(value), foot + 14);
            area.draw(&Text::new(label, place, words(side)))
                .map_err(fault)?;
        }
        let mut top = 0;
        for bar in bars {
            let number = bar
                .measure
                .map_or_else(|| "no number".to_owned(), |measure| with_range(&measure));
            let taken = LETTER * i32::try_from(number.chars().count()).unwrap_or(0);
            let room = usize::try_from((width - 2 * MARGIN - taken) / LETTER).unwrap_or(0);
            let label = cut(&format!("{} {}", bar.place, bar.name), room);
            let line = top + 12;
            area.draw(&Text::new(label, (MARGIN, line), words(HPos::Left)))
                .map_err(fault)?;
            area.draw(&Text::new(
                number,
                (width - MARGIN, line),
                words(HPos::Right),
            ))
            .map_err(fault)?;
            if let Some(measure) = bar.measure {
                let (over, under) = (top + 22, top + 38);
                let part = |from: f64, to: f64| [(at(from), over), (at(to), under)];
                let full = Rectangle::new(part(scale.low, measure.low), DEEP.filled());
                area.draw(&full).map_err(fault)?;
                let range = Rectangle::new(part(measure.low, measure.high), PALE.filled());
                area.draw(&range).map_err(fault)?;
                let middle = at(measure.value);
                let stroke = [(middle - 1, over - 3), (middle + 1, under + 3)];
                area.draw(&Rectangle::new(stroke, INK.filled()))
                    .map_err(fault)?;
            }
            top += ROW;
        }
        area.present().map_err(fault)?;
    }
    Ok(text)
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
