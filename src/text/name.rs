//! Names: the one that is taken, and the letters that nobody sees.

/// What the fan without a grille is called, wherever it stands beside grilles.
pub const BARE_FAN: &str = "bare fan";

/// Whether a name stands for the bare fan; large and small letters, spaces and the word *fan* do not matter.
///
/// ```
/// use ventwright::text::is_bare_fan;
/// assert!(is_bare_fan(" Bare  FAN"));
/// assert!(!is_bare_fan("bare fan, wide"));
/// ```
pub fn is_bare_fan(name: &str) -> bool {
    let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
    words == ["bare", "fan"] || words == ["bare"]
}

/// Whether a letter turns the direction of those after it, so that a name reads as another one.
///
/// These are the Unicode characters with the property `Bidi_Control` (Unicode Standard Annex 9, section 2).
pub fn is_direction_mark(letter: char) -> bool {
    matches!(
        letter,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
    )
}

/// Whether a letter leaves anything to be seen: no space, no control character, none of those that Unicode lets a screen leave out.
pub fn is_seen(letter: char) -> bool {
    !letter.is_whitespace() && !letter.is_control() && !is_left_out(letter)
}

/// Unicode's property `Default_Ignorable_Code_Point` (`DerivedCoreProperties.txt`, from memory), and the Braille pattern without a dot.
fn is_left_out(letter: char) -> bool {
    matches!(
        letter,
        '\u{ad}'
            | '\u{34f}'
            | '\u{61c}'
            | '\u{115f}'..='\u{1160}'
            | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{2800}'
            | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff0}'..='\u{fff8}'
            | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bare_fan_is_known_by_all_its_spellings() {
        for name in ["bare fan", "Bare Fan", "BARE", " bare\u{a0}fan "] {
            assert!(is_bare_fan(name), "{name:?}");
        }
        for name in ["", "fan", "barefan", "bare fan 2", "threadbare fan"] {
            assert!(!is_bare_fan(name), "{name:?}");
        }
    }

    #[test]
    fn what_is_seen_and_what_is_not() {
        let unseen = " \u{a0}\u{3000}\u{200b}\u{200d}\u{2060}\u{feff}\u{ad}\u{3164}\u{7}\n";
        assert!(!unseen.chars().any(is_seen));
        assert!("a1é格-\u{1f300}".chars().all(is_seen));
    }
}
