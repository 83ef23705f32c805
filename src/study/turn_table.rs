//! How a pattern turns: `twist_deg`, `lean_deg`, `pattern_twist_deg` and what belongs to a twist.

use crate::grille::{CountedFrom, Hands, Turn};
use crate::study::diagnostics::Diagnostics;
use crate::study::key::{Choice, Key, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;

pub(super) const TWIST: Key = Key::number("twist_deg", Unit::DEGREES, -180.0, 180.0)
    .hint("give the angle from one face to the other in degrees; negative is left-handed along the flow")
    .varies("twist")
    .one_of(Choice::Turn);
pub(super) const FROM: WordKey<CountedFrom> = Key::text("twist_from")
    .varies("twist from")
    .needs("twist_deg")
    .means(&[
        ("mid-depth", CountedFrom::MidDepth),
        ("front", CountedFrom::Front),
        ("back", CountedFrom::Back),
    ])
    .or(CountedFrom::MidDepth);
pub(super) const HANDS: WordKey<Hands> = Key::text("twist_hands")
    .varies("hands")
    .needs("twist_deg")
    .means(&[("same", Hands::Same), ("alternate", Hands::Alternate)])
    .or(Hands::Same);
pub(super) const LEAN: Key = Key::number("lean_deg", Unit::DEGREES, -70.0, 70.0)
    .hint("give the angle between the hole's axis and the fan's axis in degrees")
    .varies("lean")
    .one_of(Choice::Turn);
pub(super) const PATTERN_TWIST: Key = Key::number("pattern_twist_deg", Unit::DEGREES, -90.0, 90.0)
    .hint("give the angle by which the whole pattern turns from face to face, in degrees")
    .varies("pattern twist")
    .one_of(Choice::Turn);

/// At most one of the three ways to turn. `None` only after a fault.
pub(super) fn of_holes(diagnostics: &mut Diagnostics<'_>, holes: &Table<'_>) -> Option<Turn> {
    let found = holes.at_most_one(diagnostics, &[&TWIST, &LEAN, &PATTERN_TWIST]);
    let counted_from = holes.word(diagnostics, &FROM);
    let hands = holes.word(diagnostics, &HANDS);
    holes.refuse_idle(diagnostics, &[&FROM.key, &HANDS.key]);
    if !found.is_some_and(|key| key.is(&TWIST)) {
        return lean(diagnostics, holes);
    }
    let angle = holes.number(diagnostics, &TWIST)?.si;
    let (counted_from, hands) = (counted_from?, hands?);
    Some(turn_or_straight(
        angle,
        Turn::Twist {
            angle,
            counted_from,
            hands,
        },
    ))
}

/// The same for rings and bars, which have no axes of their own to twist about.
pub(super) fn of_bars(diagnostics: &mut Diagnostics<'_>, bars: &Table<'_>) -> Option<Turn> {
    bars.at_most_one(diagnostics, &[&LEAN, &PATTERN_TWIST]);
    lean(diagnostics, bars)
}

/// Lean or pattern twist, whichever is there, or straight.
fn lean(diagnostics: &mut Diagnostics<'_>, table: &Table<'_>) -> Option<Turn> {
    if table.has(&LEAN) {
        let angle = table.number(diagnostics, &LEAN)?.si;
        return Some(turn_or_straight(angle, Turn::Lean { angle }));
    }
    let angle = table.number_or(diagnostics, &PATTERN_TWIST, 0.0)?.si;
    Some(turn_or_straight(angle, Turn::PatternTwist { angle }))
}

/// A turn by nothing is no turn.
fn turn_or_straight(angle: f64, turn: Turn) -> Turn {
    if angle.abs() > 0.0 {
        turn
    } else {
        Turn::Straight
    }
}

/// Writes a turn under its key; a straight pattern says so under `straight`.
pub(super) fn write(copy: &mut ResolvedCopy, turn: Turn, straight: &Key) {
    match turn {
        Turn::Straight => copy.number(straight, 0.0),
        Turn::Lean { angle } => copy.number(&LEAN, angle),
        Turn::PatternTwist { angle } => copy.number(&PATTERN_TWIST, angle),
        Turn::Twist {
            angle,
            counted_from,
            hands,
        } => {
            copy.number(&TWIST, angle);
            copy.word(&FROM, &counted_from);
            copy.word(&HANDS, &hands);
        }
    }
}
