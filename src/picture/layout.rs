//! Where things go on the page, so that nothing is cut off and nothing overlaps at any shape of the field.

use crate::picture::canvas::Pen;
use crate::picture::raster::has_both_signs;
use crate::picture::scale::{Marks, round_up};
use crate::picture::{Crop, FieldPicture, PICTURE_WIDTH, PictureError, PlotArea};

/// Empty rim of the page, pixels.
pub(super) const RIM: f32 = 28.0;
/// Line height of the title, pixels.
pub(super) const TITLE: f32 = 30.0;
/// Line height of axis titles, notes and the subtitle, pixels.
pub(super) const TEXT: f32 = 20.0;
/// Line height of the numbers at axes, pixels.
pub(super) const SMALL: f32 = 18.0;
/// Between a field and the numbers at its sides: room for the ruler, pixels.
pub(super) const MARK: usize = 9;
/// Between the top of the numbers below a field and the line with the title of that axis, less the height of the numbers, pixels.
pub(super) const AXIS_TITLE: usize = 11;
/// Between the line with the title of the y axis and the field, pixels: the uppermost number reaches half its height above the field.
pub(super) const ABOVE_FIELD: f32 = 20.0;
/// Size of the legend's colours with what stands above them, pixels.
pub(super) const LEGEND_BAR: (usize, usize) = (560, 42);
/// Greatest height of the plot, pixels.
const HIGHEST_PLOT: f64 = 900.0;

/// The page, in pixels from its top left.
#[derive(Debug)]
pub(super) struct Layout {
    pub(super) area: PlotArea,
    pub(super) x_marks: Marks,
    pub(super) y_marks: Marks,
    pub(super) subtitle: Vec<String>,
    /// Top of the line with the title of the y axis and the arrow.
    pub(super) axis_title_top: f32,
    /// Top of the legend.
    pub(super) legend_top: usize,
    /// Length of the scale bar, mm.
    pub(super) scale_bar_mm: f64,
    /// Wrapped lines below the legend.
    pub(super) notes: Vec<String>,
    /// Top of the first note.
    pub(super) notes_top: f32,
    pub(super) page_height: usize,
}

/// The whole field, with its mirrored half.
pub(super) fn extent(picture: &FieldPicture) -> Crop {
    let [x, y] = picture.origin_mm;
    let width = picture.dimensions[0] as f64 * picture.cell_mm;
    let height = picture.dimensions[1] as f64 * picture.cell_mm;
    Crop {
        x_mm: [x, x + width],
        y_mm: [if picture.is_mirrored { y - height } else { y }, y + height],
    }
}

/// The part to show that holds something of the field.
pub(super) fn shown(picture: &FieldPicture) -> Result<Crop, PictureError> {
    let all = extent(picture);
    let asked = picture.crop.unwrap_or(all);
    let part = |asked: [f64; 2], all: [f64; 2]| [asked[0].max(all[0]), asked[1].min(all[1])];
    let crop = Crop {
        x_mm: part(asked.x_mm, all.x_mm),
        y_mm: part(asked.y_mm, all.y_mm),
    };
    let is_something =
        |ends: [f64; 2]| ends[1] - ends[0] > 0.0 && ends.iter().all(|e| e.is_finite());
    if is_something(crop.x_mm) && is_something(crop.y_mm) {
        Ok(crop)
    } else {
        Err(PictureError::Crop { crop: asked })
    }
}

