//! `[run]`: how deep, how fast, how many threads.

use std::fmt;
use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::study::checked::Amount;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::{ResolvedCopy, shortest};

pub(super) const QUALITY: WordKey<Quality> = Key::text("quality")
    .set_by("--quality")
    .means(&Quality::WORDS);
pub(super) const THREADS: Key = Key::whole("threads", 0.0, 1024.0)
    .or(0.0)
    .hint("give a number of threads; 0 uses all processors")
    .set_by("--threads");
pub(super) const MEMORY: Key = Key::number("memory_gb", Unit::kept(" GB"), 0.0, 4096.0)
    .or(0.0)
    .hint("give the memory that all runs together may use, of which the program itself takes 0.02 GB; 0 allows three quarters of what is free")
    .set_by("--memory");
pub(super) const TOLERANCE: Key = Key::number("tolerance_percent", Unit::PERCENT, 0.05, 20.0)
    .hint("1 % of K is a good choice; half of that takes about four times as long")
    .set_by("--tolerance");
const TIME_LIMIT_PER_RUN: Key = time_limit("time_limit_per_run_min");
const TIME_LIMIT: Key = time_limit("time_limit_min");
/// Its default is what a power cut may cost.
const CHECKPOINT: Key = Key::number("checkpoint_min", MINUTES, 0.0, 1440.0)
    .or(3.0)
    .hint("give the minutes of work that a power cut may cost; 0 keeps no unfinished runs");
/// Less than this is no memory for a run: the program itself takes 20 MB (`run::planned::PROGRAM_BYTES`).
const LEAST_MEMORY_GB: f64 = 0.025;
/// 0.03 s: whoever saves more often does nothing else.
const LEAST_CHECKPOINT_MIN: f64 = 0.0005;
const FRAMES: Key = Key::whole("frames", 0.0, 2000.0).or(0.0).hint(
    "give how many moments of each film to keep as files for an external viewer; 0 keeps none",
);
pub(super) const TIME_BUDGET: Key = Key::number("time_budget_h", Unit::kept(" hours"), 0.01, 336.0)
    .hint("give hours, 8 for a night; the maximum is two weeks")
    .set_by("--hours");
pub(super) const READY_BY: Key = Key::text("ready_by").set_by("--ready-by");

/// `[run]`
pub(super) const RUN: Keys = Keys::new(
    "[run]",
    &[
        &QUALITY.key,
        &THREADS,
        &MEMORY,
        &TOLERANCE,
        &TIME_LIMIT_PER_RUN,
        &TIME_LIMIT,
        &CHECKPOINT,
        &FRAMES,
        &TIME_BUDGET,
        &READY_BY,
    ],
);

const MINUTES: Unit = Unit::kept(" minutes");

const fn time_limit(name: &'static str) -> Key {
    Key::number(name, MINUTES, 0.05, 20_160.0).hint("give minutes; the maximum is two weeks")
}

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
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
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
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, run: &Table<'_>) -> Option<RunSettings> {
    let budget = resolve_budget(diagnostics, run);
    // With a budget the quality is a limit, not a wish.
    let usual = if run.has(&TIME_BUDGET) || run.has(&READY_BY) {
        Quality::Overnight
    } else {
        Quality::Quick
    };
    let quality = run.word_or(diagnostics, &QUALITY, usual);
    // After a bad word any quality will do: its defaults are never used.
    let defaults = quality.unwrap_or(Quality::Quick);
    let threads = run.whole(diagnostics, &THREADS);
    let memory_gb = zero_or_at_least(diagnostics, run, &MEMORY, LEAST_MEMORY_GB);
    let tolerance = run.number_or(diagnostics, &TOLERANCE, defaults.tolerance_percent());
    let time_limit_per_run = run.number_or(
        diagnostics,
        &TIME_LIMIT_PER_RUN,
        defaults.time_limit_per_run_min(),
    );
    let time_limit = run.number_or(diagnostics, &TIME_LIMIT, defaults.time_limit_min());
    let checkpoint = zero_or_at_least(diagnostics, run, &CHECKPOINT, LEAST_CHECKPOINT_MIN);
    let frame_count = run.whole(diagnostics, &FRAMES);
    let minutes = |minutes: f64| Duration::from_secs_f64(minutes * 60.0);
    Some(RunSettings {
        quality: quality?,
        threads: match threads? {
            0 => Threads::All,
            count => Threads::Count(count),
        },
        memory_limit: bytes(memory_gb?.written),
        tolerance: tolerance?.si,
        time_limit_per_run: minutes(time_limit_per_run?.written),
        time_limit: minutes(time_limit?.written),
        checkpoint_interval: minutes(checkpoint?.written),
        frame_count: frame_count?,
        budget,
        tolerance_follows_quality: !run.has(&TOLERANCE),
    })
}

