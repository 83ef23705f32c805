//! Low priority on request: other programs go first.

use crate::cli::Terminal;

/// Steps of priority that are given up, of nineteen.
#[cfg(unix)]
const STEPS: i32 = 10;

/// Lowers the priority of this program and of its threads to come; says so where that cannot be done.
pub(super) fn be_gentle(terminal: &Terminal) {
    #[cfg(unix)]
    if let Err(error) = rustix::process::nice(STEPS) {
        terminal.note(&format!("running at normal priority: {error}"));
    }
    #[cfg(not(unix))]
    terminal.note("running at normal priority: this system has no such setting");
}
