//! Means of few repeats and what they are worth, by Student's distribution.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::likely::Likely;

/// The 0.975 quantile of Student's distribution: half-width of a 95 % interval in standard errors. NaN below a degree of freedom that is a positive number.
pub fn quantile_95(degrees_of_freedom: f64) -> f64 {
    quantile(degrees_of_freedom, 0.975)
}

/// A quantile of Student's distribution; NaN where there is none.
pub(super) fn quantile(degrees_of_freedom: f64, probability: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom).map_or(f64::NAN, |t| t.inverse_cdf(probability))
}

/// Two-sided probability of a t value at least this far from zero by chance.
fn two_sided(t: f64, degrees_of_freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom).map_or(f64::NAN, |d| 2.0 * d.sf(t.abs()))
}

/// Arithmetic mean; NaN without values.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Variance with n − 1; NaN for fewer than two values.
pub fn variance(values: &[f64]) -> f64 {
    let mean = mean(values);
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    if values.len() < 2 {
        return f64::NAN;
    }
    squares / (values.len() as f64 - 1.0)
}

/// The mean of repeats with its 95 % interval; `None` for fewer than two.
///
/// ```text
/// mean ± t(0.975, n − 1) s / √n
/// ```
///
/// # References
/// NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.2, confidence limits for the mean.
///
/// # Examples
/// ```
/// let likely = ventwright::bench::student::mean_interval(&[9.0, 10.0, 11.0]).unwrap();
/// assert!((likely.half_width() - 4.302_652_73 / 3.0_f64.sqrt()).abs() < 1e-6);
/// ```
pub fn mean_interval(values: &[f64]) -> Option<Likely> {
    let count = values.len() as f64;
    let half_width = quantile_95(count - 1.0) * (variance(values) / count).sqrt();
    (values.len() >= 2 && half_width.is_finite())
        .then(|| Likely::symmetric(mean(values), half_width))
}

/// A quotient of two means in per cent, with its 95 % interval; `None` for fewer than two values on either side.
///
/// Relative variances of the two means add up (first order); degrees of freedom by Welch and Satterthwaite.
pub fn percent_interval(values: &[f64], of: &[f64]) -> Option<Likely> {
    if values.len() < 2 || of.len() < 2 {
        return None;
    }
    let part = |values: &[f64]| {
        let mean = mean(values);
        variance(values) / (values.len() as f64 * mean * mean)
    };
    let parts = [(part(values), values.len()), (part(of), of.len())];
    let percent = 100.0 * mean(values) / mean(of);
    let total: f64 = parts.iter().map(|(part, _)| part).sum();
    let half_width = quantile_95(welch_satterthwaite(parts)) * total.sqrt() * percent;
    half_width
        .is_finite()
        .then(|| Likely::symmetric(percent, half_width))
}

/// Degrees of freedom of a sum of two variances of means. Identical repeats on both sides leave no scatter: there the smaller of both counts is taken.
fn welch_satterthwaite(parts: [(f64, usize); 2]) -> f64 {
    let total: f64 = parts.iter().map(|(part, _)| part).sum();
    let each = |&(part, count): &(f64, usize)| part * part / (count as f64 - 1.0);
    let below: f64 = parts.iter().map(each).sum();
    if below > 0.0 {
        total * total / below
    } else {
        parts
            .iter()
            .map(|(_, count)| *count as f64 - 1.0)
            .fold(f64::INFINITY, f64::min)
    }
}

/// A test of two means whose scatters may differ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WelchTest {
    /// First mean minus second, with its 95 % interval.
    pub difference: Likely,
    /// Degrees of freedom.
    pub degrees_of_freedom: f64,
    /// Two-sided probability of a difference as large by chance alone.
    pub chance: f64,
}

/// Welch's test of the difference of two means; `None` for fewer than two values on either side.
///
/// # References
/// NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.3, two-sample t-test with unequal variances.
pub fn welch_test(first: &[f64], second: &[f64]) -> Option<WelchTest> {
    if first.len() < 2 || second.len() < 2 {
        return None;
    }
    let parts =
        [first, second].map(|values| (variance(values) / values.len() as f64, values.len()));
    let degrees_of_freedom = welch_satterthwaite(parts);
    let error = (parts[0].0 + parts[1].0).sqrt();
    let difference = mean(first) - mean(second);
    let half_width = quantile_95(degrees_of_freedom) * error;
    let chance = if error > 0.0 {
        two_sided(difference / error, degrees_of_freedom)
    } else {
        f64::from(u8::from(difference.abs() <= 0.0))
    };
    half_width.is_finite().then(|| WelchTest {
        difference: Likely::symmetric(difference, half_width),
        degrees_of_freedom,
        chance,
    })
}

