//! What readings say, as plain data.

use serde::Serialize;

use crate::bench::agreement::Agreement;
use crate::likely::{Likely, Warning};

/// A design, what was promised of it and what was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparedDesign {
    /// Name.
    pub name: String,
    /// Promised place.
    pub promised_rank: Option<u32>,
    /// Promised flow, m³/h.
    pub promised_flow_m3_per_h: Option<Likely>,
    /// Promised flow in per cent of the bare fan.
    pub promised_percent: Option<Likely>,
    /// Promised reading of the meter, m/s, least and largest.
    pub promised_meter_m_per_s: Option<[f64; 2]>,
    /// What the readings are held against, in per cent of the bare fan: the promised meter where air speeds were read behind a swirl, the promised flow otherwise.
    pub promised_reading_percent: Option<[f64; 2]>,
    /// Readings.
    pub reading_count: usize,
    /// Repeats: remounts, or readings where remounts were not told.
    pub repeat_count: usize,
    /// Mean reading: m³/h, m/s or per cent.
    pub mean_reading: Option<f64>,
    /// Read per cent of the bare fan with its 95 % interval; without an interval (one repeat) both ends are the value.
    pub read_percent: Option<Likely>,
    /// Whether that interval comes from two repeats or more.
    pub has_interval: bool,
    /// Read per cent without the outliers, where there are any.
    pub percent_without_outliers: Option<f64>,
    /// Readings inside what they are held against.
    pub inside_count: usize,
    /// Readings that could be held against something.
    pub held_count: usize,
}

/// Two designs on the bench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparedPair {
    /// The one with the higher readings.
    pub better: String,
    /// The other.
    pub other: String,
    /// How much more, per cent of the bare fan, with its 95 % interval.
    pub difference_percent: Likely,
    /// Two-sided probability of so large a difference by chance.
    pub chance: f64,
    /// The same, raised for the number of pairs (Holm).
    pub chance_among_all: f64,
    /// Whether they cannot be told apart: the interval includes zero.
    pub is_tie: bool,
    /// Whether the prediction had told them apart, and in which order: `Some(true)` as read here.
    pub is_as_promised: Option<bool>,
}

/// A reading that lies far from its fellows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outlier {
    /// Line of the file.
    pub line: u64,
    /// Design.
    pub design: String,
    /// Value as typed.
    pub value: f64,
    /// Unit as typed.
    pub unit: &'static str,
    /// Modified z-score.
    pub score: f64,
}

/// A reading and what was promised for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparedReading {
    /// Line of the file.
    pub line: u64,
    /// Design, or the bare fan.
    pub design: String,
    /// Value as typed.
    pub value: f64,
    /// Unit as typed.
    pub unit: &'static str,
    /// Per cent of the bare fan as it was at that moment.
    pub percent_of_bare_fan: Option<f64>,
    /// Promised flow, mean air speed or per cent, in the unit as typed.
    pub promised: Option<f64>,
    /// Promised reading of the meter, least and largest, in the unit as typed, where air speeds were read.
    pub promised_meter: Option<[f64; 2]>,
    /// Whether it lies inside what it is held against; `None` where there is nothing.
    pub is_inside: Option<bool>,
}

/// How the bare fan moved while the bench was at work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drift {
    /// Change from the first to the last reading of the bare fan, per cent of its mean, with its 95 % interval.
    pub change_percent: Likely,
    /// Two-sided probability of so much by chance.
    pub chance: f64,
    /// Whether it was taken out: the interval excludes zero.
    pub is_taken_out: bool,
}

/// Everything that readings say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Name of the study.
    pub study: String,
    /// When the prediction was sealed.
    pub sealed_at: String,
    /// What was read.
    pub quantity: &'static str,
    /// Unit of the mean readings.
    pub unit: &'static str,
    /// The bare fan; `None` where it was not read.
    pub bare_fan: Option<ComparedDesign>,
    /// The designs that were read, best reading first.
    pub designs: Vec<ComparedDesign>,
    /// Names of sealed designs without a reading.
    pub unread: Vec<String>,
    /// Drift of the bare fan.
    pub drift: Option<Drift>,
    /// Readings of designs inside the promised range.
    pub inside_count: usize,
    /// Readings that could be held against a promise.
    pub held_count: usize,
    /// Every reading, by the line.
    pub readings: Vec<ComparedReading>,
    /// Every pair of designs with two repeats or more.
    pub pairs: Vec<ComparedPair>,
    /// Agreement of the two orders.
    pub agreement: Option<Agreement>,
    /// Readings far from their fellows.
    pub outliers: Vec<Outlier>,
    /// Lines not yet filled in.
    pub empty_count: usize,
    /// Doubts.
    pub warnings: Vec<Warning>,
}
