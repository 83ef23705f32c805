//! What happens in a cell of a three-dimensional lattice of nineteen velocities: the scheme of [`crate::lattice::collision`] with a third axis.
//!
//! Nineteen velocities carry nineteen moments: density, momentum, the six of second order, the six of third order with two different axes
//! (x²y and so on; xyz is out of reach) and the three of fourth order with two axes. Each moment of third and fourth order lives on the four directions in the
//! plane of its two axes alone. On this set the Hermite polynomials of x²y and of yz² are not orthogonal; prescribing both moments is the same as prescribing their sum and
//! their difference, which are (O. Malaspinas, arXiv:1505.06900 (2015); J. Jacob, O. Malaspinas, P. Sagaut, J. Turbul. 19 (2018) 1051; from memory).
//! Fourth order is the product form of the plane, so a flow that does not change along an axis is the flow of the plane.
//!
//! Third-order moments remember as long as the fourth-order error of the viscous terms asks for, at any viscosity; where one of them is large, that is where the cells do not
//! resolve the flow, its memory fades (M. Geier, A. Pasquali, M. Schönherr, J. Comput. Phys. 348 (2017) 862, from memory: there for cumulants, each with a limit of its own;
//! here one limit for the pair of a plane). Without memory K of a round hole (free-area ratio 0.42, hole Reynolds number 2400) at 20 cells is 5.27, and 5.56 at half the
//! lattice velocity; with it 4.96 and 5.00, against 4.75 ± 0.15.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]
#![expect(
    clippy::inline_always,
    reason = "the row loop vectorises only if all of it is inlined, and in the caller's instruction set"
)]

use crate::lattice::collision::{Fluid, MAGIC_PARAMETER};

const THIRD: f32 = 1.0 / 3.0;

/// Third-order moment at which half of its memory is left (the published value).
const MEMORY_LIMIT: f32 = 0.01;

/// The same without subgrid model: there 0.01 lets a vortex that the cells do not resolve gain energy at a viscosity of 1e-5 (`tests/validation/volume_taylor_green.rs`).
const BARE_MEMORY_LIMIT: f32 = 0.003;

/// What is constant in a three-dimensional lattice.
#[derive(Debug, Clone, Copy)]
pub struct VolumeConstants {
    /// Force per volume.
    force: [f32; 3],
    /// Relaxation time of the molecular viscosity.
    time: f32,
    /// Part of a small third-order moment that survives.
    third_order_memory: f32,
    /// See [`Fluid`]: base and gain of the subgrid model.
    subgrid_base: f32,
    subgrid_gain: f32,
}

impl VolumeConstants {
    /// Constants of a fluid.
    pub fn new(fluid: &Fluid<3>) -> Self {
        let (base, gain) = fluid.subgrid_base_and_gain();
        let third_order_time = 0.5 + MAGIC_PARAMETER / (fluid.relaxation_time() - 0.5);
        let memory = 1.0 - third_order_time.recip();
        Self {
            force: fluid.force.map(|g| g as f32),
            time: fluid.relaxation_time() as f32,
            third_order_memory: memory as f32,
            subgrid_base: base as f32,
            subgrid_gain: gain as f32,
        }
    }

    /// Density deviation and velocity from the populations of a cell before collision.
    #[inline]
    pub fn macroscopic(&self, f: &[f32; 19]) -> (f32, [f32; 3]) {
        let xy = Edges::of([f[7], f[8], f[9], f[10]]);
        let xz = Edges::of([f[11], f[12], f[13], f[14]]);
        let yz = Edges::of([f[15], f[16], f[17], f[18]]);
        let axes = ((f[1] + f[2]) + (f[3] + f[4])) + (f[5] + f[6]);
        let density = f[0] + axes + ((xy.aabb + xz.aabb) + yz.aabb);
        let velocity = [
            (f[1] - f[2]) + (xy.abb + xz.abb) + 0.5 * self.force[0],
            (f[3] - f[4]) + (xy.aab + yz.abb) + 0.5 * self.force[1],
            (f[5] - f[6]) + (xz.aab + yz.aab) + 0.5 * self.force[2],
        ];
        (density, velocity)
    }
}

