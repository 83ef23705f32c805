//! What happens in a cell of the plane: moments, relaxation, populations again.
//!
//! Flat and axisymmetric flow share the code: the populations of axisymmetric flow weigh the radius `r`, in the plane `r` is 1.
//! Momentum conservation in r-weighted form needs a radial force (`p` + `u_θ²` − 2 ν `u_r` / `r`); the resting part of the pressure in it is already in
//! the weights of the links, so only its deviation appears in the first-order moment.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::units::LatticeViscosity;

/// Product of the half-shifted relaxation times of second and third order where the grid resolves the flow.
///
/// 3/16 keeps a half-way wall exactly half-way in a straight channel (I. Ginzburg, Adv. Water Resour. 28 (2005) 1171, from memory); a smaller value
/// halves the error at sharp corners, which decides here. With 0.05 the loss of sharp-edged slots is
/// 0.6 to 1.1 % low at 48 cells
/// (`tests/validation/slot_row.rs`).
pub(crate) const MAGIC_PARAMETER: f64 = 0.05;

/// The same product where a half-way wall is to stay exactly half-way.
pub const WALL_PARAMETER: f64 = 3.0 / 16.0;

/// Subgrid model: Smagorinsky's eddy viscosity above a threshold of the strain rate.
///
/// ```text
/// nu_t = (C cell)^2 max(0, |S| - s nu / cell^2)
/// ```
///
/// Where the cell Reynolds number |S| cell²/ν is below `s` the grid resolves the flow and the model is exactly zero;
/// so laminar flows on a sensible grid do not feel it. The model of J. Smagorinsky, Mon. Weather Rev. 91 (1963) 99, solved for the relaxation
/// time in closed form as by S. Hou et al., Fields Inst. Commun. 6 (1996) 151 (both from memory); the threshold is our own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Subgrid {
    /// Smagorinsky's constant C.
    pub constant: f64,
    /// Cell Reynolds number `s` below which the model is off.
    pub threshold: f64,
}

impl Default for Subgrid {
    fn default() -> Self {
        Self {
            constant: 0.1,
            threshold: 2.0,
        }
    }
}

/// Fluid properties and driving force of a lattice of `D` dimensions, two unless told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fluid<const D: usize = 2> {
    /// Kinematic viscosity.
    pub viscosity: LatticeViscosity,
    /// Subgrid model, if any.
    pub subgrid: Option<Subgrid>,
    /// Uniform force per volume along each axis (zero unless a flow is driven by it).
    pub force: [f64; D],
    /// Whether the grid resolves every layer of the flow, see [`Fluid::resolved`].
    pub is_resolved: bool,
}

impl<const D: usize> Fluid<D> {
    /// A fluid of this viscosity without subgrid model or force.
    pub fn new(viscosity: LatticeViscosity) -> Self {
        Self {
            viscosity,
            subgrid: None,
            force: [0.0; D],
            is_resolved: false,
        }
    }

    /// The same for smooth flows whose layers at walls the grid resolves: there third-order moments keep their memory at any viscosity, and half-way walls stay half-way
    /// ([`WALL_PARAMETER`] in the place of the usual rule, which is better at sharp corners and where the grid does not resolve the flow).
    ///
    /// Seen on a cylinder of 60 cells in the radius with an end that turns: the jet on its axis is 0.9 % too fast instead of 4.6 %.
    #[must_use]
    pub fn resolved(mut self) -> Self {
        self.is_resolved = true;
        self
    }

    /// The same with the default subgrid model.
    #[must_use]
    pub fn with_subgrid(mut self) -> Self {
        self.subgrid = Some(Subgrid::default());
        self
    }

    /// Relaxation time of the shear stress.
    pub fn relaxation_time(&self) -> f64 {
        0.5 + 3.0 * self.viscosity.0
    }

    /// The part of a third-order moment that survives a collision.
    ///
    /// At low viscosity the cells no longer resolve the flow, and remembering third-order moments would feed the smallest waves: the memory fades
    /// and is zero from 1/400 down.
    pub(crate) fn third_order_memory(&self) -> f64 {
        if self.is_resolved {
            return 1.0 - 1.0 / (0.5 + WALL_PARAMETER / (self.relaxation_time() - 0.5));
        }
        let wanted = MAGIC_PARAMETER / (self.relaxation_time() - 0.5);
        let allowed = (200.0 * self.viscosity.0).max(0.5);
        1.0 - 1.0 / (0.5 + wanted.min(allowed))
    }

