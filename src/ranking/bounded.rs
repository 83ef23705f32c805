//! Normal distributions that know a bound: air cannot gain pressure in a grille.
//!
//! What K of the holes may be off by is drawn from a normal distribution as far as K lies above what a plate without any loss has; the rest of the distribution is left out before ranges and
//! probabilities are taken from it. Far from the bound nothing changes.

use crate::comparison::normal;
use crate::likely::HALF_WIDTH_95;

/// Bounds farther than so many standard deviations are none: a thousandth of the distribution lies beyond, and the ends of the 95 % interval would move by less than a hundredth of it.
const FAR: f64 = 3.0;

/// Nodes of the integral over the deviations of the first of two numbers.
const NODES: u32 = 120;

/// Shares of a distribution below the ends of its 95 % interval.
const ENDS: [f64; 2] = [0.025, 0.975];

/// A number that a normal distribution describes up to a bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounded {
    /// Best estimate.
    pub(super) value: f64,
    /// Half-width at 95 % of the distribution without its bound.
    pub(super) half_width: f64,
    /// What it cannot be beyond.
    pub(super) bound: f64,
    /// Which end of the range the bound is.
    pub(super) side: Bound,
}

/// Which end of a range a bound is, wherever the best estimate lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bound {
    Least,
    Most,
}

impl Bounded {
    fn deviation(&self) -> f64 {
        self.half_width / HALF_WIDTH_95
    }

    /// Distance of the bound, in standard deviations; below zero where the best estimate itself is beyond it.
    fn room(&self) -> f64 {
        let deviation = self.deviation();
        let distance = match self.side {
            Bound::Least => self.value - self.bound,
            Bound::Most => self.bound - self.value,
        };
        if deviation > 0.0 {
            (distance / deviation).max(-FAR)
        } else {
            f64::INFINITY
        }
    }

    /// How far the 95 % interval reaches below and above the best estimate.
    pub(super) fn reach(&self) -> [f64; 2] {
        let room = self.room();
        if room >= FAR {
            return [self.half_width; 2];
        }
        let [away, toward] = ENDS.map(|share| self.deviation() * quantile(share * normal(room)));
        let [away, toward] = [(-away).max(0.0), toward.max(0.0)];
        match self.side {
            Bound::Most => [away, toward],
            Bound::Least => [toward, away],
        }
    }
}

/// How far the 95 % interval of a difference of two such numbers reaches below and above `first.value - second.value`; `half_width` is that of the difference without bounds, which tells how far
/// the two move together. Both bounds are the most that their numbers can be.
pub(super) fn reach_of_difference(first: &Bounded, second: &Bounded, half_width: f64) -> [f64; 2] {
    if first.room().min(second.room()) >= FAR || half_width <= 0.0 {
        return [half_width; 2];
    }
    let (a, b) = (first.deviation(), second.deviation());
    if a <= 0.0 || b <= 0.0 {
        // Only one of the two is uncertain.
        if a > 0.0 {
            return first.reach();
        }
        let [below, above] = second.reach();
        return [above, below];
    }
    let deviation = half_width / HALF_WIDTH_95;
    let together = ((a * a + b * b - deviation * deviation) / (2.0 * a * b)).clamp(-0.999, 0.999);
    let rest = (1.0 - together * together).sqrt();
    let [first_room, second_room] = [first.room(), second.room()];
    // Weights over the first number's deviations, up to its bound.
    let (least, most) = (-6.0, first_room.min(6.0));
    let step = (most - least) / f64::from(NODES);
    let nodes: Vec<(f64, f64)> = (0..NODES)
        .map(|node| least + step * (f64::from(node) + 0.5))
        .map(|z| (z, (-0.5 * z * z).exp()))
        .collect();
    let below_bound = |z: f64| normal((second_room - together * z) / rest);
    // Unnormalised probability that the difference lies at most `x` above its best estimate.
    let up_to = |x: f64| -> f64 {
        let of = |&(z, weight): &(f64, f64)| {
            let least = ((a * z - x) / b - together * z) / rest;
            weight * (below_bound(z) - normal(least)).max(0.0)
        };
        nodes.iter().map(of).sum()
    };
    let whole: f64 = nodes
        .iter()
        .map(|&(z, weight)| weight * below_bound(z))
        .sum();
    let reach = 8.0 * (a + b);
    let ends = ENDS.map(|share| bisect(-reach, reach, |x| up_to(x) < share * whole));
    [(-ends[0]).max(0.0), ends[1].max(0.0)]
}

/// Standard deviations below which a share of the normal distribution lies.
fn quantile(share: f64) -> f64 {
    bisect(-9.0, 9.0, |z| normal(z) < share)
}

