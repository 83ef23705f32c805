//! Puts the picture together: field, solid, axes, legend and texts.

use crate::picture::canvas::{Anchor, Canvas, Pen, mixed};
use crate::picture::colour::{ColourScale, FAINT_INK, INK, PAPER, SOLID, ZERO_LINE};
use crate::picture::layout::{
    LEGEND_BAR, Layout, MARK, RIM, SMALL, TEXT, TITLE, axis_offset, lay_out, whole, y_label,
};
use crate::picture::legend::{ColourBar, decimals_for, draw_scale_bar};
use crate::picture::raster::{Pixel, is_outline, rasterise, zero_line};
use crate::picture::scale::{Marks, number};
use crate::picture::{FieldPicture, PICTURE_WIDTH, PictureError, PlotArea};

/// The whole page, and where on it the field lies; `flow` tells the direction of the flow.
pub(super) fn draw(picture: &FieldPicture, flow: &str) -> Result<(Canvas, PlotArea), PictureError> {
    check(picture)?;
    let pen = Pen::new()?;
    let layout = lay_out(picture, &pen)?;
    let pixels = rasterise(picture, &layout.area);
    let (least, most) = limits(&pixels)?;
    let colours = colour_scale(picture.range, least, most)?;
    let mut canvas = Canvas::new(PICTURE_WIDTH, layout.page_height, PAPER);
    draw_field(picture, &layout.area, &pixels, colours, &mut canvas);
    draw_axes(picture, &layout, &pen, flow, &mut canvas);
    draw_legend(picture, &layout, &pen, colours, (least, most), &mut canvas);
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

/// Least and greatest value in the plot.
pub(super) fn limits(pixels: &[Pixel]) -> Result<(f64, f64), PictureError> {
    let values = pixels.iter().map(|p| f64::from(p.value));
    let values = values.filter(|value| value.is_finite());
    let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    if least <= most {
        Ok((least, most))
    } else {
        Err(PictureError::NoValue)
    }
}

/// The ends of the colours: as asked, or the limits, opened a little when they coincide.
pub(super) fn colour_scale(
    asked: Option<[f64; 2]>,
    least: f64,
    most: f64,
) -> Result<ColourScale, PictureError> {
    let smallest = 1e-6 * least.abs().max(most.abs()).max(1e-6);
    let [low, high] = asked.unwrap_or(if most - least > smallest {
        [least, most]
    } else {
        [
            least - 0.05 * least.abs() - smallest,
            most + 0.05 * most.abs() + smallest,
        ]
    });
    if low.is_finite() && high.is_finite() && low < high {
        Ok(ColourScale { low, high })
    } else {
        Err(PictureError::Range { low, high })
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
        colour = if pixel.solid >= 1.0 {
            SOLID
        } else {
            mixed(colour, SOLID, pixel.solid)
        };
        if is_outline(pixels, area.width, at) {
            colour = INK;
        }
        let (x, y) = (area.left + at % area.width, area.top + at / area.width);
        canvas.blend(x, y, colour, 1.0);
    }
    canvas.frame(area.left, area.top, area.width, area.height, INK);
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
    for column in 0..area.width {
        let is_gap = matches!(column % 30, 18..=21 | 26..=29);
        if !is_gap && pixels[(y - area.top) * area.width + column].solid < 0.5 {
            canvas.blend(area.left + column, y, PAPER, 0.55);
        }
    }
}

fn draw_axes(picture: &FieldPicture, layout: &Layout, pen: &Pen, flow: &str, canvas: &mut Canvas) {
    let area = &layout.area;
    let bottom = area.top + area.height;
    draw_marks(
        picture,
        area,
        (&layout.x_marks, &layout.y_marks),
        pen,
        canvas,
    );
    let right = (area.left + area.width) as f32;
    let below = (bottom + MARK + 5) as f32 + SMALL;
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

/// Marks and numbers at the lower and left side of the field.
pub(super) fn draw_marks(
    picture: &FieldPicture,
    area: &PlotArea,
    (x_marks, y_marks): (&Marks, &Marks),
    pen: &Pen,
    canvas: &mut Canvas,
) {
    let bottom = area.top + area.height;
    let small = (SMALL, INK);
    for value in &x_marks.values {
        let along = (value - area.x_low_mm) * area.pixels_per_mm;
        let x = area.left + whole(along.min(area.width as f64 - 1.0));
        canvas.fill(x, bottom + 1, 1, MARK, INK);
        let text = x_marks.label(*value);
        let at = (x as f32, (bottom + MARK + 3) as f32);
        pen.draw(canvas, at, Anchor::Middle, &text, small);
    }
    let offset = axis_offset(picture);
    for value in &y_marks.values {
        let down = (area.y_high_mm - value - offset) * area.pixels_per_mm;
        let y = area.top + whole(down.min(area.height as f64 - 1.0));
        canvas.fill(area.left - 1 - MARK, y, MARK, 1, INK);
        let text = y_label(picture, y_marks, *value);
        let at = ((area.left - MARK - 5) as f32, y as f32 - SMALL / 2.0);
        pen.draw(canvas, at, Anchor::Right, &text, small);
    }
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
    colours: ColourScale,
    (least, most): (f64, f64),
    canvas: &mut Canvas,
) {
    let left = whole(f64::from(RIM)) + 1;
    let top = layout.legend_top;
    let span = colours.high - colours.low;
    let label = pen.cut(picture.quantity, TEXT, PICTURE_WIDTH as f32 - 2.0 * RIM);
    pen.draw(canvas, (RIM, top as f32), Anchor::Left, &label, (TEXT, INK));

    let bar_top = top + whole(f64::from(TEXT)) + 8;
    let bar = ColourBar {
        colours,
        has_zero: picture.zero_line.is_some(),
        left,
        top: bar_top,
    };
    bar.draw(pen, canvas);
    let lengths = (layout.scale_bar_mm, layout.area.pixels_per_mm);
    draw_scale_bar(lengths, pen, bar_top, canvas);

    let decimals = decimals_for(span);
    let said = format!(
        "shown: {} to {}",
        number(least, decimals),
        number(most, decimals)
    );
    let said_at = ((left + LEGEND_BAR.0 + 36) as f32, bar_top as f32 - 1.0);
    pen.draw(canvas, said_at, Anchor::Left, &said, (SMALL, FAINT_INK));
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