    /// The subgrid model in closed form: with the norm `n` of the stress (root of the sum of the squares of all components) the relaxation time is
    /// `(b + sqrt(b^2 + g n)) / 2`, but not below the molecular one. Returns `b` and `g`.
    pub(crate) fn subgrid_base_and_gain(&self) -> (f64, f64) {
        let subgrid = self.subgrid.unwrap_or(Subgrid {
            constant: 0.0,
            threshold: 0.0,
        });
        let square = subgrid.constant * subgrid.constant;
        (
            self.relaxation_time() - 3.0 * square * subgrid.threshold * self.viscosity.0,
            36.0 * square / std::f64::consts::SQRT_2,
        )
    }

    /// Whether any force drives the flow.
    pub(crate) fn is_forced(&self) -> bool {
        self.force.iter().any(|&g| g != 0.0)
    }
}

/// What is constant along a row of cells.
#[derive(Debug, Clone, Copy)]
pub struct RowConstants {
    /// Radius of the cell centres; 1 in the plane.
    radius: f32,
    /// 1 / radius.
    inverse_radius: f32,
    /// 1 / (r + ν/r): turns the radial momentum without hoop stress into the radial velocity; 1 in the plane.
    radial_mobility: f32,
    /// ν / r, for the hoop stress.
    hoop: f32,
    /// Force per volume times r, along x and y.
    force: [f32; 2],
    /// Relaxation time of the molecular viscosity.
    time: f32,
    /// Part of the third-order moments that survives.
    third_order_memory: f32,
    /// Relaxation time less the subgrid threshold: 0.5 + 3 ν − 3 C² s ν.
    subgrid_base: f32,
    /// 36 C² × 1/√2 for the closed form of the subgrid model.
    subgrid_gain: f32,
}

impl RowConstants {
    /// Constants of a row at `radius` (1 in the plane).
    pub fn new(fluid: &Fluid, radius: f64, is_axisymmetric: bool) -> Self {
        let viscosity = fluid.viscosity.0;
        let (subgrid_base, subgrid_gain) = fluid.subgrid_base_and_gain();
        let hoop = if is_axisymmetric {
            viscosity / radius
        } else {
            0.0
        };
        Self {
            radius: radius as f32,
            inverse_radius: (1.0 / radius) as f32,
            radial_mobility: (1.0 / (radius + hoop)) as f32,
            hoop: hoop as f32,
            force: fluid.force.map(|g| (g * radius) as f32),
            time: fluid.relaxation_time() as f32,
            third_order_memory: fluid.third_order_memory() as f32,
            subgrid_base: subgrid_base as f32,
            subgrid_gain: (subgrid_gain / radius) as f32,
        }
    }

    /// Density deviation and velocity from the conserved moments of a cell: the sum of its populations and of their momentum.
    #[inline]
    pub fn macroscopic(
        &self,
        mass: f32,
        momentum: [f32; 2],
        is_axisymmetric: bool,
    ) -> (f32, [f32; 2]) {
        let density = mass * self.inverse_radius;
        let axial = (momentum[0] + 0.5 * self.force[0]) * self.inverse_radius;
        let own = momentum[1] + 0.5 * self.force[1];
        let across = if is_axisymmetric {
            (own + density * (1.0 / 6.0)) * self.radial_mobility
        } else {
            own * self.inverse_radius
        };
        (density, [axial, across])
    }
}

/// Collides the nine populations `f` of one cell (arrived → leaving, both by direction).
///
/// `AXISYMMETRIC` adds the radial force, `SUBGRID` the eddy viscosity, `FORCED` the uniform force.
#[inline(always)]
#[expect(
    clippy::inline_always,
    reason = "the row loop vectorises only if all of it is inlined"
)]
pub fn collide<const AXISYMMETRIC: bool, const SUBGRID: bool, const FORCED: bool>(
    row: &RowConstants,
    f: [f32; 9],
) -> [f32; 9] {
    collide_turning::<AXISYMMETRIC, SUBGRID, FORCED, false>(row, f, 0.0, |_| 0.0).leaving
}

