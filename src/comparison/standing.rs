//! Places and letters of a list of candidates.

/// Places and groups of candidates that stand in order of their best estimates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// Of each candidate: 1 and the number of candidates that it is behind.
    pub places: Vec<usize>,
    /// Groups of two and more of which none is behind another; two that are not behind one another share at least one of them, two of which one is behind share none.
    pub groups: Vec<Vec<usize>>,
    /// Whether neither of two is behind the other, row by row.
    level: Vec<Vec<bool>>,
}

impl Standing {
    /// Of `count` candidates; `is_ahead` says whether the first of two, the one higher in the list, is ahead of the second.
    pub fn of(count: usize, is_ahead: impl Fn(usize, usize) -> bool) -> Self {
        let places = (0..count)
            .map(|own| 1 + (0..own).filter(|&above| is_ahead(above, own)).count())
            .collect();
        let is_level = |a: usize, b: usize| a == b || !is_ahead(a.min(b), a.max(b));
        let row = |a: usize| (0..count).map(|b| is_level(a, b)).collect();
        let level: Vec<Vec<bool>> = (0..count).map(row).collect();
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut is_covered = vec![vec![false; count]; count];
        for first in 0..count {
            for second in first + 1..count {
                if is_covered[first][second] || !level[first][second] {
                    continue;
                }
                let mut group = vec![first, second];
                for (candidate, row) in level.iter().enumerate().skip(first + 1) {
                    let is_in = group.contains(&candidate);
                    if !is_in && group.iter().all(|&member| row[member]) {
                        group.push(candidate);
                    }
                }
                group.sort_unstable();
                for (place, &one) in group.iter().enumerate() {
                    for &other in &group[place + 1..] {
                        is_covered[one][other] = true;
                    }
                }
                groups.push(group);
            }
        }
        Self {
            places,
            groups,
            level,
        }
    }

    /// Whether neither of two candidates is behind the other: then they share a group.
    pub fn are_level(&self, first: usize, second: usize) -> bool {
        self.level[first][second]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standing(count: usize, ahead: &[(usize, usize)]) -> Standing {
        Standing::of(count, |a, b| ahead.contains(&(a, b)))
    }

    #[test]
    fn overlapping_chains_make_several_letters() {
        let chain = standing(3, &[(0, 2)]);
        assert_eq!(chain.groups, [vec![0, 1], vec![1, 2]]);
        assert_eq!(chain.places, [1, 1, 2]);
        let longer = standing(4, &[(0, 2), (0, 3), (1, 3)]);
        assert_eq!(longer.groups, [vec![0, 1], vec![1, 2], vec![2, 3]]);
        assert_eq!(longer.places, [1, 1, 2, 3]);
    }

    #[test]
    fn a_wide_range_among_narrow_ones_is_behind_nobody() {
        let wide = standing(4, &[(0, 1), (0, 2), (1, 2)]);
        assert_eq!(wide.places, [1, 2, 3, 1]);
        assert_eq!(wide.groups, [vec![0, 3], vec![1, 3], vec![2, 3]]);
    }

    #[test]
    fn all_apart_and_all_level() {
        let clear = standing(3, &[(0, 1), (0, 2), (1, 2)]);
        assert!(clear.groups.is_empty());
        assert_eq!(clear.places, [1, 2, 3]);
        let level = standing(3, &[]);
        assert_eq!(level.groups, [vec![0, 1, 2]]);
        assert_eq!(level.places, [1, 1, 1]);
    }

    #[test]
    fn letters_never_contradict_the_rule() {
        // Every relation of five candidates, 2^10 of them.
        let pairs: Vec<(usize, usize)> = (0..5)
            .flat_map(|a| (a + 1..5).map(move |b| (a, b)))
            .collect();
        for bits in 0..1_u32 << pairs.len() {
            let ahead: Vec<(usize, usize)> = (0..pairs.len())
                .filter(|&bit| bits >> bit & 1 == 1)
                .map(|bit| pairs[bit])
                .collect();
            let standing = standing(5, &ahead);
            for pair in &pairs {
                let is_level = !ahead.contains(pair);
                assert_eq!(standing.are_level(pair.0, pair.1), is_level, "{ahead:?}");
                // So the groups alone tell who stands level with whom.
                let mut groups = standing.groups.iter();
                let share = groups.any(|group| group.contains(&pair.0) && group.contains(&pair.1));
                assert_eq!(share, is_level, "{ahead:?}");
            }
        }
    }
}
