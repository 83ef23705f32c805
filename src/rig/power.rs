//! How many repeats it takes to see a difference.

use statrs::function::erf::erfc;
use statrs::function::gamma::ln_gamma;

use crate::rig::student::{quantile, studentized_range_95};

/// Probability with which a difference that is there is to be seen, where the user does not say otherwise.
pub const POWER: f64 = 0.8;

/// Probability of seeing a difference that is not there.
pub const FALSE_ALARM: f64 = 0.05;

/// Most repeats that are looked for: nobody remounts a grille more often.
pub const MOST_REPEATS: usize = 500;

/// Pieces of the integral over the scatter that is found.
const PIECES: i32 = 2000;

/// Probability that a two-sided t test of two groups of `repeats` each finds a difference of `effect` scatters (standard deviations of one repeat), with a false
/// alarm in `false_alarm` of the cases.
///
/// ```text
/// P(|T| > t),   T = (Z + d √(n/2)) / √(χ²/ν),   ν = 2n − 2
/// ```
///
/// integrated over χ with Simpson's rule.
///
/// # Validity
/// Two repeats or more; NaN otherwise.
///
/// # References
/// J. Cohen, Statistical power analysis for the behavioral sciences, 2nd ed. 1988, chapter 2 (from memory); NIST/SEMATECH e-Handbook of Statistical Methods,
/// section 7.2.2.2, gives the same question for one mean.
///
/// # Examples
/// ```
/// // Cohen's table 2.4.1: 26 in each group show an effect of 0.8 with a power of 0.8.
/// let power = ventwright::rig::power::power(26, 0.8, 0.05);
/// assert!((power - 0.807).abs() < 0.001);
/// ```
pub fn power(repeats: usize, effect: f64, false_alarm: f64) -> f64 {
    let freedom = 2.0 * repeats as f64 - 2.0;
    let critical = quantile(freedom, 1.0 - 0.5 * false_alarm);
    power_beyond(critical, freedom, repeats, effect)
}

/// Difference of two means that the studentized range of so many designs with `repeats` each calls a real one, in standard errors of that difference.
pub(super) fn critical_among(designs: usize, repeats: usize) -> f64 {
    studentized_range_95(designs, freedom_among(designs, repeats)) / std::f64::consts::SQRT_2
}

/// Probability that a difference between two of so many designs is called a real one. `critical`: that of [`critical_among`].
pub(super) fn power_among(designs: usize, repeats: usize, effect: f64, critical: f64) -> f64 {
    power_beyond(critical, freedom_among(designs, repeats), repeats, effect)
}

fn freedom_among(designs: usize, repeats: usize) -> f64 {
    designs.max(2) as f64 * (repeats as f64 - 1.0)
}

fn power_beyond(critical: f64, freedom: f64, repeats: usize, effect: f64) -> f64 {
    if repeats < 2 {
        return f64::NAN;
    }
    let shift = effect * (0.5 * repeats as f64).sqrt();
    let normal = |z: f64| 0.5 * erfc(-z / std::f64::consts::SQRT_2);
    let half = 0.5 * freedom;
    let scale = std::f64::consts::LN_2 + half * half.ln() - ln_gamma(half);
    let density = |u: f64| {
        if u <= 0.0 {
            return if freedom > 1.5 { 0.0 } else { scale.exp() };
        }
        (scale + (freedom - 1.0) * u.ln() - half * u * u).exp()
    };
    let missed = |u: f64| normal(critical * u - shift) - normal(-critical * u - shift);
    let end = 1.0 + 10.0 / (2.0 * freedom).sqrt();
    let step = end / f64::from(PIECES);
    let sum: f64 = (0..=PIECES)
        .map(|piece| {
            let u = step * f64::from(piece);
            let weight = match piece {
                0 | PIECES => 1.0,
                piece if piece % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * density(u) * missed(u)
        })
        .sum();
    (1.0 - sum * step / 3.0).clamp(0.0, 1.0)
}

/// Fewest repeats of each of two designs that show a difference with this power; `None` beyond [`MOST_REPEATS`]. Difference and scatter of one repeat in one unit.
///
/// # Examples
/// ```
/// use ventwright::rig::power::{FALSE_ALARM, POWER, repeats_needed};
/// // 3 % apart at a scatter of 2 % a remount.
/// assert_eq!(repeats_needed(3.0, 2.0, FALSE_ALARM, POWER), Some(9));
/// ```
pub fn repeats_needed(
    difference: f64,
    scatter: f64,
    false_alarm: f64,
    wanted: f64,
) -> Option<usize> {
    fewest(difference / scatter, |repeats, effect| {
        power(repeats, effect, false_alarm) >= wanted
    })
}

/// Fewest repeats of each of so many designs by which the rule of [`crate::comparison`] tells two of them apart with this power; `None` beyond [`MOST_REPEATS`]. Their
/// scatter is found from all designs together. Difference and scatter of one repeat in one unit.
///
/// # Examples
/// ```
/// use ventwright::rig::power::{POWER, repeats_needed_among};
/// // 3 % apart at a scatter of 2 % a remount: nine remounts of two designs, fourteen of eight.
/// assert_eq!(repeats_needed_among(2, 3.0, 2.0, POWER), Some(9));
/// assert_eq!(repeats_needed_among(8, 3.0, 2.0, POWER), Some(14));
/// ```
pub fn repeats_needed_among(
    designs: usize,
    difference: f64,
    scatter: f64,
    wanted: f64,
) -> Option<usize> {
    fewest(difference / scatter, |repeats, effect| {
        power_among(designs, repeats, effect, critical_among(designs, repeats)) >= wanted
    })
}

fn fewest(effect: f64, is_enough: impl Fn(usize, f64) -> bool) -> Option<usize> {
    if effect.is_nan() {
        return None;
    }
    let is_enough = |repeats| is_enough(repeats, effect.abs().min(1e3));
    if !is_enough(MOST_REPEATS) {
        return None;
    }
    // Power rises with the number: halve the gap.
    let (mut few, mut enough) = (1, MOST_REPEATS);
    while enough - few > 1 {
        let middle = usize::midpoint(few, enough);
        if is_enough(middle) {
            enough = middle;
        } else {
            few = middle;
        }
    }
    Some(enough)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_difference_there_are_only_false_alarms() {
        for repeats in [2, 3, 10, 200] {
            let found = power(repeats, 0.0, 0.05);
            assert!((found - 0.05).abs() < 1e-6, "{repeats}: {found}");
        }
    }

    #[test]
    fn nothing_shows_a_difference_of_nothing() {
        assert_eq!(repeats_needed(0.0, 1.0, 0.05, 0.8), None);
        assert_eq!(repeats_needed(f64::NAN, 1.0, 0.05, 0.8), None);
        assert_eq!(repeats_needed(5.0, 0.0, 0.05, 0.8), Some(2));
    }
}
