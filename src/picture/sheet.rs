//! Several fields side by side: one scale of colours and one of lengths for all of them, so that sizes and colours can be compared by eye.

use std::io::Write;

use crate::picture::canvas::{Anchor, Canvas, Pen};
use crate::picture::colour::ColourScale;
use crate::picture::colour::{FAINT_INK, INK, PAPER};
use crate::picture::draw::{check, draw_field};
use crate::picture::layout::{
    ABOVE_FIELD, AXIS_TITLE, LEGEND_BAR, MARK, RIM, SMALL, TEXT, TITLE, axis_offset, shown, whole,
    y_label,
};
use crate::picture::legend::{ColourBar, draw_scale_bar};
use crate::picture::limits::{Spread, colour_scale};
use crate::picture::raster::{Pixel, has_both_signs, rasterise};
use crate::picture::ruler::draw_rulers;
use crate::picture::scale::{Marks, round_up};
use crate::picture::{Crop, FieldKind, FieldPicture, PictureError, PlotArea, write_png};

/// Fields to be set side by side.
#[derive(Debug, Clone, Copy)]
pub struct Sheet<'a> {
    /// First line of the page.
    pub title: &'a str,
    /// Second line in smaller letters.
    pub subtitle: &'a str,
    /// The fields, each named by its title and subtitle. What they show, their range and their notes are the sheet's; their axes are their own.
    pub panels: &'a [FieldPicture<'a>],
    /// What the colours mean, with the unit.
    pub quantity: &'a str,
    /// What kind of field they all are, which chooses the colours.
    pub kind: FieldKind,
    /// Values at the two ends of the colours; those of [`crate::picture::colour_limits`] over all panels when `None`.
    pub range: Option<[f64; 2]>,
    /// Draws a white line where a field is zero, and says this about it.
    pub zero_line: Option<&'a str>,
    /// Which way the air flows: [`crate::picture::FLOW_TO_THE_RIGHT`], or that it comes out of the picture.
    pub flow: &'a str,
    /// Lines below the legend.
    pub notes: &'a [&'a str],
}

/// Between two columns and between two rows of panels, pixels.
const GAP: usize = 26;

/// Greatest height of a field, pixels.
const HIGHEST: f64 = 620.0;

/// Lines that the subtitle of a panel may take.
const SUBTITLE_LINES: usize = 2;

/// A panel with its place within the row that it stands in.
pub(super) struct Placed<'a> {
    field: FieldPicture<'a>,
    crop: Crop,
    /// Left edge of the panel and top of its title, pixels.
    pub(super) left: usize,
    pub(super) top: usize,
    pub(super) area: PlotArea,
    x_marks: Marks,
    y_marks: Marks,
    subtitle: Vec<String>,
}

/// Draws the fields side by side as a PNG, at most three in a row, and says where in the picture each lies.
///
/// # Errors
/// [`PictureError`]: as of [`crate::picture::field_picture`], or no field at all.
pub fn field_sheet(sheet: &Sheet<'_>, out: impl Write) -> Result<Vec<PlotArea>, PictureError> {
    let pen = Pen::new()?;
    let (columns, column_width) = columns(sheet)?;
    let width = 2 * whole(f64::from(RIM)) + columns * column_width + (columns - 1) * GAP;
    let room = width as f32 - 2.0 * RIM;
    let subtitle = pen.wrap(sheet.subtitle, TEXT, room);
    let head = RIM + TITLE + 6.0 + subtitle.len() as f32 * (TEXT + 4.0) + 10.0;
    let corner = (whole(f64::from(RIM)), whole(f64::from(head)));
    let (panels, below) = placed(sheet, &pen, (columns, column_width), corner)?;

    let drawing = Drawing::of(sheet, panels)?;
    let notes: Vec<String> = drawing
        .notes(sheet)
        .flat_map(|note| pen.wrap(note, TEXT, room))
        .collect();
    let bar_top = below + whole(f64::from(TEXT)) + 8;
    let notes_top = (bar_top + LEGEND_BAR.1 + MARK) as f32 + SMALL + 18.0;
    let height = whole(f64::from(
        notes_top + notes.len() as f32 * (TEXT + 5.0) + RIM,
    ));

    let mut canvas = Canvas::new(width, height, PAPER);
    let title = pen.cut(sheet.title, TITLE, room - 180.0);
    pen.draw(&mut canvas, (RIM, RIM), Anchor::Left, &title, (TITLE, INK));
    let flow_at = (width as f32 - RIM, RIM + 6.0);
    pen.draw(&mut canvas, flow_at, Anchor::Right, sheet.flow, (TEXT, INK));
    for (i, line) in subtitle.iter().enumerate() {
        let y = RIM + TITLE + 6.0 + i as f32 * (TEXT + 4.0);
        pen.draw(&mut canvas, (RIM, y), Anchor::Left, line, (TEXT, FAINT_INK));
    }
    for panel in 0..drawing.panels.len() {
        drawing.draw(panel, sheet, &pen, column_width, &mut canvas);
    }
    let quantity = pen.cut(sheet.quantity, TEXT, room);
    let at = (RIM, below as f32);
    pen.draw(&mut canvas, at, Anchor::Left, &quantity, (TEXT, INK));
    let bar = drawing.bar((whole(f64::from(RIM)), bar_top));
    bar.draw(&pen, &mut canvas);
    bar.draw_words(&pen, &mut canvas);
    if let Some(lengths) = drawing.lengths() {
        draw_scale_bar(lengths, &pen, bar_top, &mut canvas);
    }
    for (i, line) in notes.iter().enumerate() {
        let at = (RIM, notes_top + i as f32 * (TEXT + 5.0));
        pen.draw(&mut canvas, at, Anchor::Left, line, (TEXT, FAINT_INK));
    }
    write_png(&canvas, sheet.title, sheet.quantity, out)?;
    let panels = drawing.panels.iter();
    Ok(panels.map(|panel| panel.area).collect())
}

