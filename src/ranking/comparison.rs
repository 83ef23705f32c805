//! Two grilles side by side.

use crate::comparison::{Judged, Relation};
use crate::likely::Likely;

/// Two grilles side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Place in [`crate::ranking::Ranking::grilles`] of the one that stands higher.
    pub better: usize,
    /// Place of the one that stands lower.
    pub other: usize,
    /// How much more flow the first lets through, m³/s; with a given flow, how much less pressure it costs, Pa.
    /// What is common to both (fan curve, PC case, the same view of the same shape) has cancelled.
    pub difference: Likely,
    /// What the rule says of it.
    pub judged: Judged,
    /// Parts of the half-width of the difference, largest first.
    pub parts: Vec<DifferencePart>,
}

/// A part of the interval of a difference.
#[derive(Debug, Clone, PartialEq)]
pub struct DifferencePart {
    /// The cause, in plain words.
    pub source: String,
    /// Half-width at 95 %, in the unit of the difference.
    pub half_width: f64,
}

impl Comparison {
    /// Whether neither is behind the other.
    pub fn is_level(&self) -> bool {
        self.judged.relation != Relation::Ahead
    }
}
