//! Rulers along the sides of a field: pieces in two tones by turns from mark to mark, as on a map, with their numbers.

use crate::picture::canvas::{Anchor, Canvas, Pen, Rgb};
use crate::picture::colour::{INK, PALE_INK};
use crate::picture::layout::{MARK, SMALL, axis_offset, whole, y_label};
use crate::picture::scale::Marks;
use crate::picture::{FieldPicture, PlotArea};

/// Between a field and its ruler, pixels.
const GAP: usize = 3;
/// Thickness of a ruler, pixels.
const THICKNESS: usize = 4;

/// The two tones of a ruler.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tones {
    pub(super) dark: Rgb,
    pub(super) pale: Rgb,
}

/// Tones on paper.
pub(super) const ON_PAPER: Tones = Tones {
    dark: INK,
    pale: PALE_INK,
};

/// Draws the ruler below a field of so many pixels whose lower left corner is at `at`; `pixel` tells how far from there a value stands.
pub(super) fn below(
    canvas: &mut Canvas,
    (left, bottom): (usize, usize),
    width: usize,
    marks: &Marks,
    pixel: impl Fn(f64) -> f64,
    tones: Tones,
) {
    for (from, to, tone) in pieces(width, marks, pixel, tones) {
        canvas.fill(left + from, bottom + GAP, to - from, THICKNESS, tone);
    }
}

/// Draws the ruler to the left of a field of so many pixels whose upper left corner is at `at`; `pixel` tells how far below it a value stands.
pub(super) fn beside(
    canvas: &mut Canvas,
    (left, top): (usize, usize),
    height: usize,
    marks: &Marks,
    pixel: impl Fn(f64) -> f64,
    tones: Tones,
) {
    let x = left - GAP - THICKNESS;
    for (from, to, tone) in pieces(height, marks, pixel, tones) {
        canvas.fill(x, top + from, THICKNESS, to - from, tone);
    }
}

/// First and one past the last pixel of each piece, and its tone: that of a value does not depend on where the ruler begins.
fn pieces(
    length: usize,
    marks: &Marks,
    pixel: impl Fn(f64) -> f64,
    tones: Tones,
) -> Vec<(usize, usize, Rgb)> {
    let place = |value: f64| whole(pixel(value).round()).min(length);
    let is_dark = |value: f64| (value / marks.step).round().rem_euclid(2.0) < 0.5;
    let tone = |value: f64| {
        if is_dark(value) {
            tones.dark
        } else {
            tones.pale
        }
    };
    let mut ends: Vec<(usize, f64)> = marks.values.iter().map(|&v| (place(v), v)).collect();
    // Along y pixels count downwards, so the piece after a mark belongs to the value below it.
    let is_downwards = ends
        .first()
        .zip(ends.last())
        .is_some_and(|(a, b)| a.0 > b.0);
    if is_downwards {
        ends.reverse();
        for end in &mut ends {
            end.1 -= marks.step;
        }
    }
    let Some(&(_, first)) = ends.first() else {
        return vec![(0, length, tones.dark)];
    };
    let before = if is_downwards {
        first + marks.step
    } else {
        first - marks.step
    };
    let mut pieces = Vec::new();
    let mut begun = (0, tone(before));
    for (at, value) in ends {
        if at > begun.0 {
            pieces.push((begun.0, at, begun.1));
        }
        begun = (at, tone(value));
    }
    if length > begun.0 {
        pieces.push((begun.0, length, begun.1));
    }
    pieces
}

/// Rulers and numbers at the lower and left side of the field.
pub(super) fn draw_rulers(
    picture: &FieldPicture,
    area: &PlotArea,
    (x_marks, y_marks): (&Marks, &Marks),
    pen: &Pen,
    canvas: &mut Canvas,
) {
    let bottom = area.top + area.height;
    let small = (SMALL, INK);
    let along = |value: f64| (value - area.x_low_mm) * area.pixels_per_mm;
    below(
        canvas,
        (area.left, bottom),
        area.width,
        x_marks,
        along,
        ON_PAPER,
    );
    for value in &x_marks.values {
        let x = area.left + whole(along(*value).round());
        let text = x_marks.label(*value);
        let at = (x as f32, (bottom + MARK + 3) as f32);
        pen.draw(canvas, at, Anchor::Middle, &text, small);
    }
    let offset = axis_offset(picture);
    let down = |value: f64| (area.y_high_mm - value - offset) * area.pixels_per_mm;
    beside(
        canvas,
        (area.left, area.top),
        area.height,
        y_marks,
        down,
        ON_PAPER,
    );
    for value in &y_marks.values {
        let y = area.top + whole(down(*value).round());
        let text = y_label(picture, y_marks, *value);
        let at = ((area.left - MARK - 5) as f32, y as f32 - SMALL / 2.0);
        pen.draw(canvas, at, Anchor::Right, &text, small);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_change_their_tone_at_every_mark_and_leave_no_gap() {
        let marks = Marks::new(-7.0, 12.0, 5.0);
        let tones = ON_PAPER;
        let [dark, pale] = [tones.dark, tones.pale];
        let right = pieces(190, &marks, |value| 10.0 * (value + 7.0), tones);
        let expected = [
            (0, 20, dark),
            (20, 70, pale),
            (70, 120, dark),
            (120, 170, pale),
            (170, 190, dark),
        ];
        assert_eq!(right, expected);
        // The same ruler standing: from above 12 to -7.
        let down = pieces(190, &marks, |value| 10.0 * (12.0 - value), tones);
        let turned = expected.map(|(from, to, tone)| (190 - to, 190 - from, tone));
        assert_eq!(down, turned.into_iter().rev().collect::<Vec<_>>());
        let none = Marks::new(1.0, 2.0, 10.0);
        assert_eq!(
            pieces(50, &none, |value| 50.0 * (value - 1.0), tones),
            [(0, 50, dark)]
        );
    }
}
