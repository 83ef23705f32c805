//! Tables as comma-separated values in which a spreadsheet takes no text for a formula.

use std::io::Write;

/// What stands before a text that a spreadsheet would take for a formula. Spreadsheets show such a cell as text.
const GUARD: char = '\'';

/// Writes a table line by line, each cell guarded.
///
/// A text that begins with `=`, `+`, `-`, `@` or a control character (tab and carriage return among them) gets an apostrophe in front. Numbers stay as they are.
///
/// ```
/// let mut table = Vec::new();
/// let mut writer = ventwright::text::SpreadsheetWriter::new(&mut table);
/// writer.row(["=1+1", "-0.5", "comb"]).unwrap();
/// writer.end().unwrap();
/// assert_eq!(table, b"'=1+1,-0.5,comb\n");
/// ```
pub struct SpreadsheetWriter<W: Write>(csv::Writer<W>);

impl<W: Write> SpreadsheetWriter<W> {
    /// A table without a line.
    pub fn new(out: W) -> Self {
        Self(csv::Writer::from_writer(out))
    }

    /// Writes a line.
    ///
    /// # Errors
    /// What `out` reports, or that the line has not as many cells as the first one.
    pub fn row(
        &mut self,
        cells: impl IntoIterator<Item = impl AsRef<str>>,
    ) -> Result<(), csv::Error> {
        let cells = cells.into_iter();
        self.0
            .write_record(cells.map(|cell| guarded(cell.as_ref())))
    }

    /// Writes what is left.
    ///
    /// # Errors
    /// What `out` reports.
    pub fn end(mut self) -> Result<(), csv::Error> {
        Ok(self.0.flush()?)
    }
}

/// A cell as [`SpreadsheetWriter`] writes it.
fn guarded(cell: &str) -> String {
    let is_number = cell.parse::<f64>().is_ok_and(f64::is_finite) && !cell.starts_with('+');
    if is_formula(cell) && !is_number {
        format!("{GUARD}{cell}")
    } else {
        cell.to_owned()
    }
}

/// A cell as it was before [`SpreadsheetWriter`] guarded it.
///
/// ```
/// use ventwright::text::unguarded;
/// assert_eq!(unguarded("'=comb"), "=comb");
/// assert_eq!(unguarded("'comb'"), "'comb'");
/// ```
pub fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix(GUARD) {
        Some(text) if is_formula(text) => text,
        _ => cell,
    }
}

/// Whether a spreadsheet may take the cell for a formula. Guards before one count as one, so that each can be taken off again.
fn is_formula(cell: &str) -> bool {
    let text = cell.trim_start_matches(GUARD);
    text.starts_with(['=', '+', '-', '@']) || text.starts_with(char::is_control)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_guarded_and_numbers_are_not() {
        for text in [
            "=1+1", "+1", "-comb", "@sum", "\tcomb", "\rcomb", "'=1+1", "-1+1",
        ] {
            assert_eq!(guarded(text), format!("'{text}"));
        }
        for cell in ["", "comb", "a=b", "-0.5", "-3e-5", "1,5", "'comb'"] {
            assert_eq!(guarded(cell), cell);
        }
    }

    #[test]
    fn what_was_guarded_comes_back_as_it_was() {
        for text in [
            "=1+1", "'=1+1", "''=1+1", "-comb", "'comb", "''", "'", "", "comb", "-0.5", "'-0.5",
        ] {
            assert_eq!(unguarded(&guarded(text)), text, "{text:?}");
        }
    }
}