/// Raw moments of the four directions in the plane of the axes a and b: along (1, 1), (−1, −1), (1, −1), (−1, 1).
#[derive(Clone, Copy)]
struct Edges {
    ab: f32,
    aab: f32,
    abb: f32,
    aabb: f32,
}

impl Edges {
    #[inline(always)]
    fn of([f0, f1, f2, f3]: [f32; 4]) -> Self {
        let (plus_same, minus_same) = (f0 + f1, f0 - f1);
        let (plus_cross, minus_cross) = (f2 + f3, f2 - f3);
        Self {
            ab: plus_same - plus_cross,
            aab: minus_same - minus_cross,
            abb: minus_same + minus_cross,
            aabb: plus_same + plus_cross,
        }
    }

    #[inline(always)]
    fn populations(self) -> [f32; 4] {
        let (even_same, odd_same) = (0.25 * (self.aabb + self.ab), 0.25 * (self.aab + self.abb));
        let (even_cross, odd_cross) = (0.25 * (self.aabb - self.ab), 0.25 * (self.abb - self.aab));
        [
            even_same + odd_same,
            even_same - odd_same,
            even_cross + odd_cross,
            even_cross - odd_cross,
        ]
    }
}

/// Second order as seen by the plane of two axes: components aa, bb, ab.
struct Stresses {
    /// Deviation from equilibrium that arrived.
    arrived: [f32; 3],
    /// What is left of it.
    after: [f32; 3],
    /// Share of the force.
    push: [f32; 3],
}

/// Collides the directions in the plane of two axes: `u`, `force` and `momentum` along them, raw momentum before, new one after.
#[inline(always)]
fn collide_edges<const FORCED: bool>(
    arrived: Edges,
    u: [f32; 2],
    force: [f32; 2],
    raw: [f32; 2],
    out: [f32; 2],
    stresses: &Stresses,
    mass_memory_limit: (f32, f32, f32),
) -> Edges {
    let [ua, ub] = u;
    let (mass, memory, limit) = mass_memory_limit;
    let (square_a, square_b, product) = (ua * ua, ub * ub, ua * ub);
    let [aa, bb, ab] = stresses.arrived;
    let [new_aa, new_bb, new_ab] = stresses.after;
    let [push_aa, push_bb, push_ab] = stresses.push;
    let (mut flux_aab, mut flux_abb) = (square_a * ub, product * ub);
    let mut flux_aabb = flux_abb * ua;
    if FORCED {
        let [fa, fb] = force;
        flux_aab += 0.5 * ua * (ua * fb + 2.0 * ub * fa);
        flux_abb += 0.5 * ub * (ub * fa + 2.0 * ua * fb);
        flux_aabb += product * (ub * fa + ua * fb);
    }
    let own_aab = arrived.aab - raw[1] * THIRD - flux_aab - (2.0 * ua * ab + ub * aa);
    let own_abb = arrived.abb - raw[0] * THIRD - flux_abb - (2.0 * ub * ab + ua * bb);
    let memory = memory * limit / (limit + own_aab.abs().max(own_abb.abs()));
    let aab = flux_aab + (2.0 * ua * new_ab + ub * new_aa) + memory * own_aab;
    let abb = flux_abb + (2.0 * ub * new_ab + ua * new_bb) + memory * own_abb;
    let aabb = flux_aabb + square_a * new_bb + square_b * new_aa + 4.0 * product * new_ab;
    // Of the second order without its isotropic part, which is a third of the mass on both axes.
    let second = square_a + square_b + (push_aa + push_bb) + (new_aa + new_bb);
    Edges {
        ab: product + push_ab + new_ab,
        aab: aab + out[1] * THIRD,
        abb: abb + out[0] * THIRD,
        aabb: aabb + second * THIRD + mass * (1.0 / 9.0),
    }
}

