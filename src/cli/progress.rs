//! How far a batch is: lines and a bar with the finish time on a terminal, plain lines elsewhere, JSON on request.

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use jiff::ZonedDateTime;
use serde_json::{Value, json};

use crate::cli::Terminal;
use crate::cli::clock::clock_after;
use crate::cli::progress_events::{LEAST_SECONDS, joined, of_loss, of_run};
use crate::cli::progress_screen::{ShownBatch, ShownRun, plain_line, screen};
use crate::cli::progress_words::{damaged_in_words, lost_in_words, number_in_words};
use crate::cli::pulse::Pulse;
use crate::cli::terminal::stderr_width;
use crate::cli::work_clock::{self, WorkClock};
use crate::likely::Likely;
use crate::measure::drive::DriveProgress;
use crate::report::duration_in_words;
use crate::result::RunSummary;
use crate::run::batch::Watch;
use crate::run::batch::finished::Finder;
use crate::run::batch::forecast::{expected_seconds, seconds_done, seconds_of};
use crate::run::planned::Run;
use crate::store::StoreError;

/// Time between two pictures on a terminal, s.
const BETWEEN_PICTURES: f64 = 0.2;

/// What a batch is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stage {
    /// The ranking.
    Ranking,
    /// Fan views after it.
    FanViews,
}

/// Watches a batch and tells the user on stderr.
pub(super) struct Progress<'a> {
    runs: &'a [Run],
    clock: WorkClock,
    stops: &'static AtomicUsize,
    terminal: Terminal,
    bar: ProgressBar,
    /// What the ranking knows so far, and when a budget ends.
    best: Option<String>,
    ends_at: Option<String>,
    state: Mutex<State>,
}

struct State {
    /// Expected time of each run on one thread, s.
    expected: Vec<f64>,
    /// What of it is done in runs under way.
    done: Vec<f64>,
    /// Whether a run has ended.
    is_ended: Vec<bool>,
    ended_count: usize,
    /// What of it was solved in this process, for the finish time.
    solved: f64,
    /// Runs under way, in the order in which they started.
    under_way: Vec<usize>,
    /// Their running K.
    losses: Vec<Option<Likely>>,
    /// When the last event about a run was told, s.
    told: Vec<f64>,
    drawn: f64,
    /// When the next plain line is due.
    pulse: Pulse,
    /// How many runs of other programs were waited for when that was last told.
    waited_for: usize,
}

impl State {
    /// Share of a run that is done: what takes longer than expected stays short of its end.
    fn share(&self, index: usize) -> f64 {
        if self.is_ended[index] {
            1.0
        } else {
            (self.done[index] / self.expected[index].max(1e-9)).min(0.95)
        }
    }

    /// Work of all runs and what of it is done, in seconds of one thread.
    fn work(&self) -> (f64, f64) {
        let total: f64 = self.expected.iter().sum();
        let all = 0..self.expected.len();
        let done: f64 = all.map(|i| self.share(i) * self.expected[i]).sum();
        (total, done)
    }

    /// Time that it will still take, s.
    fn left(&self, seconds: f64) -> Option<f64> {
        if self.solved <= 0.0 || seconds < 1.0 {
            return None;
        }
        let (total, done) = self.work();
        Some((total - done) * seconds / self.solved)
    }
}

