//! `[run]`: how deep, how fast, how many threads.

use std::fmt;
use std::time::Duration;

use crate::study::fault::FaultKind;
use crate::study::file::RunTable;
use crate::study::findings::Findings;
use crate::study::limits;

/// Default of `checkpoint_min`: what a power cut may cost.
const CHECKPOINT_MIN: f64 = 3.0;

/// How a batch is run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunSettings {
    /// How deep the runs go.
    pub quality: Quality,
    /// How many threads they take.
    pub threads: Threads,
    /// Memory that the runs under way may take together, bytes; `None` leaves it to what the machine has free.
    pub memory_limit: Option<u64>,
    /// A run may stop when the 95 % half-width of its K is below this fraction of K.
    pub tolerance: f64,
    /// Longest time of one run.
    pub time_limit_per_run: Duration,
    /// Longest time of the whole batch.
    pub time_limit: Duration,
    /// Time between two checkpoints of a run; zero if there are none.
    pub checkpoint_interval: Duration,
    /// How many moments of each film are kept as files for an external viewer; 0 if none.
    pub frame_count: u32,
    /// Time by which there must be an answer; then [`RunSettings::quality`] is the deepest that a grille is solved at.
    pub budget: Option<TimeBudget>,
    /// Whether no tolerance was given: then it is that of each grille's own quality, or a wider one where something else hides more of K.
    pub tolerance_follows_quality: bool,
}

impl RunSettings {
    /// The same settings with another quality, for a grille that a budget solves at it.
    #[must_use]
    pub fn at(&self, quality: Quality) -> Self {
        let tolerance = if self.tolerance_follows_quality {
            quality.tolerance_percent() / 100.0
        } else {
            self.tolerance
        };
        Self {
            quality,
            tolerance,
            ..*self
        }
    }
}

/// How long a batch may take in all, fan views included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TimeBudget {
    /// So many hours from its start.
    Hours(f64),
    /// Until the clock on the wall shows this for the first time.
    ReadyBy {
        /// Hour, 0 to 23.
        hour: u8,
        /// Minute, 0 to 59.
        minute: u8,
    },
}

/// How deep the runs go: grids, number of face velocities, defaults of the limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    let budget = resolve_budget(findings, table);
    let has_budget = table.time_budget_h.is_some() || table.ready_by.is_some();
    // With a budget the quality is a limit, not a wish.
    let usual = if has_budget {
        Quality::Overnight
    } else {
        Quality::Quick
    };
    let quality = findings.word_or("quality", &table.quality, &Quality::WORDS, usual);
    // After a bad word any quality will do: its defaults are never used.
    let defaults = quality.unwrap_or(Quality::Quick);
    let threads = findings.whole_or("threads", &table.threads, &limits::THREADS, 0);
    let memory_gb = findings.number_or("memory_gb", &table.memory_gb, &limits::MEMORY_GB, 0.0);
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
    let checkpoint_min = findings.number_or(
        "checkpoint_min",
        &table.checkpoint_min,
        &limits::CHECKPOINT_MIN,
        CHECKPOINT_MIN,
    );
    let frame_count = findings.whole_or("frames", &table.frames, &limits::FRAMES, 0);
    Some(RunSettings {
        quality: quality?,
        threads: match threads? {
            0 => Threads::All,
            count => Threads::Count(count),
        },
        memory_limit: bytes(memory_gb?),
        tolerance: tolerance_percent? / 100.0,
        time_limit_per_run: Duration::from_secs_f64(time_limit_per_run_min? * 60.0),
        time_limit: Duration::from_secs_f64(time_limit_min? * 60.0),
        checkpoint_interval: Duration::from_secs_f64(checkpoint_min? * 60.0),
        frame_count: frame_count?,
        budget,
        tolerance_follows_quality: table.tolerance_percent.is_none(),
    })
}

/// A limit in bytes; 0 GB stands for none.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and 4096 GB"
)]
fn bytes(gb: f64) -> Option<u64> {
    (gb > 0.0).then_some((gb * 1e9).round() as u64)
}

/// The budget, if one is given and right; what is wrong with it is noted.
fn resolve_budget(findings: &mut Findings<'_>, table: &RunTable) -> Option<TimeBudget> {
    let Some(clock) = &table.ready_by else {
        table.time_budget_h.as_ref()?;
        let range = &limits::TIME_BUDGET_H;
        let hours = findings.number_or("time_budget_h", &table.time_budget_h, range, 1.0)?;
        return Some(TimeBudget::Hours(hours));
    };
    let kind = if table.time_budget_h.is_some() {
        FaultKind::Excludes {
            key: "ready_by",
            other: "time_budget_h",
        }
    } else if let Some(told) = clock_time(clock.get_ref()) {
        return Some(told);
    } else {
        FaultKind::NoClockTime {
            found: clock.get_ref().clone(),
        }
    };
    findings.report_value("ready_by", &clock.span(), kind);
    None
}

/// A time of day like "07:00", from "00:00" to "23:59".
fn clock_time(text: &str) -> Option<TimeBudget> {
    let (hour, minute) = text.trim().split_once(':')?;
    let number = |digits: &str, width: std::ops::RangeInclusive<usize>| {
        let is_plain = digits.bytes().all(|digit| digit.is_ascii_digit());
        (is_plain && width.contains(&digits.len())).then(|| digits.parse::<u8>().ok())?
    };
    let (hour, minute) = (number(hour, 1..=2)?, number(minute, 2..=2)?);
    (hour < 24 && minute < 60).then_some(TimeBudget::ReadyBy { hour, minute })
}
