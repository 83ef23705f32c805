//! Two grilles side by side: how likely the better one is the better one, and what would tell two apart that tie.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::comparison::Relation;
use crate::likely::Likely;
use crate::result::GrilleName;

/// Two ranked grilles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PairComparison {
    /// The one that stands higher.
    pub better: GrilleName,
    /// The one that stands lower.
    pub other: GrilleName,
    /// How much more of the bare fan's air the first lets through, or how much less pressure it costs at a given flow; in the unit that stands beside it.
    pub difference: Likely,
    /// Unit of the difference: points of a per cent, or Pa.
    pub unit: DifferenceUnit,
    /// Probability that the first is really the better one, these two alone considered, 0.5 to 1, without unit.
    #[schemars(range(min = 0, max = 1))]
    pub probability: f64,
    /// How sure it is that the first is ahead, with the number of grilles allowed for (studentized range), 0 to 1.
    #[schemars(range(min = 0, max = 1))]
    pub sureness: f64,
    /// Whether the first is ahead, the two are equal in use (less than a point of flow apart), or too close to call.
    pub relation: Relation,
    /// What would decide between them; null where the first is ahead.
    pub separation: Option<Separation>,
}

/// What a difference of two grilles is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum DifferenceUnit {
    /// Points of a per cent of the bare fan's flow.
    #[serde(rename = "%")]
    Points,
    /// Pa.
    #[serde(rename = "Pa")]
    Pascals,
}

/// What would decide between two grilles, if they differ by what is believed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Separation {
    /// The main uncertainty of their order, in plain words.
    pub largest_part: String,
    /// Half of the width of that part, in the unit of the difference.
    pub largest_part_half_width: f64,
    /// How many times as many cells across a hole would do, if nothing else changes (the grid's part taken to fall as one over them), without unit; null where no number would.
    pub cells_factor: Option<f64>,
    /// How many times as long a mean in time would do, if nothing else changes, without unit; null where no time would.
    pub time_factor: Option<f64>,
    /// Scatter of a remount on a bench that the next number is for, per cent of the reading.
    pub bench_scatter_percent: f64,
    /// Remounts of each that would show the difference on such a bench, with 80 % probability in a two-sided t test at 5 %, a count; null where nobody would mount so often.
    #[schemars(range(min = 1))]
    pub bench_remounts: Option<usize>,
}
