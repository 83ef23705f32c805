//! The first screen: the verdict and why, the table, what to mind, the biggest doubt, what to run next. Everything else is a detail.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use crate::report::cautions::{NOT_IN_RANGES, PRINTING};
use crate::report::details::{Detail, write_details};
use crate::report::doubt::doubt_in_short;
use crate::report::fingers::finger_caution;
use crate::report::page::{Ink, Page, harmless};
use crate::report::profile_lines::Profiles;
use crate::report::reasons::why;
use crate::report::table::{Table, reason, table, why_missing};
use crate::report::verdict::{is_too_wide, reservation, told_flow, verdict};
use crate::report::what_if::fabric_line;
use crate::report::words::{names, shortened, span};
use crate::result::{GrilleResult, StudyResult};

/// Narrowest and widest screen that is laid out; other widths are taken as the nearer of the two.
pub const SCREEN_WIDTHS: (usize, usize) = (60, 160);

/// Columns before the text of a labelled paragraph.
const LABEL: usize = 15;

/// A study with more grilles than the first number shows the second.
pub(super) const MOST_ROWS: (usize, usize) = (12, 10);

/// The caution that stands on every screen.
const CAUTION: &str = "Simplified tool, no safety check: mind blades, mains, cooling, local rules.";

/// How the screen looks and what only the program knows.
#[derive(Debug, Clone, Copy)]
pub struct ScreenOptions<'a> {
    /// Columns; 80 where nothing is known.
    pub width: usize,
    /// Whether colour codes are written. Nothing is told by colour alone.
    pub has_colour: bool,
    /// Whether our own signs are limited to ASCII; letters of names stay.
    pub is_ascii: bool,
    /// Which details follow.
    pub details: &'a [Detail],
    /// Profiles of the air behind the foremost grilles.
    pub profiles: Option<&'a Profiles>,
    /// Files to look at: path and what it holds.
    pub files: &'a [Pointer<'a>],
    /// The command to run next and what for.
    pub next: Option<Pointer<'a>>,
}

/// A path or a command, and what it is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pointer<'a> {
    /// The path or command, to be copied from the screen.
    pub what: &'a str,
    /// What for, in a few words.
    pub why: &'a str,
}

/// Writes the first screen, and the details that are asked for.
///
/// # Errors
/// What `out` reports.
pub fn write_screen(
    result: &StudyResult,
    options: &ScreenOptions,
    out: impl Write,
) -> io::Result<()> {
    let page = Page {
        is_ascii: options.is_ascii,
        ..Page::of(options.width, options.has_colour)
    };
    let mut screen = Screen { page, out };
    screen.heading(result)?;
    screen.answer(result)?;
    writeln!(screen.out)?;
    screen.table(result)?;
    screen.missing(result)?;
    if let Some(line) = fabric_line(result) {
        screen.paragraph(&harmless(&line), None)?;
    }
    screen.cautions(result)?;
    if let Some(doubt) = doubt_in_short(result) {
        screen.paragraph(&harmless(&format!("Biggest doubt: {doubt}.")), None)?;
    }
    screen.next(result, options)?;
    if !options.details.is_empty() {
        writeln!(screen.out)?;
        write_details(&mut screen, result, options)?;
    }
    Ok(())
}

/// Where a screen is written.
pub(super) struct Screen<W> {
    /// How it looks.
    pub(super) page: Page,
    /// Where it goes.
    pub(super) out: W,
}

