//! Readings that lie far from the others of their design, judged by the scatter of all designs together.
//!
//! A rule within one design needs five readings or more; a bench has three of each. Pooled over the designs three are enough.

use crate::rig::scatter::rounding;
use crate::rig::student::two_sided;

/// Share of clean benches on which a reading is called an outlier by mistake, at most.
pub const FALSE_ALARM: f64 = 0.05;

/// Degrees of freedom that a bench needs so that a reading which is off by ten times the scatter is found on nine of ten benches (`tests/validation/bench_simulated.rs`).
pub const LEAST_FREEDOM: usize = 5;

/// Of so many readings one may be an outlier.
const READINGS_PER_OUTLIER: usize = 4;

/// Most outliers that are looked for.
const MOST_OUTLIERS: usize = 3;

/// One of the readings and how far it lies off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Score {
    /// Its group.
    pub group: usize,
    /// Its place in the group.
    pub member: usize,
    /// Distance from the mean of its group over the standard error that the others give for it.
    pub score: f64,
    /// Two-sided probability of such a score by chance, for this reading alone.
    pub chance: f64,
}

/// Readings that lie far off.
#[derive(Debug, Clone, PartialEq)]
pub struct Far {
    /// Their group.
    pub group: usize,
    /// Their places in the group: one, or both of a pair, since of two nobody can say which is the bad one.
    pub members: Vec<usize>,
    /// Score of the first.
    pub score: f64,
    /// Probability of such a score anywhere among all readings, at any step, by chance (Bonferroni).
    pub chance: f64,
}

/// Externally studentized residuals of a one-way layout: each reading against the mean of its group, over a scatter that leaves this reading out.
///
/// ```text
/// t = (x − mean) / √(s² (1 − 1/n)),   s² = (SS − (x − mean)² / (1 − 1/n)) / (ν − 1)
/// ```
///
/// with the sum of squares SS and the degrees of freedom ν of all groups together; t follows Student's distribution with ν − 1. Values that are not finite are left out.
/// `resolution_percent`: see [`crate::rig::scatter::pooled`].
///
/// # References
/// R. D. Cook and S. Weisberg, Residuals and influence in regression, Chapman and Hall 1982, section 2.2 (from memory).
pub fn scores(groups: &[Vec<f64>], resolution_percent: f64) -> Vec<Score> {
    let counted = |group: &[f64]| group.iter().filter(|x| x.is_finite()).count();
    let means: Vec<f64> = groups
        .iter()
        .map(|group| group.iter().filter(|x| x.is_finite()).sum::<f64>() / counted(group) as f64)
        .collect();
    let mut all = Vec::new();
    for (index, group) in groups.iter().enumerate() {
        let count = counted(group);
        let finite = group.iter().enumerate().filter(|(_, x)| x.is_finite());
        all.extend(
            finite
                .filter(|_| count >= 2)
                .map(|(member, x)| (index, member, x - means[index], 1.0 - 1.0 / count as f64)),
        );
    }
    let squares: f64 = all.iter().map(|(_, _, off, _)| off * off).sum();
    let groups_counted = groups.iter().filter(|group| counted(group) >= 2).count();
    let freedom = all.len() as f64 - groups_counted as f64 - 1.0;
    let scored = all.into_iter().map(|(group, member, off, share)| {
        let rest = ((squares - off * off / share) / freedom).max(rounding(resolution_percent));
        let score = off / (rest * share).sqrt();
        Score {
            group,
            member,
            score,
            chance: two_sided(score, freedom),
        }
    });
    scored.filter(|it| it.chance.is_finite()).collect()
}

/// The readings that lie far off, worst first.
///
/// The worst is taken out, the rest is judged anew, and so on up to three, or one reading in four; outliers are all up to the last whose score is rarer than [`FALSE_ALARM`]
/// among all that were left, over the number of steps. So two bad readings cannot hide each other. (Rosner's own limits, without that division, are for 15 readings and more:
/// with them 6 to 7 of 100 clean benches of nine readings raised a false alarm.)
///
/// # References
/// Generalized extreme studentized deviate test: B. Rosner, Technometrics 25 (1983) 165; NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.3; with
/// residuals of a linear model: S. R. Paul and K. Y. Fung, Technometrics 33 (1991) 339 (from memory).
///
/// # Examples
/// ```
/// let groups = [vec![100.0, 101.0, 80.0], vec![99.5, 100.0, 101.5], vec![99.0, 100.0, 100.5]];
/// let found = ventwright::rig::outlier::far_off(&groups, 0.1);
/// assert_eq!((found.len(), found[0].group, found[0].members[0]), (1, 0, 2));
/// ```
pub fn far_off(groups: &[Vec<f64>], resolution_percent: f64) -> Vec<Far> {
    let mut left = groups.to_vec();
    let count: usize = groups.iter().map(Vec::len).sum();
    let (mut found, mut last) = (Vec::new(), 0);
    let steps = (count / READINGS_PER_OUTLIER).clamp(1, MOST_OUTLIERS);
    for _ in 0..steps {
        let scores = scores(&left, resolution_percent);
        let Some(worst) = scores
            .iter()
            .copied()
            .max_by(|a, b| a.score.abs().total_cmp(&b.score.abs()))
        else {
            break;
        };
        let group = &mut left[worst.group];
        let places = 0..group.len();
        let finite: Vec<usize> = places.filter(|&place| group[place].is_finite()).collect();
        let members = if finite.len() == 2 {
            finite
        } else {
            vec![worst.member]
        };
        for &member in &members {
            group[member] = f64::NAN;
        }
        let chance = (worst.chance * (scores.len() * steps) as f64).min(1.0);
        found.push(Far {
            group: worst.group,
            members,
            score: worst.score,
            chance,
        });
        if chance < FALSE_ALARM {
            last = found.len();
        }
    }
    found.truncate(last);
    found
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
    fn of_two_that_disagree_both_are_named() {
        let groups = [
            vec![100.0, 70.0],
            vec![99.0, 100.0, 101.0],
            vec![99.5, 100.0, 100.5],
        ];
        let found = far_off(&groups, 0.1);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].members, [0, 1]);
    }

    #[test]
    fn a_last_digit_is_no_outlier() {
        let groups = [vec![100.0; 3], vec![100.0; 3], vec![100.4, 100.4, 99.2]];
        assert!(far_off(&groups, 1.2).is_empty());
        assert!(far_off(&[vec![100.0], Vec::new()], 1.0).is_empty());
        assert!(far_off(&[vec![100.0, 50.0]], 1.0).is_empty());
        assert!(median(&[]).is_nan());
    }
}
