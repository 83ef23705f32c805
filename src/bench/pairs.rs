//! Every two designs of a bench, judged by the one rule.

use crate::bench::compared::ComparedPair;
use crate::bench::scatter::Scatter;
use crate::bench::sealed::PromisedDesign;
use crate::bench::student::{probability_between, studentized_range_95};
use crate::comparison::{EQUAL_IN_USE_POINTS, Judged, Relation, SURE, studentized_range_sf};
use crate::likely::Likely;

/// A design with its readings.
pub(super) struct Read<'a> {
    pub(super) promised: &'a PromisedDesign,
    /// Per cent of the bare fan, mean over the repeats.
    pub(super) percent: f64,
    pub(super) repeat_count: usize,
}

/// Every pair of designs that stand best first.
///
/// ```text
/// q = (a − b) / √(½ (s²_a/n_a + s²_b/n_b)),   s_a = a · scatter
/// ```
///
/// with the scatter of all designs together: of equal designs at most one bench in twenty shows any behind another, however few remounts there are. A scatter of
/// its own for each design (Games and Howell) keeps that promise from five remounts on only: of eight equal designs with three remounts each it calls one behind on 8 benches in 100.
///
/// # References
/// J. W. Tukey (1953), C. Y. Kramer, Biometrics 12 (1956) 307: NIST/SEMATECH e-Handbook of Statistical Methods, section 7.4.7.1.
pub(super) fn judged(designs: &[Read<'_>], scatter: Option<Scatter>) -> Vec<ComparedPair> {
    let Some(scatter) = scatter else {
        return Vec::new();
    };
    let (count, freedom) = (designs.len(), scatter.degrees_of_freedom);
    let half_width = studentized_range_95(count, freedom) / std::f64::consts::SQRT_2;
    let variance =
        |of: &Read<'_>| (0.01 * scatter.percent * of.percent).powi(2) / of.repeat_count as f64;
    let mut pairs = Vec::new();
    for (index, better) in designs.iter().enumerate() {
        for other in &designs[index + 1..] {
            let difference = better.percent - other.percent;
            let error = (variance(better) + variance(other)).sqrt();
            let q = std::f64::consts::SQRT_2 * difference / error;
            let equal = EQUAL_IN_USE_POINTS;
            let between = |low: f64, high: f64| {
                let [low, high] = [low, high].map(|end| (end - difference) / error);
                probability_between(low, high, freedom)
            };
            let judged = Judged::with(
                1.0 - studentized_range_sf(q, count, freedom),
                between(0.0, f64::INFINITY),
                between(-equal, equal) >= SURE,
            );
            pairs.push(ComparedPair {
                better: better.promised.name.clone(),
                other: other.promised.name.clone(),
                difference_points: Likely::symmetric(difference, half_width * error),
                sureness: judged.sureness,
                relation: judged.relation,
                is_as_predicted: (judged.relation == Relation::Ahead)
                    .then(|| is_predicted(better.promised, other.promised))
                    .flatten(),
            });
        }
    }
    pairs
}

/// Whether the first was predicted to move more; `None` where the prediction does not tell them apart.
fn is_predicted(first: &PromisedDesign, second: &PromisedDesign) -> Option<bool> {
    let is_open = first.tied_with.contains(&second.name) || second.tied_with.contains(&first.name);
    let (first, second) = (first.flow_percent?, second.flow_percent?);
    (!is_open).then_some(first.value > second.value)
}
