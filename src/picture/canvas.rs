//! A page of pixels with rectangles, lines and smooth text.

use ab_glyph::{Font, FontRef, ScaleFont, point};

use crate::picture::PictureError;

/// The bundled font; its licence lies beside it.
const FONT: &[u8] = include_bytes!("font/Inter-Regular.otf");

/// Red, green, blue.
pub(super) type Rgb = [u8; 3];

/// A page of pixels, origin at the top left.
pub(super) struct Canvas {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Three bytes per pixel, row by row from the top.
    pub(super) pixels: Vec<u8>,
}

impl Canvas {
    /// A page of one colour.
    pub(super) fn new(width: usize, height: usize, background: Rgb) -> Self {
        Self {
            width,
            height,
            pixels: background.repeat(width * height),
        }
    }

    /// Puts another page of the same width below this one.
    pub(super) fn append(&mut self, below: &Self) {
        debug_assert_eq!(self.width, below.width);
        self.height += below.height;
        self.pixels.extend_from_slice(&below.pixels);
    }

    /// Lays `colour` over a pixel, `opacity` 0 to 1; outside the page nothing happens.
    pub(super) fn blend(&mut self, x: usize, y: usize, colour: Rgb, opacity: f32) {
        if x >= self.width || y >= self.height {
            return;
        }
        let start = 3 * (y * self.width + x);
        for (below, above) in self.pixels[start..start + 3].iter_mut().zip(colour) {
            *below = mix(*below, above, opacity);
        }
    }

    /// Fills a rectangle.
    pub(super) fn fill(&mut self, x: usize, y: usize, width: usize, height: usize, colour: Rgb) {
        for row in y..y + height {
            for column in x..x + width {
                self.blend(column, row, colour, 1.0);
            }
        }
    }
}

/// Two colour channels mixed; `share` of the second.
fn mix(first: u8, second: u8, share: f32) -> u8 {
    let mixed = f32::from(first) + (f32::from(second) - f32::from(first)) * share.clamp(0.0, 1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a mean of two bytes is 0 to 255"
    )]
    {
        mixed.round() as u8
    }
}

/// Two colours mixed; `share` of the second.
pub(super) fn mixed(first: Rgb, second: Rgb, share: f32) -> Rgb {
    [0, 1, 2].map(|channel| mix(first[channel], second[channel], share))
}

/// Where a text starts, ends or has its middle.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Left,
    Middle,
    Right,
}

/// The bundled font, ready to measure and draw.
pub(super) struct Pen {
    font: FontRef<'static>,
}

impl Pen {
    /// Loads the font.
    pub(super) fn new() -> Result<Self, PictureError> {
        let font = FontRef::try_from_slice(FONT).map_err(|_| PictureError::Font)?;
        Ok(Self { font })
    }

    /// Width of a text, pixels.
    pub(super) fn width(&self, text: &str, size: f32) -> f32 {
        self.glyphs(text, size).1
    }

