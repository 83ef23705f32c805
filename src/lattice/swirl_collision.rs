//! What happens in a cell whose air also turns about the axis.
//!
//! Beside the nine populations of the flow five more carry the angular momentum `L = r u_θ` (four to the neighbours, one at rest). Like those of the flow they weigh the radius half-way along
//! their link, so the sum of `r L` over all cells is kept exactly, and what a link carries one cell gains and the other loses:
//!
//! ```text
//! d(r L)/dt + d(r u L)/dx + d(r v L)/dr = d(r nu dL/dx)/dx + d(r nu dL/dr - 2 nu L)/dr
//! ```
//!
//! The first moment relaxes with the (local) relaxation time of the flow towards `r L u`; a push of `L` along r makes the flux that of the stress, zero for a body that turns as a whole,
//! whatever the viscosity. Second moments relax about the velocity of the air (central moments), which keeps small waves from growing at low viscosity: seen in the eigenvalues of the linear scheme,
//! none beyond 1 at velocities of 0.1 along both axes from a viscosity of 1e-4 up.
//!
//! Weights of second order in the cell over the radius make solid-body rotation an exact state of the lattice, walls that turn included. Its populations are `w s L(s)` with `L = Ω s²`, `s` being the radius
//! half-way along the link: over the two links along r they add up to `r L / 3 (1 + 3/4r²)` and differ by `L (1 + 1/12r²)`, and all five add up to `r L (1 + 1/4r²)`, which is the integral over the cell.
//! The pressure of the flow then rises by `3 Ω² s` from cell to cell if the centrifugal force is `u_θ² (1 - 1/4r²)`. (Derived here; the transport equation is a textbook's.)

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::collision::{Collided, Fluid, RowConstants, collide_turning};

/// What is constant along a row of cells.
#[derive(Debug, Clone, Copy)]
pub struct SwirlConstants {
    /// Those of the flow.
    flow: RowConstants,
    /// 1 / r: from fluxes to stresses.
    inverse_radius: f32,
    /// From the sum of the five populations to the swirl velocity: 1 / (r² + 1/4).
    to_swirl: f32,
    /// From the sum to half of the push along r: (1 + 1/12r²) / 2 (r + 1/4r).
    half_push: f32,
    /// Share of the second moment along x at rest: 1 / (3 + 3/4r²).
    along_at_rest: f32,
    /// Share of the second moment along r at rest: (1 + 3/4r²) / (3 + 3/4r²).
    across_at_rest: f32,
    /// From the square of the swirl velocity to the centrifugal force times r: 1 - 1/4r².
    centrifugal: f32,
    /// Part of the second moments that survives.
    memory: f32,
}

impl SwirlConstants {
    /// Constants of a row at `radius`.
    pub fn new(fluid: &Fluid, radius: f64) -> Self {
        let square = 1.0 / (radius * radius);
        let integral = 1.0 + 0.25 * square;
        Self {
            flow: RowConstants::new(fluid, radius, true),
            inverse_radius: (1.0 / radius) as f32,
            to_swirl: (square / integral) as f32,
            half_push: (0.5 * (1.0 + square / 12.0) / (radius * integral)) as f32,
            along_at_rest: (1.0 / (3.0 * integral)) as f32,
            across_at_rest: ((1.0 + 0.75 * square) / (3.0 * integral)) as f32,
            centrifugal: (1.0 - 0.25 * square) as f32,
            memory: fluid.third_order_memory() as f32,
        }
    }

    /// Density deviation, axial, radial and swirl velocity from the conserved moments of a cell: sum and momentum of the populations of the flow, and the sum of the five others.
    #[inline]
    pub fn macroscopic(&self, mass: f32, momentum: [f32; 2], turning: f32) -> (f32, [f32; 3]) {
        let swirl = turning * self.to_swirl;
        let push = 0.5 * self.centrifugal * (swirl * swirl);
        let (density, [axial, radial]) =
            self.flow
                .macroscopic(mass, [momentum[0], momentum[1] + push], true);
        (density, [axial, radial, swirl])
    }
}

