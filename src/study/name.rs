//! What a name may be: one line that is seen and that reads as it is written.

use crate::text::{is_direction_mark, is_seen};

/// Most characters of a name.
const LONGEST: usize = 80;

/// What keeps a text, without spaces at its ends, from being the name of a study or of anything in it.
///
/// ```
/// use ventwright::study::name_trouble;
/// assert_eq!(name_trouble("wide triangles"), None);
/// assert!(name_trouble("\u{200b}").is_some());
/// ```
pub fn name_trouble(name: &str) -> Option<&'static str> {
    let is_break = |letter: char| letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}');
    if name.is_empty() {
        Some("is empty")
    } else if name.chars().count() > LONGEST {
        Some("is longer than 80 characters")
    } else if name.chars().any(is_break) {
        Some("has line breaks or control characters")
    } else if name.chars().any(is_direction_mark) {
        Some("has a mark that turns the direction of the letters and is not seen itself")
    } else if !name.chars().any(is_seen) {
        Some("has only characters that are not seen")
    } else {
        None
    }
}
