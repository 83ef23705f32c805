//! Two grilles side by side: how likely the better one is the better one, and what would tell two apart that tie.

use serde::Serialize;

use crate::comparison::Relation;
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
    /// Probability, 0.5 to 1, that the first is really the better one, these two alone considered.
    pub probability: f64,
    /// How sure that is with the number of grilles allowed for, 0 to 1.
    pub sureness: f64,
    /// Whether the first is ahead, the two are equal in use, or too close to call.
    pub relation: Relation,
    /// What would decide between them; `None` where the first is ahead.
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
const MOST_TIES: usize = 8;

/// The pairs nearest to the front of which neither is ahead, a sentence each.
pub(super) fn tie_lines(result: &StudyResult) -> Vec<String> {
    let ties = result
        .pairs
        .iter()
        .filter(|pair| pair.relation != Relation::Ahead);
    let mut lines: Vec<String> = ties.clone().take(MOST_TIES).filter_map(line).collect();
    let more = ties.count().saturating_sub(lines.len());
    if more > 0 && !lines.is_empty() {
        lines.push(format!("{more} more: see pairs in ranking.json."));
    }
    lines
}

fn line(pair: &PairTold) -> Option<String> {
    let unit = match pair.unit {
        "%" => "points",
        other => other,
    };
    let (better, other) = (&pair.better, &pair.other);
    let difference = pair.difference.value;
    if pair.relation == Relation::EqualInUse {
        return Some(format!(
            "{better} and {other}: equal in use ({difference:.1}\u{a0}{unit} apart)."
        ));
    }
    let separation = pair.separation.as_ref()?;
    let within = |factor: Option<f64>| factor.filter(|factor| *factor <= LARGEST_FACTOR);
    let solver = match (
        within(separation.cells_factor),
        within(separation.time_factor),
    ) {
        (Some(factor), _) => format!("{factor:.1} times the cells across a hole might decide it"),
        (None, Some(factor)) => format!("{factor:.1} times the run time might decide it"),
        (None, None) => "no finer run within reason would decide it".to_owned(),
    };
    let bench = match separation.bench_remounts {
        Some(remounts) => format!(
            "{remounts} remounts of each on a bench that scatters by {}\u{a0}% would",
            separation.bench_scatter_percent
        ),
        None => "no bench would either: take the one you like better".to_owned(),
    };
    Some(format!(
        "{better} {difference:.1}\u{a0}{unit} ahead of {other}, {:.0}\u{a0}% sure: too close to call; main uncertainty {} (±{:.1}\u{a0}{unit}); {solver}, {bench}.",
        100.0 * pair.sureness,
        separation.largest_part,
        separation.largest_part_half_width,
    ))
}
