//! How a three-dimensional velocity field turns and stretches: vorticity, helicity, and where its vortices are.

use crate::measure::volume_fields::VolumeFields;

/// How the velocity changes from cell to cell, lattice units.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct VelocityGradient {
    /// `slope[a][b]`: change of component `a` along axis `b`.
    pub slope: [[f32; 3]; 3],
}

impl VelocityGradient {
    /// The gradient at a cell by central differences between neighbours in the air, one-sided beside walls and at the ends of x; y and z are periodic. Zero in walls.
    ///
    /// A wall itself is not used as a place where the air stands still, so beside walls the gradient is that of the air half a cell further in.
    pub fn at(fields: &VolumeFields, [x, y, z]: [usize; 3]) -> Self {
        let here = fields.index(x, y, z);
        if fields.is_solid[here] {
            return Self::default();
        }
        let extent = fields.extent;
        let around = |place: usize, count: usize| {
            let low = if place == 0 { count - 1 } else { place - 1 };
            (low, if place + 1 == count { 0 } else { place + 1 })
        };
        let (y_low, y_high) = around(y, extent.ny);
        let (z_low, z_high) = around(z, extent.nz);
        let x_high = (x + 1).min(extent.nx - 1);
        let neighbours = [
            [
                fields.index(x.saturating_sub(1), y, z),
                fields.index(x_high, y, z),
            ],
            [fields.index(x, y_low, z), fields.index(x, y_high, z)],
            [fields.index(x, y, z_low), fields.index(x, y, z_high)],
        ];
        let mut slope = [[0.0; 3]; 3];
        for (axis, ends) in neighbours.into_iter().enumerate() {
            let [low, high] = ends.map(|end| if fields.is_solid[end] { here } else { end });
            let distance = f32::from(u8::from(low != here)) + f32::from(u8::from(high != here));
            for (component, slopes) in slope.iter_mut().enumerate() {
                let change = fields.velocity[high][component] - fields.velocity[low][component];
                slopes[axis] = change / distance.max(1.0);
            }
        }
        Self { slope }
    }

    /// Vorticity (the curl of the velocity; twice the rate at which the air turns).
    pub fn vorticity(&self) -> [f32; 3] {
        let [u, v, w] = self.slope;
        [w[1] - v[2], u[2] - w[0], v[0] - u[1]]
    }

    /// The Q criterion: half of how much more the air turns than it is strained; positive inside vortices.
    ///
    /// ```text
    /// Q = (|rotation|² - |strain|²) / 2 = -(du_a/dx_b)(du_b/dx_a) / 2       summed over a and b; without divergence
    /// ```
    ///
    /// # References
    /// J. C. R. Hunt, A. A. Wray, P. Moin, "Eddies, streams, and convergence zones in turbulent flows" (1988) (from memory).
    pub fn q_criterion(&self) -> f32 {
        let mut sum = 0.0;
        for a in 0..3 {
            for b in 0..3 {
                sum += self.slope[a][b] * self.slope[b][a];
            }
        }
        -0.5 * sum
    }
}

/// Helicity density: velocity times vorticity, positive where the air screws forward by the right hand.
pub fn helicity(velocity: [f32; 3], vorticity: [f32; 3]) -> f32 {
    velocity.iter().zip(vorticity).map(|(u, w)| u * w).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lattice::field::Extent;

    /// A periodic flow whose curl is itself times k (Arnold, Beltrami and Childress; closed form): helicity k u². Beside a wall differences are one-sided, so the check keeps off it.
    #[test]
    fn a_beltrami_flow_is_its_own_curl() {
        let n = 32;
        let extent = Extent {
            nx: n,
            ny: n,
            nz: n,
        };
        let k = std::f64::consts::TAU / n as f64;
        let mut fields = VolumeFields {
            extent,
            density: vec![0.0; n * n * n],
            velocity: vec![[0.0; 3]; n * n * n],
            variance: None,
            is_solid: vec![false; n * n * n],
        };
        for (cell, velocity) in fields.velocity.iter_mut().enumerate() {
            let [x, y, z] = [cell % n, cell / n % n, cell / n / n].map(|c| k * c as f64);
            let exact = [
                1.0 * z.sin() + 0.6 * y.cos(),
                0.8 * x.sin() + 1.0 * z.cos(),
                0.6 * y.sin() + 0.8 * x.cos(),
            ];
            #[expect(
                clippy::cast_possible_truncation,
                reason = "fields are single precision"
            )]
            let single = exact.map(|u| u as f32);
            *velocity = single;
        }
        // Central differences of a wave of 32 cells: sin(k)/k.
        #[expect(
            clippy::cast_possible_truncation,
            reason = "fields are single precision"
        )]
        let factor = k.sin() as f32;
        for at in [[4, 0, 31], [11, 20, 5], [30, 31, 0], [17, 3, 16]] {
            let velocity = fields.velocity[fields.index(at[0], at[1], at[2])];
            let vorticity = VelocityGradient::at(&fields, at).vorticity();
            for (w, u) in vorticity.iter().zip(velocity) {
                assert!((w - factor * u).abs() < 1e-5, "{at:?}: {w} {u}");
            }
            let square: f32 = velocity.iter().map(|u| u * u).sum();
            assert!((helicity(velocity, vorticity) - factor * square).abs() < 1e-5);
        }
        let wall = fields.index(12, 20, 5);
        fields.is_solid[wall] = true;
        assert_eq!(
            VelocityGradient::at(&fields, [12, 20, 5]),
            VelocityGradient::default()
        );
        let beside = VelocityGradient::at(&fields, [11, 20, 5]);
        let one_sided = fields.velocity[fields.index(11, 20, 5)][1]
            - fields.velocity[fields.index(10, 20, 5)][1];
        assert!((beside.slope[1][0] - one_sided).abs() < 1e-7);
    }

    #[test]
    fn turning_is_a_vortex_and_shear_is_none() {
        let turning = VelocityGradient {
            slope: [[0.0; 3], [0.0, 0.0, -0.1], [0.0, 0.1, 0.0]],
        };
        assert!((turning.vorticity()[0] - 0.2).abs() < 1e-7);
        assert!((turning.q_criterion() - 0.01).abs() < 1e-7);
        let shear = VelocityGradient {
            slope: [[0.0, 0.1, 0.0], [0.0; 3], [0.0; 3]],
        };
        assert!(shear.q_criterion().abs() < 1e-9);
    }
}
