//! Puts the picture together: field, solid, axes, legend and texts.

use crate::picture::canvas::{Anchor, Canvas, Pen, mixed};
use crate::picture::colour::{ColourScale, FAINT_INK, INK, PAPER, ZERO_LINE, solid};
use crate::picture::layout::{AXIS_TITLE, Layout, MARK, RIM, SMALL, TEXT, TITLE, lay_out, whole};
use crate::picture::legend::{ColourBar, draw_scale_bar};
use crate::picture::limits::{Spread, colour_scale};
use crate::picture::raster::{Pixel, outline, rasterise, zero_line};
use crate::picture::ruler::draw_rulers;
use crate::picture::{FieldKind, FieldPicture, PICTURE_WIDTH, PictureError, PlotArea};

/// The whole page, and where on it the field lies; `flow` tells the direction of the flow.
pub(super) fn draw(picture: &FieldPicture, flow: &str) -> Result<(Canvas, PlotArea), PictureError> {
    check(picture)?;
    let pen = Pen::new()?;
    let layout = lay_out(picture, &pen)?;
    let pixels = rasterise(picture, &layout.area);
    let colours = colour_scale(picture.kind, picture.range, &pixels)?;
    let mut canvas = Canvas::new(PICTURE_WIDTH, layout.page_height, PAPER);
    draw_field(picture, &layout.area, &pixels, colours, &mut canvas);
    draw_axes(picture, &layout, &pen, flow, &mut canvas);
    let spread = Spread::new(colours, &pixels);
    draw_legend(picture, &layout, &pen, (colours, &spread), &mut canvas);
    draw_texts(picture, &layout, &pen, &mut canvas);
    Ok((canvas, layout.area))
}

pub(super) fn check(picture: &FieldPicture) -> Result<(), PictureError> {
    let cells = picture.dimensions[0].checked_mul(picture.dimensions[1]);
    let is_right = cells.is_some_and(|cells| {
        cells > 0 && picture.values.len() == cells && picture.solid.len() == cells
    });
    if is_right && picture.cell_mm.is_finite() && picture.cell_mm > 0.0 {
        Ok(())
    } else {
        Err(PictureError::Size {
            dimensions: picture.dimensions,
            cell_mm: picture.cell_mm,
            values: picture.values.len(),
            solid: picture.solid.len(),
        })
    }
}

pub(super) fn draw_field(
    picture: &FieldPicture,
    area: &PlotArea,
    pixels: &[Pixel],
    colours: ColourScale,
    canvas: &mut Canvas,
) {
    let line = picture
        .zero_line
        .map(|_| zero_line(pixels, area.width))
        .unwrap_or_default();
    for (at, pixel) in pixels.iter().enumerate() {
        let mut colour = colours.colour(f64::from(pixel.value));
        if let Some(cover) = line.get(at) {
            colour = mixed(colour, ZERO_LINE, *cover);
        }
        let (x, y) = (area.left + at % area.width, area.top + at / area.width);
        if pixel.solid > 0.0 {
            let part = mixed(solid(x, y), INK, outline(pixels, area.width, at));
            colour = mixed(colour, part, pixel.solid);
        }
        canvas.blend(x, y, colour, 1.0);
    }
    if picture.is_mirrored {
        draw_mirror_line(picture, area, pixels, canvas);
    }
}

/// A thin chain line where the field is mirrored, in the air only.
fn draw_mirror_line(
    picture: &FieldPicture,
    area: &PlotArea,
    pixels: &[Pixel],
    canvas: &mut Canvas,
) {
    let Some((_, y)) = area.pixel(area.x_low_mm, picture.origin_mm[1]) else {
        return;
    };
    // Around zero signed fields are nearly as white as paper.
    let (ink, opacity) = match picture.kind {
        FieldKind::Signed => (FAINT_INK, 0.5),
        FieldKind::Speed | FieldKind::Amount => (PAPER, 0.55),
    };
    for column in 0..area.width {
        let is_gap = matches!(column % 30, 18..=21 | 26..=29);
        if !is_gap && pixels[(y - area.top) * area.width + column].solid < 0.5 {
            canvas.blend(area.left + column, y, ink, opacity);
        }
    }
}