/// Probabilities of several tests, each raised so that none of them being a false alarm has 95 % together (Holm's step-down rule).
///
/// # References
/// S. Holm, Scand. J. Stat. 6 (1979) 65 (from memory).
pub fn holm(chances: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..chances.len()).collect();
    order.sort_by(|&a, &b| chances[a].total_cmp(&chances[b]));
    let mut raised = vec![1.0; chances.len()];
    let mut least: f64 = 0.0;
    for (step, &index) in order.iter().enumerate() {
        let tests_left = (chances.len() - step) as f64;
        least = least.max((tests_left * chances[index]).min(1.0));
        raised[index] = least;
    }
    raised
}

/// A straight line through points.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Line {
    /// Height at the mean of x.
    pub height: f64,
    /// Mean of x.
    pub centre: f64,
    /// Slope with its 95 % interval.
    pub slope: Likely,
    /// Two-sided probability of a slope as steep by chance alone.
    pub chance: f64,
}

impl Line {
    /// Height at x.
    pub fn at(&self, x: f64) -> f64 {
        self.height + self.slope.value * (x - self.centre)
    }
}

/// Least squares line; `None` for fewer than three points, or where all x are the same.
///
/// # References
/// NIST/SEMATECH e-Handbook of Statistical Methods, section 4.1.4.1, linear least squares regression; the slope's interval is Student's with n − 2.
pub fn line(points: &[(f64, f64)]) -> Option<Line> {
    let count = points.len() as f64;
    let (xs, ys): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
    let (centre, height) = (mean(&xs), mean(&ys));
    let spread: f64 = xs.iter().map(|x| (x - centre).powi(2)).sum();
    if points.len() < 3 || spread <= 0.0 {
        return None;
    }
    let mixed: f64 = points
        .iter()
        .map(|(x, y)| (x - centre) * (y - height))
        .sum();
    let slope = mixed / spread;
    let rest = |(x, y): &(f64, f64)| (y - height - slope * (x - centre)).powi(2);
    let freedom = count - 2.0;
    let error = (points.iter().map(rest).sum::<f64>() / freedom / spread).sqrt();
    let half_width = quantile_95(freedom) * error;
    let chance = if error > 0.0 {
        two_sided(slope / error, freedom)
    } else {
        f64::from(u8::from(slope.abs() <= 0.0))
    };
    (slope.is_finite() && half_width.is_finite()).then(|| Line {
        height,
        centre,
        slope: Likely::symmetric(slope, half_width),
        chance,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_repeats_give_no_interval() {
        assert!(mean_interval(&[]).is_none() && mean_interval(&[3.0]).is_none());
        assert!(welch_test(&[1.0, 2.0], &[1.0]).is_none());
        assert!(percent_interval(&[1.0], &[1.0, 2.0]).is_none());
        assert!(line(&[(1.0, 1.0), (2.0, 2.0)]).is_none());
        assert!(line(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]).is_none());
    }

    #[test]
    fn repeats_without_scatter_are_no_fault() {
        let same = mean_interval(&[2.0, 2.0, 2.0]).unwrap();
        assert!(same.half_width().abs() < 1e-12);
        let apart = welch_test(&[2.0, 2.0], &[1.0, 1.0]).unwrap();
        assert!(apart.chance.abs() < 1e-12 && !apart.difference.includes(0.0));
        let alike = welch_test(&[2.0, 2.0], &[2.0, 2.0]).unwrap();
        assert!((alike.chance - 1.0).abs() < 1e-12);
        let flat = line(&[(1.0, 5.0), (2.0, 5.0), (3.0, 5.0)]).unwrap();
        assert!((flat.chance - 1.0).abs() < 1e-12 && (flat.at(9.0) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_percentage_knows_the_scatter_of_both_sides() {
        let values = [80.0, 82.0, 84.0];
        let alone = mean_interval(&values).unwrap();
        let of_steady = percent_interval(&values, &[100.0; 3]).unwrap();
        assert!((of_steady.value - 82.0).abs() < 1e-12);
        assert!((of_steady.half_width() - alone.half_width()).abs() < 1e-9);
        // Many readings, so that degrees of freedom play no part: relative variances of 1 and of 1 add up to 2.
        let many: Vec<f64> = (0..2000)
            .map(|i| if i % 2 == 0 { 99.0 } else { 101.0 })
            .collect();
        let both = percent_interval(&many, &many).unwrap();
        let one = mean_interval(&many).unwrap();
        assert!((both.half_width() / one.half_width() / 2.0_f64.sqrt() - 1.0).abs() < 1e-3);
    }
}
