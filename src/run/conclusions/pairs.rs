//! Every pair of ranked grilles as it is told: how sure its order is, and what would decide it.

use crate::comparison::deviations_to_be_sure;
use crate::likely::{HALF_WIDTH_95, Likely};
use crate::ranking::{Comparison, DifferencePart, FLUCTUATION_WORDS, Ranking};
use crate::result::{DifferenceUnit, GrilleName, PairComparison, Separation};
use crate::rig::plan::SCATTER_PERCENT;
use crate::rig::power::{FALSE_ALARM, POWER, repeats_needed};
use crate::run::conclusions::loss::GRID_WORDS;

/// The pairs of a ranking, best first; `named` are the grilles that it was given.
pub(super) fn pairs(ranking: &Ranking, named: &[GrilleName]) -> Vec<PairComparison> {
    let bare = ranking.bare.as_ref().map(|bare| bare.flow.value);
    // By what the half-width at 95 % must be multiplied to be the distance from zero that is sure.
    let stretch = deviations_to_be_sure(ranking.grilles.len()) / HALF_WIDTH_95;
    let told = ranking.comparisons.iter().map(|comparison| {
        let (unit, scale) = match bare {
            Some(bare) => (DifferenceUnit::Points, 100.0 / bare),
            None => (DifferenceUnit::Pascals, 1.0),
        };
        let [better, other] = [comparison.better, comparison.other]
            .map(|place| named[ranking.grilles[place].index].clone());
        let merit = |place: usize| {
            let grille = &ranking.grilles[place];
            match bare {
                Some(_) => grille.flow.value * scale,
                None => grille.pressure_drop.value,
            }
        };
        let level = 0.5 * (merit(comparison.better) + merit(comparison.other));
        let difference = comparison.difference.scaled(scale);
        let separation = comparison
            .is_level()
            .then(|| separation(comparison, difference, scale, level, stretch));
        PairComparison {
            better,
            other,
            difference,
            unit,
            probability: comparison.judged.probability,
            sureness: comparison.judged.sureness,
            relation: comparison.judged.relation,
            separation: separation.flatten(),
        }
    });
    told.collect()
}

fn separation(
    comparison: &Comparison,
    difference: Likely,
    scale: f64,
    level: f64,
    stretch: f64,
) -> Option<Separation> {
    let largest = comparison.parts.first()?;
    let scatter = 0.01 * SCATTER_PERCENT * level;
    let sure = comparison.difference.value / stretch;
    let needed = |source| shrinking(&comparison.parts, source, sure);
    Some(Separation {
        largest_part: largest.source.clone(),
        largest_part_half_width: largest.half_width * scale,
        cells_factor: needed(GRID_WORDS),
        // The half-width falls as the root of the time.
        time_factor: needed(FLUCTUATION_WORDS).map(|factor| factor * factor),
        bench_scatter_percent: SCATTER_PERCENT,
        bench_remounts: repeats_needed(difference.value, scatter, FALSE_ALARM, POWER),
    })
}

/// By which factor one part must shrink so that the whole is no wider than `difference`; `None` where the other parts alone include it, or the part is not there.
///
/// ```text
/// h / √(D² − Σ h'²)      D: difference, h: the part, h': the others
/// ```
fn shrinking(parts: &[DifferencePart], source: &str, difference: f64) -> Option<f64> {
    let of = |is_it: bool| -> f64 {
        let chosen = parts.iter().filter(|part| (part.source == source) == is_it);
        chosen.map(|part| part.half_width * part.half_width).sum()
    };
    let room = difference * difference - of(false);
    let own = of(true);
    (own > 0.0 && room > 0.0).then(|| (own / room).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(source: &str, half_width: f64) -> DifferencePart {
        DifferencePart {
            source: source.to_owned(),
            half_width,
        }
    }

    #[test]
    fn a_part_shrinks_until_the_interval_leaves_zero_out() {
        // By hand: a difference of 5, 3 by other causes: the grid may have 4, and has 8.
        let parts = [part(GRID_WORDS, 8.0), part("fan curve", 3.0)];
        assert!((shrinking(&parts, GRID_WORDS, 5.0).unwrap() - 2.0).abs() < 1e-12);
        let after = [part(GRID_WORDS, 8.0 / 2.0), part("fan curve", 3.0)];
        let sum: f64 = after.iter().map(|part| part.half_width.powi(2)).sum();
        assert!((sum.sqrt() - 5.0).abs() < 1e-12);
        assert_eq!(shrinking(&parts, FLUCTUATION_WORDS, 5.0), None);
        assert_eq!(shrinking(&parts, GRID_WORDS, 2.9), None);
    }
}
