//! Codes of the faults, and what to do about each.

use crate::study::fan_speed::MOST_SPEED_RATIO;
use crate::study::fault::{FaultKind, join};

impl FaultKind {
    /// Fixed short code of this kind of fault.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotText { .. } => "not-text",
            Self::TooLarge { .. } => "file-too-large",
            Self::Empty => "empty-file",
            Self::UnreadableFile { .. } => "unreadable-file",
            Self::Syntax { .. } => "syntax",
            Self::WrongType { .. } => "wrong-type",
            Self::UnknownKey { .. } => "unknown-key",
            Self::UnknownFormat { .. } => "unknown-format",
            Self::Missing { .. } => "missing-key",
            Self::NeedsOneOf { .. } => "needs-one-of",
            Self::Excludes { .. } => "keys-exclude",
            Self::OutOfRange { .. } => "out-of-range",
            Self::NeitherZeroNor { .. } => "neither-zero-nor-in-range",
            Self::NotFinite { .. } => "not-finite",
            Self::NotWhole { .. } => "not-whole",
            Self::UnknownWord { .. } => "unknown-word",
            Self::BadName { .. } => "bad-name",
            Self::ReservedName { .. } => "reserved-name",
            Self::DuplicateName { .. } => "duplicate-name",
            Self::NoGrille => "no-grille",
            Self::TooManyGrilles { .. } => "too-many-grilles",
            Self::UnknownBase { .. } => "unknown-base",
            Self::CannotVary { .. } => "cannot-vary",
            Self::NothingToVary { .. } => "nothing-to-vary",
            Self::StepAway { .. } => "step-away",
            Self::KeyNotForShape { .. } => "key-not-for-shape",
            Self::LayoutNotForShape { .. } => "layout-not-for-shape",
            Self::MeansNothing { .. } => "means-nothing",
            Self::NoClockTime { .. } => "no-clock-time",
            Self::SpeedFarOff { .. } => "speed-far-off",
            Self::SlotTooShort { .. } => "slot-too-short",
            Self::HubTooLarge { .. } => "hub-too-large",
            Self::ExitTooShort { .. } => "exit-too-short",
            Self::ExitOutsideFan { .. } => "exit-outside-fan",
            Self::ExitNotRising { .. } => "exit-not-rising",
            Self::ExitWithoutAir => "exit-without-air",
            Self::MeterBesideBore { .. } => "meter-beside-bore",
            Self::UnknownGrille { .. } => "unknown-grille",
            Self::NeedsBore { .. } => "key-needs-bore",
            Self::NoViews => "no-views",
            Self::RakeWithoutLength { .. } => "rake-without-length",
            Self::NothingLeft { .. } => "nothing-left-open",
            Self::EdgesTooDeep { .. } => "edges-too-deep",
            Self::EdgeTooWide { .. } => "edge-too-wide",
            Self::ZoneInsideOut { .. } => "zone-inside-out",
            Self::ZoneOutsideFace { .. } => "zone-outside-face",
            Self::ZonesOverlap { .. } => "zones-overlap",
            Self::Drawing { error, .. } => error.code(),
            Self::Curve(fault) => fault.code(),
            Self::Fabric(fault) => fault.code(),
            Self::TooManyCells { .. } => "too-many-cells",
        }
    }

    /// What to do about it, in one line.
    pub fn hint(&self) -> String {
        match self {
            Self::NotText { .. } => {
                "save the file as plain text (UTF-8); is it a picture, an archive or a document?"
                    .to_owned()
            }
            Self::TooLarge { .. } => "a study takes a few kilobytes: is this the right file?".to_owned(),
            Self::Empty => "start from `ventwright new NAME`, which writes a commented study".to_owned(),
            Self::UnreadableFile { .. } => {
                "give the path relative to the folder of the study file, with / between folders".to_owned()
            }
            Self::Syntax { has_decimal_comma: true, .. } => {
                "write a decimal point, not a comma: 1.2, not 1,2".to_owned()
            }
            Self::Syntax { has_bad_escape: true, .. } => {
                "a backslash begins a sign such as \\u00e9: write / between folders, and a backslash itself twice".to_owned()
            }
            Self::Syntax { .. } => {
                "write keys as `rib_mm = 1.2`, tables as `[fan]` or `[[grille]]`, and words in \"quotation marks\"".to_owned()
            }
            Self::WrongType { .. } => {
                "write numbers without quotation marks and with a decimal point, and words in \"quotation marks\"".to_owned()
            }
            Self::UnknownKey { key, known, stands_in } => unknown_key_hint(key, known, stands_in),
            Self::UnknownFormat { found, supported } if *found > i64::from(*supported) => {
                "this study was written for a later version of ventwright: install that version".to_owned()
            }
            Self::UnknownFormat { supported, .. } => format!("write format = {supported}"),
            Self::Missing { hint, .. }
            | Self::OutOfRange { hint, .. }
            | Self::NeitherZeroNor { hint, .. } => (*hint).to_owned(),
            Self::NeedsOneOf { keys, .. } => format!("add {}, and only one of them", join(keys)),
            Self::Excludes { key, other } => format!("keep either {other} or {key}"),
            Self::NotFinite { .. } => "write a plain number".to_owned(),
            Self::NotWhole { .. } => "write a whole number".to_owned(),
            Self::UnknownWord { key, value, allowed } => match closest(value, allowed.iter().copied()) {
                Some(word) => format!("did you mean {key} = \"{word}\"?"),
                None => "use one of these words, spelled exactly like this".to_owned(),
            },
            Self::BadName { .. } => {
                "type a name of 1 to 80 characters on one line, such as \"wide triangles\"".to_owned()
            }
            Self::ReservedName { .. } => {
                "give the grille another name; the bare fan is in every comparison without it".to_owned()
            }
            Self::DuplicateName { .. } => "give each one its own name; the ranking shows it".to_owned(),
            Self::NoGrille => "add at least one [[grille]]".to_owned(),
            Self::TooManyGrilles { .. } => "shorten the lists of the series, or split the study".to_owned(),
            Self::UnknownBase { base, known } => {
                match closest(base, known.iter().map(String::as_str)) {
                    Some(name) => format!("did you mean base = \"{name}\"?"),
                    None => "base must be the name of a [[grille]] in this file".to_owned(),
                }
            }
            Self::CannotVary { .. } => {
                "vary only keys that the base grille has; with zones only thickness_mm, border_mm and centre_disc_mm".to_owned()
            }
            Self::NothingToVary { .. } => "give a list of values, such as rib_mm = [0.8, 1.2, 1.6]".to_owned(),
            Self::StepAway { .. } => "give a step above 0 to count up, below 0 to count down".to_owned(),
            Self::KeyNotForShape { shape, wanted, .. } => format!("the size of \"{shape}\" is given by {wanted}"),
            Self::LayoutNotForShape { .. } => "use layout = \"square\" or layout = \"staggered\"; \"up-down\" is for triangles".to_owned(),
            Self::SpeedFarOff { given, .. } => format!(
                "give a speed from {:.0} to {:.0}, or a curve measured at a speed closer to it",
                given / MOST_SPEED_RATIO,
                given * MOST_SPEED_RATIO
            ),
            Self::NoClockTime { .. } => "write hours and minutes on the 24-hour clock, such as \"07:00\"".to_owned(),
            Self::MeansNothing { key, needed } => format!("add {needed} or remove {key}"),
            Self::SlotTooShort { .. } => {
                "swap length_mm and width_mm, or use shape = \"round\" with diameter_mm".to_owned()
            }
            Self::HubTooLarge { .. } => "both are diameters; for hub_mm measure the solid middle of the fan".to_owned(),
            Self::ExitTooShort { .. } => "give points from hub to tip, or write exit_profile = \"outboard\" instead".to_owned(),
            Self::ExitOutsideFan { low, high, .. } => format!("radii are measured from the axis: stay between {low} and {high}"),
            Self::ExitNotRising { .. } => "write the points from the hub outwards, each radius once".to_owned(),
            Self::ExitWithoutAir => "give the air speed at each radius; only the ratios matter".to_owned(),
            Self::MeterBesideBore { .. } => "position_mm is the distance from the fan's axis to the middle of the wheel".to_owned(),
            Self::UnknownGrille { name, known } => {
                match closest(name, known.iter().map(String::as_str)) {
                    Some(known) => format!("did you mean grille = \"{known}\"?"),
                    None => "draw the second grille as its own [[grille]], or give its K as k".to_owned(),
                }
            }
            Self::NeedsBore { key } => format!(
                "remove {key}: at a vent the air arrives evenly and straight on, and a plate has one pattern of holes; or remove [vent] and give bore_mm and hub_mm"
            ),
            Self::NoViews => "name at least one of \"fan\", \"slice\" and \"repeat\", or leave views out".to_owned(),
            Self::RakeWithoutLength { .. } => "make to_mm larger than from_mm".to_owned(),
            Self::NothingLeft { .. } => "make border_mm or centre_disc_mm smaller; the border takes its width on both sides".to_owned(),
            Self::EdgesTooDeep { .. } => "make radius_mm or chamfer_mm smaller, or the plate thicker".to_owned(),
            Self::EdgeTooWide { rib, .. } => format!("use at most half of the rib: {}", rib / 2.0),
            Self::ZoneInsideOut { .. } => "outer_diameter_mm must be the larger of the two".to_owned(),
            Self::ZoneOutsideFace { low, high, .. } => format!("stay between {low} and {high}, or change border_mm or centre_disc_mm"),
            Self::ZonesOverlap { other_outer, .. } => format!("write the zones from the inside out, and start this one at {other_outer} or more"),
            Self::Drawing { error, .. } => error.hint(),
            Self::Curve(fault) => fault.hint().to_owned(),
            Self::Fabric(fault) => fault.hint(),
            Self::TooManyCells { .. } => {
                "use a lower quality, allow more with memory_gb in [run], or look for a size in the wrong unit".to_owned()
            }
        }
    }
}