impl<W: Write> Screen<W> {
    /// The study, and what 100 % stands for.
    fn heading(&mut self, result: &StudyResult) -> io::Result<()> {
        let count = result.grilles.len();
        let quality = match &result.this_run.budget {
            Some(_) => format!("up to {} as time allowed", result.quality),
            None => result.quality.to_string(),
        };
        let of = match (&result.bare_flow_m3_per_h, result.given_flow_m3_per_h) {
            (Some(bare), _) => {
                let unit = result.output_units.flow;
                let [low, high] = [bare.low, bare.high].map(|flow| unit.of_m3_per_h(flow));
                let range = if high - low < 0.01 * high {
                    String::new()
                } else {
                    format!(" ({})", span(low, high, usize::from(high < 19.95)))
                };
                format!("; bare fan {}{range}", told_flow(result, bare.value))
            }
            (None, Some(flow)) => format!("; at {}", told_flow(result, flow)),
            (None, None) => String::new(),
        };
        let title = format!(
            "{}: {count} {}, {}, {quality}{of}",
            harmless(&shortened(&result.study)),
            if count == 1 { "grille" } else { "grilles" },
            result.side,
        );
        self.paragraph(&title, None)
    }

    fn answer(&mut self, result: &StudyResult) -> io::Result<()> {
        let verdict = harmless(&verdict(result));
        self.paragraph(&(capital(&verdict) + "."), Some(Ink::Strong))?;
        if !is_too_wide(result)
            && let Some(why) = why(result)
        {
            self.paragraph(&harmless(&format!("Why: {why}.")), None)?;
        }
        self.paragraph(&harmless(&reservation(result)), None)
    }

    fn table(&mut self, result: &StudyResult) -> io::Result<()> {
        let (most, shown) = MOST_ROWS;
        let rows = if result.grilles.len() > most {
            shown
        } else {
            result.grilles.len()
        };
        let table = table(result, &self.page, rows);
        self.lines(&table.lines)?;
        let left = result.grilles.len() - rows;
        if left > 0 {
            self.paragraph(&format!("{left} more: --details table"), None)?;
        }
        self.legend(result, &table)
    }

    /// Every grille, however many.
    pub(super) fn whole_table(&mut self, result: &StudyResult) -> io::Result<()> {
        let table = table(result, &self.page, result.grilles.len());
        self.lines(&table.lines)
    }

    fn lines(&mut self, lines: &[String]) -> io::Result<()> {
        lines
            .iter()
            .try_for_each(|line| writeln!(self.out, "{line}"))
    }

    /// How to read the table.
    fn legend(&mut self, result: &StudyResult, table: &Table) -> io::Result<()> {
        let mut parts = Vec::new();
        if table.has_ties {
            let more = if table.has_more_ties { ", + more" } else { "" };
            parts.push(format!("Same letter: not behind{more}."));
        }
        if table.scale.is_some() {
            parts.push("▒\u{a0}likely\u{a0}(95\u{a0}%).".to_owned());
        }
        if result.has_blades && result.grilles.iter().any(|grille| grille.rank.is_some()) {
            parts.push("Finger:\u{a0}mm\u{a0}to\u{a0}the\u{a0}blades\u{a0}needed.".to_owned());
        }
        if result.grilles.iter().any(|grille| grille.is_turn_undecided) {
            parts.push("(?)\u{a0}as\u{a0}if\u{a0}straight.".to_owned());
        }
        self.paragraph(&parts.join(" "), None)
    }

    fn missing(&mut self, result: &StudyResult) -> io::Result<()> {
        let mut kinds: Vec<(String, Vec<&GrilleResult>)> = Vec::new();
        for grille in result
            .grilles
            .iter()
            .filter(|g| result.measure(g).is_none())
        {
            let advice = why_missing(grille).map_or(String::new(), |w| format!("; {}", w.advice));
            let text = reason(grille) + &advice;
            match kinds.iter_mut().find(|(kind, _)| *kind == text) {
                Some((_, grilles)) => grilles.push(grille),
                None => kinds.push((text, vec![grille])),
            }
        }
        for (text, grilles) in &kinds {
            let text = format!("No number for {}: {text}.", names(grilles));
            self.paragraph(&harmless(&text), Some(Ink::Alert))?;
        }
        Ok(())
    }

