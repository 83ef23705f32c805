//! Every two designs of a bench, judged by the one rule.

use crate::comparison::{EQUAL_IN_USE_POINTS, Judged, Relation, SURE, studentized_range_sf};
use crate::likely::Likely;
use crate::rig::compared::ComparedPair;
use crate::rig::scatter::Scatter;
use crate::rig::sealed::PromisedDesign;
use crate::rig::student::{probability_between, studentized_range_95, welch_satterthwaite};

/// A design with its readings.
pub(super) struct Read<'a> {
    pub(super) promised: &'a PromisedDesign,
    /// Per cent of the bare fan, mean over the repeats.
    pub(super) percent: f64,
    pub(super) repeat_count: usize,
    /// Scatter of its own repeats.
    pub(super) own: Option<Scatter>,
}

impl Read<'_> {
    /// Square of the standard error of its mean, with its degrees of freedom.
    fn error(&self, scatter: Scatter) -> (f64, f64) {
        let deviation = 0.01 * scatter.percent * self.percent;
        (
            deviation.powi(2) / self.repeat_count as f64,
            scatter.degrees_of_freedom,
        )
    }
}

/// Every pair of designs that stand best first.
///
/// ```text
/// q = (a − b) / √(½ (s²_a/n_a + s²_b/n_b)),   s_a = a · scatter
/// ```
///
/// with the scatter of all designs together: of equal designs at most one bench in twenty shows any behind another, however few remounts there are. A scatter of
/// its own for each design (Games and Howell) keeps that promise from five remounts on only: of eight equal designs with three remounts each it calls one behind on 8 benches in 100.
/// Designs that are seen to repeat unlike one another (`are_unlike`) are judged both ways, and the wider interval counts.
///
/// # References
/// J. W. Tukey (1953), C. Y. Kramer, Biometrics 12 (1956) 307: NIST/SEMATECH e-Handbook of Statistical Methods, section 7.4.7.1. P. A. Games, J. F. Howell, Journal of Educational
/// Statistics 1 (1976) 113 (from memory).
pub(super) fn judged(
    designs: &[Read<'_>],
    scatter: Option<Scatter>,
    are_unlike: bool,
) -> Vec<ComparedPair> {
    let Some(scatter) = scatter else {
        return Vec::new();
    };
    let count = designs.len();
    let factor = |freedom| studentized_range_95(count, freedom) / std::f64::consts::SQRT_2;
    let usual = factor(scatter.degrees_of_freedom);
    let mut pairs = Vec::new();
    for (index, better) in designs.iter().enumerate() {
        for other in &designs[index + 1..] {
            let difference = better.percent - other.percent;
            let square = better.error(scatter).0 + other.error(scatter).0;
            let mut error = square.sqrt();
            let mut freedom = scatter.degrees_of_freedom;
            let mut half_width = usual * error;
            if let (true, Some(own), Some(others)) = (are_unlike, better.own, other.own) {
                let parts = [better.error(own), other.error(others)];
                let own_error = (parts[0].0 + parts[1].0).sqrt();
                let own_freedom = welch_satterthwaite(parts);
                let wider = factor(own_freedom) * own_error;
                if wider > half_width {
                    (error, freedom, half_width) = (own_error, own_freedom, wider);
                }
            }
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
                difference_points: Likely::symmetric(difference, half_width),
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
