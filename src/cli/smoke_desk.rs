//! How the films of a study get on: told on the terminal, kept in the results folder.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard};

use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::Terminal;
use crate::cli::film_files::{Places, keep_moment, keep_reel};
use crate::cli::pulse::Pulse;
use crate::cli::work_clock::WorkClock;
use crate::report::duration_in_words;
use crate::run::film::{Crew, Film, Moment, Reel, Shot};
use crate::store::StoreError;
use crate::study::Study;

/// Keeps what the shots give and tells how they get on.
pub(super) struct Desk<'a> {
    places: &'a Places,
    frames: u32,
    /// Cell updates of each shot, by its key and its name in outputs.
    work: Vec<Work>,
    /// Share of each that is done, in thousandths.
    done: Vec<AtomicUsize>,
    stops: &'static AtomicUsize,
    lost: Mutex<Option<StoreError>>,
    has_lost: AtomicBool,
    bar: ProgressBar,
    clock: WorkClock,
    pulse: Mutex<Pulse>,
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
        let work: Vec<Work> = work
            .map(|(film, shot)| Work {
                key: shot.key.clone(),
                name: format!("{}, {}", film.view.in_words(), shot.name),
                updates: shot.updates(film),
            })
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
            clock: WorkClock::start(),
            pulse: Mutex::new(Pulse::default()),
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
        self.work.iter().position(|work| work.key == shot.key)
    }

    /// Share of each shot that is done.
    fn shares(&self) -> Vec<f64> {
        let done = self.done.iter();
        done.map(|done| done.load(Ordering::Relaxed) as f64 / 1000.0)
            .collect()
    }

    /// Says where it is, where no bar does and a line is due.
    fn tell(&self, shares: &[f64]) {
        let seconds = self.clock.seconds();
        let is_due = |mut pulse: MutexGuard<'_, Pulse>| pulse.is_due(seconds);
        if !self.terminal.is_stderr_live() && self.pulse.lock().is_ok_and(is_due) {
            self.terminal.note(&plain_line(&self.work, shares, seconds));
        }
    }
}

/// What a shot takes.
#[derive(Debug, Clone, PartialEq)]
struct Work {
    key: String,
    name: String,
    updates: f64,
}

/// Share of all work that is done.
fn share_of_all(work: &[Work], shares: &[f64]) -> f64 {
    let all: f64 = work.iter().map(|work| work.updates).sum();
    let done = work.iter().zip(shares);
    let done: f64 = done.map(|(work, share)| work.updates * share).sum();
    done / all.max(1.0)
}

/// What runs, how far all of it is, and how long it still takes after so many seconds.
fn plain_line(work: &[Work], shares: &[f64], seconds: f64) -> String {
    let share = share_of_all(work, shares);
    let left = if share > 0.0 {
        let left = seconds * (1.0 - share) / share;
        format!("about {} left", duration_in_words(left))
    } else {
        "time left not known yet".to_owned()
    };
    let under_way = work.iter().zip(shares);
    let under_way: Vec<String> = under_way
        .filter(|(_, share)| **share > 0.0 && **share < 1.0)
        .map(|(work, share)| format!("{} {:.0} %", work.name, 100.0 * share))
        .collect();
    let now = if under_way.is_empty() {
        String::new()
    } else {
        format!("; now {}", under_way.join("; "))
    };
    format!("smoke: {:.0} %, {left}{now}", 100.0 * share)
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
            let shares = self.shares();
            let share = share_of_all(&self.work, &shares);
            self.bar.set_position((1000.0 * share) as u64);
            self.tell(&shares);
        }
        !self.is_interrupted() && !self.has_lost.load(Ordering::Relaxed)
    }

    fn frame(&self, film: &Film, shot: &Shot, moment: &Moment<'_>) {
        if let Err(error) = keep_moment(self.places, film, shot, moment, self.frames) {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_line_says_what_is_filmed_how_far_it_is_and_how_long_it_takes() {
        let work = |name: &str, updates| Work {
            key: name.to_owned(),
            name: name.to_owned(),
            updates,
        };
        let work = [
            work("slice view, rings", 1e9),
            work("repeat view, rings", 3e9),
            work("repeat view, hexagons", 4e9),
        ];
        // A quarter of the second and all of the first: 1.75 of 8 are done after 70 s, so 250 s are left.
        assert_eq!(
            plain_line(&work, &[1.0, 0.25, 0.0], 70.0).replace('\u{a0}', " "),
            "smoke: 22 %, about 4 min left; now repeat view, rings 25 %"
        );
        assert_eq!(
            plain_line(&work, &[0.0; 3], 0.0),
            "smoke: 0 %, time left not known yet"
        );
    }
}