/// Names the table in which the key stands, the key that was probably meant, or all that exist.
fn unknown_key_hint(key: &str, known: &[&str], stands_in: &[&str]) -> String {
    let meant = closest(key, known.iter().copied());
    match (stands_in, meant) {
        ([], Some(word)) => format!("did you mean {word}?"),
        ([], None) if known.is_empty() => "remove it".to_owned(),
        ([], None) => format!("known here: {}", known.join(", ")),
        (tables, None) => format!("{key} stands in {}", join(tables)),
        (tables, Some(word)) => {
            format!("did you mean {word}? {key} stands in {}", join(tables))
        }
    }
}

/// The candidate that differs from `word` in the fewest letters, if in less than half of them.
pub(super) fn closest<'a>(
    word: &str,
    candidates: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    candidates
        .map(|candidate| (letter_edits(word, candidate), candidate))
        .filter(|(edits, candidate)| 2 * edits < candidate.chars().count().max(3))
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// How many letters must be added, removed or changed to make `b` of `a` (Levenshtein distance).
fn letter_edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().take(80).collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, letter) in a.chars().take(80).enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, other) in b.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *other);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letter_edits_of_the_textbook_pair() {
        // kitten -> sitting takes three edits: the usual example of the Levenshtein distance (from memory, checked by hand).
        assert_eq!(letter_edits("kitten", "sitting"), 3);
        assert_eq!(letter_edits("", "abc"), 3);
        assert_eq!(letter_edits("rib_mm", "rib_mm"), 0);
    }

    #[test]
    fn a_mistyped_key_is_recognised() {
        let known = ["thickness_mm", "border_mm", "rib_mm"];
        assert_eq!(closest("ribs_mm", known.into_iter()), Some("rib_mm"));
        assert_eq!(closest("colour", known.into_iter()), None);
    }
}
