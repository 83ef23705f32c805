//! The one rule by which letters, places and sentences are decided: who is behind whom.
//!
//! 1. A difference of less than one point of flow with at least 95 % probability is *equal in use*.
//! 2. Otherwise the second is *behind* the first where that is sure to at least 95 %, the number of candidates allowed for.
//! 3. Everything else is *too close to call*.
//!
//! "Sure" is `1 - p`, with p of the studentized range of as many candidates as there are ([`studentized_range_sf`]): among any number of equal candidates at most one study in twenty
//! calls any of them behind another (Tukey and Kramer; with unequal uncertainties the share is smaller, Hayter 1984).
//! For two candidates that is the usual two-sided test.
//! A place is 1 and the number of candidates that one is behind; those who share a letter are not behind one another.
//!
//! # References
//! - J. W. Tukey, "The problem of multiple comparisons" (1953); C. Y. Kramer, Biometrics 12 (1956) 307-310; A. J. Hayter, "A proof of the conjecture that the Tukey-Kramer multiple comparisons
//!   procedure is conservative", The Annals of Statistics 12 (1984) 61-75 (quoted from memory).
//! - Letters: H.-P. Piepho, Journal of Computational and Graphical Statistics 13 (2004) 456-466.

mod standing;
mod studentized_range;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use statrs::function::erf::erfc;

use crate::likely::{HALF_WIDTH_95, Likely};

pub use standing::Standing;
pub use studentized_range::studentized_range_sf;

/// How sure one must be to call a candidate behind, or two equal.
pub const SURE: f64 = 0.95;

/// A difference below this many points (per cent of the bare fan's flow) matters to nobody.
pub const EQUAL_IN_USE_POINTS: f64 = 1.0;

/// How two candidates stand to one another, the first being the one with the better estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Relation {
    /// The first is ahead, the second behind.
    Ahead,
    /// They differ by less than one point.
    EqualInUse,
    /// Neither can be said.
    TooClose,
}

/// Two candidates as the rule sees them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// Probability, 0.5 to 1, that the first is the better one, these two alone considered.
    pub probability: f64,
    /// How sure that is with the number of candidates allowed for, 0 to 1.
    pub sureness: f64,
    /// What follows.
    pub relation: Relation,
}

impl Judged {
    /// Judges two of `count` candidates.
    ///
    /// `difference`: how much better the first is, not negative, what both share counted once; `equal_in_use`: the difference that matters to nobody, in the same unit.
    pub fn of(difference: &Likely, equal_in_use: f64, count: usize) -> Self {
        let deviations = deviations_from_zero(difference);
        let probability = normal(deviations);
        let p = studentized_range_sf(deviations * std::f64::consts::SQRT_2, count, f64::INFINITY);
        Self::with(1.0 - p, probability, is_equal(difference, equal_in_use))
    }

    /// What follows from how sure the order is, and from whether two are equal in use.
    pub fn with(sureness: f64, probability: f64, is_equal_in_use: bool) -> Self {
        let relation = if is_equal_in_use {
            Relation::EqualInUse
        } else if sureness >= SURE {
            Relation::Ahead
        } else {
            Relation::TooClose
        };
        Self {
            probability,
            sureness,
            relation,
        }
    }
}

/// The rule for one list of candidates, for who has to judge many pairs of it and needs to know only what follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judge {
    deviations_to_be_sure: f64,
}

impl Judge {
    /// Of so many candidates.
    pub fn of(count: usize) -> Self {
        Self {
            deviations_to_be_sure: deviations_to_be_sure(count),
        }
    }

    /// What [`Judged::of`] makes of a difference, without the time that it takes to say how sure it is.
    pub fn relation(&self, difference: &Likely, equal_in_use: f64) -> Relation {
        let is_sure = deviations_from_zero(difference) >= self.deviations_to_be_sure;
        let sureness = if is_sure { 1.0 } else { 0.0 };
        Judged::with(sureness, 1.0, is_equal(difference, equal_in_use)).relation
    }
}

