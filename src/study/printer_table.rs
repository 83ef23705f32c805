//! `[printer]`: what the maker's printer does to a part.

use crate::grille::Printer;
use crate::study::diagnostics::Diagnostics;
use crate::study::key::{Key, Keys};
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

const HOLE_ERROR: Key = Key::mm("printed_hole_error_mm", -1.0, 1.0)
    .or(0.0)
    .hint("print a hole, measure its width, and give measured minus drawn in mm: -0.2 where 5 mm come out as 4.8");

/// `[printer]`
pub(super) const PRINTER: Keys = Keys::new("[printer]", &[&HOLE_ERROR]);

/// Checks `[printer]`. `None` only after a fault.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, printer: &Table<'_>) -> Option<Printer> {
    let hole_error = printer.number(diagnostics, &HOLE_ERROR)?.si;
    Some(Printer { hole_error })
}

/// Writes `[printer]`.
pub(super) fn write(copy: &mut ResolvedCopy, printer: Printer) {
    copy.table(PRINTER.header);
    copy.number(&HOLE_ERROR, printer.hole_error);
}
