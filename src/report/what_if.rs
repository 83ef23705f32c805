//! What each grille would make of the air with each fabric: a table for the screen.

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use crate::report::page::{Page, harmless};
use crate::report::tie_letters::letters_of;
use crate::report::{Likely, StudyResult};

/// Every grille with every fabric.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIf {
    /// Combinations, best first; those with a fabric that may not be ranked last.
    pub rows: Vec<WhatIfRow>,
    /// Groups of places in `rows` that cannot be told apart.
    pub ties: Vec<Vec<usize>>,
}

/// One grille with one fabric.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIfRow {
    /// The grille's name.
    pub grille: String,
    /// The fabric's name.
    pub fabric: String,
    /// Whether the fabric lies on the holes; otherwise it stands apart, over the fan's own area.
    pub lies_on_holes: bool,
    /// 1 and the number of combinations that are clearly better; `None` where the fabric may not be ranked.
    pub rank: Option<u32>,
    /// Flow.
    pub flow_m3_per_h: Likely,
    /// Flow in per cent of the bare fan; `None` when a flow was given.
    pub flow_percent: Option<Likely>,
    /// Pressure drop of the grille, Pa.
    pub grille_pressure_pa: f64,
    /// Pressure drop of the fabric and of all panels, Pa.
    pub fabric_pressure_pa: Likely,
}

/// Most combinations on the screen; the files have all.
const MOST_ROWS: usize = 24;

/// Columns of the numbers behind the names.
const NUMBERS: usize = 14;

/// The table, as lines in the width of the page; empty without fabrics.
pub(super) fn what_if_lines(result: &StudyResult, page: &Page) -> Vec<String> {
    let Some(what_if) = &result.what_if else {
        return Vec::new();
    };
    let letters = letters_of(&what_if.ties, what_if.rows.len());
    let shown = what_if.rows.iter().zip(&letters).take(MOST_ROWS);
    let tie = shown.clone().map(|(_, letters)| letters.len()).max();
    let tie = tie.unwrap_or(0);
    let seat = "on the holes".len();
    let start = 3 + if tie > 0 { tie + 1 } else { 0 };
    let names = page.width.saturating_sub(start + seat + 2 + NUMBERS);
    let longest = |of: &dyn Fn(&WhatIfRow) -> usize| what_if.rows.iter().map(of).max().unwrap_or(0);
    let grille = longest(&|row| row.grille.width()).min(names.saturating_sub(1) / 2);
    let fabric = longest(&|row| row.fabric.width())
        .min(names.saturating_sub(grille + 2))
        .max(6);
    let unit = if result.given_flow_m3_per_h.is_some() {
        "Pa"
    } else {
        "air, %"
    };
    let mut lines = vec![format!(
        "{}{} {}  {} {}",
        " ".repeat(start),
        page.left("grille", grille),
        page.left("fabric", fabric),
        page.left("where", seat),
        page.right(unit, NUMBERS - 1)
    )];
    for (row, letters) in shown {
        let place = row.rank.map_or("-".to_owned(), |rank| rank.to_string());
        let tied = if tie > 0 {
            page.left(letters, tie + 1)
        } else {
            String::new()
        };
        let seat_words = if row.lies_on_holes {
            "on the holes"
        } else {
            "apart"
        };
        let number = row.flow_percent.map_or_else(
            || figures(total_pressure(row), 1),
            |percent| figures(percent, 0),
        );
        lines.push(format!(
            "{} {tied}{} {}  {} {}",
            page.right(&place, 2),
            page.left(&harmless(&row.grille), grille),
            page.left(&harmless(&row.fabric), fabric),
            page.left(seat_words, seat),
            page.right(&number, NUMBERS - 1)
        ));
    }
    let left_out = what_if.rows.len().saturating_sub(MOST_ROWS);
    if left_out > 0 {
        lines.push(format!("   {left_out} more stand in ranking.json."));
    }
    lines
}

/// Whether some fabric has no place.
pub(super) fn has_unranked(result: &StudyResult) -> bool {
    let rows = result.what_if.iter().flat_map(|what_if| &what_if.rows);
    rows.into_iter().any(|row| row.rank.is_none())
}

/// Pressure drop of grille, fabric and panels together, Pa.
fn total_pressure(row: &WhatIfRow) -> Likely {
    let with_grille = |fabric: f64| fabric + row.grille_pressure_pa;
    let fabric = row.fabric_pressure_pa;
    Likely {
        value: with_grille(fabric.value),
        low: with_grille(fabric.low),
        high: with_grille(fabric.high),
    }
}

fn figures(likely: Likely, places: usize) -> String {
    format!(
        "{:.places$} ({:.places$}–{:.places$})",
        likely.value, likely.low, likely.high
    )
}