/// Where a statement that holds on the left ends.
fn bisect(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at_most(value: f64, half_width: f64, bound: f64) -> Bounded {
        Bounded {
            value,
            half_width,
            bound,
            side: Bound::Most,
        }
    }

    fn at_least(value: f64, half_width: f64, bound: f64) -> Bounded {
        Bounded {
            side: Bound::Least,
            ..at_most(value, half_width, bound)
        }
    }

    #[test]
    fn far_bounds_change_nothing() {
        let is = |reach: [f64; 2], width: f64| reach.iter().all(|it| (it - width).abs() < 1e-12);
        assert!(is(at_least(5.0, 1.0, 0.0).reach(), 1.0));
        let (a, b) = (at_most(80.0, 2.0, 100.0), at_most(70.0, 2.0, 100.0));
        assert!(is(reach_of_difference(&a, &b, 2.5), 2.5));
    }

    #[test]
    fn half_a_normal_distribution_has_the_quantiles_of_its_table() {
        // At the bound half of the distribution is left: its ends are the 0.5125 and 0.9875 quantiles, 0.0313 and 2.2414 standard deviations (tables of the normal distribution).
        let [below, above] = at_most(0.0, HALF_WIDTH_95, 0.0).reach();
        assert!(
            (below - 2.241_403).abs() < 1e-5 && above.abs() < 1e-9,
            "{below} {above}"
        );
        let k = at_least(4.3, 4.4, 0.0);
        let [below, above] = k.reach();
        assert!(
            k.value - below > 0.0 && above > 0.95 * 4.4,
            "{below} {above}"
        );
    }

    #[test]
    fn a_number_beyond_its_bound_reaches_only_back() {
        // Left of the distribution is what lies a standard deviation or more above: its 0.975 quantile is 2.6549 (1 - 0.025 (1 - Φ(1)), tables of the normal distribution).
        let loss = at_least(-1.0, HALF_WIDTH_95, 0.0).reach();
        let air = at_most(1.0, HALF_WIDTH_95, 0.0).reach();
        assert!(
            loss[0].abs() < 1e-12 && (loss[1] - 2.654_9).abs() < 1e-3,
            "{loss:?}"
        );
        assert!(
            air[1].abs() < 1e-12 && (air[0] - loss[1]).abs() < 1e-12,
            "{air:?}"
        );
    }

    #[test]
    fn a_difference_is_that_of_draws() {
        // Against drawing on a fine grid of both numbers.
        let cases = [
            (at_most(90.0, 12.0, 97.0), at_most(70.0, 20.0, 95.0), 0.0),
            (at_most(90.0, 12.0, 97.0), at_most(86.0, 3.0, 99.0), 0.6),
            (at_most(90.0, 12.0, 97.0), at_most(88.0, 10.0, 94.0), 0.6),
        ];
        for (first, second, together) in cases {
            let (a, b) = (first.deviation(), second.deviation());
            let deviation = (a * a + b * b - 2.0 * together * a * b).sqrt();
            let seen = reach_of_difference(&first, &second, HALF_WIDTH_95 * deviation);
            let mut drawn: Vec<(f64, f64)> = Vec::new();
            let count = 700;
            for i in 0..count {
                for j in 0..count {
                    let [u, v] = [i, j].map(|k| -6.0 + 12.0 * (f64::from(k) + 0.5) / 700.0);
                    let w = together * u + (1.0 - together * together).sqrt() * v;
                    if u <= first.room() && w <= second.room() {
                        drawn.push((a * u - b * w, (-0.5 * (u * u + v * v)).exp()));
                    }
                }
            }
            drawn.sort_by(|x, y| x.0.total_cmp(&y.0));
            let whole: f64 = drawn.iter().map(|it| it.1).sum();
            let at = |share: f64| {
                let mut sum = 0.0;
                let mut draws = drawn.iter();
                let found = draws.find(|it| {
                    sum += it.1;
                    sum >= share * whole
                });
                found.map_or(f64::NAN, |it| it.0)
            };
            let expected = [-at(0.025), at(0.975)];
            for (seen, expected) in seen.iter().zip(expected) {
                assert!(
                    (seen - expected).abs() < 0.03 * deviation,
                    "{seen} {expected}"
                );
            }
        }
    }

    #[test]
    fn where_only_one_of_two_is_uncertain_the_difference_reaches_as_that_one() {
        // At its bound it reaches 2.2414 standard deviations back and hardly any forward, as the half of a normal distribution does.
        let uncertain = at_most(90.0, HALF_WIDTH_95, 90.0);
        let exact = at_most(80.0, 0.0, 90.0);
        let [below, above] = reach_of_difference(&uncertain, &exact, HALF_WIDTH_95);
        assert!((below - 2.241_403).abs() < 1e-5 && above.abs() < 1e-9);
        let [below, above] = reach_of_difference(&exact, &uncertain, HALF_WIDTH_95);
        assert!((above - 2.241_403).abs() < 1e-5 && below.abs() < 1e-9);
    }
}
