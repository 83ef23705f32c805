//! Whether two orders agree.

use serde::Serialize;

/// How far two rankings of the same things agree.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Agreement {
    /// Kendall's τ with ties: 1 the same order, −1 the opposite one, 0 none.
    pub kendall_tau: f64,
    /// Pairs.
    pub pair_count: usize,
    /// Pairs that stand in the same order in both.
    pub same_count: usize,
}

/// Kendall's τ-b of pairs of numbers; `None` for fewer than two, or where all are the same on one side.
///
/// ```text
/// τ = (same − opposite) / √((pairs − tied in x) (pairs − tied in y))
/// ```
///
/// # References
/// M. G. Kendall, Biometrika 33 (1945) 239 (from memory).
pub fn agreement(points: &[(f64, f64)]) -> Option<Agreement> {
    let (mut same, mut opposite, mut apart, mut pair_count) = (0, 0, [0; 2], 0);
    for (index, a) in points.iter().enumerate() {
        for b in &points[index + 1..] {
            let (x, y) = (a.0 - b.0, a.1 - b.1);
            pair_count += 1;
            apart[0] += usize::from(x.abs() > 0.0);
            apart[1] += usize::from(y.abs() > 0.0);
            same += usize::from(x * y > 0.0);
            opposite += usize::from(x * y < 0.0);
        }
    }
    let below = (apart[0] as f64 * apart[1] as f64).sqrt();
    (below > 0.0).then(|| Agreement {
        kendall_tau: (same as f64 - opposite as f64) / below,
        pair_count,
        same_count: same,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_and_opposite_orders_are_one_and_minus_one() {
        let points = [(1.0, 10.0), (2.0, 20.0), (3.0, 30.0)];
        let found = agreement(&points).unwrap();
        assert!((found.kendall_tau - 1.0).abs() < 1e-12);
        assert_eq!((found.same_count, found.pair_count), (3, 3));
        let turned = points.map(|(x, y)| (x, -y));
        assert!((agreement(&turned).unwrap().kendall_tau + 1.0).abs() < 1e-12);
        assert!(agreement(&[(1.0, 2.0)]).is_none());
        assert!(agreement(&[(1.0, 2.0), (1.0, 3.0)]).is_none());
    }
}
