//! Text from outside in what is pasted into forums and notes.

use crate::report::page::harmless;

/// A text from outside that Markdown and HTML take as letters and nothing else.
///
/// ```
/// use ventwright::report::forum::plain;
/// assert_eq!(plain("<b>|*wide*"), "&lt;b&gt;\\|\\*wide\\*");
/// ```
pub fn plain(text: &str) -> String {
    let mut plain = String::new();
    let text = harmless(text);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '&' => plain += "&amp;",
            '<' => plain += "&lt;",
            '>' => plain += "&gt;",
            // Any of them may be written with a backslash before it (CommonMark 0.31, section 2.4).
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '!' => {
                plain.extend(['\\', letter]);
            }
            // Addresses and mentions that forums make into links.
            '@' => plain += "&#64;",
            ':' if letters.peek() == Some(&'/') => plain += "&#58;",
            _ => plain.push(letter),
        }
    }
    plain
}