/// Collides the nineteen populations `f` of one cell (arrived → leaving, both by direction).
///
/// `SUBGRID` adds the eddy viscosity, `FORCED` the uniform force.
#[inline(always)]
#[expect(
    clippy::too_many_lines,
    reason = "one formula; the row loop vectorises only if all of it is inlined"
)]
pub fn collide<const SUBGRID: bool, const FORCED: bool>(
    constants: &VolumeConstants,
    f: [f32; 19],
) -> [f32; 19] {
    // Raw moments.
    let edges_xy = Edges::of([f[7], f[8], f[9], f[10]]);
    let edges_xz = Edges::of([f[11], f[12], f[13], f[14]]);
    let edges_yz = Edges::of([f[15], f[16], f[17], f[18]]);
    let (plus_x, minus_x) = (f[1] + f[2], f[1] - f[2]);
    let (plus_y, minus_y) = (f[3] + f[4], f[3] - f[4]);
    let (plus_z, minus_z) = (f[5] + f[6], f[5] - f[6]);
    let mass =
        f[0] + ((plus_x + plus_y) + plus_z) + ((edges_xy.aabb + edges_xz.aabb) + edges_yz.aabb);
    let raw_x = minus_x + (edges_xy.abb + edges_xz.abb);
    let raw_y = minus_y + (edges_xy.aab + edges_yz.abb);
    let raw_z = minus_z + (edges_xz.aab + edges_yz.aab);
    let isotropic = mass * THIRD;

    // Velocity, with half of the force.
    let (mut ux, mut uy, mut uz) = (raw_x, raw_y, raw_z);
    let [mut fx, mut fy, mut fz] = [0.0_f32; 3];
    if FORCED {
        [fx, fy, fz] = constants.force;
        ux += 0.5 * fx;
        uy += 0.5 * fy;
        uz += 0.5 * fz;
    }
    let (mut out_x, mut out_y, mut out_z) = (raw_x, raw_y, raw_z);

    // Second order: what the equilibrium leaves is the viscous stress.
    let mut xx = plus_x + (edges_xy.aabb + edges_xz.aabb) - isotropic - ux * ux;
    let mut yy = plus_y + (edges_xy.aabb + edges_yz.aabb) - isotropic - uy * uy;
    let mut zz = plus_z + (edges_xz.aabb + edges_yz.aabb) - isotropic - uz * uz;
    let mut xy = edges_xy.ab - ux * uy;
    let mut xz = edges_xz.ab - ux * uz;
    let mut yz = edges_yz.ab - uy * uz;
    let (mut push_xx, mut push_yy, mut push_zz) = (0.0, 0.0, 0.0);
    let (mut push_xy, mut push_xz, mut push_yz) = (0.0, 0.0, 0.0);
    if FORCED {
        out_x += fx;
        out_y += fy;
        out_z += fz;
        push_xx = ux * fx;
        push_yy = uy * fy;
        push_zz = uz * fz;
        push_xy = 0.5 * (ux * fy + uy * fx);
        push_xz = 0.5 * (ux * fz + uz * fx);
        push_yz = 0.5 * (uy * fz + uz * fy);
        xx += push_xx;
        yy += push_yy;
        zz += push_zz;
        xy += push_xy;
        xz += push_xz;
        yz += push_yz;
    }

    let time = if SUBGRID {
        let norm = (((xx * xx + yy * yy) + zz * zz) + 2.0 * ((xy * xy + xz * xz) + yz * yz)).sqrt();
        let base = constants.subgrid_base;
        let modelled = 0.5 * (base + (base * base + constants.subgrid_gain * norm).sqrt());
        modelled.max(constants.time)
    } else {
        constants.time
    };
    let memory = 1.0 - 1.0 / time;

    // The trace relaxes at once.
    let mean = ((xx + yy) + zz) * THIRD;
    let after_xx = memory * (xx - mean);
    let after_yy = memory * (yy - mean);
    let after_zz = memory * (zz - mean);
    let after_xy = memory * xy;
    let after_xz = memory * xz;
    let after_yz = memory * yz;

    // Third and fourth order follow from the second, plane by plane.
    let mass_memory_limit = (
        mass,
        constants.third_order_memory,
        if SUBGRID {
            MEMORY_LIMIT
        } else {
            BARE_MEMORY_LIMIT
        },
    );
    let new_xy = collide_edges::<FORCED>(
        edges_xy,
        [ux, uy],
        [fx, fy],
        [raw_x, raw_y],
        [out_x, out_y],
        &Stresses {
            arrived: [xx, yy, xy],
            after: [after_xx, after_yy, after_xy],
            push: [push_xx, push_yy, push_xy],
        },
        mass_memory_limit,
    );
    let new_xz = collide_edges::<FORCED>(
        edges_xz,
        [ux, uz],
        [fx, fz],
        [raw_x, raw_z],
        [out_x, out_z],
        &Stresses {
            arrived: [xx, zz, xz],
            after: [after_xx, after_zz, after_xz],
            push: [push_xx, push_zz, push_xz],
        },
        mass_memory_limit,
    );
    let new_yz = collide_edges::<FORCED>(
        edges_yz,
        [uy, uz],
        [fy, fz],
        [raw_y, raw_z],
        [out_y, out_z],
        &Stresses {
            arrived: [yy, zz, yz],
            after: [after_yy, after_zz, after_yz],
            push: [push_yy, push_zz, push_yz],
        },
        mass_memory_limit,
    );

    // Populations again.
    let out_xx = ux * ux + push_xx + after_xx + isotropic;
    let out_yy = uy * uy + push_yy + after_yy + isotropic;
    let out_zz = uz * uz + push_zz + after_zz + isotropic;
    let pair = |even: f32, odd: f32| (0.5 * (even + odd), 0.5 * (even - odd));
    let (f1, f2) = pair(
        out_xx - (new_xy.aabb + new_xz.aabb),
        out_x - (new_xy.abb + new_xz.abb),
    );
    let (f3, f4) = pair(
        out_yy - (new_xy.aabb + new_yz.aabb),
        out_y - (new_xy.aab + new_yz.abb),
    );
    let (f5, f6) = pair(
        out_zz - (new_xz.aabb + new_yz.aabb),
        out_z - (new_xz.aab + new_yz.aab),
    );
    let f0 = mass - ((out_xx + out_yy) + out_zz) + ((new_xy.aabb + new_xz.aabb) + new_yz.aabb);
    let [f7, f8, f9, f10] = new_xy.populations();
    let [f11, f12, f13, f14] = new_xz.populations();
    let [f15, f16, f17, f18] = new_yz.populations();
    [
        f0, f1, f2, f3, f4, f5, f6, f7, f8, f9, f10, f11, f12, f13, f14, f15, f16, f17, f18,
    ]
}

