//! The table of `check`: one line for each grille.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::cli::checked::{CheckedGrille, reference_share, write_wrapped};
use crate::study::Study;

/// One line for each grille, and what the columns mean.
pub(super) fn write_table(
    out: &mut String,
    study: &Study,
    grilles: &[CheckedGrille<'_>],
) -> std::fmt::Result {
    write_rows(out, study, grilles)?;
    write_wrapped(
        out,
        "",
        "hole %: hole area in per cent of the reference area; width: effective hole width (hydraulic diameter Dh) in mm; t/Dh: thickness \
         over it; rib: the thinnest over the whole thickness in mm; Re: Reynolds number in the holes, on Dh, at the flow expected from a \
         handbook; book K: K from that handbook on the reference area, - outside the range of its formula. With several zones, the innermost.",
    )?;
    writeln!(out)
}

/// One line for each grille under the names of the columns.
pub(super) fn write_rows(
    out: &mut String,
    study: &Study,
    grilles: &[CheckedGrille<'_>],
) -> std::fmt::Result {
    let name_columns = grilles
        .iter()
        .map(|checked| checked.grille.name.width())
        .max()
        .unwrap_or(0)
        .clamp(6, 31);
    writeln!(
        out,
        "{}  hole %  holes  width  t/Dh   rib     Re  book K",
        padded("grille", name_columns)
    )?;
    for checked in grilles {
        let geometry = &checked.geometry;
        let Some(zone) = geometry.zones.first() else {
            continue;
        };
        let least_rib = geometry.zones.iter().map(|zone| zone.least_rib);
        let least_rib = least_rib.fold(f64::INFINITY, f64::min);
        let expectation = checked.expectation.as_ref();
        let reynolds_number = expectation
            .and_then(|expectation| expectation.hole_reynolds_numbers.first())
            .map_or("-".to_owned(), |number| format!("{number:.0}"));
        let handbook = expectation
            .and_then(|expectation| expectation.handbook.ok())
            .map_or("-".to_owned(), |(loss, _)| format!("{loss:.2}"));
        let shares = reference_share(study, geometry);
        writeln!(
            out,
            "{}  {:>6.1}  {:>5}  {:>5.2}  {:>4.2}  {:>4.2}  {:>5}  {:>6}",
            padded(&checked.grille.name, name_columns),
            100.0 * shares,
            geometry.hole_count,
            zone.hydraulic_diameter * 1000.0,
            zone.thickness_ratio,
            least_rib * 1000.0,
            reynolds_number,
            handbook
        )?;
    }
    Ok(())
}

/// The text in exactly this many columns of a terminal; if longer, `..` stands in place of its middle.
fn padded(text: &str, columns: usize) -> String {
    let mut fitting = text.to_owned();
    if fitting.width() > columns {
        let mut letters: Vec<char> = text.chars().collect();
        let mut middle = letters.len() / 2;
        while letters.iter().collect::<String>().width() + 2 > columns && letters.len() > 1 {
            middle = middle.min(letters.len() - 1);
            letters.remove(middle);
            middle = letters.len() / 2;
        }
        fitting = letters[..middle]
            .iter()
            .chain(&['.', '.'])
            .chain(&letters[middle..])
            .collect();
    }
    let missing = columns.saturating_sub(fitting.width());
    fitting + &" ".repeat(missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_count_for_two_columns() {
        assert_eq!(padded("格栅", 6), "格栅  ");
        assert_eq!(padded("hexagons", 6), "he..ns");
    }
}
