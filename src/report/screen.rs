//! The first screen: the answer, the ranking, the biggest doubt, what to mind, what to look at and what to run next.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use crate::report::air_path::air_path_lines;
use crate::report::budget_lines::budget_lines;
use crate::report::cautions::CAUTIONS;
use crate::report::doubt::biggest_doubt;
use crate::report::fan_view_lines::fan_view_lines;
use crate::report::meter_lines::meter_lines;
use crate::report::oblique::oblique_lines;
use crate::report::page::{Ink, Page, harmless};
use crate::report::pairs::tie_lines;
use crate::report::profile_lines::{Profiles, profile_lines};
use crate::report::sentence::{answer, is_undecided, measure, names, reservation, shortened};
use crate::report::table::{
    Table, UNDECIDED_MARK, compact, cubic_feet_per_minute, reason, round, table, why,
};
use crate::report::warning_texts::warning_texts;
use crate::report::what_if::{what_if_legend, what_if_lines};
use crate::report::{GrilleResult, Likely, StudyResult};

/// Narrowest and widest screen that is laid out; other widths are taken as the nearer of the two.
pub const SCREEN_WIDTHS: (usize, usize) = (60, 160);

/// Columns before the text of a labelled paragraph.
const LABEL: usize = 15;

/// Most warnings that are told on the screen; the files have all.
const MOST_WARNINGS: usize = 6;

/// How the screen looks and what only the program knows.
#[derive(Debug, Clone, Copy)]
pub struct ScreenOptions<'a> {
    /// Columns; 80 where nothing is known.
    pub width: usize,
    /// Whether colour codes are written. Nothing is told by colour alone.
    pub has_colour: bool,
    /// Whether our own signs are limited to ASCII; letters of names stay.
    pub is_ascii: bool,
    /// Profiles of the air behind the foremost grilles.
    pub profiles: Option<&'a Profiles>,
    /// Files to look at: path and what it holds.
    pub files: &'a [Pointer<'a>],
    /// What to run next: command and what for.
    pub next: &'a [Pointer<'a>],
}

/// A path or a command, and what it is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pointer<'a> {
    /// The path or command, to be copied from the screen.
    pub what: &'a str,
    /// What for, in a few words.
    pub why: &'a str,
}

/// Writes the first screen.
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
    screen.answer(result)?;
    let table = table(result, &page);
    for line in &table.lines {
        writeln!(screen.out, "{line}")?;
    }
    writeln!(screen.out)?;
    screen.footnotes(result, &table)?;
    writeln!(screen.out)?;
    screen.missing(result)?;
    screen.what_if(result)?;
    screen.labelled("Ties", None, &tie_texts(result))?;
    let air_path = air_path_lines(result, &screen.page, screen.page.width - LABEL);
    screen.labelled(
        "Air path",
        None,
        &air_path
            .iter()
            .map(|line| harmless(line))
            .collect::<Vec<_>>(),
    )?;
    screen.labelled("Swirl", None, &oblique_lines(result))?;
    screen.labelled("Behind grille", None, &fan_view_lines(result))?;
    screen.profiles(options.profiles)?;
    screen.labelled("Meter", None, &meter_lines(result))?;
    screen.warming(result)?;
    screen.biggest_doubt(result)?;
    let budget = budget_lines(result);
    let budget: Vec<String> = budget.iter().map(|line| harmless(line)).collect();
    screen.labelled("Time budget", None, &budget)?;
    screen.cautions(result)?;
    screen.pointers("Look at", options.files)?;
    screen.pointers("Run next", options.next)
}

struct Screen<W> {
    page: Page,
    out: W,
}

impl<W: Write> Screen<W> {
    fn answer(&mut self, result: &StudyResult) -> io::Result<()> {
        let count = result.grilles.len();
        let quality = match &result.budget {
            Some(_) => format!("up to quality {} as time allowed", result.quality),
            None => format!("quality {}", result.quality),
        };
        let title = format!(
            "{}: {count} {} on the {} side, {}",
            harmless(&shortened(&result.study)),
            if count == 1 { "grille" } else { "grilles" },
            result.side,
            quality,
        );
        self.paragraph(&title, None)?;
        writeln!(self.out)?;
        self.paragraph(&(harmless(&answer(result)) + "."), Some(Ink::Strong))?;
        self.paragraph(&harmless(&reservation(result)), None)?;
        writeln!(self.out)
    }

