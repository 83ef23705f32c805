//! Normal numbers that are the same on every machine.

/// Normal numbers from a fixed seed: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014) and Box and Muller's transform.
pub(crate) struct Normal(pub(crate) u64);

impl Normal {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number of mean 0 and standard deviation 1.
    pub(crate) fn draw(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}
