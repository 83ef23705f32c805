//! What tells how to read a picture: the colours with their numbers and how much of the picture has each, and a bar of a round length.

use crate::picture::canvas::{Anchor, Canvas, Pen};
use crate::picture::colour::{ColourScale, FAINT_INK, INK, PALE_INK, ZERO_LINE};
use crate::picture::layout::{LEGEND_BAR, MARK, RIM, SMALL, whole};
use crate::picture::limits::{PIECES, Spread};
use crate::picture::scale::{Marks, number};

/// Height of the colours themselves, pixels; above them stands how much of the picture has each.
const COLOURS: usize = 14;
/// Length of the points at the ends, which stand for values beyond them, pixels.
const TIP: usize = 14;
/// Between the colours and what is said beside them, pixels.
const BESIDE: usize = 26;

/// The colours with their numbers.
#[derive(Debug, Clone, Copy)]
pub(super) struct ColourBar<'a> {
    pub(super) colours: ColourScale,
    /// How much of the picture has each of them.
    pub(super) spread: &'a Spread,
    /// Whether the line at zero is drawn in the field, so that it is drawn here too.
    pub(super) has_zero: bool,
    pub(super) left: usize,
    pub(super) top: usize,
}

impl ColourBar<'_> {
    pub(super) fn draw(&self, pen: &Pen, canvas: &mut Canvas) {
        let colours = self.colours;
        let (left, width) = (self.left + TIP, LEGEND_BAR.0 - 2 * TIP);
        let top = self.top + LEGEND_BAR.1 - COLOURS;
        let span = colours.high - colours.low;
        for column in 0..width {
            let value = colours.low + span * (column as f64 + 0.5) / width as f64;
            canvas.fill(left + column, top, 1, COLOURS, colours.colour(value));
        }
        self.draw_tips((left, left + width), top, canvas);
        self.draw_spread((left, width), top - 2, canvas);
        let place = |value: f64| {
            let along = (value - colours.low) / span * width as f64;
            left + whole(along.min(width as f64 - 1.0))
        };
        if self.has_zero && colours.low < 0.0 && colours.high > 0.0 {
            canvas.fill(place(0.0), top, 2, COLOURS, ZERO_LINE);
        }
        let marks = Marks::new(colours.low, colours.high, span / 7.0);
        for value in &marks.values {
            let x = place(*value);
            canvas.fill(x, top + COLOURS + 1, 1, MARK - 4, INK);
            let text = marks.label(*value);
            let room = pen.width(&text, SMALL) / 2.0;
            let at = ((x as f32).max(RIM + room), (top + COLOURS + MARK) as f32);
            pen.draw(canvas, at, Anchor::Middle, &text, (SMALL, INK));
        }
    }

    /// Writes beside the colours what lies beyond them.
    pub(super) fn draw_words(&self, pen: &Pen, canvas: &mut Canvas) {
        let mut at = (
            (self.left + LEGEND_BAR.0 + BESIDE) as f32,
            self.top as f32 - 4.0,
        );
        for line in self.words() {
            pen.draw(canvas, at, Anchor::Left, &line, (SMALL, FAINT_INK));
            at.1 += SMALL + 2.0;
        }
    }

    /// A point at each end beyond which there are values, in the colour of that end.
    fn draw_tips(&self, (left, right): (usize, usize), top: usize, canvas: &mut Canvas) {
        let [below, above] = self.spread.beyond.map(|share| share > 0.0);
        let colours = [self.colours.low, self.colours.high].map(|end| self.colours.colour(end));
        let half = COLOURS as f32 / 2.0;
        for step in 0..TIP {
            let reach = half * (1.0 - (step as f32 + 0.5) / TIP as f32);
            for row in 0..COLOURS {
                let off = (row as f32 + 0.5 - half).abs();
                let cover = (reach - off + 0.5).clamp(0.0, 1.0);
                if below {
                    canvas.blend(left - 1 - step, top + row, colours[0], cover);
                }
                if above {
                    canvas.blend(right + step, top + row, colours[1], cover);
                }
            }
        }
    }

    /// How much of the picture has each colour: the root of it, so that rare ones show.
    fn draw_spread(&self, (left, width): (usize, usize), foot: usize, canvas: &mut Canvas) {
        let most = (LEGEND_BAR.1 - COLOURS - 2) as f32;
        for (piece, share) in self.spread.pieces.iter().enumerate() {
            let [from, to] = [piece, piece + 1].map(|end| end * width / PIECES);
            let height = whole(f64::from((most * share.sqrt()).ceil()));
            canvas.fill(left + from, foot - height, to - from, height, PALE_INK);
        }
    }

    /// Least and greatest value, how many lie beyond the colours, and what is grey above these.
    pub(super) fn words(&self) -> Vec<String> {
        let Spread {
            least,
            most,
            beyond,
            ..
        } = self.spread;
        let decimals = decimals_for(self.colours.high - self.colours.low);
        let mut words = vec![format!(
            "values: {} to {}",
            number(*least, decimals),
            number(*most, decimals)
        )];
        let outside = 100.0 * (beyond[0] + beyond[1]);
        if outside > 0.0 {
            let outside = if outside < 0.05 {
                "under 0.1".to_owned()
            } else {
                format!("{outside:.1}")
            };
            words.push(format!("{outside} % lie beyond the colours"));
        }
        words.push("grey: how much of the air has it".to_owned());
        words
    }
}

/// Decimals that show a hundredth of a range or finer.
fn decimals_for(span: f64) -> usize {
    whole((2.0 - span.log10()).ceil().clamp(0.0, 9.0))
}

/// A bar of a round length in mm, right-aligned on the page, half of it dark.
pub(super) fn draw_scale_bar(
    (length_mm, pixels_per_mm): (f64, f64),
    pen: &Pen,
    bar_top: usize,
    canvas: &mut Canvas,
) {
    let length = whole(length_mm * pixels_per_mm);
    let right = canvas.width - whole(f64::from(RIM));
    let left = right.saturating_sub(length);
    let top = bar_top + LEGEND_BAR.1 - 6;
    canvas.fill(left, top, length / 2, 6, INK);
    canvas.fill(left + length / 2, top, length - length / 2, 6, PALE_INK);
    let decimals = whole((-length_mm.log10().floor()).clamp(0.0, 9.0));
    let text = format!("{length_mm:.decimals$} mm");
    let half = pen.width(&text, SMALL) / 2.0;
    let centre = (left as f32 + length as f32 / 2.0).min(canvas.width as f32 - RIM - half);
    let at = (centre, (bar_top + LEGEND_BAR.1 + MARK) as f32);
    pen.draw(canvas, at, Anchor::Middle, &text, (SMALL, INK));
}
