//! How far a batch is: a bar with the finish time on a terminal, plain lines otherwise.

use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::cli::Terminal;
use crate::cli::rank::lost_in_words;
use crate::cli::work_clock::{self, WorkClock};
use crate::likely::Likely;
use crate::measure::drive::DriveProgress;
use crate::report::{RunSummary, duration_in_words};
use crate::run::batch::Watch;
use crate::run::finished::Finder;
use crate::run::planned::Run;
use crate::run::schedule::{expected_seconds, seconds_done, seconds_of};
use crate::store::StoreError;

/// What a batch is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stage {
    /// The ranking.
    Ranking,
    /// Fan views after it.
    FanViews,
}

/// Watches a batch and tells the user on stderr.
pub(super) struct Progress {
    clock: WorkClock,
    stops: &'static AtomicUsize,
    terminal: Terminal,
    bar: ProgressBar,
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
}

impl Progress {
    /// Starts the clock. `stops` counts the signals to stop.
    pub(super) fn new(
        runs: &[Run],
        stage: Stage,
        threads: usize,
        terminal: &Terminal,
        stops: &'static AtomicUsize,
    ) -> Self {
        let expected: Vec<f64> = runs.iter().map(expected_seconds).collect();
        let bar = if terminal.is_stderr_live() {
            ProgressBar::with_draw_target(Some(1000), ProgressDrawTarget::stderr())
        } else {
            ProgressBar::hidden()
        };
        // The template is a constant: a test draws it.
        if let Ok(style) = ProgressStyle::with_template("{bar:24} {percent:>3} % {msg}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(500));
        let count = expected.len();
        let repeats = runs.iter().filter(|run| run.is_repeat()).count();
        let solid = if repeats > 0 {
            format!(", {repeats} of them in three dimensions")
        } else {
            String::new()
        };
        terminal.note(&match stage {
            Stage::Ranking => format!(
                "{count} runs{solid}, {threads} at a time; stop with Ctrl-C, finished runs are kept"
            ),
            Stage::FanViews => format!(
                "{count} {} of the whole fan face, {threads} at a time; stop with Ctrl-C, the ranking is written",
                if count == 1 { "view" } else { "views" }
            ),
        });
        Self {
            clock: WorkClock::start(),
            stops,
            terminal: terminal.clone(),
            bar,
            state: Mutex::new(State {
                done: vec![0.0; count],
                is_ended: vec![false; count],
                ended_count: 0,
                expected,
                solved: 0.0,
            }),
        }
    }

    /// Clears the bar and returns the seconds since the start.
    pub(super) fn end(&self) -> f64 {
        self.bar.finish_and_clear();
        self.seconds()
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 1000"
    )]
    fn draw(&self, state: &State, latest: &str) {
        let total: f64 = state.expected.iter().sum();
        let done: f64 = (0..state.expected.len())
            .map(|i| {
                if state.is_ended[i] {
                    state.expected[i]
                } else {
                    state.done[i].min(0.95 * state.expected[i])
                }
            })
            .sum();
        let share = done / total.max(1.0);
        self.bar
            .set_position((1000.0 * share).clamp(0.0, 1000.0).round() as u64);
        self.bar.set_message(format!(
            "{} of {} runs, {}; {latest}",
            state.ended_count,
            state.expected.len(),
            self.left(state, total - done)
        ));
    }

    /// How long it will still take, in words.
    fn left(&self, state: &State, work_left: f64) -> String {
        let seconds = self.seconds();
        if state.solved <= 0.0 || seconds < 1.0 {
            return "finish time not known yet".to_owned();
        }
        let left = work_left * seconds / state.solved;
        format!("about {} left", duration_in_words(left))
    }
}

/// What a run gives, in a few words.
fn number_in_words(summary: &RunSummary) -> String {
    let Some(seen) = &summary.fan_view else {
        return loss_in_words(&summary.loss_coefficient);
    };
    let total = summary.loss_coefficient;
    let share = 100.0 * total.half_width() / total.value.abs();
    format!(
        "K {:.2} by force, pressure ahead steady within {share:.0} %",
        seen.static_loss_coefficient_by_force
    )
}