/// The number of a key for which 0 stands for something else than a small amount. `None` only after a fault.
fn zero_or_at_least(
    diagnostics: &mut Diagnostics<'_>,
    run: &Table<'_>,
    key: &Key,
    least: f64,
) -> Option<Amount> {
    let amount = run.number(diagnostics, key)?;
    if amount.written <= 0.0 || amount.written >= least {
        return Some(amount);
    }
    let (limits, span) = (key.limits(), run.span_of(key)?);
    let kind = FaultKind::NeitherZeroNor {
        key: key.name,
        value: amount.written,
        least,
        high: limits.high,
        unit: limits.unit.text,
        hint: key.hint,
    };
    diagnostics.report_value(key, &span, kind);
    None
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
fn resolve_budget(diagnostics: &mut Diagnostics<'_>, run: &Table<'_>) -> Option<TimeBudget> {
    if !run.has(&READY_BY) {
        let hours = run.number_if_there(diagnostics, &TIME_BUDGET)?;
        return Some(TimeBudget::Hours(hours.written));
    }
    let clock = run.text(&READY_BY)?;
    let kind = if run.has(&TIME_BUDGET) {
        FaultKind::Excludes {
            key: READY_BY.name,
            other: TIME_BUDGET.name,
        }
    } else if let Some(told) = clock_time(clock.get_ref()) {
        return Some(told);
    } else {
        FaultKind::NoClockTime {
            found: (*clock.get_ref()).to_owned(),
        }
    };
    diagnostics.report_value(&READY_BY, &clock.span(), kind);
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

/// Writes `[run]`.
pub(super) fn write(copy: &mut ResolvedCopy, run: &RunSettings) {
    copy.table(RUN.header);
    copy.word(&QUALITY, &run.quality);
    let threads = match run.threads {
        Threads::All => 0,
        Threads::Count(count) => count,
    };
    copy.value(&THREADS, threads);
    copy.number(
        &MEMORY,
        run.memory_limit.map_or(0.0, |bytes| bytes as f64 / 1e9),
    );
    if !run.tolerance_follows_quality {
        copy.number(&TOLERANCE, run.tolerance);
    }
    match run.budget {
        None => {}
        Some(TimeBudget::Hours(hours)) => copy.number(&TIME_BUDGET, hours),
        Some(TimeBudget::ReadyBy { hour, minute }) => {
            copy.text(&READY_BY, &format!("{hour:02}:{minute:02}"));
        }
    }
    copy.value(&TIME_LIMIT_PER_RUN, minutes(run.time_limit_per_run));
    copy.value(&TIME_LIMIT, minutes(run.time_limit));
    copy.value(&CHECKPOINT, minutes(run.checkpoint_interval));
    copy.value(&FRAMES, run.frame_count);
}

/// Minutes that give back the same duration.
fn minutes(limit: Duration) -> String {
    let seconds = limit.as_secs_f64();
    shortest(seconds / 60.0, |minutes| {
        Duration::from_secs_f64(minutes * 60.0) == limit
    })
}
