//! What a face or a zone carries: `[grille.holes]`, `[grille.rings]` or `[grille.bars]`.

use crate::grille::Pattern;
use crate::study::bars_table::{self, BARS, RINGS};
use crate::study::diagnostics::Diagnostics;
use crate::study::holes_table::{self, HOLES};
use crate::study::key::Key;
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

pub(super) const HOLES_OF_IT: Key = Key::table("holes", &HOLES)
    .hint("give the shape, size and rib of the holes; a plate over a vent has one pattern of them");
pub(super) const RINGS_OF_IT: Key = Key::table("rings", &RINGS);
pub(super) const BARS_OF_IT: Key = Key::table("bars", &BARS);

/// The pattern tables, of which exactly one is there.
pub(super) const PATTERNS: [&Key; 3] = [&HOLES_OF_IT, &RINGS_OF_IT, &BARS_OF_IT];

/// Checks the first pattern that is there. `None` only after a fault, which the caller may have noted.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, table: &Table<'_>) -> Option<Pattern> {
    if let Some(holes) = table.table(&HOLES_OF_IT) {
        holes_table::resolve(diagnostics, &holes).map(Pattern::Holes)
    } else if let Some(rings) = table.table(&RINGS_OF_IT) {
        bars_table::resolve_rings(diagnostics, &rings).map(Pattern::Rings)
    } else {
        let bars = table.table(&BARS_OF_IT)?;
        bars_table::resolve_bars(diagnostics, &bars).map(Pattern::Bars)
    }
}

/// Writes the pattern of `grille` or `grille.zone`.
pub(super) fn write(copy: &mut ResolvedCopy, carrier: &str, pattern: &Pattern) {
    let header = |key: &Key| format!("[{carrier}.{}]", key.name);
    match pattern {
        Pattern::Holes(holes) => holes_table::write(copy, &header(&HOLES_OF_IT), holes),
        Pattern::Rings(rings) => bars_table::write_rings(copy, &header(&RINGS_OF_IT), rings),
        Pattern::Bars(bars) => bars_table::write_bars(copy, &header(&BARS_OF_IT), bars),
    }
}