    fn cautions(&mut self, result: &StudyResult) -> io::Result<()> {
        let leader = result.grilles.iter().find(|grille| grille.rank == Some(1));
        let printing = leader.and_then(|grille| {
            let mut warnings = grille.warnings.iter();
            let found = warnings.find(|warning| PRINTING.contains(&&*warning.code))?;
            Some(format!("{}: {}", shortened(&grille.name), found.message))
        });
        let mut texts = Vec::new();
        texts.extend(not_in_ranges(result));
        texts.extend(finger_caution(result).map(|text| capital(&text)));
        texts.extend(printing.map(|text| format!("Printing {text}.")));
        texts.push(CAUTION.to_owned());
        for text in texts {
            self.paragraph(&harmless(&text), Some(Ink::Alert))?;
        }
        Ok(())
    }

    /// The one command that goes on from here.
    fn next(&mut self, result: &StudyResult, options: &ScreenOptions) -> io::Result<()> {
        let Some(next) = options.next else {
            return Ok(());
        };
        let label = if is_too_wide(result) {
            "Decide:"
        } else {
            "Next:"
        };
        let [what, why] = [next.what, next.why].map(|text| self.page.spell(&harmless(text)));
        let line = format!("{label} {what}  ({why})");
        if line.width() <= self.page.width {
            return writeln!(self.out, "{line}");
        }
        // A command is copied as a whole, so never broken or cut.
        writeln!(self.out, "{label} {what}")?;
        for line in self.page.wrap(&format!("({why})"), self.page.width - 2) {
            writeln!(self.out, "  {line}")?;
        }
        Ok(())
    }
}

impl<W: Write> Screen<W> {
    /// Columns beside a label.
    pub(super) fn room(&self) -> usize {
        self.page.width - LABEL
    }

    /// Paths with what they hold.
    pub(super) fn pointers(&mut self, label: &str, pointers: &[Pointer]) -> io::Result<()> {
        let mut lines = Vec::new();
        for pointer in pointers {
            // Copied as a whole, so never broken or cut.
            lines.push(self.page.spell(&harmless(pointer.what)));
            let wrapped = self.page.wrap(&harmless(pointer.why), self.room() - 2);
            lines.extend(wrapped.iter().map(|line| format!("  {line}")));
        }
        self.block(label, None, &lines)
    }

    /// Text over the whole width.
    pub(super) fn paragraph(&mut self, text: &str, ink: Option<Ink>) -> io::Result<()> {
        for line in self.page.wrap(text, self.page.width) {
            let line = ink.map_or_else(|| line.clone(), |ink| self.page.ink(ink, &line));
            writeln!(self.out, "{line}")?;
        }
        Ok(())
    }

    /// A label, and texts beside it that each begin on a line of their own.
    pub(super) fn labelled(
        &mut self,
        label: &str,
        ink: Option<Ink>,
        texts: &[String],
    ) -> io::Result<()> {
        let room = self.room();
        let lines: Vec<String> = texts
            .iter()
            .flat_map(|text| self.page.wrap(text, room))
            .collect();
        self.block(label, ink, &lines)
    }

    /// A label and lines beside it.
    pub(super) fn block(
        &mut self,
        label: &str,
        ink: Option<Ink>,
        lines: &[String],
    ) -> io::Result<()> {
        for (i, line) in lines.iter().enumerate() {
            let start = self.page.left(if i == 0 { label } else { "" }, LABEL);
            let start = if i == 0 {
                self.page.ink(ink.unwrap_or(Ink::Strong), &start)
            } else {
                start
            };
            writeln!(self.out, "{}", format!("{start}{line}").trim_end())?;
        }
        Ok(())
    }
}

/// Doubts that may change places and are in no range, each once.
fn not_in_ranges(result: &StudyResult) -> Vec<String> {
    let mut texts: Vec<String> = Vec::new();
    let of_grilles = result.grilles.iter().flat_map(|grille| &grille.warnings);
    for warning in result.warnings.iter().chain(of_grilles) {
        let text = format!("Not in these ranges: {}.", warning.message);
        if NOT_IN_RANGES.contains(&&*warning.code) && !texts.contains(&text) {
            texts.push(text);
        }
    }
    texts
}

/// A sentence with a capital letter in front.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