/// Panels in their places with their pixels and the colours that they share.
pub(super) struct Drawing<'a> {
    pub(super) panels: Vec<Placed<'a>>,
    rastered: Vec<Vec<Pixel>>,
    colours: ColourScale,
    spread: Spread,
    has_zero: bool,
}

impl<'a> Drawing<'a> {
    pub(super) fn of(sheet: &Sheet<'a>, panels: Vec<Placed<'a>>) -> Result<Self, PictureError> {
        let rastered: Vec<Vec<Pixel>> = panels
            .iter()
            .map(|panel| rasterise(&panel.field, &panel.area))
            .collect();
        for pixels in &rastered {
            if !pixels.iter().any(|pixel| pixel.value.is_finite()) {
                return Err(PictureError::NoValue);
            }
        }
        let colours = colour_scale(sheet.kind, sheet.range, rastered.iter().flatten())?;
        let spread = Spread::new(colours, rastered.iter().flatten());
        let mut each = panels.iter();
        let has_zero = sheet.zero_line.is_some()
            && each.any(|panel| has_both_signs(&panel.field, &panel.crop));
        Ok(Self {
            panels,
            rastered,
            colours,
            spread,
            has_zero,
        })
    }

    /// What is to be said below the fields.
    pub(super) fn notes(&self, sheet: &Sheet<'a>) -> impl Iterator<Item = &'a str> {
        let zero_line = sheet.zero_line.filter(|_| self.has_zero);
        zero_line.into_iter().chain(sheet.notes.iter().copied())
    }

    /// Draws a panel.
    pub(super) fn draw(
        &self,
        panel: usize,
        sheet: &Sheet<'a>,
        pen: &Pen,
        column_width: usize,
        canvas: &mut Canvas,
    ) {
        let (panel, pixels) = (&self.panels[panel], &self.rastered[panel]);
        let field = FieldPicture {
            zero_line: sheet.zero_line,
            ..panel.field
        };
        draw_field(&field, &panel.area, pixels, self.colours, canvas);
        draw_panel(panel, pen, column_width, canvas);
    }

    /// The legend at this place.
    pub(super) fn bar(&self, (left, top): (usize, usize)) -> ColourBar<'_> {
        ColourBar {
            colours: self.colours,
            spread: &self.spread,
            has_zero: self.has_zero,
            left,
            top,
        }
    }

    /// A round length, mm, and the pixels of a millimetre.
    fn lengths(&self) -> Option<(f64, f64)> {
        let scale = self.panels.first()?.area.pixels_per_mm;
        Some((round_up(70.0 / scale).0, scale))
    }
}

/// How many panels stand in a row, and how wide each is, pixels. Long fields get more room.
fn columns(sheet: &Sheet<'_>) -> Result<(usize, usize), PictureError> {
    let mut longest = 0.0_f64;
    for panel in sheet.panels {
        check(panel)?;
        let crop = shown(panel)?;
        let [width, height] = [crop.x_mm, crop.y_mm].map(|ends| ends[1] - ends[0]);
        longest = longest.max(width / height);
    }
    match sheet.panels.len() {
        0 => Err(PictureError::NoValue),
        1 => Ok((1, 1144)),
        2 | 4 => Ok((2, 760)),
        _ if longest > 4.0 => Ok((2, 760)),
        _ => Ok((3, 600)),
    }
}

