//! Numbers and names as the report writes them.

use unicode_width::UnicodeWidthChar;

use crate::likely::Likely;
use crate::report::{self, harmless};

/// Decimals at which the range of a value still shows; small values have one in any case.
fn places_for(likely: &Likely) -> usize {
    match likely.half_width() {
        half if half >= 0.75 && likely.value.abs() >= 9.95 => 0,
        half if half >= 0.075 => 1,
        _ => 2,
    }
}

/// `96.4 (95.3–97.5)`
pub(super) fn with_range(likely: &Likely) -> String {
    let places = places_for(likely);
    let Likely { value, low, high } = likely;
    if (high - low).abs() <= 0.0 {
        return format!("{value:.1}");
    }
    format!("{value:.places$} ({low:.places$}–{high:.places$})")
}

/// A name, cut to so many columns.
pub(super) fn cut(name: &str, columns: usize) -> String {
    report::cut(&harmless(name), columns)
}

/// About how wide a letter is, parts of the height of letters: as in usual fonts without serifs, rather too wide than too narrow.
fn letter_width(letter: char) -> f64 {
    match letter {
        _ if letter.width().unwrap_or(0) == 0 => 0.0,
        _ if letter.width() == Some(2) => 1.05,
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '\u{a0}' => 0.34,
        't' | 'f' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' => 0.44,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' => 1.0,
        _ if letter.is_uppercase() => 0.8,
        _ => 0.65,
    }
}

/// About how wide a text is, parts of the height of letters.
pub(super) fn text_width(text: &str) -> f64 {
    text.chars().map(letter_width).sum()
}

/// A name, cut to about such a width, parts of the height of letters.
pub(super) fn cut_to_width(name: &str, width: f64) -> String {
    let name = harmless(name);
    if text_width(&name) <= width {
        return name;
    }
    let mut room = width - letter_width('…');
    let mut kept = String::new();
    for letter in name.chars() {
        room -= letter_width(letter);
        if room < 0.0 {
            break;
        }
        kept.push(letter);
    }
    kept.trim_end().to_owned() + "…"
}

/// The first letter in upper case, a full stop at the end.
pub(super) fn sentence(text: &str) -> String {
    let text = harmless(text);
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let start: String = first.to_uppercase().collect();
    let end = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{start}{}{end}", letters.as_str())
}

/// `−12`, `0`, `7`: whole degrees.
pub(super) fn whole(value: f64) -> String {
    let rounded = value.round() + 0.0;
    let sign = if rounded < 0.0 { "−" } else { "" };
    format!("{sign}{:.0}", rounded.abs())
}

/// `12, 9 and 8`
pub(super) fn listed(values: &[String]) -> String {
    match values {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_cut_by_columns_and_cannot_turn_the_line_around() {
        assert_eq!(cut("hexagons", 8), "hexagons");
        assert_eq!(cut("hexagons, twisted", 9), "hexagons…");
        assert_eq!(cut("ファン格子", 8), "ファン…");
        assert_eq!(cut("a\u{202e}b", 8), "a\u{FFFD}b");
    }

    #[test]
    fn wide_letters_leave_room_for_fewer() {
        let long = |letter: &str| cut_to_width(&letter.repeat(100), 20.0).chars().count();
        let counts = ["W", "x", "i", "格"].map(long);
        assert_eq!(counts, [20, 30, 56, 19]);
        assert_eq!(cut_to_width("hexagons", 20.0), "hexagons");
    }

    #[test]
    fn ranges_show_at_their_decimals() {
        let likely = |value, half| Likely::symmetric(value, half);
        assert_eq!(with_range(&likely(96.4, 1.1)), "96 (95–98)");
        assert_eq!(with_range(&likely(96.42, 0.3)), "96.4 (96.1–96.7)");
        assert_eq!(with_range(&likely(5.81, 1.7)), "5.8 (4.1–7.5)");
        assert_eq!(with_range(&Likely::exact(103.0)), "103.0");
    }
}
