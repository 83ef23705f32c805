//! How the films of a study get on: told on the terminal, kept in the results folder.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::Terminal;
use crate::cli::film_files::{Places, keep_moment, keep_reel};
use crate::run::film::{Crew, Film, Moment, Reel, Shot};
use crate::store::StoreError;
use crate::study::Study;

/// Keeps what the shots give and tells how they get on.
pub(super) struct Desk<'a> {
    places: &'a Places,
    frames: u32,
    /// Cell updates of each shot, by its key.
    work: Vec<(String, f64)>,
    /// Share of each that is done, in thousandths.
    done: Vec<AtomicUsize>,
    stops: &'static AtomicUsize,
    lost: Mutex<Option<StoreError>>,
    has_lost: AtomicBool,
    bar: ProgressBar,
    terminal: &'a Terminal,
}

impl<'a> Desk<'a> {
    pub(super) fn new(
        places: &'a Places,
        study: &Study,
        wanted: &[(&Film, &Shot)],
        stops: &'static AtomicUsize,
        terminal: &'a Terminal,
    ) -> Self {
        let work = wanted.iter();
        let work: Vec<(String, f64)> = work
            .map(|(film, shot)| (shot.key.clone(), shot.updates(film)))
            .collect();
        let bar = if terminal.is_stderr_live() && !work.is_empty() {
            ProgressBar::new(1000)
        } else {
            ProgressBar::hidden()
        };
        let style = ProgressStyle::with_template("smoke {bar:30} {percent} %, {eta} left");
        bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
        Self {
            places,
            frames: study.run.frame_count,
            done: work.iter().map(|_| AtomicUsize::new(0)).collect(),
            work,
            stops,
            lost: Mutex::new(None),
            has_lost: AtomicBool::new(false),
            bar,
            terminal,
        }
    }

    /// Takes the bar away.
    pub(super) fn end(&self) {
        self.bar.finish_and_clear();
    }

    /// The first file that could not be written, if there is one.
    pub(super) fn into_loss(self) -> Option<StoreError> {
        self.lost.into_inner().ok().flatten()
    }

    pub(super) fn is_interrupted(&self) -> bool {
        self.stops.load(Ordering::Relaxed) > 0
    }

    /// A file could not be written: what is under way is of no use any more.
    fn lose(&self, error: StoreError) {
        self.has_lost.store(true, Ordering::Relaxed);
        if let Ok(mut lost) = self.lost.lock() {
            lost.get_or_insert(error);
        }
    }

    fn place(&self, shot: &Shot) -> Option<usize> {
        self.work.iter().position(|(key, _)| *key == shot.key)
    }
}

impl Crew for Desk<'_> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "shares lie between 0 and 1"
    )]
    fn goes_on(&self, shot: &Shot, share: f64) -> bool {
        if let Some(place) = self.place(shot) {
            self.done[place].store((1000.0 * share) as usize, Ordering::Relaxed);
            let all: f64 = self.work.iter().map(|(_, work)| work).sum();
            let parts = self.work.iter().zip(&self.done);
            let done: f64 = parts
                .map(|((_, work), done)| work * done.load(Ordering::Relaxed) as f64)
                .sum();
            self.bar.set_position((done / all.max(1.0)) as u64);
        }
        !self.is_interrupted() && !self.has_lost.load(Ordering::Relaxed)
    }

    fn frame(&self, film: &Film, shot: &Shot, moment: &Moment<'_>) {
        if let Err(error) = keep_moment(self.places, (film, shot), moment, self.frames) {
            self.lose(error);
        }
    }

    fn ran_away(&self, film: &Film, shot: &Shot) {
        let words = format!(
            "smoke: {}, {}: the flow blew up, so there is no film of it; a higher quality has finer cells",
            film.view.in_words(),
            shot.name
        );
        self.bar.suspend(|| self.terminal.complaint(&words));
    }

    fn done(&self, film: &Film, shot: &Shot, reel: Reel) {
        match keep_reel(self.places, shot, &reel) {
            Ok(()) => {
                let words = format!("smoke: {}, {}", film.view.in_words(), shot.name);
                self.bar.suspend(|| self.terminal.note(&words));
            }
            Err(error) => self.lose(error),
        }
    }
}