/// Equilibrium deviation along direction `c` of the nineteen, density deviation and velocity given.
#[inline]
pub fn equilibrium(c: [i32; 3], density: f64, u: [f64; 3]) -> f64 {
    const THIRD: f64 = 1.0 / 3.0;
    const NINTH: f64 = 1.0 / 9.0;
    let square = u.map(|component| component * component);
    let second = |a: usize| density * THIRD + square[a];
    let fourth = |a: usize, b: usize| {
        density * NINTH + (square[a] + square[b]) * THIRD + square[a] * square[b]
    };
    // Moment of c_a c_b².
    let third = |a: usize, b: usize| u[a] * (THIRD + square[b]);
    let along = |a: usize, b: usize, d: usize| {
        let odd = u[a] - third(a, b) - third(a, d);
        0.5 * (second(a) - fourth(a, b) - fourth(a, d) + f64::from(c[a]) * odd)
    };
    let across = |a: usize, b: usize| {
        let (ca, cb) = (f64::from(c[a]), f64::from(c[b]));
        0.25 * (fourth(a, b) + ca * cb * u[a] * u[b] + ca * third(a, b) + cb * third(b, a))
    };
    match c.map(|component| component != 0) {
        [true, false, false] => along(0, 1, 2),
        [false, true, false] => along(1, 0, 2),
        [false, false, true] => along(2, 0, 1),
        [true, true, _] => across(0, 1),
        [true, false, true] => across(0, 2),
        [false, true, true] => across(1, 2),
        [false, false, false] => {
            let planes = fourth(0, 1) + fourth(0, 2) + fourth(1, 2);
            density - second(0) - second(1) - second(2) + planes
        }
    }
}

#[cfg(test)]
mod tests;
