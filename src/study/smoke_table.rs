//! `[smoke]`: films of the air with smoke in it.

use std::ops::Range;

use toml::Spanned;

use crate::study::fault::FaultKind;
use crate::study::file::{RakeTable, SmokeTable};
use crate::study::findings::{Findings, Table};
use crate::study::limits;

/// Length of a film where none is given, s.
const SECONDS: f64 = 5.0;

/// Threads of a rake where none are given.
pub const USUAL_THREADS: u32 = 13;

/// What the films of a study show.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoke {
    /// Length of a film on the screen, s.
    pub seconds: f64,
    /// What is filmed, each once.
    pub views: Vec<FilmView>,
    /// Where smoke enters; a view without a rake has one of its own across the stream.
    pub rakes: Vec<Rake>,
}

impl Default for Smoke {
    fn default() -> Self {
        Self {
            seconds: SECONDS,
            views: FilmView::ALL.to_vec(),
            rakes: Vec::new(),
        }
    }
}

/// What is filmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FilmView {
    /// The whole fan face from the side.
    Fan,
    /// A row of slots in the plane.
    Slice,
    /// The true holes, in the plane through the middle of one.
    Repeat,
}

impl FilmView {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Fan, Self::Slice, Self::Repeat];

    /// Each with the word that stands for it in the study file.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("fan", Self::Fan),
        ("slice", Self::Slice),
        ("repeat", Self::Repeat),
    ];

    /// The word that stands for it.
    pub fn word(self) -> &'static str {
        let mut words = Self::WORDS.iter();
        let known = words.find(|(_, view)| *view == self);
        known.map_or("", |(word, _)| word)
    }

    /// Its name in outputs.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Fan => "fan view",
            Self::Slice => "slice view",
            Self::Repeat => "repeat view",
        }
    }
}

/// A row of mouths from which threads of smoke enter the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rake {
    /// The view that it belongs to.
    pub view: FilmView,
    /// Where along the flow, m from the face of the grille that the air meets first.
    pub x: f64,
    /// Where it begins, m from the axis of the fan or from the middle of a hole.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// How many threads.
    pub thread_count: u32,
}

impl Rake {
    /// Distance of its threads, m.
    pub fn spacing(&self) -> f64 {
        (self.to - self.from) / f64::from(self.thread_count)
    }
}

/// Checks `[smoke]`; without the table the films are the usual ones. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: Option<&Spanned<SmokeTable>>,
) -> Option<Smoke> {
    let Some(table) = table else {
        return Some(Smoke::default());
    };
    let table = table.get_ref();
    let seconds = findings.number_or("seconds", &table.seconds, &limits::FILM_SECONDS, SECONDS);
    let views = match &table.views {
        None => Some(FilmView::ALL.to_vec()),
        Some(words) if words.get_ref().is_empty() => {
            findings.report(&words.span(), FaultKind::NoViews);
            None
        }
        Some(words) => views(findings, words.get_ref()),
    };
    let rakes: Vec<Option<Rake>> = table
        .rake
        .iter()
        .map(|rake| resolve_rake(findings, rake))
        .collect();
    Some(Smoke {
        seconds: seconds?,
        views: views?,
        rakes: rakes.into_iter().collect::<Option<Vec<Rake>>>()?,
    })
}

fn views(findings: &mut Findings<'_>, words: &[Spanned<String>]) -> Option<Vec<FilmView>> {
    let mut views = Vec::new();
    let mut is_whole = true;
    for word in words {
        let view = findings.word_or(
            "views",
            &Some(word.clone()),
            &FilmView::WORDS,
            FilmView::Fan,
        );
        is_whole &= view.is_some();
        views.extend(view.filter(|view| !views.contains(view)));
    }
    is_whole.then_some(views)
}

fn resolve_rake(findings: &mut Findings<'_>, rake: &Spanned<RakeTable>) -> Option<Rake> {
    let table = Table::new("[[smoke.rake]]", rake);
    let keys = rake.get_ref();
    let hint = "say which view the rake belongs to: \"fan\", \"slice\" or \"repeat\"";
    let view = findings.required_word(&table, "view", &keys.view, &FilmView::WORDS, hint);
    let mut place = |key, value| findings.required_number(&table, key, value, &limits::RAKE_MM);
    let x_mm = place("x_mm", &keys.x_mm);
    let from_mm = place("from_mm", &keys.from_mm);
    let to_mm = place("to_mm", &keys.to_mm);
    let thread_count = findings.whole_or(
        "threads",
        &keys.threads,
        &limits::SMOKE_THREADS,
        USUAL_THREADS,
    );
    let (from_mm, to_mm) = (from_mm?, to_mm?);
    if to_mm <= from_mm {
        let end: Range<usize> = keys
            .to_mm
            .as_ref()
            .map_or_else(|| rake.span(), Spanned::span);
        let kind = FaultKind::RakeWithoutLength { from_mm, to_mm };
        findings.report(&end, kind);
        return None;
    }
    Some(Rake {
        view: view?,
        x: x_mm? / 1000.0,
        from: from_mm / 1000.0,
        to: to_mm / 1000.0,
        thread_count: thread_count?,
    })
}