/// Every panel in its place, all of one scale, and the first line below all of them.
pub(super) fn placed<'a>(
    sheet: &Sheet<'a>,
    pen: &Pen,
    (columns, column_width): (usize, usize),
    (first_left, first_top): (usize, usize),
) -> Result<(Vec<Placed<'a>>, usize), PictureError> {
    let crops: Vec<Crop> = sheet
        .panels
        .iter()
        .map(shown)
        .collect::<Result<_, PictureError>>()?;
    // The room left of a plot depends on the numbers there, these on the scale, that on the room: two rounds settle it.
    let mut margin = 60.0_f64;
    let mut scale = 1.0;
    for _ in 0..2 {
        let widest = column_width as f64 - margin - 14.0;
        let scales = crops.iter().map(|crop| {
            let [width, height] = [crop.x_mm, crop.y_mm].map(|ends| ends[1] - ends[0]);
            (widest / width).min(HIGHEST / height)
        });
        scale = scales.fold(f64::INFINITY, f64::min);
        let numbers = sheet.panels.iter().zip(&crops).flat_map(|(field, crop)| {
            let marks = y_marks(field, crop, scale);
            let widths = marks.values.iter();
            let widths = widths.map(|v| pen.width(&y_label(field, &marks, *v), SMALL));
            widths.collect::<Vec<f32>>()
        });
        margin = f64::from(numbers.fold(0.0, f32::max)) + MARK as f64 + 8.0;
    }
    let subtitle = |field: &FieldPicture<'_>| {
        let mut lines = pen.wrap(field.subtitle, SMALL, column_width as f32);
        lines.truncate(SUBTITLE_LINES);
        lines
    };
    // Below each other all begin alike.
    let all = sheet.panels.iter().map(|field| subtitle(field).len());
    let least_lines = all.max().filter(|_| columns == 1).unwrap_or(0);
    let mut panels: Vec<Placed<'a>> = Vec::new();
    let mut top = first_top;
    for (row, crops) in sheet.panels.chunks(columns).zip(crops.chunks(columns)) {
        let subtitles: Vec<Vec<String>> = row.iter().map(subtitle).collect();
        let lines = subtitles.iter().map(Vec::len).max().unwrap_or(0);
        let lines = lines.max(least_lines);
        // Title, subtitle, title of the y axis.
        let head = whole(f64::from(
            TEXT + 6.0 + (lines as f32 + 1.0) * (SMALL + 3.0) + ABOVE_FIELD,
        ));
        let mut highest = 0;
        for (place, (field, crop)) in row.iter().zip(crops).enumerate() {
            let left = first_left + place * (column_width + GAP);
            let [width_mm, height_mm] = [crop.x_mm, crop.y_mm].map(|ends| ends[1] - ends[0]);
            let width = whole((width_mm * scale).floor());
            let height = whole((height_mm * scale).round());
            if width == 0 || height < 2 {
                return Err(PictureError::Crop { crop: *crop });
            }
            highest = highest.max(height);
            let area = PlotArea {
                left: left + whole(margin),
                top: top + head,
                width,
                height,
                x_low_mm: crop.x_mm[0],
                y_high_mm: crop.y_mm[1],
                pixels_per_mm: scale,
            };
            let least = (70.0 / scale).max(width_mm / 10.0);
            panels.push(Placed {
                field: *field,
                crop: *crop,
                left,
                top,
                area,
                x_marks: Marks::new(crop.x_mm[0], crop.x_mm[1], least),
                y_marks: y_marks(field, crop, scale),
                subtitle: subtitles[place].clone(),
            });
        }
        top += head + highest + MARK + AXIS_TITLE + whole(f64::from(2.0 * SMALL)) + 6 + GAP;
    }
    Ok((panels, top))
}

fn y_marks(field: &FieldPicture<'_>, crop: &Crop, pixels_per_mm: f64) -> Marks {
    let height = crop.y_mm[1] - crop.y_mm[0];
    let least = (f64::from(SMALL) * 1.15 / pixels_per_mm).max(height / 8.0);
    let offset = axis_offset(field);
    Marks::new(crop.y_mm[0] - offset, crop.y_mm[1] - offset, least)
}

/// Everything of a panel but its field.
fn draw_panel(panel: &Placed<'_>, pen: &Pen, column_width: usize, canvas: &mut Canvas) {
    let Placed {
        field, area, left, ..
    } = panel;
    let room = column_width as f32;
    let left = *left as f32;
    let title = pen.cut(field.title, TEXT + 2.0, room);
    let at = (left, panel.top as f32);
    pen.draw(canvas, at, Anchor::Left, &title, (TEXT + 2.0, INK));
    for (i, line) in panel.subtitle.iter().enumerate() {
        let y = panel.top as f32 + TEXT + 6.0 + i as f32 * (SMALL + 3.0);
        pen.draw(canvas, (left, y), Anchor::Left, line, (SMALL, FAINT_INK));
    }
    let y_title = pen.cut(field.y_label, SMALL, room);
    let at = (left, area.top as f32 - SMALL - ABOVE_FIELD + 2.0);
    pen.draw(canvas, at, Anchor::Left, &y_title, (SMALL, INK));
    draw_rulers(field, area, (&panel.x_marks, &panel.y_marks), pen, canvas);
    let x_title = pen.cut(field.x_label, SMALL, room);
    let half = pen.width(&x_title, SMALL) / 2.0;
    let middle = area.left as f32 + area.width as f32 / 2.0;
    let middle = middle.clamp(left + half, (left + room - half).max(left + half));
    let at = (
        middle,
        (area.top + area.height + MARK + AXIS_TITLE) as f32 + SMALL,
    );
    pen.draw(canvas, at, Anchor::Middle, &x_title, (SMALL, INK));
}
