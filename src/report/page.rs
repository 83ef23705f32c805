//! Lines on a terminal: widths in columns, cutting, wrapping, colour, and a plain ASCII form.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use crate::report::screen::SCREEN_WIDTHS;
use crate::text::is_direction_mark;

/// How the page looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Page {
    /// Columns.
    pub(super) width: usize,
    /// Whether colour codes are written.
    pub(super) has_colour: bool,
    /// Whether our own signs are limited to ASCII.
    pub(super) is_ascii: bool,
}

/// What a piece of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    /// The answer and headings.
    Strong,
    /// The grilles in front.
    Leader,
    /// Something to mind.
    Alert,
}

/// Our signs beyond ASCII and what stands for them, one column each in a table.
const ASCII_FORMS: [(char, &str); 21] = [
    ('▁', "."),
    ('▂', ":"),
    ('▃', "-"),
    ('▄', "="),
    ('▅', "+"),
    ('▆', "*"),
    ('▇', "%"),
    ('█', "#"),
    ('▒', "="),
    ('┃', "|"),
    ('…', "~"),
    ('–', "-"),
    ('−', "-"),
    ('·', "."),
    ('±', "+-"),
    ('²', "^2"),
    ('³', "^3"),
    ('÷', "/"),
    ('ρ', "rho"),
    ('°', ""),
    ('\u{FFFD}', "?"),
];

/// A text cut to so many columns, with an ellipsis where something is missing.
pub fn cut(text: &str, columns: usize) -> String {
    if text.width() <= columns {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.chars() {
        let before = kept.len();
        kept.push(letter);
        if kept.width() + 1 > columns {
            kept.truncate(before);
            break;
        }
    }
    kept.truncate(kept.trim_end().len());
    kept + "…"
}

impl Page {
    /// A page of a terminal of this width, as far as that width is one to write on.
    pub(super) fn of(width: usize, has_colour: bool) -> Self {
        Self {
            width: width.clamp(SCREEN_WIDTHS.0, SCREEN_WIDTHS.1),
            has_colour,
            is_ascii: false,
        }
    }

    /// The text in the page's alphabet. Letters of names stay as they are.
    pub(super) fn spell(&self, text: &str) -> String {
        if !self.is_ascii {
            return text.to_owned();
        }
        let mut spelled = String::new();
        for letter in text.chars() {
            match ASCII_FORMS.iter().find(|(sign, _)| *sign == letter) {
                Some((_, form)) => spelled.push_str(form),
                None => spelled.push(letter),
            }
        }
        spelled
    }

    /// The text in an ink, if the page has colour.
    pub(super) fn ink(&self, ink: Ink, text: &str) -> String {
        if !self.has_colour || text.is_empty() {
            return text.to_owned();
        }
        let code = match ink {
            Ink::Strong => "1",
            Ink::Leader => "36",
            Ink::Alert => "33",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }

    /// The text cut to `room` columns, with an ellipsis where something is missing.
    pub(super) fn cut(&self, text: &str, room: usize) -> String {
        self.spell(&cut(&self.spell(text), room))
    }

    /// The text cut or filled to exactly `room` columns, flush left.
    pub(super) fn left(&self, text: &str, room: usize) -> String {
        let text = self.cut(text, room);
        let fill = room.saturating_sub(text.width());
        text + &" ".repeat(fill)
    }

    /// The text cut or filled to exactly `room` columns, flush right.
    pub(super) fn right(&self, text: &str, room: usize) -> String {
        let text = self.cut(text, room);
        " ".repeat(room.saturating_sub(text.width())) + &text
    }

    /// The text in lines of at most `room` columns, broken at spaces; a longer word stands alone, uncut (paths and commands must stay whole).
    pub(super) fn wrap(&self, text: &str, room: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in self.spell(text).split(' ').filter(|word| !word.is_empty()) {
            match lines.last_mut() {
                Some(line) if line.width() + 1 + word.width() <= room => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_owned()),
            }
        }
        // A no-break space keeps a number and its unit together while wrapping; copied from a terminal it would be a nuisance.
        lines
            .iter()
            .map(|line| line.replace('\u{a0}', " "))
            .collect()
    }
}

impl Page {
    /// Writes a text, wrapped to the page, without characters that could steer a terminal.
    pub(super) fn write(
        &self,
        out: &mut impl Write,
        text: &str,
        ink: Option<Ink>,
    ) -> io::Result<()> {
        for line in self.wrap(&harmless(text), self.width) {
            let line = ink.map_or_else(|| line.clone(), |ink| self.ink(ink, &line));
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}

/// A text from outside without characters that could steer a terminal or turn the line around.
pub fn harmless(text: &str) -> String {
    let is_harmful = |letter: char| letter.is_control() || is_direction_mark(letter);
    text.chars()
        .map(|letter| {
            if is_harmful(letter) {
                '\u{FFFD}'
            } else {
                letter
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: Page = Page {
        width: 80,
        has_colour: false,
        is_ascii: false,
    };

    #[test]
    fn wide_letters_count_two_columns() {
        assert_eq!(PAGE.left("ファン格子", 8), "ファン… ");
        assert_eq!(PAGE.left("ab", 4), "ab  ");
        assert_eq!(PAGE.right("0.62", 6), "  0.62");
        for room in 1..12 {
            assert_eq!(PAGE.left("ファン格子 five", room).width(), room);
        }
    }

    #[test]
    fn words_are_wrapped_and_never_lost() {
        let text = "one two three results/desk-fan/runs/long-name-123456/mean.vti four";
        let lines = PAGE.wrap(text, 20);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().filter(|line| line.width() > 20).count() == 1);
        assert_eq!(PAGE.wrap("8 to 13\u{a0}%", 8), ["8 to", "13 %"]);
    }

    #[test]
    fn names_cannot_steer_the_terminal() {
        assert_eq!(
            harmless("a\u{1b}[31mb\nc\u{202e}d"),
            "a\u{FFFD}[31mb\u{FFFD}c\u{FFFD}d"
        );
        assert_eq!(harmless("решётка ファン"), "решётка ファン");
    }

    #[test]
    fn the_ascii_form_has_no_sign_of_ours_beyond_ascii() {
        let page = Page {
            is_ascii: true,
            ..PAGE
        };
        for (sign, _) in ASCII_FORMS {
            assert!(page.spell(&sign.to_string()).is_ascii());
        }
    }
}
