//! Who beats whom: differences, ties, places.

use statrs::function::erf::erfc;

use crate::likely::{HALF_WIDTH_95, Likely};

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
    /// Probability, 0.5 to 1, that the first is really the better one.
    pub probability: f64,
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
    /// Compares by a difference that is not negative.
    pub(super) fn new(
        better: usize,
        other: usize,
        difference: Likely,
        parts: Vec<DifferencePart>,
    ) -> Self {
        let deviation = (difference.value - difference.low) / HALF_WIDTH_95;
        let probability = if deviation > 0.0 {
            0.5 * erfc(-difference.value / (deviation * std::f64::consts::SQRT_2))
        } else if difference.value > 0.0 {
            1.0
        } else {
            0.5
        };
        Self {
            better,
            other,
            difference,
            probability,
            parts,
        }
    }

    /// Whether the two cannot be told apart: the 95 % interval of their difference includes zero.
    pub fn is_tie(&self) -> bool {
        self.difference.includes(0.0)
    }
}

/// Which of `count` grilles tie: a table, row by row.
#[derive(Debug)]
pub(super) struct Ties {
    count: usize,
    tied: Vec<bool>,
}

impl Ties {
    pub(super) fn of(comparisons: &[Comparison], count: usize) -> Self {
        let mut tied = vec![false; count * count];
        for comparison in comparisons.iter().filter(|c| c.is_tie()) {
            tied[comparison.better * count + comparison.other] = true;
            tied[comparison.other * count + comparison.better] = true;
        }
        Self { count, tied }
    }

    /// Whether two grilles tie.
    pub(super) fn are_tied(&self, first: usize, second: usize) -> bool {
        self.tied[first * self.count + second]
    }

    /// Places: 1 and the number of grilles that are clearly better, but never above one that stands higher in the list.
    pub(super) fn places(&self) -> Vec<usize> {
        let mut place = 0;
        (0..self.count)
            .map(|grille| {
                let clearly_better = (0..grille)
                    .filter(|&above| !self.are_tied(above, grille))
                    .count();
                place = place.max(1 + clearly_better);
                place
            })
            .collect()
    }

    /// Groups in which each ties with each; every pair that ties is in one of them. A grille may stand in several.
    pub(super) fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut is_covered = vec![false; self.count * self.count];
        for first in 0..self.count {
            for second in first + 1..self.count {
                if !self.are_tied(first, second) || is_covered[first * self.count + second] {
                    continue;
                }
                let mut group = vec![first, second];
                for candidate in first + 1..self.count {
                    let fits = group.iter().all(|&member| self.are_tied(member, candidate));
                    if fits {
                        group.push(candidate);
                    }
                }
                group.sort_unstable();
                for &a in &group {
                    for &b in &group {
                        is_covered[a * self.count + b] = true;
                    }
                }
                groups.push(group);
            }
        }
        groups
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ties(count: usize, pairs: &[(usize, usize)]) -> Ties {
        let comparisons: Vec<Comparison> = pairs
            .iter()
            .map(|&(a, b)| Comparison::new(a, b, Likely::symmetric(1.0, 2.0), Vec::new()))
            .collect();
        Ties::of(&comparisons, count)
    }

    #[test]
    fn probability_is_that_of_the_normal_distribution() {
        // 97.5 % where the interval just touches zero, by the definition of the 95 % interval.
        let touching = Comparison::new(0, 1, Likely::symmetric(2.0, 2.0), Vec::new());
        assert!((touching.probability - 0.975).abs() < 1e-9);
        assert!(touching.is_tie());
        // One standard deviation above zero: 84.13 % (any table of the normal distribution).
        let one = Comparison::new(0, 1, Likely::symmetric(1.0, HALF_WIDTH_95), Vec::new());
        assert!((one.probability - 0.841_345).abs() < 1e-6);
        let equal = Comparison::new(0, 1, Likely::exact(0.0), Vec::new());
        assert!((equal.probability - 0.5).abs() < 1e-12 && equal.is_tie());
    }

    #[test]
    fn a_chain_of_ties_makes_two_groups_and_two_places() {
        let chain = ties(3, &[(0, 1), (1, 2)]);
        assert_eq!(chain.groups(), [vec![0, 1], vec![1, 2]]);
        assert_eq!(chain.places(), [1, 1, 2]);
    }

    #[test]
    fn grilles_that_all_differ_have_places_of_their_own() {
        let clear = ties(3, &[]);
        assert!(clear.groups().is_empty());
        assert_eq!(clear.places(), [1, 2, 3]);
    }

    #[test]
    fn a_doubtful_grille_never_stands_above_one_with_more_flow() {
        // The last ties with all, but 1 and 2 are clearly ordered below 0.
        let doubtful = ties(4, &[(0, 3), (1, 3), (2, 3)]);
        assert_eq!(doubtful.places(), [1, 2, 3, 3]);
        assert_eq!(doubtful.groups(), [vec![0, 3], vec![1, 3], vec![2, 3]]);
    }

    #[test]
    fn all_tied_share_the_first_place() {
        let all = ties(3, &[(0, 1), (0, 2), (1, 2)]);
        assert_eq!(all.groups(), [vec![0, 1, 2]]);
        assert_eq!(all.places(), [1, 1, 1]);
    }
}
