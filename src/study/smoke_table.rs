//! `[smoke]`: films of the air with smoke in it.

use crate::study::checked::meaning;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::{ResolvedCopy, quoted};

/// Length of a film where none is given, s.
const USUAL_SECONDS: f64 = 5.0;

/// Threads of a rake where none are given.
pub const USUAL_THREADS: u32 = 13;

const SECONDS: Key = Key::number("seconds", Unit::kept(" s"), 1.0, 20.0)
    .or(USUAL_SECONDS)
    .hint("give how long a film lasts on the screen, in s, such as 5");
const VIEWS: Key = Key::words("views");
const RAKES: Key = Key::tables("rake", &RAKE);

/// `[smoke]`
pub(super) const SMOKE: Keys = Keys::new("[smoke]", &[&SECONDS, &VIEWS, &RAKES]);

const VIEW: WordKey<FilmView> = Key::text("view")
    .hint("say which view the rake belongs to: \"fan\", \"slice\" or \"repeat\"")
    .means(&FilmView::WORDS);
const X: Key = position("x_mm");
pub(super) const FROM: Key = position("from_mm");
pub(super) const TO: Key = position("to_mm");
pub(super) const THREADS: Key = Key::whole("threads", 1.0, 60.0)
    .or(USUAL_THREADS as f64)
    .hint("give a number of threads of smoke, such as 13");

/// `[[smoke.rake]]`
const RAKE: Keys = Keys::new("[[smoke.rake]]", &[&VIEW.key, &X, &FROM, &TO, &THREADS]);

const fn position(name: &'static str) -> Key {
    Key::mm(name, -500.0, 500.0).hint(
        "give a position in mm: x_mm along the flow from the face that the air meets first, from_mm and to_mm across it",
    )
}

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
            seconds: USUAL_SECONDS,
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
    diagnostics: &mut Diagnostics<'_>,
    smoke: Option<&Table<'_>>,
) -> Option<Smoke> {
    let Some(smoke) = smoke else {
        return Some(Smoke::default());
    };
    let seconds = smoke.number(diagnostics, &SECONDS);
    let views = views(diagnostics, smoke);
    let rakes: Vec<Option<Rake>> = smoke
        .tables(&RAKES)
        .iter()
        .map(|rake| resolve_rake(diagnostics, rake))
        .collect();
    Some(Smoke {
        seconds: seconds?.written,
        views: views?,
        rakes: rakes.into_iter().collect::<Option<Vec<Rake>>>()?,
    })
}

fn views(diagnostics: &mut Diagnostics<'_>, smoke: &Table<'_>) -> Option<Vec<FilmView>> {
    let Some(span) = smoke.span_of(&VIEWS) else {
        return Some(FilmView::ALL.to_vec());
    };
    let words = smoke.list(&VIEWS)?;
    if words.is_empty() {
        diagnostics.report(&span, FaultKind::NoViews);
        return None;
    }
    let mut views = Vec::new();
    let mut is_whole = true;
    for word in words {
        let view = meaning(diagnostics, &VIEWS, word, &FilmView::WORDS);
        is_whole &= view.is_some();
        views.extend(view.filter(|view| !views.contains(view)));
    }
    is_whole.then_some(views)
}

fn resolve_rake(diagnostics: &mut Diagnostics<'_>, rake: &Table<'_>) -> Option<Rake> {
    let view = rake.word(diagnostics, &VIEW);
    let [x, from, to] = [&X, &FROM, &TO].map(|key| rake.number(diagnostics, key));
    let thread_count = rake.whole(diagnostics, &THREADS);
    let (from, to) = (from?, to?);
    if to.written <= from.written {
        let (from_mm, to_mm) = (from.written, to.written);
        let span = rake.span_of(&TO)?;
        diagnostics.report(&span, FaultKind::RakeWithoutLength { from_mm, to_mm });
        return None;
    }
    Some(Rake {
        view: view?,
        x: x?.si,
        from: from.si,
        to: to.si,
        thread_count: thread_count?,
    })
}

/// Writes `[smoke]`.
pub(super) fn write(copy: &mut ResolvedCopy, smoke: &Smoke) {
    copy.table(SMOKE.header);
    copy.number(&SECONDS, smoke.seconds);
    let views: Vec<String> = smoke.views.iter().map(|view| quoted(view.word())).collect();
    copy.value(&VIEWS, format!("[{}]", views.join(", ")));
    for rake in &smoke.rakes {
        copy.table(RAKE.header);
        copy.word(&VIEW, &rake.view);
        copy.number(&X, rake.x);
        copy.number(&FROM, rake.from);
        copy.number(&TO, rake.to);
        copy.value(&THREADS, rake.thread_count);
    }
}