/// Collides the fourteen populations `f` of one cell (arrived → leaving, both by direction).
///
/// `SUBGRID` adds the eddy viscosity, which acts on the swirl too and feels its strain, `FORCED` the uniform force.
#[inline(always)]
#[expect(
    clippy::inline_always,
    reason = "the row loop vectorises only if all of it is inlined"
)]
pub fn collide<const SUBGRID: bool, const FORCED: bool>(
    row: &SwirlConstants,
    f: [f32; 14],
) -> [f32; 14] {
    let [
        f0,
        f1,
        f2,
        f3,
        f4,
        f5,
        f6,
        f7,
        f8,
        ahead,
        back,
        out,
        inward,
        rest,
    ] = f;
    let (along, across) = (ahead + back, out + inward);
    let sum = along + across + rest;
    let half_push = sum * row.half_push;
    let flux = [ahead - back, out - inward + half_push];
    let swirl = sum * row.to_swirl;
    let centrifugal = row.centrifugal * (swirl * swirl);
    let stress = |velocity: [f32; 2]| {
        let own = [0, 1].map(|a| (flux[a] - sum * velocity[a]) * row.inverse_radius);
        own[0] * own[0] + own[1] * own[1]
    };
    let Collided {
        leaving: g,
        velocity: [u, v],
        memory,
    } = collide_turning::<true, SUBGRID, FORCED, true>(
        &row.flow,
        [f0, f1, f2, f3, f4, f5, f6, f7, f8],
        centrifugal,
        stress,
    );

    // The flux: carried along, and the viscous part with what is left of it.
    let (carried_x, carried_y) = (sum * u, sum * v);
    let (own_x, own_y) = (flux[0] - carried_x, flux[1] - carried_y);
    let (after_x, after_y) = (memory * own_x, memory * own_y);
    // Second moments about the velocity.
    let along_at_rest = sum * row.along_at_rest + carried_x * u;
    let across_at_rest = sum * row.across_at_rest + carried_y * v;
    let other_x = along - along_at_rest - 2.0 * u * own_x;
    let other_y = across - across_at_rest - 2.0 * v * own_y;
    let new_along = along_at_rest + 2.0 * u * after_x + row.memory * other_x;
    let new_across = across_at_rest + 2.0 * v * after_y + row.memory * other_y;
    let (new_x, new_y) = (carried_x + after_x, carried_y + after_y + half_push);
    [
        g[0],
        g[1],
        g[2],
        g[3],
        g[4],
        g[5],
        g[6],
        g[7],
        g[8],
        0.5 * (new_along + new_x),
        0.5 * (new_along - new_x),
        0.5 * (new_across + new_y),
        0.5 * (new_across - new_y),
        sum - new_along - new_across,
    ]
}

