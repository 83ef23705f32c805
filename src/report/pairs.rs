//! Lines on what would tell two grilles apart that tie.

use crate::comparison::Relation;
use crate::result::{DifferenceUnit, PairComparison, StudyResult};

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

fn line(pair: &PairComparison) -> Option<String> {
    let unit = match pair.unit {
        DifferenceUnit::Points => "points",
        DifferenceUnit::Pascals => "Pa",
    };
    let (better, other) = (&pair.better.name, &pair.other.name);
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