    /// Draws a text in one line; `y` is the top of the line, `size` the line's height in pixels.
    pub(super) fn draw(
        &self,
        canvas: &mut Canvas,
        (x, y): (f32, f32),
        anchor: Anchor,
        text: &str,
        (size, colour): (f32, Rgb),
    ) {
        let (glyphs, width) = self.glyphs(text, size);
        let left = match anchor {
            Anchor::Left => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::Right => x - width,
        };
        // Whole pixels keep stems sharp.
        let (left, top) = (left.round(), y.round());
        for mut glyph in glyphs {
            glyph.position.x += left;
            glyph.position.y += top;
            let Some(outline) = self.font.outline_glyph(glyph) else {
                continue;
            };
            let bounds = outline.px_bounds();
            outline.draw(|column, row, coverage| {
                let at = (bounds.min.x + column as f32, bounds.min.y + row as f32);
                if at.0 >= 0.0 && at.1 >= 0.0 {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "both are checked to be at least 0"
                    )]
                    canvas.blend(at.0 as usize, at.1 as usize, colour, coverage);
                }
            });
        }
    }

    /// The text, cut with an ellipsis where it is wider than `room` pixels.
    pub(super) fn cut(&self, text: &str, size: f32, room: f32) -> String {
        if self.width(text, size) <= room {
            return text.to_owned();
        }
        let mut kept: Vec<char> = text.chars().collect();
        loop {
            if kept.pop().is_none() {
                return String::new();
            }
            let cut: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
            if self.width(&cut, size) <= room {
                return cut;
            }
        }
    }

    /// The text in lines no wider than `room` pixels, broken at spaces.
    pub(super) fn wrap(&self, text: &str, size: f32, room: f32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            if let Some(line) = lines.last_mut() {
                let longer = format!("{line} {word}");
                if self.width(&longer, size) <= room {
                    *line = longer;
                    continue;
                }
            }
            lines.push(self.cut(word, size, room));
        }
        lines
    }

    /// The glyphs of a line, placed from x = 0 on and with its top at y = 0, and their width.
    fn glyphs(&self, text: &str, size: f32) -> (Vec<ab_glyph::Glyph>, f32) {
        let scaled = self.font.as_scaled(size);
        let mut glyphs: Vec<ab_glyph::Glyph> = Vec::new();
        let mut right = 0.0;
        for letter in text.chars().filter(|letter| !letter.is_control()) {
            let mut glyph = scaled.scaled_glyph(letter);
            if let Some(previous) = glyphs.last() {
                right += scaled.kern(previous.id, glyph.id);
            }
            glyph.position = point(right, scaled.ascent());
            right += scaled.h_advance(glyph.id);
            glyphs.push(glyph);
        }
        (glyphs, right)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_smooth_and_stays_in_its_line() {
        let pen = Pen::new().unwrap();
        let mut canvas = Canvas::new(200, 60, [255; 3]);
        pen.draw(
            &mut canvas,
            (10.0, 20.0),
            Anchor::Left,
            "Äg 1,5 m³/h",
            (20.0, [0; 3]),
        );
        let greys: std::collections::BTreeSet<u8> = canvas.pixels.iter().copied().collect();
        assert!(greys.len() > 10, "only {greys:?}: not smooth");
        let width = pen.width("Äg 1,5 m³/h", 20.0);
        for (i, pixel) in canvas.pixels.chunks_exact(3).enumerate() {
            let (x, y) = ((i % 200) as f32, (i / 200) as f32);
            if pixel != [255; 3] {
                assert!((9.0..=11.0 + width).contains(&x), "ink at x {x}");
                assert!((20.0..=41.0).contains(&y), "ink at y {y}");
            }
        }
    }

    #[test]
    fn the_font_has_the_letters_that_pictures_use() {
        let pen = Pen::new().unwrap();
        for letter in "→−–…·°±×÷²³½¼≈≥≤√ÄÖÜäöüßéñøåčłŞ решётка Ωμφδ".chars()
        {
            let glyph = pen.font.glyph_id(letter);
            assert!(glyph.0 != 0, "{letter}");
        }
    }

    #[test]
    fn long_texts_are_cut_or_wrapped_to_the_room() {
        let pen = Pen::new().unwrap();
        let long = "wide hexagons with rounded edges ".repeat(8);
        let cut = pen.cut(&long, 18.0, 300.0);
        assert!(cut.ends_with('…') && pen.width(&cut, 18.0) <= 300.0);
        let lines = pen.wrap(&long, 18.0, 300.0);
        assert!(lines.len() > 3);
        assert!(lines.iter().all(|line| pen.width(line, 18.0) <= 300.0));
        assert_eq!(lines.join(" "), long.trim_end());
        let unbroken = pen.wrap(&"x".repeat(300), 18.0, 300.0);
        assert!(unbroken.len() == 1 && unbroken[0].ends_with('…'));
    }
}
