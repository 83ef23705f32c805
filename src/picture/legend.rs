//! What tells how to read a picture: the bar of colours and the bar of lengths.

use crate::picture::canvas::{Anchor, Canvas, Pen};
use crate::picture::colour::{ColourScale, INK, ZERO_LINE};
use crate::picture::layout::{LEGEND_BAR, MARK, RIM, SMALL, whole};
use crate::picture::scale::Marks;

/// The bar of colours with its numbers.
#[derive(Debug, Clone, Copy)]
pub(super) struct ColourBar {
    pub(super) colours: ColourScale,
    /// Whether the line at zero is drawn in the field, so that it is drawn here too.
    pub(super) has_zero: bool,
    pub(super) left: usize,
    pub(super) top: usize,
}

impl ColourBar {
    pub(super) fn draw(&self, pen: &Pen, canvas: &mut Canvas) {
        let Self {
            colours, left, top, ..
        } = *self;
        let (width, height) = LEGEND_BAR;
        let span = colours.high - colours.low;
        for column in 0..width {
            let value = colours.low + span * (column as f64 + 0.5) / width as f64;
            canvas.fill(left + column, top, 1, height, colours.colour(value));
        }
        canvas.frame(left, top, width, height, INK);
        let place = |value: f64| {
            let along = (value - colours.low) / span * width as f64;
            left + whole(along.min(width as f64 - 1.0))
        };
        if self.has_zero && colours.low < 0.0 && colours.high > 0.0 {
            canvas.fill(place(0.0), top, 2, height, ZERO_LINE);
        }
        let marks = Marks::new(colours.low, colours.high, span / 7.0);
        for value in &marks.values {
            let x = place(*value);
            canvas.fill(x, top + height + 1, 1, MARK, INK);
            let text = marks.label(*value);
            let room = pen.width(&text, SMALL) / 2.0;
            let at = ((x as f32).max(RIM + room), (top + height + MARK + 3) as f32);
            pen.draw(canvas, at, Anchor::Middle, &text, (SMALL, INK));
        }
    }
}

/// Decimals that show a hundredth of a range or finer.
pub(super) fn decimals_for(span: f64) -> usize {
    whole((2.0 - span.log10()).ceil().clamp(0.0, 9.0))
}

/// A bar of a round length in mm, right-aligned on the page.
pub(super) fn draw_scale_bar(
    (length_mm, pixels_per_mm): (f64, f64),
    pen: &Pen,
    bar_top: usize,
    canvas: &mut Canvas,
) {
    let length = whole(length_mm * pixels_per_mm);
    let right = canvas.width - whole(f64::from(RIM));
    let left = right.saturating_sub(length);
    let middle = bar_top + LEGEND_BAR.1 / 2;
    canvas.fill(left, middle - 1, length, 3, INK);
    canvas.fill(left, middle - 7, 3, 15, INK);
    canvas.fill(right - 3, middle - 7, 3, 15, INK);
    let decimals = whole((-length_mm.log10().floor()).clamp(0.0, 9.0));
    let text = format!("{length_mm:.decimals$} mm");
    let half = pen.width(&text, SMALL) / 2.0;
    let centre = (left as f32 + length as f32 / 2.0).min(canvas.width as f32 - RIM - half);
    let at = (centre, (bar_top + LEGEND_BAR.1 + MARK + 3) as f32);
    pen.draw(canvas, at, Anchor::Middle, &text, (SMALL, INK));
}
