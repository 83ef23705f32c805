//! Signals to stop: the first one lets runs keep their state, the second one ends the program at once.

use std::sync::atomic::{AtomicUsize, Ordering};

use anyhow::Context;

/// Counts what is sent to stop the program; the second time it ends at once.
pub(super) struct Signals {
    /// How many came.
    pub(super) count: &'static AtomicUsize,
}

impl Signals {
    /// Listens from now on: to Ctrl-C, and on Unix to SIGTERM and SIGHUP.
    pub(super) fn listen() -> Result<Self, anyhow::Error> {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        ctrlc::set_handler(|| {
            if COUNT.fetch_add(1, Ordering::Relaxed) > 0 {
                // The user asked twice; files appear whole or not at all.
                std::process::exit(130);
            }
        })
        .context("listening for the stop signal")?;
        Ok(Self { count: &COUNT })
    }
}
