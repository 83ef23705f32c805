//! Fields as colour pictures: a PNG with the field, the solid hatched with its outline, rulers and a scale bar in mm, and a legend; fields side by side; sheets to draw charts on; smoke as pages, reels and animated files.
//!
//! Everything is drawn into memory and then written out; the same input gives the same bytes.

use std::fmt;
use std::io::Write;

use crate::picture::canvas::Canvas;

mod animation;
mod canvas;
mod chart_sheet;
mod colour;
mod draw;
mod layout;
mod legend;
mod limits;
mod oklab;
mod photograph;
mod raster;
mod reel;
mod ruler;
mod scale;
mod sheet;
mod smoke;
mod tiles;

pub use animation::{Animation, animation};
pub use chart_sheet::{ChartSheet, FINENESS, TextSeat};
pub use colour::FieldKind;
pub use limits::{OUTERMOST, colour_limits};
pub use photograph::{PhotographError, photograph};
pub use reel::{read_reel, write_reel};
pub use sheet::{Sheet, field_sheet};
pub use smoke::{SmokePage, SmokePanel, SmokeStage};
pub use tiles::{Tiles, field_tiles};

/// Width of every picture, pixels.
pub const PICTURE_WIDTH: usize = 1200;

/// A flat field and how to show it. x runs along the flow to the right, y upwards.
#[derive(Debug, Clone, Copy)]
pub struct FieldPicture<'a> {
    /// First line.
    pub title: &'a str,
    /// Second line in smaller letters: view, velocity, what was averaged.
    pub subtitle: &'a str,
    /// What the colours mean, with the unit: "mean air speed along the flow ÷ face velocity".
    pub quantity: &'a str,
    /// What kind of field it is, which chooses the colours.
    pub kind: FieldKind,
    /// Number of cells along x and y.
    pub dimensions: [usize; 2],
    /// A value per cell, x fastest.
    pub values: &'a [f32],
    /// Other than 0 where the cell is solid, x fastest.
    pub solid: &'a [u8],
    /// The edge of the solid as drawn; along the cells, with their steps made smooth, when `None`.
    pub wall: Option<Wall<'a>>,
    /// Lower left corner of the field, mm.
    pub origin_mm: [f64; 2],
    /// Edge length of a cell, mm.
    pub cell_mm: f64,
    /// Shows the field a second time, mirrored about its lower edge (an axis or a symmetry plane). The marks of the y axis then count from there.
    pub is_mirrored: bool,
    /// The part to show; everything when `None`.
    pub crop: Option<Crop>,
    /// Values at the two ends of the colours; those of [`colour_limits`] when `None`. Give it to compare pictures.
    pub range: Option<[f64; 2]>,
    /// What the x axis counts: "along the flow, mm (0 = front face of the grille)".
    pub x_label: &'a str,
    /// What the y axis counts: "from the axis of the hole, mm".
    pub y_label: &'a str,
    /// Draws a white line where the field is zero, and says this about it: "white line: inside it air flows backwards".
    pub zero_line: Option<&'a str>,
    /// Lines below the legend.
    pub notes: &'a [&'a str],
}

/// Where there is solid at a place x, y of a field, mm; of a mirrored field y is never below its lower edge.
#[derive(Clone, Copy)]
pub struct Wall<'a>(pub &'a dyn Fn([f64; 2]) -> bool);

impl fmt::Debug for Wall<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Wall")
    }
}

/// A field on a page with others.
#[derive(Debug, Clone, Copy)]
pub struct Panel<'a> {
    /// The field.
    pub field: FieldPicture<'a>,
    /// What stands at the upper right corner about the direction of the flow: [`FLOW_TO_THE_RIGHT`], or that it comes out of the picture.
    pub flow: &'a str,
}

/// The flow goes to the right.
pub const FLOW_TO_THE_RIGHT: &str = "air flow →";

/// A rectangle of the field, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crop {
    /// Left and right end.
    pub x_mm: [f64; 2],
    /// Lower and upper end; below the field's lower edge lies the mirrored half.
    pub y_mm: [f64; 2],
}

