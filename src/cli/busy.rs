//! A word on the terminal about what takes a while between and after the runs: reading, planning, ranking, writing.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::cli::Terminal;

/// Time between two looks at the clock.
const TICK: Duration = Duration::from_millis(500);

/// Says what is done, and for how long, until it is dropped; nothing on a stream that nobody can draw on. Whatever else is told meanwhile would get in its way.
#[must_use = "it speaks as long as it lives"]
pub(super) struct Busy {
    bar: ProgressBar,
}

impl Busy {
    /// Begins to speak.
    pub(super) fn with(terminal: &Terminal, what: &str) -> Self {
        let bar = if terminal.is_stderr_live() {
            ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr())
        } else {
            ProgressBar::hidden()
        };
        if let Ok(style) = ProgressStyle::with_template("{msg} ({elapsed})") {
            bar.set_style(style);
        }
        bar.set_message(what.to_owned());
        bar.enable_steady_tick(TICK);
        Self { bar }
    }

    /// Says so while `work` is done.
    pub(super) fn during<T>(terminal: &Terminal, what: &str, work: impl FnOnce() -> T) -> T {
        let busy = Self::with(terminal, what);
        let done = work();
        drop(busy);
        done
    }
}

impl Drop for Busy {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
