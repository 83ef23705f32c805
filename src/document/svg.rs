//! What charts share: inks that the page recolours in the dark, words, axes, and the frame around a chart in the page.

use std::fmt::Display;
use std::io;

use maud::{Markup, PreEscaped, html};
use plotters::chart::ChartContext;
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::{DrawingBackend, IntoFont, RGBColor, TextStyle};
use plotters::style::Color;
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// Words and axes. The page's style gives each of these inks another value in the dark, by the value that stands here.
pub(super) const INK: RGBColor = RGBColor(0x1b, 0x1f, 0x24);
/// Lines of a mesh.
pub(super) const FAINT: RGBColor = RGBColor(0xd5, 0xd9, 0xde);
/// Bars, points, the fan's curve. This and the next two lie far apart in lightness, so that they differ for every eye and on grey paper.
pub(super) const DEEP: RGBColor = RGBColor(0x1f, 0x4e, 0x8c);
/// Likely ranges.
pub(super) const PALE: RGBColor = RGBColor(0x9d, 0xbb, 0xdf);
/// What is set beside it.
pub(super) const WARM: RGBColor = RGBColor(0xb3, 0x6b, 0x00);

/// Height of letters as the drawing library counts it; on the page they have four fifths of it.
pub(super) const LETTERS: i32 = 17;

/// Height of letters on the page, parts of that which the drawing library is given.
pub(super) const LETTER_PART: f64 = 0.81;

/// Words in an ink, with the point on their left, right or middle, `zoom` times as large as on the page.
pub(super) fn words(at: HPos, zoom: i32) -> TextStyle<'static> {
    TextStyle::from(("sans-serif", LETTERS * zoom).into_font())
        .color(&INK)
        .pos(Pos::new(at, VPos::Center))
}

/// A number at a tick, without needless zeros.
pub(super) fn tick(value: f64) -> String {
    ((value * 1e4).round() / 1e4).to_string()
}

/// A chart with an axis of numbers on two sides.
pub(super) type Chart<'a, B> = ChartContext<'a, B, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

/// Draws the axes of a chart with so many numbers at the lower one, and what they count, `zoom` times as large as on the page.
pub(super) fn draw_axes<B: DrawingBackend>(
    chart: &mut Chart<'_, B>,
    label_count: usize,
    [across, upwards]: [&str; 2],
    zoom: i32,
) -> io::Result<()> {
    let font = ("sans-serif", LETTERS * zoom).into_font().color(&INK);
    chart
        .configure_mesh()
        .x_labels(label_count)
        .y_labels(6)
        .x_label_formatter(&|value| tick(*value))
        .y_label_formatter(&|value| tick(*value))
        .x_desc(across)
        .y_desc(upwards)
        .axis_desc_style(font.clone())
        .label_style(font)
        .set_all_tick_mark_size(5 * zoom)
        .axis_style(INK.stroke_width(zoom.unsigned_abs()))
        .bold_line_style(FAINT.stroke_width(zoom.unsigned_abs()))
        .light_line_style(FAINT.mix(0.0))
        .draw()
        .map_err(fault)
}

/// A fault of the drawing library as one of writing; into a text it never happens.
pub(super) fn fault(error: impl Display) -> io::Error {
    io::Error::other(error.to_string())
}

/// A chart in the page with what it shows in words.
pub(super) fn figure(class: &str, svg: &str, alternative: &str) -> Markup {
    html! {
        div class=(class) role="img" aria-label=(alternative) { (PreEscaped(slim(svg))) }
    }
}

/// What the size of letters follows.
const FONT_SIZE: &str = "font-size=\"";

/// A chart without what goes without saying: a page of two hundred has as many of them.
///
/// Within a page SVG needs no name space, and the page then holds no address at all; full opacity and lines of one pixel are what they are unless they are told otherwise; the letters are those of the
/// page's style, and a tenth of a pixel tells their size.
fn slim(svg: &str) -> String {
    let mut text = svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1);
    let said = [
        " opacity=\"1\"",
        " stroke-width=\"1\"",
        " font-family=\"sans-serif\"",
        "\n",
    ];
    for said in said {
        text = text.replace(said, "");
    }
    let mut parts = text.split(FONT_SIZE);
    let mut slim = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (number, rest) = part.split_once('"').unwrap_or((part, ""));
        let size = number.parse::<f64>().map_or_else(
            |_| number.to_owned(),
            |size| ((size * 10.0).round() / 10.0).to_string(),
        );
        for part in [FONT_SIZE, &size, "\"", rest] {
            slim += part;
        }
    }
    slim
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_loses_what_goes_without_saying_and_nothing_else() {
        let full = "<svg width=\"9\" xmlns=\"http://www.w3.org/2000/svg\">\n<text x=\"6\" font-family=\"sans-serif\" font-size=\"13.709677\" opacity=\"1\" fill=\"#1B1F24\">\nK\n</text>\n\
                    <line opacity=\"0.5\" stroke-width=\"2\" x1=\"1\"/>\n<line opacity=\"1\" stroke-width=\"1\" x1=\"2\"/>\n</svg>\n";
        assert_eq!(
            slim(full),
            "<svg width=\"9\"><text x=\"6\" font-size=\"13.7\" fill=\"#1B1F24\">K</text>\
             <line opacity=\"0.5\" stroke-width=\"2\" x1=\"1\"/><line x1=\"2\"/></svg>"
        );
        assert_eq!(
            slim("<text font-size=\"12\">10.5</text>"),
            "<text font-size=\"12\">10.5</text>"
        );
    }
}
