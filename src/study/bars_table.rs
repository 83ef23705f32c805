//! `[grille.rings]` and `[grille.bars]`: ring slots held by bars, and bars alone.

use crate::grille::{BarPattern, RingPattern};
use crate::study::diagnostics::Diagnostics;
use crate::study::holes_table::{RIB, size};
use crate::study::key::{Key, Keys};
use crate::study::table::Table;
use crate::study::turn_table::{self, LEAN, PATTERN_TWIST};
use crate::study::write::ResolvedCopy;

const SLOT_WIDTH: Key = size("slot_width_mm").varies("slot width");
const BAR_COUNT: Key = Key::whole("bar_count", 1.0, 360.0)
    .hint("count the radial bars")
    .varies("bars");
const BAR_COUNT_OF_RINGS: Key = BAR_COUNT
    .from(0.0)
    .hint("count the radial bars that hold the rings; 0 if there are none");
const BAR_WIDTH: Key = Key::mm("bar_width_mm", 0.2, 100.0)
    .hint("give the width of a bar in mm, such as bar_width_mm = 2")
    .varies("bar width");

/// `[grille.rings]`
pub(super) const RINGS: Keys = Keys::new(
    "[grille.rings]",
    &[
        &SLOT_WIDTH,
        &RIB,
        &BAR_COUNT_OF_RINGS,
        &BAR_WIDTH,
        &LEAN,
        &PATTERN_TWIST,
    ],
)
.called("the table of rings");

/// `[grille.bars]`
pub(super) const BARS: Keys = Keys::new(
    "[grille.bars]",
    &[&BAR_COUNT, &BAR_WIDTH, &LEAN, &PATTERN_TWIST],
)
.called("the table of bars");

/// Checks `[grille.rings]`. `None` only after a fault.
pub(super) fn resolve_rings(
    diagnostics: &mut Diagnostics<'_>,
    rings: &Table<'_>,
) -> Option<RingPattern> {
    let slot_width = rings.number(diagnostics, &SLOT_WIDTH);
    let rib = rings.number(diagnostics, &RIB);
    let bar_count = rings.whole(diagnostics, &BAR_COUNT_OF_RINGS);
    let bar_width = match bar_count {
        // Without bars their width is of no importance, but must be something.
        Some(0) => rings.number(diagnostics, &BAR_WIDTH.from(0.0).or(0.0)),
        _ => rings.number(diagnostics, &BAR_WIDTH),
    };
    let turn = turn_table::of_bars(diagnostics, rings);
    Some(RingPattern {
        slot_width: slot_width?.si,
        rib: rib?.si,
        bar_count: bar_count?,
        bar_width: bar_width?.si,
        turn: turn?,
    })
}

/// Checks `[grille.bars]`. `None` only after a fault.
pub(super) fn resolve_bars(
    diagnostics: &mut Diagnostics<'_>,
    bars: &Table<'_>,
) -> Option<BarPattern> {
    let bar_count = bars.whole(diagnostics, &BAR_COUNT);
    let bar_width = bars.number(diagnostics, &BAR_WIDTH);
    let turn = turn_table::of_bars(diagnostics, bars);
    Some(BarPattern {
        bar_count: bar_count?,
        bar_width: bar_width?.si,
        turn: turn?,
    })
}

/// Writes `[grille.rings]` or that of a zone.
pub(super) fn write_rings(copy: &mut ResolvedCopy, header: &str, rings: &RingPattern) {
    copy.table(header);
    copy.number(&SLOT_WIDTH, rings.slot_width);
    copy.number(&RIB, rings.rib);
    copy.value(&BAR_COUNT, rings.bar_count);
    copy.number(&BAR_WIDTH, rings.bar_width);
    turn_table::write(copy, rings.turn, &LEAN);
}

/// Writes `[grille.bars]` or that of a zone.
pub(super) fn write_bars(copy: &mut ResolvedCopy, header: &str, bars: &BarPattern) {
    copy.table(header);
    copy.value(&BAR_COUNT, bars.bar_count);
    copy.number(&BAR_WIDTH, bars.bar_width);
    turn_table::write(copy, bars.turn, &LEAN);
}
