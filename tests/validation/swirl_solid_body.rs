//! Air that turns as a whole about the axis is at rest for the stresses: the lattice keeps it exactly, between free-slip sides and in a drum, and a drum that starts to turn brings its air there.
//!
//! Source: closed form: `u_θ = Ω r`, `p = p_0 + Ω² r² / 2`.
//!
//! Tolerance: rounding of single precision. Velocity at most 1e-6 of that at the edge, pressure at most 1e-6 of its rise to there, angular momentum at most 2e-6 after 20,000 steps.
//! Seen: 1.5e-7, 1.2e-7 and 3e-7 between free-slip sides, at any viscosity, with the subgrid model too; 1.2e-7 and 2e-7 in the drum, which starts from rest.
#![expect(
    clippy::cast_possible_truncation,
    reason = "states are single precision"
)]

use crate::flow::{Shape, assert_error, turning};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

/// Largest error of the swirl velocity over that at the outermost cell, and of the pressure over its rise to there.
fn errors(lattice: &SwirlLattice, rotation: f64) -> [f64; 2] {
    let extent = lattice.extent();
    let radius = |y: usize| y as f64 + 0.5;
    let edge = rotation * radius(extent.ny - 1);
    let rise = |y: usize| 0.5 * (rotation * radius(y)).powi(2);
    let mut worst = [0.0_f64; 2];
    for x in 0..extent.nx {
        let axis = lattice.cell(x, 0);
        for y in 0..extent.ny {
            let state = lattice.cell(x, y);
            let swirl = f64::from(state.velocity[2]) - rotation * radius(y);
            let drift = state.velocity[..2].iter().map(|u| f64::from(u.abs()));
            let pressure = f64::from(state.density - axis.density) / 3.0 - (rise(y) - rise(0));
            let velocity = drift.fold(swirl.abs(), f64::max);
            worst[0] = worst[0].max(velocity / edge);
            worst[1] = worst[1].max(pressure.abs() / rise(extent.ny - 1));
        }
    }
    worst
}

fn assert_exact(name: &str, [velocity, pressure]: [f64; 2]) {
    assert_error(&format!("{name}, velocity"), velocity, 1e-6);
    assert_error(&format!("{name}, pressure"), pressure, 1e-6);
}

#[test]
fn rotation_between_free_slip_sides_stays() {
    let rows = 24;
    let rotation = 0.1 / rows as f64;
    for (viscosity, has_subgrid) in [(0.0005, true), (0.01, false), (0.3, false)] {
        let fluid = Fluid::new(LatticeViscosity(viscosity));
        let setup = SwirlSetup {
            extent: Extent::planar(5, rows),
            fluid: if has_subgrid {
                fluid.with_subgrid()
            } else {
                fluid
            },
            along: Side::Periodic,
            outside: Side::Mirror,
            geometry: &Shape(|_, _| None),
            outlet_velocity: None,
            threads: Threads::One,
        };
        let mut lattice = SwirlLattice::new(&setup, |_, y| {
            let swirl = rotation * (y as f64 + 0.5);
            CellState {
                density: (1.5 * swirl * swirl) as f32,
                velocity: [0.0, 0.0, swirl as f32],
            }
        });
        let before = lattice.total_angular_momentum();
        lattice.step_pairs(10_000);
        let kept = lattice.total_angular_momentum() / before - 1.0;
        assert_error("angular momentum", kept, 2e-6);
        assert_exact(
            &format!("viscosity {viscosity}, subgrid {has_subgrid}"),
            errors(&lattice, rotation * (1.0 + kept)),
        );
    }
}

#[test]
fn a_drum_that_turns_takes_its_air_along() {
    let rows = 20;
    let length = 12;
    let rotation = 0.05 / rows as f64;
    let end = length as f64 - 0.5;
    let rim = rows as f64 - 0.5;
    let shape = Shape(move |x: f64, y: f64| {
        let is_wall = x < -0.5 || x > end || y > rim;
        is_wall.then(|| turning(WallGroup::Rim, [0.0, 0.0, rotation * (y + 0.5)]))
    });
    let setup = SwirlSetup {
        extent: Extent::planar(length, rows),
        fluid: Fluid::new(LatticeViscosity(0.1)),
        along: Side::Open,
        outside: Side::Open,
        geometry: &shape,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let mut lattice = SwirlLattice::new(&setup, |_, _| CellState {
        density: 0.0,
        velocity: [0.0; 3],
    });
    lattice.step_pairs(20_000);
    assert_exact("drum", errors(&lattice, rotation));
    let torque = lattice.wall_force().rim[2] / (rotation * (rows as f64).powi(3));
    assert_error("torque on a drum in step with its air", torque, 1e-5);
}