impl<'a> Progress<'a> {
    /// Starts the clock. `stops` counts the signals to stop.
    pub(super) fn new(
        runs: &'a [Run],
        stage: Stage,
        threads: usize,
        terminal: &Terminal,
        stops: &'static AtomicUsize,
    ) -> Self {
        let expected: Vec<f64> = runs.iter().map(expected_seconds).collect();
        let bar = if terminal.is_stderr_live() {
            ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr())
        } else {
            ProgressBar::hidden()
        };
        // The template is a constant: a test draws it.
        if let Ok(style) = ProgressStyle::with_template("{msg}") {
            bar.set_style(style);
        }
        let count = expected.len();
        let repeats = runs.iter().filter(|run| run.is_repeat()).count();
        let solid = if repeats > 0 {
            format!(", {repeats} of them in three dimensions")
        } else {
            String::new()
        };
        let (name, words) = match stage {
            Stage::Ranking => (
                "ranking",
                format!(
                    "{count} runs{solid}, {threads} at a time; stop with Ctrl-C, finished runs are kept"
                ),
            ),
            Stage::FanViews => (
                "fan views",
                format!(
                    "{count} {} of the whole fan face, {threads} at a time; stop with Ctrl-C, the ranking is written",
                    if count == 1 { "view" } else { "views" }
                ),
            ),
        };
        if terminal.is_for_programs() {
            let begun = json!({ "stage": name, "run_count": count, "threads": threads });
            terminal.event("begun", begun);
        } else {
            terminal.note(&words);
        }
        Self {
            runs,
            clock: WorkClock::start(),
            stops,
            terminal: terminal.clone(),
            bar,
            best: None,
            ends_at: None,
            state: Mutex::new(State {
                done: vec![0.0; count],
                is_ended: vec![false; count],
                ended_count: 0,
                expected,
                solved: 0.0,
                under_way: Vec::new(),
                losses: vec![None; count],
                told: vec![f64::NEG_INFINITY; count],
                drawn: f64::NEG_INFINITY,
                pulse: Pulse::default(),
                waited_for: 0,
            }),
        }
    }

    /// With the best grille so far, once a ranking knows it.
    pub(super) fn with_best(self, best: Option<String>) -> Self {
        Self { best, ..self }
    }

    /// With the time of day at which a time budget ends.
    pub(super) fn ends_at(self, ends_at: String) -> Self {
        let ends_at = Some(ends_at);
        Self { ends_at, ..self }
    }

    /// Clears the bar and returns the seconds since the start.
    pub(super) fn end(&self) -> f64 {
        self.bar.finish_and_clear();
        let seconds = self.seconds();
        let event = if self.is_interrupted() {
            "stopped"
        } else {
            "ended"
        };
        self.terminal.event(
            event,
            self.of_batch(&self.state(), json!({ "seconds": seconds })),
        );
        seconds
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().expect("no holder of this lock panics")
    }

    /// Draws the screen anew, if the last picture is old enough or something has ended; where nothing can be drawn, says a plain line from time to time.
    fn draw(&self, state: &mut State, is_urgent: bool) {
        let seconds = self.seconds();
        if self.bar.is_hidden() {
            if !self.terminal.is_for_programs() && state.pulse.is_due(seconds) {
                let line = self.shown(state, seconds, plain_line);
                self.terminal.note(&line);
            }
            return;
        }
        if !is_urgent && seconds - state.drawn < BETWEEN_PICTURES {
            return;
        }
        state.drawn = seconds;
        let columns = stderr_width();
        let screen = self.shown(state, seconds, |batch, runs| screen(batch, runs, columns));
        self.bar.set_message(screen);
        self.bar.tick();
    }

    /// What there is to be shown, put into words.
    fn shown(
        &self,
        state: &State,
        seconds: f64,
        in_words: impl Fn(&ShownBatch<'_>, &[ShownRun<'_>]) -> String,
    ) -> String {
        let runs = state.under_way.iter().map(|&index| ShownRun {
            grille: &self.runs[index].grille,
            view: self.runs[index].view().in_words(),
            face_velocity: self.runs[index].face_velocity,
            loss: state.losses[index],
            share: state.share(index),
        });
        let runs: Vec<ShownRun<'_>> = runs.collect();
        let best = self.best.iter().map(|best| format!("best so far: {best}"));
        let ends = self
            .ends_at
            .iter()
            .map(|clock| format!("the time budget ends {clock}"));
        let standing: Vec<String> = best.chain(ends).collect();
        let (total, done) = state.work();
        let batch = ShownBatch {
            share: done / total.max(1e-9),
            ended_count: state.ended_count,
            count: self.runs.len(),
            left: state.left(seconds).map(|left| {
                (
                    duration_in_words(left),
                    clock_after(left, &ZonedDateTime::now()),
                )
            }),
            standing: &standing.join("; "),
        };
        in_words(&batch, &runs)
    }

    /// Says something between two pictures.
    fn say(&self, line: &str) {
        self.bar.suspend(|| self.terminal.note(line));
    }

    /// The same about a run, or tells a program of the event.
    fn tell(&self, event: &str, run: &Run, keys: Value, line: &str) {
        if self.terminal.is_for_programs() {
            self.terminal.event(event, joined(of_run(run), keys));
        } else {
            self.say(line);
        }
    }

    /// An event with how far the batch is.
    fn of_batch(&self, state: &State, keys: Value) -> Value {
        let (total, done) = state.work();
        let batch = json!({
            "run_count": self.runs.len(),
            "ended_count": state.ended_count,
            "batch_share": done / total.max(1e-9),
            "left_s": state.left(self.seconds()),
            "best": self.best,
        });
        joined(keys, batch)
    }
}