/// Where in the picture the field lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlotArea {
    /// First column of the field, pixels from the left.
    pub left: usize,
    /// First row of the field, pixels from the top.
    pub top: usize,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Left end, mm.
    pub x_low_mm: f64,
    /// Upper end, mm.
    pub y_high_mm: f64,
    /// Pixels per mm, the same along both axes.
    pub pixels_per_mm: f64,
}

impl PlotArea {
    /// Column and row, in pixels, of a place of the field in mm; `None` outside.
    pub fn pixel(&self, x_mm: f64, y_mm: f64) -> Option<(usize, usize)> {
        let column = ((x_mm - self.x_low_mm) * self.pixels_per_mm).floor();
        let row = ((self.y_high_mm - y_mm) * self.pixels_per_mm).floor();
        let is_inside =
            column >= 0.0 && row >= 0.0 && column < self.width as f64 && row < self.height as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "inside the picture both are small whole numbers"
        )]
        is_inside.then_some((self.left + column as usize, self.top + row as usize))
    }
}

/// Why a field cannot be drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    /// Numbers of values and cells differ, there are no cells, or a cell has no size.
    #[error(
        "a field of {dimensions:?} cells of {cell_mm} mm with {values} values and {solid} marks of solid cannot be drawn"
    )]
    Size {
        /// Cells along x and y.
        dimensions: [usize; 2],
        /// Edge length of a cell, mm.
        cell_mm: f64,
        /// Number of values.
        values: usize,
        /// Number of marks.
        solid: usize,
    },
    /// Nothing of the field lies in the part to show, or not a single whole pixel of it.
    #[error("the part to show, {crop:?}, holds nothing of the field or is too thin to be seen")]
    Crop {
        /// The part.
        crop: Crop,
    },
    /// No cell in the part to show has air with a finite value.
    #[error("no cell in the part to show has air with a finite value")]
    NoValue,
    /// The ends of the colours are not two finite values in rising order.
    #[error("the colours cannot go from {low} to {high}")]
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// A film without a frame, or with pages larger than the format can hold.
    #[error("these frames cannot be made into an animated file")]
    Animation,
    /// The bundled font is damaged.
    #[error("the bundled font cannot be read")]
    Font,
    /// The file could not be written.
    #[error("the picture could not be written: {0}")]
    Write(#[from] png::EncodingError),
}

/// Draws a field as a PNG of [`PICTURE_WIDTH`] and says where in the picture the field lies.
///
/// The scale is the same along both axes; a field more than about 100 times as long as high should be cropped.
///
/// # Errors
/// [`PictureError`]: sizes that do not fit, nothing to show, or a failing `out`.
pub fn field_picture(picture: &FieldPicture, out: impl Write) -> Result<PlotArea, PictureError> {
    let (canvas, area) = draw::draw(picture, FLOW_TO_THE_RIGHT)?;
    write_png(&canvas, picture.title, picture.quantity, out)?;
    Ok(area)
}

/// Draws several fields on one page, one below the other, and says where in the picture each lies; the first one names the page.
///
/// # Errors
/// [`PictureError`]: as of [`field_picture`], or no field at all.
pub fn field_pictures(
    panels: &[Panel<'_>],
    out: impl Write,
) -> Result<Vec<PlotArea>, PictureError> {
    let first = panels.first().ok_or(PictureError::NoValue)?;
    let mut page = Canvas::new(PICTURE_WIDTH, 0, colour::PAPER);
    let mut areas = Vec::new();
    for panel in panels {
        let (canvas, mut area) = draw::draw(&panel.field, panel.flow)?;
        area.top += page.height;
        areas.push(area);
        page.append(&canvas);
    }
    write_png(&page, first.field.title, first.field.quantity, out)?;
    Ok(areas)
}

fn write_png(
    canvas: &Canvas,
    title: &str,
    quantity: &str,
    out: impl Write,
) -> Result<(), PictureError> {
    let width = u32::try_from(canvas.width).unwrap_or(u32::MAX);
    let height = u32::try_from(canvas.height).unwrap_or(u32::MAX);
    let mut encoder = png::Encoder::new(out, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.add_itxt_chunk("Title".to_owned(), title.to_owned())?;
    encoder.add_itxt_chunk("Description".to_owned(), quantity.to_owned())?;
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&canvas.pixels)?;
    writer.finish()?;
    Ok(())
}
