//! What the parts of the text of `check` share: a grille with what follows from it, and paragraphs of 80 columns.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::cli::expectation::Expectation;
use crate::grille::{Grille, GrilleGeometry};
use crate::study::Study;

/// Columns of the text.
pub(super) const COLUMNS: usize = 80;

/// One grille with what follows from its drawing.
#[derive(Debug)]
pub(super) struct CheckedGrille<'a> {
    pub(super) grille: &'a Grille,
    pub(super) geometry: &'a GrilleGeometry,
    pub(super) expectation: Option<Expectation>,
}

/// Open area over the reference area of the study.
pub(super) fn reference_share(study: &Study, geometry: &GrilleGeometry) -> f64 {
    geometry.open_area / study.reference_area()
}

/// A paragraph in 80 columns; further lines are indented by two more.
pub(super) fn write_wrapped(out: &mut String, indent: &str, text: &str) -> std::fmt::Result {
    let mut line = indent.to_owned();
    let mut is_empty = true;
    for word in text.split_whitespace() {
        if !is_empty && line.width() + 1 + word.width() > COLUMNS {
            writeln!(out, "{line}")?;
            line = format!("{indent}  ");
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line += word;
        is_empty = false;
    }
    writeln!(out, "{line}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_before_the_81st_column() {
        let mut text = String::new();
        write_wrapped(&mut text, "  ", &"grille ".repeat(60)).unwrap();
        assert!(text.lines().count() > 4);
        assert!(text.lines().all(|line| line.width() <= COLUMNS));
    }
}