/// A cell after its collision, and what a population that goes along with the flow wants to know of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Collided {
    /// What leaves, by direction.
    pub(crate) leaving: [f32; 9],
    /// Axial and radial velocity.
    pub(crate) velocity: [f32; 2],
    /// Part of a viscous stress that survives.
    pub(crate) memory: f32,
}

/// The same with swirl (`SWIRL`): `centrifugal` is the square of the swirl velocity, which pushes outwards, and `swirl_stress` the sum of the squares of the two
/// stresses that swirl adds, in those of the flow (r-weighted), at the velocity that it is told.
#[inline(always)]
#[expect(
    clippy::too_many_lines,
    reason = "one formula; the row loop vectorises only if all of it is inlined"
)]
pub(crate) fn collide_turning<
    const AXISYMMETRIC: bool,
    const SUBGRID: bool,
    const FORCED: bool,
    const SWIRL: bool,
>(
    row: &RowConstants,
    f: [f32; 9],
    centrifugal: f32,
    swirl_stress: impl Fn([f32; 2]) -> f32,
) -> Collided {
    const THIRD: f32 = 1.0 / 3.0;
    // Raw moments.
    let (plus_12, minus_12) = (f[1] + f[2], f[1] - f[2]);
    let (plus_34, minus_34) = (f[3] + f[4], f[3] - f[4]);
    let (plus_56, minus_56) = (f[5] + f[6], f[5] - f[6]);
    let (plus_78, minus_78) = (f[7] + f[8], f[7] - f[8]);
    let diagonal = plus_56 + plus_78;
    let mass = f[0] + (plus_12 + plus_34) + diagonal;
    let raw_x = minus_12 + (minus_56 + minus_78);
    let raw_y = minus_34 + (minus_56 - minus_78);
    let isotropic = mass * THIRD;
    // Hermite moments of second and third order.
    let xx = plus_12 + diagonal - isotropic;
    let yy = plus_34 + diagonal - isotropic;
    let xy = plus_56 - plus_78;

    // Velocity, with half of the force.
    let (r, inverse_r) = (row.radius, row.inverse_radius);
    let (mut jx, mut jy) = (raw_x, raw_y);
    let (mut force_x, mut force_y) = (0.0, 0.0);
    if FORCED {
        force_x = row.force[0];
        force_y = row.force[1];
        jx += 0.5 * force_x;
        jy += 0.5 * force_y;
    }
    let ux = jx * inverse_r;
    let mut uy = jy * inverse_r;
    let mut tilt = force_y;
    if AXISYMMETRIC {
        let mut pressure = mass * THIRD * inverse_r;
        if SWIRL {
            pressure += centrifugal;
        }
        uy = (jy + 0.5 * pressure) * row.radial_mobility;
        let hoop_stress = 2.0 * row.hoop * uy;
        // Momentum weighs the resting density, so it is the resting pressure, not its deviation, that tilts the higher moments.
        // (The centrifugal force is left out of it: the deviation of the pressure, which balances it, is so too.)
        tilt = force_y + THIRD - hoop_stress;
        force_y += pressure - hoop_stress;
        jy = r * uy;
    }

    // Second-order equilibrium, force share, and what is left: the viscous stress.
    let (flux_xx, flux_yy, flux_xy) = (jx * ux, jy * uy, jx * uy);
    let mut stress_xx = xx - flux_xx;
    let mut stress_yy = yy - flux_yy;
    let mut stress_xy = xy - flux_xy;
    let (mut push_xx, mut push_yy, mut push_xy) = (0.0, 0.0, 0.0);
    if AXISYMMETRIC || FORCED {
        push_xx = ux * force_x;
        push_yy = uy * tilt;
        push_xy = 0.5 * (ux * tilt + uy * force_x);
        stress_xx += push_xx;
        stress_yy += push_yy;
        stress_xy += push_xy;
    }

    let time = if SUBGRID {
        let mut square =
            stress_xx * stress_xx + stress_yy * stress_yy + 2.0 * (stress_xy * stress_xy);
        if SWIRL {
            square += 2.0 * swirl_stress([ux, uy]);
        }
        let norm = square.sqrt();
        let base = row.subgrid_base;
        let modelled = 0.5 * (base + (base * base + row.subgrid_gain * norm).sqrt());
        modelled.max(row.time)
    } else {
        row.time
    };
    let memory = 1.0 - 1.0 / time;

    // The trace relaxes at once. In axisymmetric flow the plane's divergence is not zero (−u_r/r): its share of the viscous stress is put in.
    let half_difference = 0.5 * memory * (stress_xx - stress_yy);
    let half_trace = if AXISYMMETRIC {
        (time - 1.0) * THIRD * uy
    } else {
        0.0
    };
    let after_xx = half_trace + half_difference;
    let after_yy = half_trace - half_difference;
    let after_xy = memory * stress_xy;

    // Third and fourth order follow from the second; what does not follow fades at its own rate.
    let memory_3 = row.third_order_memory;
    let xxy = (minus_56 - minus_78) - raw_y * THIRD;
    let xyy = (minus_56 + minus_78) - raw_x * THIRD;
    let (mut push_xxy, mut push_xyy, mut push_xxyy) = (0.0, 0.0, 0.0);
    if AXISYMMETRIC || FORCED {
        push_xxy = 0.5 * ux * (ux * tilt + 2.0 * uy * force_x);
        push_xyy = 0.5 * uy * (uy * force_x + 2.0 * ux * tilt);
        push_xxyy = ux * uy * (uy * force_x + ux * tilt);
    }
    let flux_xxy = flux_xx * uy;
    let flux_xyy = flux_xy * uy;
    let own_xxy = xxy - flux_xxy + push_xxy - (2.0 * ux * stress_xy + uy * stress_xx);
    let own_xyy = xyy - flux_xyy + push_xyy - (2.0 * uy * stress_xy + ux * stress_yy);
    let new_xxy = flux_xxy + push_xxy + 2.0 * ux * after_xy + uy * after_xx + memory_3 * own_xxy;
    let new_xyy = flux_xyy + push_xyy + 2.0 * uy * after_xy + ux * after_yy + memory_3 * own_xyy;
    let new_xxyy = flux_xyy * ux
        + push_xxyy
        + ux * ux * after_yy
        + uy * uy * after_xx
        + 4.0 * ux * uy * after_xy;

    // Back to raw moments, then to populations.
    let out_x = jx + 0.5 * force_x;
    let out_y = jy + 0.5 * force_y;
    let out_xx = flux_xx + push_xx + after_xx + isotropic;
    let out_yy = flux_yy + push_yy + after_yy + isotropic;
    let out_xy = flux_xy + push_xy + after_xy;
    let out_xxy = new_xxy + out_y * THIRD;
    let out_xyy = new_xyy + out_x * THIRD;
    let out_xxyy = new_xxyy + (out_xx + out_yy) * THIRD - mass * (1.0 / 9.0);
    let (even_x, odd_x) = (0.5 * (out_xx - out_xxyy), 0.5 * (out_x - out_xyy));
    let (even_y, odd_y) = (0.5 * (out_yy - out_xxyy), 0.5 * (out_y - out_xxy));
    let (even_same, odd_same) = (0.25 * (out_xxyy + out_xy), 0.25 * (out_xxy + out_xyy));
    let (even_cross, odd_cross) = (0.25 * (out_xxyy - out_xy), 0.25 * (out_xyy - out_xxy));
    let leaving = [
        mass - (out_xx + out_yy) + out_xxyy,
        even_x + odd_x,
        even_x - odd_x,
        even_y + odd_y,
        even_y - odd_y,
        even_same + odd_same,
        even_same - odd_same,
        even_cross + odd_cross,
        even_cross - odd_cross,
    ];
    Collided {
        leaving,
        velocity: [ux, uy],
        memory,
    }
}

