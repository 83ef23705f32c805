//! The charts of the short form as PNG, for places that show no SVG: a cover with the answer and the ranking, and the fan's curve.

use std::io;

use plotters::prelude::IntoDrawingArea;
use plotters::style::RGBColor;

use crate::document::bars;
use crate::document::bitmap::{SheetBackend, ZOOM, sheet};
use crate::document::fan_chart;
use crate::document::fan_part::FanPart;
use crate::document::ranking_part::{Bars, bars_of};
use crate::document::svg::{INK, fault};
use crate::document::words::{cut, sentence};
use crate::document::{Material, ReportPicture};
use crate::picture::{ChartSheet, TextSeat};
use crate::report::{Answer, harmless};

/// Width of the pictures, pixels of the page.
const WIDTH: u32 = 620;

/// Height of the fan's curve itself.
const CURVE_HEIGHT: u32 = 330;

/// Room at the sides.
const MARGIN: i32 = 14;

/// Most grilles on the cover; the table beside it has all.
const MOST_BARS: usize = 12;

/// Heights of a line: of the answer, of all else.
const LINES: [i32; 2] = [26, 18];

/// Ink of what is said beside.
const SOFT: RGBColor = RGBColor(0x4d, 0x55, 0x60);

/// Some lines of text below each other, and how they are written.
struct Words {
    lines: Vec<String>,
    height: i32,
    ink: RGBColor,
}

impl Words {
    /// A text wrapped to the width of the pictures.
    fn new(text: &str, height: i32, ink: RGBColor) -> io::Result<Self> {
        let room = (i32::try_from(WIDTH).unwrap_or(0) - 2 * MARGIN) * ZOOM;
        let size = (height * ZOOM) as f32 / LEADING;
        // Any sheet measures.
        let lines = sheet(1, 1).map_err(fault)?.wrap(text, size, room as f32);
        Ok(Self { lines, height, ink })
    }

    /// Height of all lines, pixels of the page.
    fn tall(&self) -> i32 {
        self.height * i32::try_from(self.lines.len()).unwrap_or(0)
    }

    /// Writes them below `top` and gives where they end, pixels of the page.
    fn write(&self, sheet: &mut ChartSheet, top: i32) -> i32 {
        let seat = TextSeat {
            along: 0.0,
            across: 0.0,
            is_upwards: false,
        };
        let RGBColor(red, green, blue) = self.ink;
        for (row, line) in (0..).zip(&self.lines) {
            let at = [MARGIN, top + row * self.height].map(|place| (place * ZOOM) as f32);
            let size = (self.height * ZOOM) as f32 / LEADING;
            sheet.text(line, at.into(), seat, size, [red, green, blue]);
        }
        top + self.tall()
    }
}

/// Distance of two lines over the height of one.
const LEADING: f32 = 1.12;

/// The pictures that there is something to draw for.
///
/// # Errors
/// None that can happen: they are drawn into memory.
pub(super) fn pictures(material: &Material<'_>) -> io::Result<Vec<ReportPicture>> {
    let mut pictures = Vec::new();
    pictures.extend(cover(material)?);
    pictures.extend(fan_curve(material)?);
    Ok(pictures)
}

/// Study, answer, bars.
fn cover(material: &Material<'_>) -> io::Result<Option<ReportPicture>> {
    let kept = material.ranking;
    let Some(Bars {
        each: mut bars,
        scale,
        unit,
        what,
        words,
    }) = bars_of(kept)
    else {
        return Ok(None);
    };
    let left_out = bars.len().saturating_sub(MOST_BARS);
    bars.truncate(MOST_BARS);
    let more = if left_out > 0 {
        format!(" {left_out} more are in the table.")
    } else {
        String::new()
    };
    let ties = if kept.ties.is_empty() {
        ""
    } else {
        " Grilles that share a letter are not behind one another."
    };
    let study = Words::new(&cut(&kept.study, 70), LINES[1], SOFT)?;
    let answer = Words::new(&sentence(&Answer::of(kept).answer), LINES[0], INK)?;
    let cut_off = if scale.is_cut() {
        " The bars do not begin at 0."
    } else {
        ""
    };
    let legend = format!(
        "{what}, in {unit}. Stroke: best estimate; pale: likely range (95\u{a0}%).{cut_off}{ties}{more} Ventwright {}, quality {}, {} side.",
        harmless(&kept.code_version),
        kept.quality,
        kept.side
    );
    let legend = Words::new(&legend, LINES[1], SOFT)?;
    let head = 10 + study.tall() + 4 + answer.tall() + 14;
    let chart = bars::height(bars.len());
    let tall = head + chart + 6 + legend.tall() + 10;
    let mut sheet = sheet(WIDTH, tall.unsigned_abs()).map_err(fault)?;
    {
        let area = SheetBackend(&mut sheet).into_drawing_area();
        let area = area.margin(head * ZOOM, 0, 0, 0);
        bars::draw(&area, &bars, scale, unit, ZOOM)?;
    }
    let top = study.write(&mut sheet, 10) + 4;
    answer.write(&mut sheet, top);
    legend.write(&mut sheet, head + chart + 6);
    finish("cover.png", &kept.study, words, &sheet).map(Some)
}

/// The fan's curve with what the air's way takes.
fn fan_curve(material: &Material<'_>) -> io::Result<Option<ReportPicture>> {
    let Some(part) = FanPart::of(material) else {
        return Ok(None);
    };
    let legend = Words::new(&part.legend(), LINES[1], SOFT)?;
    let curve = i32::try_from(CURVE_HEIGHT).unwrap_or(0);
    let tall = 8 + curve + legend.tall() + 12;
    let mut sheet = sheet(WIDTH, tall.unsigned_abs()).map_err(fault)?;
    {
        let area = SheetBackend(&mut sheet).into_drawing_area();
        let area = area.margin(8 * ZOOM, (tall - 8 - curve) * ZOOM, 0, 0);
        fan_chart::draw(&area, &part.band, &part.settled, &part.lines(), ZOOM)?;
    }
    legend.write(&mut sheet, 8 + curve);
    finish(
        "fan-curve.png",
        &material.ranking.study,
        part.words(),
        &sheet,
    )
    .map(Some)
}

fn finish(
    name: &'static str,
    title: &str,
    words: String,
    sheet: &ChartSheet,
) -> io::Result<ReportPicture> {
    let mut bytes = Vec::new();
    sheet
        .write(&harmless(title), &words, &mut bytes)
        .map_err(fault)?;
    Ok(ReportPicture { name, words, bytes })
}
