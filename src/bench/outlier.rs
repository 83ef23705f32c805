//! Readings that lie far from their fellows, found by a rule that the far ones cannot spoil.

/// Scores beyond this are called outliers.
pub const LARGEST_SCORE: f64 = 3.5;

/// Fewest readings of which one can be called an outlier: of fewer, the rule would call many that are none.
pub const FEWEST: usize = 5;

/// Modified z-scores of values; `None` for fewer than [`FEWEST`], or where all are the same.
///
/// ```text
/// M = 0.6745 (x − median) / MAD        MAD: median of |x − median|
/// ```
///
/// Where more than half of the values are the same, the MAD is zero and the mean absolute deviation takes its place: M = (x − median) / (1.253314 mean |x − median|).
///
/// # References
/// B. Iglewicz and D. Hoaglin, How to detect and handle outliers, ASQC 1993; NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.
/// The form for a MAD of zero is from memory.
///
/// # Examples
/// ```
/// use ventwright::bench::outlier::{LARGEST_SCORE, modified_z_scores};
/// let scores = modified_z_scores(&[81.0, 82.0, 80.5, 81.5, 95.0]).unwrap();
/// assert!(scores[4] > LARGEST_SCORE && scores[..4].iter().all(|score| score.abs() < LARGEST_SCORE));
/// ```
pub fn modified_z_scores(values: &[f64]) -> Option<Vec<f64>> {
    if values.len() < FEWEST {
        return None;
    }
    let middle = median(values);
    let far: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    let deviation = median(&far);
    let unit = if deviation > 0.0 {
        deviation / 0.6745
    } else {
        1.253_314 * far.iter().sum::<f64>() / far.len() as f64
    };
    (unit > 0.0).then(|| values.iter().map(|value| (value - middle) / unit).collect())
}

/// Median: the mean of the two in the middle of an even number. NaN without values.
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    match sorted.len() {
        0 => f64::NAN,
        count if count % 2 == 1 => sorted[half],
        _ => 0.5 * (sorted[half - 1] + sorted[half]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_or_equal_values_have_no_outlier() {
        assert!(modified_z_scores(&[1.0, 1.0, 1.0, 9.0]).is_none());
        assert!(modified_z_scores(&[2.0; 8]).is_none());
        assert!(median(&[]).is_nan());
    }

    #[test]
    fn one_that_differs_among_equals_is_found() {
        let scores = modified_z_scores(&[2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 5.0]).unwrap();
        assert!(scores[6] > LARGEST_SCORE && scores[0].abs() < 1e-12);
    }
}