impl Watch for Progress<'_> {
    fn seconds(&self) -> f64 {
        self.clock.seconds()
    }

    fn is_interrupted(&self) -> bool {
        self.stops.load(Ordering::Relaxed) > 0
    }

    fn has_checkpoint(&self, index: usize, run: &Run, steps: u64) {
        self.state().done[index] = seconds_of(run, steps as f64);
    }

    fn started(&self, index: usize, run: &Run) {
        let mut state = self.state();
        state.done[index] = 0.0;
        state.under_way.retain(|other| *other != index);
        state.under_way.push(index);
        let expected = json!({ "expected_s": state.expected[index] });
        self.terminal.event(
            "started",
            self.of_batch(&state, joined(of_run(run), expected)),
        );
        self.draw(&mut state, true);
    }

    fn resumed(&self, index: usize, run: &Run, seconds: f64, steps: u64) {
        let mut state = self.state();
        state.done[index] = seconds_of(run, steps as f64);
        self.draw(&mut state, true);
        let line = format!(
            "{}: goes on after {} of work",
            run.grille,
            duration_in_words(seconds)
        );
        let keys = json!({ "worked_s": seconds, "share": state.share(index) });
        self.tell("resumed", run, keys, &line);
    }

    fn progressed(&self, index: usize, run: &Run, progress: &DriveProgress) {
        if let Some(jump) = self.clock.jump() {
            let line = work_clock::in_words(jump);
            self.tell(
                "slept",
                run,
                json!({ "slept_s": jump.as_secs_f64() }),
                &line,
            );
        }
        let seconds = self.seconds();
        let mut state = self.state();
        let done = seconds_done(run, progress);
        state.done[index] += done;
        state.solved += done;
        if let Some(mean) = progress.mean {
            state.losses[index] = Some(Likely::symmetric(mean.mean, mean.half_width));
        }
        self.draw(&mut state, false);
        if self.terminal.is_for_programs() && seconds - state.told[index] >= LEAST_SECONDS {
            state.told[index] = seconds;
            let keys = json!({
                "share": state.share(index),
                "loss_coefficient": of_loss(state.losses[index]),
            });
            let keys = joined(of_run(run), keys);
            self.terminal
                .event("progressed", self.of_batch(&state, keys));
        }
    }

    fn finished(&self, index: usize, run: &Run, summary: &RunSummary) {
        let mut state = self.state();
        state.is_ended[index] = true;
        state.ended_count += 1;
        state.under_way.retain(|other| *other != index);
        self.draw(&mut state, !summary.was_reused);
        if self.terminal.is_stderr_live() {
            return;
        }
        if self.terminal.is_for_programs() {
            let keys = json!({
                "was_reused": summary.was_reused,
                "is_valid": summary.is_valid,
                "stop_reason": summary.stop_reason,
                "elapsed_s": summary.elapsed_s,
                "loss_coefficient": of_loss(Some(summary.loss_coefficient)),
            });
            let keys = joined(of_run(run), keys);
            return self.terminal.event("finished", self.of_batch(&state, keys));
        }
        let what = if summary.was_reused {
            "reused".to_owned()
        } else {
            format!(
                "{}, {}",
                summary.stop_reason,
                duration_in_words(summary.elapsed_s)
            )
        };
        self.terminal.note(&format!(
            "[{}/{}] {}: {} at {} m/s, {:.0} cells across: {} ({what})",
            state.ended_count,
            state.expected.len(),
            run.grille,
            summary.view,
            summary.face_velocity_m_per_s,
            summary.cells_across,
            number_in_words(summary),
        ));
    }

    fn begun_anew(&self, run: &Run, why: &str) {
        let line = format!("{}: begins anew, because {why}", run.grille);
        self.tell("begun_anew", run, json!({ "why": why }), &line);
    }

    fn does_not_fit(&self, run: &Run, limit_bytes: u64) {
        let bytes = run.peak_bytes();
        let size = |bytes: u64| match bytes as f64 {
            bytes if bytes < 1e8 => format!("{:.1} MB", bytes / 1e6),
            bytes => format!("{:.2} GB", bytes / 1e9),
        };
        let line = format!(
            "{}: its {} takes {} of memory and is left out, allowed are {}; memory_gb in [run] or --memory allows more",
            run.grille,
            run.view(),
            size(bytes),
            size(limit_bytes)
        );
        let keys = json!({ "memory_bytes": bytes, "limit_bytes": limit_bytes });
        self.tell("does_not_fit", run, keys, &line);
    }

    fn waits(&self, count: usize) {
        let mut state = self.state();
        let is_news = std::mem::replace(&mut state.waited_for, count) != count;
        if !is_news && !state.pulse.is_due(self.seconds()) {
            return;
        }
        if self.terminal.is_for_programs() {
            let keys = json!({ "waiting_for": count });
            let event = self.of_batch(&state, keys);
            return self.terminal.event("waiting", event);
        }
        self.say(&match count {
            1 => {
                "one run is solved by another program on the same folder: waiting for it".to_owned()
            }
            _ => format!(
                "{count} runs are solved by another program on the same folder: waiting for them"
            ),
        });
    }

    fn has_no_locks(&self, run: &Run, why: &std::io::Error) {
        let line = format!(
            "nothing can be locked here ({why}): another program on the same folder would solve the same runs"
        );
        self.tell("no_locks", run, json!({ "why": why.to_string() }), &line);
    }
}

impl Finder for Progress<'_> {
    fn set_aside(&self, run: &Run, why: &str) {
        let line = format!("{}: solved again, because {why}", run.grille);
        self.tell("set_aside", run, json!({ "why": why }), &line);
    }

    fn damaged(&self, run: &Run, why: &str, took: Option<f64>) {
        let line = damaged_in_words(run, why, took);
        self.tell("damaged", run, json!({ "why": why, "took_s": took }), &line);
    }

    fn misses(&self, run: &Run, file: &Path) {
        let line = lost_in_words(run, file);
        self.tell(
            "file_missing",
            run,
            json!({ "file": file.display().to_string() }),
            &line,
        );
    }

    fn failed(&self, run: &Run, error: &StoreError) {
        // The words of a store error hold those of its causes.
        let words = format!("{}: {error}", run.grille);
        self.bar.suspend(|| self.terminal.complaint(&words));
    }
}

#[cfg(test)]
mod tests {}