/// Equilibrium along direction (`cx`, `cy`) of the five, per unit of radius, for the angular momentum `turning` in air that moves with `u`.
#[inline]
pub fn equilibrium(c: [i32; 3], turning: f64, u: [f64; 2]) -> f64 {
    let second = u.map(|u| 1.0 / 3.0 + u * u);
    match c {
        [0, 0, _] => turning * (1.0 - second[0] - second[1]),
        [cx, 0, _] => 0.5 * turning * (second[0] + f64::from(cx) * u[0]),
        [_, cy, _] => 0.5 * turning * (second[1] + f64::from(cy) * u[1]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lattice::velocity_set::{D2Q9Swirl, VelocitySet};
    use crate::units::LatticeViscosity;

    fn sample() -> [f32; 14] {
        std::array::from_fn(|i| 0.003 * ((i * i + 3 * i) % 7) as f32 - 0.008)
    }

    #[test]
    fn collision_conserves_mass_axial_and_angular_momentum() {
        let fluid = Fluid::new(LatticeViscosity(0.02)).with_subgrid();
        for radius in [0.5, 1.5, 30.5] {
            let row = SwirlConstants::new(&fluid, radius);
            let sums = |f: [f32; 14]| {
                let axial = (1..9).map(|i| D2Q9Swirl::VELOCITIES[i][0] as f32 * f[i]);
                [
                    f[..9].iter().sum::<f32>(),
                    axial.sum::<f32>(),
                    f[9..].iter().sum::<f32>(),
                ]
            };
            let (before, after) = (sums(sample()), sums(collide::<true, false>(&row, sample())));
            for (a, b) in before.iter().zip(after) {
                assert!((a - b).abs() < 1e-7, "{radius}: {a} {b}");
            }
        }
    }

    #[test]
    fn without_swirl_the_flow_is_what_it_is() {
        let fluid = Fluid::new(LatticeViscosity(0.02)).with_subgrid();
        let row = SwirlConstants::new(&fluid, 7.5);
        let mut f = sample();
        f[9..].fill(0.0);
        let flow: [f32; 9] = std::array::from_fn(|i| f[i]);
        let alone = crate::lattice::collision::collide::<true, true, false>(&row.flow, flow);
        let together = collide::<true, false>(&row, f);
        for i in 0..9 {
            assert!((alone[i] - together[i]).abs() < 1e-8, "{i}");
        }
        assert!(together[9..].iter().all(|v| *v == 0.0));
    }

    #[test]
    fn the_strain_of_swirl_alone_calls_for_eddy_viscosity_on_swirl() {
        let fluid = Fluid::new(LatticeViscosity(0.001));
        let plain = SwirlConstants::new(&fluid, 20.5);
        let modelled = SwirlConstants::new(&fluid.with_subgrid(), 20.5);
        // At rest but for a flux of angular momentum along x: stress `flux / r` is (1/2 + 3 nu) r / 3 times the shear of u_θ.
        let after = |shear: f32| {
            let mut f = [0.0; 14];
            let flux = -0.503 * 20.5 * 20.5 / 3.0 * shear;
            f[9] = 0.5 * flux;
            f[10] = -0.5 * flux;
            let leaving = [
                collide::<false, false>(&plain, f),
                collide::<true, false>(&modelled, f),
            ];
            leaving.map(|f| (f[9] - f[10]) / flux)
        };
        // Cell Reynolds number 1, below the threshold of 2, and 100.
        let [plain, modelled] = after(0.001);
        assert!((plain - modelled).abs() < 1e-6, "{plain} {modelled}");
        let [plain, modelled] = after(0.1);
        // nu_t = C² (|S| - 2 nu) with |S| = 0.1: 0.00098.
        let time = 0.5 + 3.0 * (0.001 + 0.000_98);
        let expected = 1.0 - 1.0 / time;
        assert!((plain - (1.0 - 1.0 / 0.503)).abs() < 1e-5, "{plain}");
        assert!((modelled - expected).abs() < 2e-4, "{modelled} {expected}");
    }

    #[test]
    fn solid_body_rotation_is_left_alone_at_every_radius() {
        let rotation = 1e-3;
        for viscosity in [0.001, 0.2] {
            let fluid = Fluid::new(LatticeViscosity(viscosity));
            for radius in [0.5, 1.5, 20.5] {
                let row = SwirlConstants::new(&fluid, radius);
                // Each link carries its own populations, so what arrives from below leaves upwards.
                let value = |i: usize, side: f64| {
                    let c = D2Q9Swirl::VELOCITIES[i];
                    let s: f64 = radius + 0.5 * side * f64::from(c[1]);
                    let pressure = rotation * rotation;
                    let value = if i < 9 {
                        let shift = if c[1] == 0 { 0.0 } else { 0.75 };
                        D2Q9Swirl::WEIGHTS[i] * s * 1.5 * pressure * (s * s - shift)
                    } else {
                        D2Q9Swirl::WEIGHTS[i] * rotation * s.powi(3)
                    };
                    value as f32
                };
                let arrived = std::array::from_fn(|i| value(i, -1.0));
                let after = collide::<false, false>(&row, arrived);
                for (i, after) in after.into_iter().enumerate() {
                    let expected = value(i, 1.0);
                    let scale = if i < 9 { 1e-6 } else { 1e-3 } * radius.powi(3) as f32;
                    assert!(
                        (after - expected).abs() < 3e-7 * scale,
                        "radius {radius}, direction {i}: {after} {expected}"
                    );
                }
            }
        }
    }
}
