//! A sheet to draw a chart on, for a library that draws pixel by pixel: drawn twice as fine as it is kept, so that edges come out smooth.

use std::io::Write;

use crate::picture::PictureError;
use crate::picture::canvas::{Anchor, Canvas, Pen};

/// Places on a sheet for each pixel of the picture, along both sides.
pub const FINENESS: usize = 2;

/// Where a text stands beside its point, of the width and of the height of its line: 0 for a text that starts there, 1 for one that ends there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextSeat {
    /// Part of its width that lies before the point.
    pub along: f32,
    /// Part of its height that lies above the point.
    pub across: f32,
    /// Whether it runs upwards instead of to the right.
    pub is_upwards: bool,
}

/// A line of text that waits until all else is drawn.
struct Line {
    text: String,
    at: (f32, f32),
    seat: TextSeat,
    size: f32,
    colour: [u8; 3],
}

/// A white sheet; places count from the top left, [`FINENESS`] of them to a pixel.
pub struct ChartSheet {
    fine: Canvas,
    lines: Vec<Line>,
    pen: Pen,
}

impl ChartSheet {
    /// A sheet for a picture of so many pixels.
    ///
    /// # Errors
    /// [`PictureError::Font`] where the bundled font is damaged.
    pub fn new(width: usize, height: usize) -> Result<Self, PictureError> {
        Ok(Self {
            fine: Canvas::new(FINENESS * width, FINENESS * height, [255; 3]),
            lines: Vec::new(),
            pen: Pen::new()?,
        })
    }

    /// Places along and across.
    pub fn size(&self) -> (usize, usize) {
        (self.fine.width, self.fine.height)
    }

    /// Lays a colour over a place, `opacity` 0 to 1; outside the sheet nothing happens.
    pub fn blend(&mut self, x: usize, y: usize, colour: [u8; 3], opacity: f32) {
        self.fine.blend(x, y, colour, opacity);
    }

    /// Width of a text, places; `size` is the height of its line in places.
    pub fn text_width(&self, text: &str, size: f32) -> f32 {
        self.pen.width(text, size)
    }

    /// A text in lines no wider than `room` places, broken at spaces.
    pub fn wrap(&self, text: &str, size: f32, room: f32) -> Vec<String> {
        self.pen.wrap(text, size, room)
    }

    /// Writes a text over all else that is drawn.
    pub fn text(&mut self, text: &str, at: (f32, f32), seat: TextSeat, size: f32, colour: [u8; 3]) {
        self.lines.push(Line {
            text: text.to_owned(),
            at,
            seat,
            size,
            colour,
        });
    }

    /// Writes the picture as a PNG with its title and what it shows.
    ///
    /// # Errors
    /// [`PictureError::Write`] for a failing `out`.
    pub fn write(
        &self,
        title: &str,
        description: &str,
        out: impl Write,
    ) -> Result<(), PictureError> {
        let page = self.page();
        let side = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
        let mut encoder = png::Encoder::new(out, side(page.width), side(page.height));
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        encoder.add_itxt_chunk("Title".to_owned(), title.to_owned())?;
        encoder.add_itxt_chunk("Description".to_owned(), description.to_owned())?;
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&page.pixels)?;
        writer.finish()?;
        Ok(())
    }

    /// The picture: means over the places of each pixel, and the texts on them.
    fn page(&self) -> Canvas {
        let (width, height) = (self.fine.width / FINENESS, self.fine.height / FINENESS);
        let mut page = Canvas::new(width, height, [255; 3]);
        let count = FINENESS * FINENESS;
        for (index, value) in page.pixels.iter_mut().enumerate() {
            let (pixel, channel) = (index / 3, index % 3);
            let (x, y) = (pixel % width * FINENESS, pixel / width * FINENESS);
            let places = (0..count).map(|place| {
                let row = y + place / FINENESS;
                let start = 3 * (row * self.fine.width + x + place % FINENESS);
                usize::from(self.fine.pixels[start + channel])
            });
            let mean = (places.sum::<usize>() + count / 2) / count;
            *value = u8::try_from(mean).unwrap_or(u8::MAX);
        }
        for line in &self.lines {
            self.write_line(&mut page, line);
        }
        page
    }

    fn write_line(&self, page: &mut Canvas, line: &Line) {
        let fineness = FINENESS as f32;
        let size = line.size / fineness;
        let at = (line.at.0 / fineness, line.at.1 / fineness);
        let width = self.pen.width(&line.text, size);
        let (along, across) = (line.seat.along * width, line.seat.across * size);
        if !line.seat.is_upwards {
            let start = (at.0 - along, at.1 - across);
            let style = (size, line.colour);
            self.pen.draw(page, start, Anchor::Left, &line.text, style);
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a line of text on a page"
        )]
        let (long, high) = (width.ceil() as usize + 2, size.ceil() as usize + 2);
        let mut flat = Canvas::new(long, high, [255; 3]);
        let black = (size, [0; 3]);
        self.pen
            .draw(&mut flat, (1.0, 1.0), Anchor::Left, &line.text, black);
        for (pixel, value) in flat.pixels.chunks_exact(3).enumerate() {
            let coverage = 1.0 - f32::from(value[0]) / 255.0;
            // To the right becomes upwards.
            let x = at.0 - across + (pixel / long) as f32;
            let y = at.1 + along - (pixel % long) as f32;
            if coverage > 0.0 && x >= 0.0 && y >= 0.0 {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "both are at least 0"
                )]
                page.blend(x as usize, y as usize, line.colour, coverage);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEAT: TextSeat = TextSeat {
        along: 0.0,
        across: 0.0,
        is_upwards: false,
    };

    #[test]
    fn a_pixel_is_the_mean_of_its_places() {
        let mut sheet = ChartSheet::new(2, 1).unwrap();
        sheet.blend(0, 0, [0; 3], 1.0);
        sheet.blend(1, 1, [0; 3], 1.0);
        sheet.blend(9, 9, [0; 3], 1.0);
        assert_eq!(sheet.page().pixels, [128, 128, 128, 255, 255, 255]);
    }

    #[test]
    fn a_text_upwards_is_the_text_to_the_right_turned() {
        let ink = |is_upwards| {
            let mut sheet = ChartSheet::new(60, 60).unwrap();
            let seat = TextSeat { is_upwards, ..SEAT };
            let start = if is_upwards {
                (40.0, 110.0)
            } else {
                (10.0, 40.0)
            };
            sheet.text("static pressure", start, seat, 24.0, [0; 3]);
            let pixels = sheet.page().pixels;
            pixels
                .iter()
                .map(|value| 255 - u64::from(*value))
                .sum::<u64>()
        };
        let (right, up) = (ink(false), ink(true));
        assert!(right > 5_000);
        // A text that leaves the page on the right leaves it above, too.
        assert!(right.abs_diff(up) < right / 20, "{right} and {up}");
    }

    #[test]
    fn the_file_is_a_png_of_the_size_asked_for() {
        let mut sheet = ChartSheet::new(33, 21).unwrap();
        sheet.text("K", (20.0, 10.0), SEAT, 20.0, [0, 0, 200]);
        let mut bytes = Vec::new();
        sheet.write("a chart", "what it shows", &mut bytes).unwrap();
        let reader = png::Decoder::new(std::io::Cursor::new(bytes))
            .read_info()
            .unwrap();
        assert_eq!((reader.info().width, reader.info().height), (33, 21));
    }
}
