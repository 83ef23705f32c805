//! How much repeats scatter: one figure for all designs of a bench.
//!
//! Three remounts of one design say little about how well that bench repeats; those of all designs together say enough. It is the same bench, meter and hand, and it
//! scatters in proportion to the reading.

use serde::Serialize;

/// Scatter of one repeat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Scatter {
    /// Standard deviation, per cent of the reading.
    pub percent: f64,
    /// Degrees of freedom: repeats less groups.
    pub degrees_of_freedom: f64,
}

/// The pooled standard deviation within groups of repeats, each group in per cent of its own level; `None` where no group has two. Values that are not finite are left out.
///
/// ```text
/// s² = Σ (x − group mean)² / (values − groups)
/// ```
///
/// `resolution_percent`: the last digit of the meter. Repeats that round to the same digits scatter by its width over √12 at least.
///
/// # References
/// NIST/SEMATECH e-Handbook of Statistical Methods, section 7.4.3.3, mean square of the error of a one-way layout; width over √12: ISO/IEC Guide 98-3 (GUM), 4.3.7.
///
/// # Examples
/// ```
/// let found = ventwright::rig::scatter::pooled(&[vec![99.0, 101.0], vec![98.0, 100.0, 102.0]], 0.0).unwrap();
/// assert!((found.percent - (10.0_f64 / 3.0).sqrt()).abs() < 1e-12 && found.degrees_of_freedom == 3.0);
/// ```
pub fn pooled(groups: &[Vec<f64>], resolution_percent: f64) -> Option<Scatter> {
    let (mut squares, mut degrees_of_freedom) = (0.0, 0.0);
    for group in groups {
        let values: Vec<f64> = group.iter().copied().filter(|x| x.is_finite()).collect();
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        squares += values.iter().map(|x| (x - mean).powi(2)).sum::<f64>();
        degrees_of_freedom += values.len().saturating_sub(1) as f64;
    }
    (degrees_of_freedom > 0.0).then(|| Scatter {
        percent: (squares / degrees_of_freedom)
            .max(rounding(resolution_percent))
            .sqrt(),
        degrees_of_freedom,
    })
}

/// Variance of rounding to a digit.
pub(super) fn rounding(resolution_percent: f64) -> f64 {
    resolution_percent.powi(2) / 12.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_readings_scatter_by_their_last_digit() {
        let found = pooled(&[vec![100.0; 3], vec![100.0; 3]], 1.2).unwrap();
        assert!((found.percent - 1.2 / 12.0_f64.sqrt()).abs() < 1e-12);
        assert!(pooled(&[vec![1.0], vec![2.0, f64::NAN]], 1.0).is_none());
    }
}