    /// What the columns mean.
    fn footnotes(&mut self, result: &StudyResult, table: &Table) -> io::Result<()> {
        if let Some(scale) = table.scale {
            let what = match result.given_flow_m3_per_h {
                Some(flow) => format!(
                    "pressure drop in Pa at {}\u{a0}m³/h ({}\u{a0}CFM)",
                    round(flow),
                    compact(cubic_feet_per_minute(flow))
                ),
                None => "air in per cent of what the bare fan moves".to_owned(),
            };
            let start = if scale.is_cut() { ", not from 0" } else { "" };
            self.paragraph(
                &format!(
                    "Bars: {what}, from {} to {}{start}; ▒\u{a0}likely range (95\u{a0}%), ┃\u{a0}best estimate.",
                    round(scale.low),
                    round(scale.high)
                ),
                None,
            )?;
        }
        if let Some(bare) = result.bare_flow_m3_per_h {
            self.paragraph(&bare_fan(&bare), None)?;
        }
        if table.has_ties {
            let more = if table.has_more_ties {
                "; + stands for further ties, which the files list"
            } else {
                ""
            };
            self.paragraph(
                &format!("Tie: grilles that share a letter cannot be told apart{more}; a place counts those clearly ahead."),
                None,
            )?;
        }
        if result.grilles.iter().any(is_undecided) {
            self.paragraph(
                &format!("{UNDECIDED_MARK}: turned, but run as straight; its place is undecided."),
                None,
            )?;
        }
        let area = result.reference_area_m2 * 1e4;
        let words = harmless(&result.reference_area_words);
        self.paragraph(
            &format!("K (loss coefficient): pressure drop ÷ (0.5\u{a0}ρ\u{a0}U²), U = flow ÷ {}\u{a0}cm² ({words}).", round((area * 10.0).round() / 10.0)),
            None,
        )
    }

    fn missing(&mut self, result: &StudyResult) -> io::Result<()> {
        let mut kinds: Vec<(String, Vec<&GrilleResult>)> = Vec::new();
        for grille in result
            .grilles
            .iter()
            .filter(|g| measure(result, g).is_none())
        {
            let advice = why(grille).map_or(String::new(), |w| format!("; {}", w.advice));
            let text = reason(grille) + &advice;
            match kinds.iter_mut().find(|(kind, _)| *kind == text) {
                Some((_, grilles)) => grilles.push(grille),
                None => kinds.push((text, vec![grille])),
            }
        }
        let lines: Vec<String> = kinds
            .iter()
            .map(|(text, grilles)| harmless(&format!("{}: {text}.", names(grilles))))
            .collect();
        self.labelled("No number", Some(Ink::Alert), &lines)
    }

    /// Each grille with each fabric.
    fn what_if(&mut self, result: &StudyResult) -> io::Result<()> {
        let lines = what_if_lines(result, &self.page);
        if lines.is_empty() {
            return Ok(());
        }
        let unit = match result.given_flow_m3_per_h {
            None => "air in per cent of what the bare fan moves",
            Some(_) => "Pa of both together",
        };
        let title = format!("What if a grille had a fabric, over the fan's own area: {unit}.");
        self.paragraph(&title, Some(Ink::Strong))?;
        writeln!(self.out)?;
        for line in lines {
            writeln!(self.out, "{}", line.trim_end())?;
        }
        writeln!(self.out)?;
        self.paragraph(&what_if_legend(result), None)?;
        writeln!(self.out)
    }

    /// How fast the air is behind each grille.
    fn profiles(&mut self, profiles: Option<&Profiles>) -> io::Result<()> {
        let room = self.page.width - LABEL;
        let told = profiles.and_then(|profiles| profile_lines(profiles, &self.page, room));
        let Some((heading, drawn)) = told else {
            return Ok(());
        };
        let mut lines = self.page.wrap(&heading, room);
        lines.extend(drawn);
        self.block("Profile", None, &lines)
    }

    /// How much the air warms, when a heat load was given.
    fn warming(&mut self, result: &StudyResult) -> io::Result<()> {
        let Some(heat) = result.heat_load_w else {
            return Ok(());
        };
        let rises: Vec<f64> = result
            .grilles
            .iter()
            .filter(|g| g.rank.is_some())
            .filter_map(|g| g.temperature_rise_k)
            .collect();
        let mut parts = Vec::new();
        if let Some(bare) = result.bare_temperature_rise_k {
            parts.push(format!("{}\u{a0}°C with the bare fan", degrees(bare)));
        }
        if !rises.is_empty() {
            let low = degrees(rises.iter().copied().fold(f64::INFINITY, f64::min));
            let high = degrees(rises.iter().copied().fold(0.0, f64::max));
            let range = if low == high {
                low
            } else {
                format!("{low} to {high}")
            };
            parts.push(format!("{range}\u{a0}°C with these grilles"));
        }
        if parts.is_empty() {
            return Ok(());
        }
        let text = format!(
            "{}\u{a0}W warm the passing air by {} on average; parts get hotter than the air.",
            round(heat),
            parts.join(", ")
        );
        self.labelled("Warming", None, &[text])
    }

