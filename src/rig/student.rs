//! Means of few repeats and what they are worth, by Student's distribution.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::comparison::studentized_range_sf;
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
pub(super) fn two_sided(t: f64, degrees_of_freedom: f64) -> f64 {
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

/// A quotient of two means in per cent, with its 95 % interval.
///
/// `of` and `by`: relative variance of each mean and the degrees of freedom behind it. Variances add up (first order); degrees of freedom by Welch and Satterthwaite.
pub fn percent_interval(percent: f64, of: (f64, f64), by: (f64, f64)) -> Likely {
    let total = of.0 + by.0;
    let half_width = quantile_95(welch_satterthwaite([of, by])) * total.sqrt() * percent;
    Likely::symmetric(percent, half_width)
}

/// Probability that a number of Student's distribution lies between two others.
pub(super) fn probability_between(low: f64, high: f64, degrees_of_freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom)
        .map_or(f64::NAN, |student| student.cdf(high) - student.cdf(low))
}

/// The 0.95 quantile of the studentized range of `count` means, two at least.
///
/// # Examples
/// ```
/// // Any table of the studentized range: three means, ten degrees of freedom.
/// let q = ventwright::rig::student::studentized_range_95(3, 10.0);
/// assert!((q - 3.877).abs() < 0.001);
/// ```
pub fn studentized_range_95(count: usize, degrees_of_freedom: f64) -> f64 {
    let count = count.max(2);
    let pairs = (count * (count - 1) / 2) as f64;
    // Student's quantile for one pair lies below it, that for all pairs by Bonferroni above; false position (Illinois) closes in.
    let bound = |share: f64| std::f64::consts::SQRT_2 * quantile(degrees_of_freedom, 1.0 - share);
    let excess = |q: f64| studentized_range_sf(q, count, degrees_of_freedom) - 0.05;
    let (mut low, mut high) = (bound(0.025), bound(0.025 / pairs));
    let (mut above, mut below) = (excess(low), excess(high));
    for _ in 0..60 {
        if above <= 0.0 || high - low <= 1e-9 * high {
            return low;
        }
        let middle = (low * below - high * above) / (below - above);
        let here = excess(middle);
        if here > 0.0 {
            (low, above, below) = (middle, here, 0.5 * below);
        } else {
            (high, below, above) = (middle, here, 0.5 * above);
        }
        if here.abs() < 1e-9 {
            return middle;
        }
    }
    high
}

/// Degrees of freedom of a sum of two variances of means. Without any scatter the smaller of both is taken.
pub(super) fn welch_satterthwaite(parts: [(f64, f64); 2]) -> f64 {
    let total = parts[0].0 + parts[1].0;
    let below: f64 = parts
        .iter()
        .map(|(part, freedom)| part * part / freedom)
        .sum();
    if below > 0.0 {
        total * total / below
    } else {
        parts[0].1.min(parts[1].1)
    }
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
    fn too_few_points_give_no_line() {
        assert!(line(&[(1.0, 1.0), (2.0, 2.0)]).is_none());
        assert!(line(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]).is_none());
    }

    #[test]
    fn points_without_scatter_are_no_fault() {
        let flat = line(&[(1.0, 5.0), (2.0, 5.0), (3.0, 5.0)]).unwrap();
        assert!((flat.chance - 1.0).abs() < 1e-12 && (flat.at(9.0) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_percentage_knows_the_scatter_of_both_sides() {
        // 2 % of one mean alone with 10 degrees of freedom: t = 2.228 (any table of Student's distribution).
        let alone = percent_interval(50.0, (0.0004, 10.0), (0.0, 3.0));
        assert!((alone.half_width() - 2.228).abs() < 1e-3, "{alone:?}");
        // Many readings, so that degrees of freedom play no part: relative variances of 1 and of 1 add up to 2.
        let both = percent_interval(100.0, (1e-4, 1e6), (1e-4, 1e6));
        assert!((both.half_width() / 1.96 - 2.0_f64.sqrt()).abs() < 1e-3);
        assert!(
            percent_interval(80.0, (0.0, 6.0), (0.0, 2.0))
                .half_width()
                .abs()
                < 1e-12
        );
    }
}
