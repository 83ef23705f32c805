//! Two grilles side by side: how likely the better one is the better one, and what would tell two apart that tie.

use serde::Serialize;

use crate::likely::Likely;
use crate::report::StudyResult;

/// Two grilles of a ranking.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairTold {
    /// The one that stands higher.
    pub better: String,
    /// The one that stands lower.
    pub other: String,
    /// How much more of the bare fan's air the first lets through, in points of a per cent; with a given flow, how much less pressure it costs, Pa.
    pub difference: Likely,
    /// Unit of the difference: `%` or `Pa`.
    pub unit: &'static str,
    /// Probability, 0.5 to 1, that the first is really the better one.
    pub probability: f64,
    /// Whether the two cannot be told apart: the interval includes zero.
    pub is_tie: bool,
    /// What would tell them apart; `None` where they are.
    pub separation: Option<Separation>,
}

/// What would tell two grilles apart, if they differ by what is believed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Separation {
    /// What hides their order most, in plain words.
    pub largest_part: String,
    /// Half-width of that part, in the unit of the difference.
    pub largest_part_half_width: f64,
    /// How many times as many cells across a hole would do, if nothing else changes (taking the grid's part to fall as one over them); `None` where no number would.
    pub cells_factor: Option<f64>,
    /// How many times as long a mean in time would do, if nothing else changes; `None` where no time would.
    pub time_factor: Option<f64>,
    /// Scatter of a remount that the next number is for, per cent of the reading.
    pub bench_scatter_percent: f64,
    /// Remounts of each that would show the difference on a bench, with 80 % probability in a two-sided t test at 5 %; `None` where nobody would mount so often.
    pub bench_remounts: Option<usize>,
}

/// Factors beyond this are no advice.
const LARGEST_FACTOR: f64 = 4.0;

/// Most ties that the screen tells.
const MOST_TIES: usize = 3;

/// The ties nearest to the front, a sentence each.
pub(super) fn tie_lines(result: &StudyResult) -> Vec<String> {
    let ties = result.pairs.iter().filter(|pair| pair.is_tie);
    let mut lines: Vec<String> = ties.clone().take(MOST_TIES).filter_map(line).collect();
    let more = ties.count().saturating_sub(lines.len());
    if more > 0 && !lines.is_empty() {
        lines.push(format!("{more} more ties: see pairs in ranking.json."));
    }
    lines
}

fn line(pair: &PairTold) -> Option<String> {
    let separation = pair.separation.as_ref()?;
    let within = |factor: Option<f64>| factor.filter(|factor| *factor <= LARGEST_FACTOR);
    let unit = pair.unit;
    let cells = within(separation.cells_factor);
    let time = within(separation.time_factor);
    let solver = match (cells, time) {
        (Some(factor), _) => {
            format!("{factor:.1} times the cells across a hole might tell them apart")
        }
        (None, Some(factor)) => format!("{factor:.1} times the time might tell them apart"),
        (None, None) => "neither cells nor time within reason would tell them apart".to_owned(),
    };
    let bench = match separation.bench_remounts {
        Some(remounts) => format!(
            "{remounts} remounts of each on a bench that scatters by {}\u{a0}% would",
            separation.bench_scatter_percent
        ),
        None => "no bench would: take the one that looks better".to_owned(),
    };
    Some(format!(
        "{} ahead of {}: {:.0}\u{a0}% probable, by {:.1}\u{a0}{unit}, hidden most by {} (±{:.1}\u{a0}{unit}); {solver}, {bench}.",
        pair.better,
        pair.other,
        100.0 * pair.probability,
        pair.difference.value,
        separation.largest_part,
        separation.largest_part_half_width,
    ))
}