    fn biggest_doubt(&mut self, result: &StudyResult) -> io::Result<()> {
        let ranked = result.grilles.iter().filter(|g| g.rank.is_some());
        let parts: Vec<_> = ranked.map(|grille| grille.contributions.clone()).collect();
        let of = if result.given_flow_m3_per_h.is_some() {
            "pressure drop"
        } else {
            "flow"
        };
        let has_glances = result
            .grilles
            .iter()
            .any(|grille| grille.quality == "quick");
        let told = biggest_doubt(&parts, has_glances, of);
        let lines: Vec<String> = told.iter().map(|text| harmless(text)).collect();
        self.labelled("Biggest doubt", None, &lines)
    }

    fn cautions(&mut self, result: &StudyResult) -> io::Result<()> {
        let mut lines = warning_texts(result);
        let more = lines.len().saturating_sub(MOST_WARNINGS);
        if more > 0 {
            lines.truncate(MOST_WARNINGS);
            lines.push(format!("{more} more kinds of warnings: see the files."));
        }
        lines.extend(CAUTIONS.map(str::to_owned));
        self.labelled("Mind", Some(Ink::Alert), &lines)
    }

    fn pointers(&mut self, label: &str, pointers: &[Pointer]) -> io::Result<()> {
        let whats: Vec<String> = pointers
            .iter()
            .map(|p| self.page.spell(&harmless(p.what)))
            .collect();
        let room = self.page.width - LABEL;
        let longest = whats.iter().map(|what| what.width()).max().unwrap_or(0);
        let mut lines = Vec::new();
        for (what, pointer) in whats.iter().zip(pointers) {
            let why = self.page.spell(&harmless(pointer.why));
            if longest + 2 + why.width() <= room {
                lines.push(format!(
                    "{what}{}{why}",
                    " ".repeat(longest + 2 - what.width())
                ));
            } else {
                // Copied as a whole, so never broken or cut.
                lines.push(what.clone());
                let wrapped = self.page.wrap(&why, room - 2);
                lines.extend(wrapped.iter().map(|line| format!("  {line}")));
            }
        }
        if longest <= room {
            return self.block(label, None, &lines);
        }
        // Long paths get the whole width, so that fewer of them run over the edge.
        writeln!(self.out, "{}", self.page.ink(Ink::Strong, label))?;
        for line in lines {
            writeln!(self.out, "  {line}")?;
        }
        Ok(())
    }

    /// Text over the whole width.
    fn paragraph(&mut self, text: &str, ink: Option<Ink>) -> io::Result<()> {
        for line in self.page.wrap(text, self.page.width) {
            let line = ink.map_or_else(|| line.clone(), |ink| self.page.ink(ink, &line));
            writeln!(self.out, "{line}")?;
        }
        Ok(())
    }

    /// A label, and texts beside it that each begin on a line of their own.
    fn labelled(&mut self, label: &str, ink: Option<Ink>, texts: &[String]) -> io::Result<()> {
        let room = self.page.width - LABEL;
        let lines: Vec<String> = texts
            .iter()
            .flat_map(|text| self.page.wrap(text, room))
            .collect();
        self.block(label, ink, &lines)
    }

    fn block(&mut self, label: &str, ink: Option<Ink>, lines: &[String]) -> io::Result<()> {
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

/// What would tell the foremost ties apart.
fn tie_texts(result: &StudyResult) -> Vec<String> {
    tie_lines(result)
        .iter()
        .map(|line| harmless(line))
        .collect()
}

/// What 100 % stands for.
fn bare_fan(bare: &Likely) -> String {
    let value = flow(bare.value);
    let cfm = flow(cubic_feet_per_minute(bare.value));
    // One decimal more where whole numbers would hide the range.
    let finer = |flow: f64| format!("{flow:.1}");
    let [low, high] = [bare.low, bare.high].map(flow);
    let [low, high] = if low == high {
        [bare.low, bare.high].map(finer)
    } else {
        [low, high]
    };
    let range = if low == high {
        "if its curve is as given".to_owned()
    } else {
        format!("likely {low} to {high}\u{a0}m³/h")
    };
    format!("100\u{a0}% is the bare fan: {value}\u{a0}m³/h ({cfm}\u{a0}CFM), {range}.")
}

/// A flow: whole numbers, or one decimal when it is small.
fn flow(flow: f64) -> String {
    if flow >= 20.0 {
        format!("{flow:.0}")
    } else {
        format!("{flow:.1}")
    }
}

/// A temperature difference in tenths.
fn degrees(difference: f64) -> String {
    format!("{difference:.1}")
}
