//! What readings say, as plain data.

use serde::Serialize;

use crate::comparison::Relation;
use crate::likely::{Likely, Warning};
use crate::rig::same_speed::Conditions;
use crate::rig::scatter::Scatter;

/// A design, what was predicted of it and what was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparedDesign {
    /// Name.
    pub name: String,
    /// Predicted place.
    pub predicted_rank: Option<u32>,
    /// Predicted flow, m³/h.
    pub predicted_flow_m3_per_h: Option<Likely>,
    /// Predicted flow in per cent of the bare fan.
    pub predicted_percent: Option<Likely>,
    /// Predicted reading of the meter, m/s, least and largest.
    pub predicted_meter_m_per_s: Option<[f64; 2]>,
    /// What the readings are held against, in per cent of the bare fan: the predicted meter where air speeds were read behind a swirl, the predicted flow otherwise.
    pub predicted_reading_percent: Option<[f64; 2]>,
    /// Predicted reading in the unit that was read, least and largest: the flow, or the air speed at the meter.
    pub predicted_reading: Option<[f64; 2]>,
    /// Place on the bench: 1 and the number of designs that it is behind; `None` where nothing could be compared.
    pub place: Option<usize>,
    /// Readings.
    pub reading_count: usize,
    /// Repeats: remounts, or readings where remounts were not given.
    pub repeat_count: usize,
    /// Mean reading in the unit that was read.
    pub mean_reading: Option<f64>,
    /// Read per cent of the bare fan with its 95 % interval; without an interval (nothing was repeated) both ends are the value.
    pub read_percent: Option<Likely>,
    /// Whether there is an interval.
    pub has_interval: bool,
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
    /// How much more, points (per cent of the bare fan), with the 95 % interval that holds for all pairs together.
    pub difference_points: Likely,
    /// How sure the order is, the number of designs allowed for, 0 to 1.
    pub sureness: f64,
    /// What follows.
    pub relation: Relation,
    /// Where the prediction and the bench both tell the two apart: whether in the same order.
    pub is_as_predicted: Option<bool>,
}

/// Readings that lie far from the others of their design.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outlier {
    /// Lines of the file.
    pub lines: Vec<u64>,
    /// Design.
    pub design: String,
    /// Mean value as typed.
    pub value: f64,
    /// Unit as typed.
    pub unit: &'static str,
    /// By how much they differ from the median of the others, per cent of it.
    pub off_percent: f64,
    /// Whether one of two is off and nobody can say which.
    pub is_either: bool,
    /// Distance from the mean of the design in standard errors (externally studentized).
    pub score: f64,
    /// Probability of such a score anywhere among the readings by chance.
    pub chance: f64,
}

/// A reading and what was predicted for it.
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
    /// Predicted flow, mean air speed or per cent, in the unit as typed.
    pub predicted: Option<f64>,
    /// Predicted reading of the meter, least and largest, in the unit as typed, where air speeds were read.
    pub predicted_meter: Option<[f64; 2]>,
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

/// What follows from a set of readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Findings {
    /// The bare fan; `None` where it was not read.
    pub bare_fan: Option<ComparedDesign>,
    /// The designs that were read, best reading first.
    pub designs: Vec<ComparedDesign>,
    /// Scatter of one remount, of all designs together; `None` where nothing was repeated.
    pub scatter: Option<Scatter>,
    /// Every pair of designs, best first.
    pub pairs: Vec<ComparedPair>,
    /// Designs of which none is behind another, as places in `designs`; groups of two and more.
    pub groups: Vec<Vec<usize>>,
    /// Drift of the bare fan.
    pub drift: Option<Drift>,
}

impl Findings {
    /// How many pairs the bench and the prediction both tell apart, and how many of them stand in the predicted order.
    pub fn pairs_held(&self) -> (usize, usize) {
        let told = self.pairs.iter().filter_map(|pair| pair.is_as_predicted);
        told.fold((0, 0), |(of, held), is_held| {
            (of + 1, held + usize::from(is_held))
        })
    }

    /// How many readings could be held against a prediction, and how many of them lie inside its range.
    pub fn readings_held(&self) -> (usize, usize) {
        let of = self.designs.iter().map(|design| design.held_count).sum();
        (
            of,
            self.designs.iter().map(|design| design.inside_count).sum(),
        )
    }
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
    /// Unit that was read: that of the first reading.
    pub unit: &'static str,
    /// What all readings say together.
    #[serde(flatten)]
    pub findings: Findings,
    /// What they say without the outliers, where there are any.
    pub without_outliers: Option<Findings>,
    /// Names of sealed designs without a reading.
    pub unread: Vec<String>,
    /// Speed of the fan and temperature of the room, where they were given.
    pub conditions: Conditions,
    /// Every reading that counts, by the line.
    pub readings: Vec<ComparedReading>,
    /// Readings far from the others of their design.
    pub outliers: Vec<Outlier>,
    /// Lines not yet filled in.
    pub empty_count: usize,
    /// Doubts.
    pub warnings: Vec<Warning>,
}
