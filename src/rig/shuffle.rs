//! A shuffle that is the same on every machine.

/// Random numbers that are the same on every machine (G. L. Steele, D. Lea and C. H. Flood, OOPSLA 2014, the generator splitmix64; from memory).
pub(super) struct Chance(pub(super) u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `bound`.
    fn below(&mut self, bound: usize) -> usize {
        let wide = u128::from(self.next()) * bound as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// Every order is as likely as any other (Fisher and Yates).
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn every_order_of_a_block_is_as_likely() {
        // 24 orders of four, 24,000 shuffles: chi-square with 23 degrees of freedom stays below 49.7 in 99.9 % of the cases (any table of the distribution).
        let mut chance = Chance(2024);
        let mut counts: BTreeMap<[u8; 4], f64> = BTreeMap::new();
        for _ in 0..24_000 {
            let mut items = [0, 1, 2, 3];
            chance.shuffle(&mut items);
            *counts.entry(items).or_default() += 1.0;
        }
        assert_eq!(counts.len(), 24);
        let chi_square: f64 = counts
            .values()
            .map(|count| (count - 1000.0).powi(2) / 1000.0)
            .sum();
        assert!(chi_square < 49.7, "{chi_square}");
    }
}