/// Equilibrium deviation along direction (`cx`, `cy`) of weight `w`, per unit of radius: density deviation and velocity given.
#[inline]
pub fn equilibrium(c: [i32; 3], w: f64, density: f64, u: [f64; 2]) -> f64 {
    let (cx, cy) = (f64::from(c[0]), f64::from(c[1]));
    let (hxx, hyy) = (cx * cx - 1.0 / 3.0, cy * cy - 1.0 / 3.0);
    let second = 4.5 * (hxx * u[0] * u[0] + hyy * u[1] * u[1] + 2.0 * cx * cy * u[0] * u[1]);
    let third = 13.5 * (hxx * cy * u[0] * u[0] * u[1] + hyy * cx * u[0] * u[1] * u[1]);
    let fourth = 20.25 * hxx * hyy * u[0] * u[0] * u[1] * u[1];
    w * (density + 3.0 * (cx * u[0] + cy * u[1]) + second + third + fourth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lattice::velocity_set::{D2Q9, VelocitySet};

    fn moments(f: [f32; 9]) -> [f64; 3] {
        let mut sums = [0.0; 3];
        for (population, c) in f.map(f64::from).into_iter().zip(D2Q9::VELOCITIES) {
            sums[0] += population;
            sums[1] += f64::from(c[0]) * population;
            sums[2] += f64::from(c[1]) * population;
        }
        sums
    }

    fn sample() -> [f32; 9] {
        std::array::from_fn(|i| 0.003 * ((i * i + 3 * i) % 7) as f32 - 0.008)
    }

    #[test]
    fn collision_conserves_mass_and_momentum() {
        let row = RowConstants::new(
            &Fluid::new(LatticeViscosity(0.02)).with_subgrid(),
            1.0,
            false,
        );
        let before = moments(sample());
        let after = moments(collide::<false, true, false>(&row, sample()));
        for (a, b) in before.iter().zip(after) {
            assert!((a - b).abs() < 1e-8, "{a} {b}");
        }
    }

    #[test]
    fn equilibrium_is_left_alone() {
        let row = RowConstants::new(&Fluid::new(LatticeViscosity(0.5)), 1.0, false);
        let f: [f32; 9] = std::array::from_fn(|i| {
            equilibrium(D2Q9::VELOCITIES[i], D2Q9::WEIGHTS[i], 0.01, [0.08, -0.03]) as f32
        });
        let after = collide::<false, false, false>(&row, f);
        for i in 0..9 {
            assert!((f[i] - after[i]).abs() < 1e-8, "{i}: {} {}", f[i], after[i]);
        }
    }

    #[test]
    fn uniform_axial_flow_is_left_alone_at_every_radius() {
        // What arrives weighs the radius half-way along its link, and so does what leaves.
        for radius in [0.5, 1.5, 20.5] {
            let row = RowConstants::new(&Fluid::new(LatticeViscosity(0.01)), radius, true);
            let feq =
                |i: usize| equilibrium(D2Q9::VELOCITIES[i], D2Q9::WEIGHTS[i], 0.004, [0.1, 0.0]);
            let rest = |i: usize| D2Q9::WEIGHTS[i];
            // deviation from rest of link weight × (rest + equilibrium deviation)
            let value = |i: usize, side: f64| {
                let link = radius + 0.5 * side * f64::from(D2Q9::VELOCITIES[i][1]);
                (link * (rest(i) + feq(i)) - link * rest(i)) as f32
            };
            let after =
                collide::<true, false, false>(&row, std::array::from_fn(|i| value(i, -1.0)));
            for (i, a) in after.iter().enumerate() {
                assert!(
                    (a - value(i, 1.0)).abs() < 2e-7 * (1.0 + radius as f32),
                    "radius {radius} direction {i}"
                );
            }
        }
    }

    #[test]
    fn subgrid_model_is_exactly_off_below_its_threshold() {
        let fluid = Fluid::new(LatticeViscosity(0.02));
        let plain = RowConstants::new(&fluid, 1.0, false);
        let modelled = RowConstants::new(&fluid.with_subgrid(), 1.0, false);
        let strain = 1.9 * 0.02; // threshold 2 nu
        let shear = -(0.5 + 3.0 * 0.02) / 3.0 * strain; // xy stress of du/dy = strain
        let f: [f32; 9] = std::array::from_fn(|i| {
            let c = D2Q9::VELOCITIES[i];
            let w = D2Q9::WEIGHTS[i];
            (equilibrium(c, w, 0.0, [0.05, 0.0]) + w * 9.0 * f64::from(c[0] * c[1]) * shear) as f32
        });
        let a = collide::<false, false, false>(&plain, f);
        let b = collide::<false, true, false>(&modelled, f);
        assert_eq!(a.map(f32::to_bits), b.map(f32::to_bits));
    }
}
