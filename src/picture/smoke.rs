//! Smoke as pictures: panels side by side on one scale and one clock, white smoke on dark, the printed part in the colour of wood, rulers in mm.

use std::io::Write;

use crate::picture::PictureError;
use crate::picture::canvas::{Anchor, Canvas, Pen, Rgb, mixed};
use crate::picture::layout::whole;
use crate::picture::ruler::{self, Tones};
use crate::picture::scale::Marks;

/// The air without smoke.
pub(super) const NIGHT: Rgb = [14, 18, 28];
/// The thickest smoke.
pub(super) const SMOKE: Rgb = [244, 248, 255];
/// Solid.
pub(super) const WOOD: Rgb = [196, 148, 92];
/// Letters and axes.
const CHALK: Rgb = [226, 231, 240];
/// Letters that matter less.
const FAINT_CHALK: Rgb = [160, 168, 184];

/// Tones of the rulers.
const TONES: Tones = Tones {
    dark: FAINT_CHALK,
    pale: [74, 82, 98],
};

/// Room around and between panels, pixels.
const GAP: usize = 14;
/// Left of a panel, for the marks of its axis.
const AXIS_LEFT: usize = 40;
/// Below a panel.
const AXIS_BELOW: usize = 29;
/// Above a panel: its name.
const NAME: usize = 24;
/// Heights of letters.
const TITLE_SIZE: f32 = 20.0;
const TEXT_SIZE: f32 = 14.0;
const MARK_SIZE: f32 = 12.0;
/// Least distance of two marks of an axis, pixels.
const LEAST_MARK: f64 = 46.0;
/// Widest page, pixels.
const WIDEST: usize = 1340;

/// A panel: what stands in the air. All panels of a page have the same size and scale.
#[derive(Debug, Clone, Copy)]
pub struct SmokePanel<'t, 'a> {
    /// Its name.
    pub name: &'t str,
    /// How much of each pixel is solid, 0 to 255, row by row from the top.
    pub solid: &'a [u8],
}

/// Panels side by side.
#[derive(Debug, Clone, Copy)]
pub struct SmokePage<'t, 'a> {
    /// First line.
    pub title: &'t str,
    /// Lines below it.
    pub subtitle: &'t str,
    /// Lines at the bottom.
    pub notes: &'t [&'t str],
    /// The panels.
    pub panels: &'t [SmokePanel<'t, 'a>],
    /// Columns and rows of a panel, pixels.
    pub pixels: [usize; 2],
    /// x and y at the lower left corner of a panel, mm.
    pub corner_mm: [f64; 2],
    /// Pixels per mm.
    pub pixels_per_mm: f64,
}

/// A page without its smoke, ready to be filled again and again.
pub struct SmokeStage<'a> {
    title: String,
    pixels: [usize; 2],
    solids: Vec<&'a [u8]>,
    empty: Canvas,
    /// Upper left corner of each panel.
    corners: Vec<[usize; 2]>,
}

impl<'a> SmokeStage<'a> {
    /// Draws all that does not move.
    ///
    /// # Errors
    /// [`PictureError`]: a panel of another size, or none.
    pub fn new(page: SmokePage<'_, 'a>) -> Result<Self, PictureError> {
        let [width, height] = page.pixels;
        for panel in page.panels {
            if panel.solid.len() != width * height || panel.solid.is_empty() {
                return Err(PictureError::Size {
                    dimensions: page.pixels,
                    cell_mm: page.pixels_per_mm.recip(),
                    values: panel.solid.len(),
                    solid: panel.solid.len(),
                });
            }
        }
        let pen = Pen::new()?;
        let columns = columns(page.panels.len(), width).max(1);
        let full_width = GAP + columns * (AXIS_LEFT + width + GAP);
        let room = full_width as f32 - 2.0 * GAP as f32;
        let title = pen.cut(page.title, TITLE_SIZE, room);
        let subtitle = pen.wrap(page.subtitle, TEXT_SIZE, room);
        let notes: Vec<String> = page
            .notes
            .iter()
            .flat_map(|note| pen.wrap(note, MARK_SIZE, room))
            .collect();
        let head = GAP + 26 + 18 * subtitle.len() + 6;
        let row_height = NAME + height + AXIS_BELOW;
        let rows = page.panels.len().div_ceil(columns);
        let foot = 18 * notes.len() + GAP;
        let mut empty = Canvas::new(full_width, head + rows * row_height + foot, NIGHT);
        let left = GAP as f32;
        pen.draw(
            &mut empty,
            (left, GAP as f32),
            Anchor::Left,
            &title,
            (TITLE_SIZE, CHALK),
        );
        for (number, line) in subtitle.iter().enumerate() {
            let at = (left, (GAP + 26 + 18 * number) as f32);
            pen.draw(&mut empty, at, Anchor::Left, line, (TEXT_SIZE, FAINT_CHALK));
        }
        for (number, line) in notes.iter().enumerate() {
            let at = (left, (head + rows * row_height + 18 * number) as f32);
            pen.draw(&mut empty, at, Anchor::Left, line, (MARK_SIZE, FAINT_CHALK));
        }
        let mut corners = Vec::new();
        for (number, panel) in page.panels.iter().enumerate() {
            let corner = [
                GAP + (number % columns) * (AXIS_LEFT + width + GAP) + AXIS_LEFT,
                head + (number / columns) * row_height + NAME,
            ];
            let name = pen.cut(panel.name, TEXT_SIZE, width as f32);
            let at = (corner[0] as f32, (corner[1] - NAME + 3) as f32);
            pen.draw(&mut empty, at, Anchor::Left, &name, (TEXT_SIZE, CHALK));
            draw_axes(&page, corner, &pen, &mut empty);
            corners.push(corner);
        }
        Ok(Self {
            title: page.title.to_owned(),
            pixels: page.pixels,
            solids: page.panels.iter().map(|panel| panel.solid).collect(),
            empty,
            corners,
        })
    }

