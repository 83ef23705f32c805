//! The fields of a sheet, each a picture of its own, so that a page can set them side by side or below each other, as wide as it is.

use crate::picture::canvas::{Anchor, Canvas, Pen};
use crate::picture::colour::{FAINT_INK, INK, PAPER};
use crate::picture::layout::{ABOVE_FIELD, AXIS_TITLE, LEGEND_BAR, MARK, SMALL, TEXT, whole};
use crate::picture::sheet::{Drawing, placed};
use crate::picture::{PictureError, Sheet, write_png};

/// Width of a field with what stands beside it, pixels: its letters can still be read on a phone.
const WIDTH: usize = 600;

/// Room to the right of it, for the half of a number that reaches beyond the field, pixels.
const RIGHT: usize = 14;

/// The pictures of a sheet, each a PNG of the same width.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tiles {
    /// One for each field, in the order of the sheet.
    pub panels: Vec<Vec<u8>>,
    /// The colours, which they share.
    pub legend: Vec<u8>,
    /// What is to be said below.
    pub notes: Vec<String>,
}

/// Draws the fields of a sheet as pictures of their own; title, subtitle and notes of the sheet are left to whoever sets them.
///
/// # Errors
/// [`PictureError`]: as of [`crate::picture::field_sheet`].
pub fn field_tiles(sheet: &Sheet<'_>) -> Result<Tiles, PictureError> {
    for panel in sheet.panels {
        crate::picture::draw::check(panel)?;
    }
    let pen = Pen::new()?;
    let (mut panels, _) = placed(sheet, &pen, (1, WIDTH), (0, 0))?;
    for panel in &mut panels {
        panel.area.top -= panel.top;
        panel.top = 0;
    }
    let drawing = Drawing::of(sheet, panels)?;
    let mut pictures = Vec::new();
    for (at, panel) in drawing.panels.iter().enumerate() {
        let below = MARK + AXIS_TITLE + whole(f64::from(2.0 * SMALL)) + 6;
        let height = panel.area.top + panel.area.height + below;
        let mut canvas = Canvas::new(WIDTH + RIGHT, height, PAPER);
        drawing.draw(at, sheet, &pen, WIDTH, &mut canvas);
        let above = panel.area.top as f32 - SMALL - ABOVE_FIELD + 2.0;
        let flow_at = (WIDTH as f32, above);
        pen.draw(
            &mut canvas,
            flow_at,
            Anchor::Right,
            sheet.flow,
            (SMALL, INK),
        );
        let mut bytes = Vec::new();
        write_png(&canvas, sheet.panels[at].title, sheet.quantity, &mut bytes)?;
        pictures.push(bytes);
    }
    Ok(Tiles {
        panels: pictures,
        legend: legend(sheet, &drawing, &pen)?,
        notes: drawing.notes(sheet).map(str::to_owned).collect(),
    })
}

/// Colours and what lies beyond them. Lengths are told by the rulers: the page may show this smaller or larger than the fields.
fn legend(sheet: &Sheet<'_>, drawing: &Drawing<'_>, pen: &Pen) -> Result<Vec<u8>, PictureError> {
    let quantity = pen.wrap(sheet.quantity, TEXT, WIDTH as f32);
    let bar_top = whole(f64::from(quantity.len() as f32 * (TEXT + 4.0))) + 8;
    let bar = drawing.bar((0, bar_top));
    let said = pen.wrap(&bar.words().join("; "), SMALL, WIDTH as f32);
    let said_top = (bar_top + LEGEND_BAR.1 + MARK) as f32 + SMALL + 12.0;
    let said_height = said.len() as f32 * (SMALL + 3.0);
    let height = whole(f64::from(
        said_top + said_height.max(2.0 * SMALL + 10.0) + 4.0,
    ));
    let mut canvas = Canvas::new(WIDTH + RIGHT, height, PAPER);
    for (row, line) in quantity.iter().enumerate() {
        let at = (0.0, row as f32 * (TEXT + 4.0));
        pen.draw(&mut canvas, at, Anchor::Left, line, (TEXT, INK));
    }
    bar.draw(pen, &mut canvas);
    for (row, line) in said.iter().enumerate() {
        let at = (0.0, said_top + row as f32 * (SMALL + 3.0));
        pen.draw(&mut canvas, at, Anchor::Left, line, (SMALL, FAINT_INK));
    }
    let mut bytes = Vec::new();
    write_png(&canvas, sheet.title, sheet.quantity, &mut bytes)?;
    Ok(bytes)
}