fn draw_axes(picture: &FieldPicture, layout: &Layout, pen: &Pen, flow: &str, canvas: &mut Canvas) {
    let area = &layout.area;
    let bottom = area.top + area.height;
    draw_rulers(
        picture,
        area,
        (&layout.x_marks, &layout.y_marks),
        pen,
        canvas,
    );
    let right = (area.left + area.width) as f32;
    let below = (bottom + MARK + AXIS_TITLE) as f32 + SMALL;
    let room = PICTURE_WIDTH as f32 - 2.0 * RIM;
    let x_title = pen.cut(picture.x_label, TEXT, room);
    let middle = keep_inside(
        area.left as f32 + area.width as f32 / 2.0,
        pen.width(&x_title, TEXT),
    );
    pen.draw(
        canvas,
        (middle, below),
        Anchor::Middle,
        &x_title,
        (TEXT, INK),
    );

    let arrow_width = pen.width(flow, TEXT);
    let arrow_right = right
        .max(area.left as f32 + 420.0)
        .min(PICTURE_WIDTH as f32 - RIM);
    let arrow_at = (arrow_right, layout.axis_title_top);
    pen.draw(canvas, arrow_at, Anchor::Right, flow, (TEXT, INK));
    let title_left = (area.left as f32 - 30.0).max(RIM);
    let y_title = pen.cut(
        picture.y_label,
        TEXT,
        arrow_right - arrow_width - 20.0 - title_left,
    );
    let title_at = (title_left, layout.axis_title_top);
    pen.draw(canvas, title_at, Anchor::Left, &y_title, (TEXT, INK));
}

/// The middle of a text of this width, moved so that the text stays on the page.
fn keep_inside(middle: f32, width: f32) -> f32 {
    let half = width / 2.0 + RIM;
    middle.clamp(half, (PICTURE_WIDTH as f32 - half).max(half))
}

fn draw_legend(
    picture: &FieldPicture,
    layout: &Layout,
    pen: &Pen,
    (colours, spread): (ColourScale, &Spread),
    canvas: &mut Canvas,
) {
    let top = layout.legend_top;
    let label = pen.cut(picture.quantity, TEXT, PICTURE_WIDTH as f32 - 2.0 * RIM);
    pen.draw(canvas, (RIM, top as f32), Anchor::Left, &label, (TEXT, INK));

    let bar_top = top + whole(f64::from(TEXT)) + 8;
    let bar = ColourBar {
        colours,
        spread,
        has_zero: picture.zero_line.is_some(),
        left: whole(f64::from(RIM)),
        top: bar_top,
    };
    bar.draw(pen, canvas);
    bar.draw_words(pen, canvas);
    let lengths = (layout.scale_bar_mm, layout.area.pixels_per_mm);
    draw_scale_bar(lengths, pen, bar_top, canvas);
}

fn draw_texts(picture: &FieldPicture, layout: &Layout, pen: &Pen, canvas: &mut Canvas) {
    let room = PICTURE_WIDTH as f32 - 2.0 * RIM;
    let title = pen.cut(picture.title, TITLE, room);
    pen.draw(canvas, (RIM, RIM), Anchor::Left, &title, (TITLE, INK));
    for (i, line) in layout.subtitle.iter().enumerate() {
        let y = RIM + TITLE + 6.0 + i as f32 * (TEXT + 4.0);
        pen.draw(canvas, (RIM, y), Anchor::Left, line, (TEXT, FAINT_INK));
    }
    for (i, line) in layout.notes.iter().enumerate() {
        let y = layout.notes_top + i as f32 * (TEXT + 5.0);
        pen.draw(canvas, (RIM, y), Anchor::Left, line, (TEXT, FAINT_INK));
    }
}
