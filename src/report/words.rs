//! Words that several outputs share: names in a list, ranges, numbers of the ranking.

use unicode_width::UnicodeWidthStr;

use crate::result::GrilleResult;

/// Most names in one list; the rest is counted.
const MOST_NAMES: usize = 3;

/// Most columns of a name in a sentence.
const LONGEST_NAME: usize = 40;

/// "a", "a and b", "a, b and c", "a, b, c and d", "a, b, c and 4 more".
pub(super) fn names(grilles: &[&GrilleResult]) -> String {
    joined(grilles, "and")
}

/// The same with another word before the last: "a or b".
pub(super) fn joined(grilles: &[&GrilleResult], word: &str) -> String {
    // Naming one takes no more room than "1 more".
    let count = if grilles.len() == MOST_NAMES + 1 {
        grilles.len()
    } else {
        MOST_NAMES.min(grilles.len())
    };
    let mut parts: Vec<String> = grilles[..count]
        .iter()
        .map(|grille| shortened(&grille.name))
        .collect();
    if grilles.len() > count {
        parts.push(format!("{} more", grilles.len() - count));
    }
    match parts.pop() {
        Some(last) if !parts.is_empty() => format!("{} {word} {last}", parts.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// A name, cut to a length that leaves room for the sentence around it.
pub(super) fn shortened(name: &str) -> String {
    if name.width() <= LONGEST_NAME {
        return name.to_owned();
    }
    let mut kept = name.to_owned();
    while kept.width() >= LONGEST_NAME {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

/// Whether a name takes a verb in the plural ("fine triangles move"); any other is read as the name of one thing ("disc-3 moves").
pub(super) fn is_plural(name: &str) -> bool {
    name.ends_with('s') && !name.ends_with("ss") && name.is_ascii()
}

/// Two numbers as a range, "82 to 84", or one where they read alike.
pub(super) fn span(low: f64, high: f64, places: usize) -> String {
    let (low, high) = (format!("{low:.places$}"), format!("{high:.places$}"));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// How sure something is, in whole per cent and never quite certain.
pub(super) fn sure_percent(sureness: f64) -> String {
    if sureness > 0.99 {
        "over 99\u{a0}%".to_owned()
    } else {
        format!("{:.0}\u{a0}%", (100.0 * sureness).floor())
    }
}