/// K with its half-width in time, which says nothing about the grid or the view.
fn loss_in_words(loss: &Likely) -> String {
    if !loss.value.is_finite() {
        return "no K".to_owned();
    }
    let share = 100.0 * loss.half_width() / loss.value.abs();
    format!("K {:.3}, steady within {share:.2} %", loss.value)
}

/// How a batch went, in one line: what was found, what was solved and in what time.
pub(super) fn batch_in_words(summaries: &[Option<RunSummary>], seconds: f64) -> String {
    let done = summaries.iter().flatten();
    let reused = done.clone().filter(|summary| summary.was_reused).count();
    let solved = done.count() - reused;
    let runs = |count: usize| if count == 1 { "run" } else { "runs" };
    let was = |count: usize| if count == 1 { "was" } else { "were" };
    let missing = summaries.len() - reused - solved;
    let invalid = summaries.iter().flatten().filter(|s| !s.is_valid).count();
    let mut parts = Vec::new();
    if reused > 0 {
        parts.push(format!(
            "{reused} finished {} {} reused",
            runs(reused),
            was(reused)
        ));
    }
    if solved > 0 {
        parts.push(format!(
            "{solved} {} solved in {}",
            runs(solved),
            duration_in_words(seconds)
        ));
    }
    if solved == 0 && missing == 0 {
        parts.push("nothing had to be solved".to_owned());
    }
    if invalid > 0 {
        parts.push(format!("{invalid} of them without a valid number"));
    }
    if missing > 0 {
        parts.push(format!("{missing} {} not run", was(missing)));
    }
    parts.join(", ")
}

impl Watch for Progress {
    fn seconds(&self) -> f64 {
        self.clock.seconds()
    }

    fn is_interrupted(&self) -> bool {
        self.stops.load(Ordering::Relaxed) > 0
    }

    fn started(&self, _index: usize, run: &Run) {
        let state = self.state.lock().expect("no holder of this lock panics");
        self.draw(&state, &run.grille);
    }

    fn resumed(&self, index: usize, run: &Run, seconds: f64, steps: u64) {
        let mut state = self.state.lock().expect("no holder of this lock panics");
        state.done[index] = seconds_of(run, steps as f64);
        self.draw(&state, &run.grille);
        let line = format!(
            "{}: goes on after {} of work",
            run.grille,
            duration_in_words(seconds)
        );
        self.bar.suspend(|| self.terminal.note(&line));
    }

    fn progressed(&self, index: usize, run: &Run, progress: &DriveProgress) {
        if let Some(jump) = self.clock.jump() {
            let line = work_clock::in_words(jump);
            self.bar.suspend(|| self.terminal.note(&line));
        }
        let mut state = self.state.lock().expect("no holder of this lock panics");
        let done = seconds_done(run, progress);
        state.done[index] += done;
        state.solved += done;
        self.draw(&state, &run.grille);
    }

    fn finished(&self, index: usize, run: &Run, summary: &RunSummary) {
        let mut state = self.state.lock().expect("no holder of this lock panics");
        state.is_ended[index] = true;
        state.ended_count += 1;
        self.draw(&state, &run.grille);
        if self.terminal.is_stderr_live() {
            return;
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
        self.bar.suspend(|| self.terminal.note(&line));
    }

    fn waits(&self, count: usize) {
        let line = match count {
            1 => {
                "one run is solved by another program on the same folder: waiting for it".to_owned()
            }
            _ => format!(
                "{count} runs are solved by another program on the same folder: waiting for them"
            ),
        };
        self.bar.suspend(|| self.terminal.note(&line));
    }

    fn has_no_locks(&self, _run: &Run, why: &std::io::Error) {
        let line = format!(
            "nothing can be locked here ({why}): another program on the same folder would solve the same runs"
        );
        self.bar.suspend(|| self.terminal.note(&line));
    }
}

impl Finder for Progress {
    fn set_aside(&self, run: &Run, why: &str) {
        let line = format!("{}: solved again, because {why}", run.grille);
        self.bar.suspend(|| self.terminal.note(&line));
    }

    fn misses(&self, run: &Run, file: &Path) {
        let line = lost_in_words(run, file);
        self.bar.suspend(|| self.terminal.note(&line));
    }

    fn failed(&self, run: &Run, error: &StoreError) {
        // The words of a store error hold those of its causes.
        let words = format!("{}: {error}", run.grille);
        self.bar.suspend(|| self.terminal.complaint(&words));
    }
}