/// Places everything.
pub(super) fn lay_out(picture: &FieldPicture, pen: &Pen) -> Result<Layout, PictureError> {
    let crop = shown(picture)?;
    let page = PICTURE_WIDTH as f32;
    let room = page - 2.0 * RIM;
    let subtitle = pen.wrap(picture.subtitle, TEXT, room);
    let axis_title_top = RIM + TITLE + 6.0 + subtitle.len() as f32 * (TEXT + 4.0) + 10.0;
    let top = whole(f64::from(axis_title_top + TEXT + ABOVE_FIELD));

    let width_mm = crop.x_mm[1] - crop.x_mm[0];
    let height_mm = crop.y_mm[1] - crop.y_mm[0];
    let y_offset = axis_offset(picture);
    let y_marks = |pixels_per_mm: f64| {
        let least = (f64::from(SMALL) * 1.15 / pixels_per_mm).max(height_mm / 10.0);
        Marks::new(crop.y_mm[0] - y_offset, crop.y_mm[1] - y_offset, least)
    };
    // The room left of the plot depends on the numbers there, these on the scale, that on the room: two rounds settle it.
    let mut margin = 60.0_f32;
    let mut pixels_per_mm = 1.0;
    for _ in 0..2 {
        let widest = f64::from(room - margin - 24.0);
        pixels_per_mm = (widest / width_mm).min(HIGHEST_PLOT / height_mm);
        let marks = y_marks(pixels_per_mm);
        let numbers = marks.values.iter();
        margin = numbers
            .map(|v| pen.width(&y_label(picture, &marks, *v), SMALL))
            .fold(0.0, f32::max)
            + MARK as f32
            + 8.0;
    }
    let width = whole((width_mm * pixels_per_mm).floor());
    let height = whole((height_mm * pixels_per_mm).round());
    if width == 0 || height < 2 {
        return Err(PictureError::Crop { crop });
    }
    let free = f64::from(room - margin - 24.0) - width as f64;
    let left = whole(f64::from(RIM + margin) + (free / 2.0).max(0.0));
    let area = PlotArea {
        left,
        top,
        width,
        height,
        x_low_mm: crop.x_mm[0],
        y_high_mm: crop.y_mm[1],
        pixels_per_mm,
    };
    let least = (90.0 / pixels_per_mm).max(width_mm / 12.0);
    let x_marks = Marks::new(crop.x_mm[0], crop.x_mm[1], least);

    let below_axis = top + height + MARK + AXIS_TITLE + whole(f64::from(SMALL + TEXT)) + 6;
    let legend_top = below_axis + 22;
    let legend_end =
        legend_top as f32 + TEXT + 8.0 + LEGEND_BAR.1 as f32 + MARK as f32 + SMALL + 8.0;
    let notes_top = legend_end + 10.0;
    let notes: Vec<String> = picture
        .zero_line
        .filter(|_| has_both_signs(picture, &crop))
        .into_iter()
        .chain(picture.notes.iter().copied())
        .chain(has_gaps(picture).then_some("pink: no finite value"))
        .flat_map(|note| pen.wrap(note, TEXT, room))
        .collect();
    let page_height = notes_top + notes.len() as f32 * (TEXT + 5.0) + RIM;
    Ok(Layout {
        area,
        x_marks,
        y_marks: y_marks(pixels_per_mm),
        subtitle,
        axis_title_top,
        legend_top,
        scale_bar_mm: round_up(70.0 / pixels_per_mm).0,
        notes,
        notes_top,
        page_height: whole(f64::from(page_height)),
    })
}

/// Whether some air cell has no finite value.
fn has_gaps(picture: &FieldPicture) -> bool {
    let mut cells = picture.values.iter().zip(picture.solid);
    cells.any(|(value, solid)| *solid == 0 && !value.is_finite())
}

/// Where the marks of the y axis count from, mm: the mirror line, or the field's own zero.
pub(super) fn axis_offset(picture: &FieldPicture) -> f64 {
    if picture.is_mirrored {
        picture.origin_mm[1]
    } else {
        0.0
    }
}

/// Number at a mark of the y axis; a mirrored field counts away from the mirror line to both sides.
pub(super) fn y_label(picture: &FieldPicture, marks: &Marks, value: f64) -> String {
    marks.label(if picture.is_mirrored {
        value.abs()
    } else {
        value
    })
}

/// A length in whole pixels.
pub(super) fn whole(pixels: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to what a page can hold"
    )]
    {
        pixels.clamp(0.0, 1e6) as usize
    }
}