    /// Width and height of the page, pixels.
    pub fn size(&self) -> [usize; 2] {
        [self.empty.width, self.empty.height]
    }

    /// The page with smoke in each panel (a byte per pixel, row by row from the top): red, green and blue of each pixel.
    pub fn filled(&self, smoke: &[&[u8]]) -> Vec<u8> {
        let [width, height] = self.pixels;
        let mut canvas = Canvas {
            width: self.empty.width,
            height: self.empty.height,
            pixels: self.empty.pixels.clone(),
        };
        for ((panel, corner), smoke) in self.solids.iter().zip(&self.corners).zip(smoke) {
            for row in 0..height {
                for column in 0..width {
                    let at = row * width + column;
                    let light = smoke.get(at).map_or(0.0, |light| f32::from(*light) / 255.0);
                    let solid = f32::from(panel[at]) / 255.0;
                    let air = mixed(NIGHT, SMOKE, light);
                    let colour = mixed(air, WOOD, solid);
                    canvas.blend(corner[0] + column, corner[1] + row, colour, 1.0);
                }
            }
        }
        canvas.pixels
    }

    /// Writes the page with smoke as a PNG.
    ///
    /// # Errors
    /// [`PictureError::Write`].
    pub fn write_png(&self, smoke: &[&[u8]], out: impl Write) -> Result<(), PictureError> {
        let [width, height] = self
            .size()
            .map(|length| u32::try_from(length).unwrap_or(u32::MAX));
        let mut encoder = png::Encoder::new(out, width, height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.add_itxt_chunk("Title".to_owned(), self.title.clone())?;
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.filled(smoke))?;
        writer.finish()?;
        Ok(())
    }
}

/// How many panels stand side by side: as many as fit, in rows of about equal length.
fn columns(count: usize, width: usize) -> usize {
    let most = (WIDEST / (AXIS_LEFT + width + GAP)).max(1);
    let rows = count.div_ceil(most).max(1);
    count.div_ceil(rows)
}

/// Rulers and numbers at the lower and left side of a panel.
fn draw_axes(page: &SmokePage<'_, '_>, [left, top]: [usize; 2], pen: &Pen, canvas: &mut Canvas) {
    let [width, height] = page.pixels;
    let [x_low, y_low] = page.corner_mm;
    let x_high = x_low + width as f64 / page.pixels_per_mm;
    let y_high = y_low + height as f64 / page.pixels_per_mm;
    let step = LEAST_MARK / page.pixels_per_mm;
    let marks = Marks::new(x_low, x_high, step);
    let along = |value: f64| (value - x_low) * page.pixels_per_mm;
    ruler::below(canvas, (left, top + height), width, &marks, along, TONES);
    for value in &marks.values {
        let x = left + whole(along(*value).round());
        // The unit stands once, at the end.
        let at = (x as f32, (top + height + 9) as f32);
        pen.draw(
            canvas,
            at,
            Anchor::Middle,
            &marks.label(*value),
            (MARK_SIZE, FAINT_CHALK),
        );
    }
    let marks = Marks::new(y_low, y_high, step);
    let down = |value: f64| (y_high - value) * page.pixels_per_mm;
    ruler::beside(canvas, (left, top), height, &marks, down, TONES);
    for value in &marks.values {
        let y = top + whole(down(*value).round());
        let at = ((left - 10) as f32, y as f32 - MARK_SIZE / 2.0);
        pen.draw(
            canvas,
            at,
            Anchor::Right,
            &marks.label(*value),
            (MARK_SIZE, FAINT_CHALK),
        );
    }
    let at = ((left + width) as f32, (top - NAME + 5) as f32);
    pen.draw(canvas, at, Anchor::Right, "mm", (MARK_SIZE, FAINT_CHALK));
}
