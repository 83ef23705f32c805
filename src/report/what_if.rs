//! What each grille would make of the air with each fabric: a table for the screen.

use unicode_width::UnicodeWidthStr;

use crate::report::Likely;
use crate::report::page::{Page, harmless};
use crate::report::words::shortened;
use crate::result::{StudyResult, WhatIf, WhatIfRow};

/// Most grilles on the screen; the files have all.
const MOST_GRILLES: usize = 12;

/// Most columns of a grille's name.
const NAME: usize = 20;

/// Columns of one number with its range and sign.
const CELL: usize = 13;

/// Columns between two fabrics.
const BETWEEN: usize = 2;

/// Most fabrics in the line of the first screen.
const MOST_FABRICS: usize = 3;

/// What the fabrics leave of the air of the first grille, in a line; nothing without fabrics.
pub(super) fn fabric_line(result: &StudyResult) -> Option<String> {
    let what_if = result.what_if.as_ref()?;
    let leader = result.grilles.first()?;
    let mut rows: Vec<&WhatIfRow> = what_if
        .rows
        .iter()
        .filter(|row| row.grille.id == leader.id && !row.lies_on_holes)
        .collect();
    let more = rows.len().saturating_sub(MOST_FABRICS);
    rows.truncate(MOST_FABRICS);
    let told: Vec<String> = rows.iter().map(|row| fabric_words(result, row)).collect();
    if told.is_empty() {
        return None;
    }
    let more = if more > 0 {
        format!("; {more} more")
    } else {
        String::new()
    };
    Some(format!(
        "Fabrics on {}: {}{more} (--details fabrics).",
        shortened(&leader.name),
        told.join("; ")
    ))
}

/// "fine mesh 80 %", or with a question mark where the fabric has no place before a reading.
fn fabric_words(result: &StudyResult, row: &WhatIfRow) -> String {
    let doubt = if row.rank.is_none() { "?" } else { "" };
    let number = if let Some(percent) = row.flow_percent {
        format!("{:.0}\u{a0}%", percent.value)
    } else {
        let unit = result.output_units.pressure;
        let pressure = row.total_pressure_pa().value * unit.per_si();
        format!("{pressure:.1}\u{a0}{}", unit.symbol())
    };
    format!("{} {number}{doubt}", shortened(&row.fabric))
}

/// The table, as lines in the width of the page; empty without fabrics. A line for each grille, two numbers for each fabric: apart, and on the holes.
pub(super) fn what_if_lines(result: &StudyResult, page: &Page) -> Vec<String> {
    let Some(what_if) = &result.what_if else {
        return Vec::new();
    };
    let (grilles, fabrics) = (what_if.grilles(), what_if.fabrics());
    let widths = grilles.iter().map(|grille| grille.name.width());
    let longest = widths.max().unwrap_or(0);
    let name = longest.min(NAME);
    let wide = 2 * CELL + BETWEEN;
    let at_once = (page.width.saturating_sub(name) / wide).max(1);
    let mut lines = Vec::new();
    for fabrics in fabrics.chunks(at_once) {
        if !lines.is_empty() {
            lines.push(String::new());
        }
        let (mut head, mut seats) = (" ".repeat(name), " ".repeat(name));
        for fabric in fabrics {
            head += &" ".repeat(BETWEEN);
            head += &page.right(&harmless(fabric), 2 * CELL);
            seats += &" ".repeat(BETWEEN);
            seats += &(page.right("apart", CELL) + &page.right("on holes", CELL));
        }
        lines.extend([head, seats]);
        for grille in grilles.iter().take(MOST_GRILLES) {
            let mut line = page.left(&harmless(&grille.name), name);
            for fabric in fabrics {
                line += &" ".repeat(BETWEEN);
                for lies_on_holes in [false, true] {
                    let cell = cell(what_if, grille.id, (fabric, lies_on_holes));
                    line += &page.right(&cell, CELL);
                }
            }
            lines.push(line);
        }
    }
    let left_out = grilles.len().saturating_sub(MOST_GRILLES);
    if left_out > 0 {
        lines.push(format!("{left_out} more grilles: see ranking.json."));
    }
    lines
}

/// What the signs of the table mean.
pub(super) fn what_if_legend(result: &StudyResult) -> String {
    let rows = result.what_if.iter().flat_map(|what_if| &what_if.rows);
    let mut legend = "=: not behind the best of its column.".to_owned();
    if rows.into_iter().any(|row| row.rank.is_none()) {
        legend += " ?: known from its threads alone, a knit of yarn may cost many times as much as shown; it has no place before a bench reading.";
    }
    legend
}

/// A number with its range, and a sign where it is as good as the best of its column, or has no place.
fn cell(what_if: &WhatIf, grille: usize, column: (&str, bool)) -> String {
    let Some((row, is_best)) = what_if.cell(grille, column) else {
        return "-".to_owned();
    };
    let sign = match row.rank {
        None => "?",
        Some(_) if is_best => "=",
        Some(_) => " ",
    };
    let number = row.flow_percent.map_or_else(
        || figures(row.total_pressure_pa(), 1),
        |percent| figures(percent, 0),
    );
    number + sign
}

fn figures(likely: Likely, places: usize) -> String {
    format!(
        "{:.places$} ({:.places$}–{:.places$})",
        likely.value, likely.low, likely.high
    )
}
