//! `[run]`: how deep, how fast, how many threads.

use std::fmt;
use std::time::Duration;

use crate::study::file::RunTable;
use crate::study::findings::Findings;
use crate::study::limits;

/// How a batch is run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunSettings {
    /// How deep the runs go.
    pub quality: Quality,
    /// How many threads they take.
    pub threads: Threads,
    /// A run may stop when the 95 % half-width of its K is below this fraction of K.
    pub tolerance: f64,
    /// Longest time of one run.
    pub time_limit_per_run: Duration,
    /// Longest time of the whole batch.
    pub time_limit: Duration,
    /// How many moments of the flow are kept for films; 0 if none.
    pub frame_count: u32,
}

/// How deep the runs go: grids, number of face velocities, defaults of the limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// A look within minutes.
    Quick,
    /// A ranking to act on.
    Standard,
    /// As good as a night allows.
    Overnight,
}

impl Quality {
    /// Each quality with the word that stands for it in the study file.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("quick", Self::Quick),
        ("standard", Self::Standard),
        ("overnight", Self::Overnight),
    ];

    /// Default of `tolerance_percent`.
    fn tolerance_percent(self) -> f64 {
        match self {
            Self::Quick => 2.0,
            Self::Standard => 1.0,
            Self::Overnight => 0.5,
        }
    }

    /// Default of `time_limit_per_run_min`.
    fn time_limit_per_run_min(self) -> f64 {
        match self {
            Self::Quick => 5.0,
            Self::Standard => 60.0,
            Self::Overnight => 240.0,
        }
    }

    /// Default of `time_limit_min`.
    fn time_limit_min(self) -> f64 {
        match self {
            Self::Quick => 60.0,
            Self::Standard => 720.0,
            Self::Overnight => 1440.0,
        }
    }
}

impl fmt::Display for Quality {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Quick => "quick",
            Self::Standard => "standard",
            Self::Overnight => "overnight",
        })
    }
}

/// How many threads the runs take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Threads {
    /// As many as there are processors.
    All,
    /// This many, at least 1.
    Count(u32),
}

/// Checks `[run]`. `None` only after a fault.
pub(super) fn resolve(findings: &mut Findings<'_>, table: &RunTable) -> Option<RunSettings> {
    let quality = findings.word_or("quality", &table.quality, &Quality::WORDS, Quality::Quick);
    // After a bad word any quality will do: its defaults are never used.
    let defaults = quality.unwrap_or(Quality::Quick);
    let threads = findings.whole_or("threads", &table.threads, &limits::THREADS, 0);
    let tolerance_percent = findings.number_or(
        "tolerance_percent",
        &table.tolerance_percent,
        &limits::TOLERANCE_PERCENT,
        defaults.tolerance_percent(),
    );
    let time_limit_per_run_min = findings.number_or(
        "time_limit_per_run_min",
        &table.time_limit_per_run_min,
        &limits::TIME_LIMIT_MIN,
        defaults.time_limit_per_run_min(),
    );
    let time_limit_min = findings.number_or(
        "time_limit_min",
        &table.time_limit_min,
        &limits::TIME_LIMIT_MIN,
        defaults.time_limit_min(),
    );
    let frame_count = findings.whole_or("frames", &table.frames, &limits::FRAMES, 0);
    Some(RunSettings {
        quality: quality?,
        threads: match threads? {
            0 => Threads::All,
            count => Threads::Count(count),
        },
        tolerance: tolerance_percent? / 100.0,
        time_limit_per_run: Duration::from_secs_f64(time_limit_per_run_min? * 60.0),
        time_limit: Duration::from_secs_f64(time_limit_min? * 60.0),
        frame_count: frame_count?,
    })
}