/// How many standard deviations a difference between two of `count` candidates must be above zero to be sure.
pub fn deviations_to_be_sure(count: usize) -> f64 {
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        let p = studentized_range_sf(middle * std::f64::consts::SQRT_2, count, f64::INFINITY);
        if p > 1.0 - SURE {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// How many standard deviations a difference lies above zero.
fn deviations_from_zero(difference: &Likely) -> f64 {
    let deviation = (difference.value - difference.low) / HALF_WIDTH_95;
    if deviation > 0.0 {
        difference.value / deviation
    } else if difference.value > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

/// Whether a difference is below a limit, either way, with at least 95 % probability.
pub fn is_equal(difference: &Likely, limit: f64) -> bool {
    let below = |at: f64| {
        let side = if at < difference.value {
            difference.value - difference.low
        } else {
            difference.high - difference.value
        };
        let deviation = side / HALF_WIDTH_95;
        if deviation > 0.0 {
            normal((at - difference.value) / deviation)
        } else {
            f64::from(u8::from(at >= difference.value))
        }
    };
    below(limit) - below(-limit) >= SURE
}

/// Distribution function of the normal distribution.
pub(crate) fn normal(deviations: f64) -> f64 {
    0.5 * erfc(-deviations / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_candidates_are_judged_by_the_usual_two_sided_test() {
        // 97.5 % one-sided, 95 % two-sided where the interval just touches zero, by the definition of the 95 % interval.
        let touching = Judged::of(&Likely::symmetric(2.0, 2.0), 0.1, 2);
        assert!((touching.probability - 0.975).abs() < 1e-9);
        assert!((touching.sureness - 0.95).abs() < 1e-6);
        // One standard deviation above zero: 84.13 % (any table of the normal distribution).
        let one = Judged::of(&Likely::symmetric(1.0, HALF_WIDTH_95), 0.1, 2);
        assert!((one.probability - 0.841_345).abs() < 1e-6);
        assert_eq!(one.relation, Relation::TooClose);
    }

    #[test]
    fn what_is_just_sure_is_sure() {
        for count in [2, 3, 8, 40] {
            let deviations = deviations_to_be_sure(count);
            let just = Likely::symmetric(deviations, HALF_WIDTH_95);
            assert!((Judged::of(&just, 0.1, count).sureness - SURE).abs() < 1e-6);
        }
        // The studentized range of 3, 3.314 (any table), over the root of two.
        assert!((deviations_to_be_sure(3) - 3.314 / 2.0_f64.sqrt()).abs() < 1e-3);
    }

    #[test]
    fn what_follows_is_the_same_with_and_without_the_sureness() {
        for count in [2, 3, 8, 40, 200] {
            let judge = Judge::of(count);
            for step in 0..400 {
                let value = 0.01 * f64::from(step);
                for half_width in [0.1, 0.7, 1.3, 2.9] {
                    let difference = Likely::symmetric(value, half_width);
                    let whole = Judged::of(&difference, 1.0, count);
                    assert_eq!(
                        judge.relation(&difference, 1.0),
                        whole.relation,
                        "{difference:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn what_matters_to_nobody_is_equal_however_sure_the_order_is() {
        let sure_but_small = Judged::of(&Likely::symmetric(0.5, 0.2), 1.0, 3);
        assert!(sure_but_small.sureness > 0.99);
        assert_eq!(sure_but_small.relation, Relation::EqualInUse);
        let exact = Judged::of(&Likely::exact(0.0), 1.0, 3);
        assert_eq!(exact.relation, Relation::EqualInUse);
        assert!((exact.probability - 0.5).abs() < 1e-12);
        let wide = Judged::of(&Likely::symmetric(0.5, 3.0), 1.0, 3);
        assert_eq!(wide.relation, Relation::TooClose);
        let clear = Judged::of(&Likely::exact(3.0), 1.0, 3);
        assert_eq!(clear.relation, Relation::Ahead);
    }

    #[test]
    fn more_candidates_ask_for_more() {
        let difference = Likely::symmetric(2.2, 2.0);
        let sureness = [2, 3, 8, 40].map(|count| Judged::of(&difference, 0.1, count).sureness);
        assert!(
            sureness.windows(2).all(|pair| pair[1] < pair[0]),
            "{sureness:?}"
        );
        assert!(sureness[0] > SURE && sureness[1] < SURE);
    }
}
