//! Air between two long cylinders of which one turns: profile and torque.
//!
//! Source: the exact solution `u_θ = A r + B / r`: `tests/reference/taylor_couette.csv` for the profile at radius ratio 0.5, and the closed form
//! `4 pi mu Omega r1² r2² / (r2² - r1²)` for the torque per length. One turns, so slowly that the flow is stable; the lattice has one column, so Taylor cells could not even form.
//!
//! Tolerance: 0.5 % of the wall's velocity, and of the torque, at 20 cells in the gap.
//! Seen: profile 0.21 % with walls half-way between cells, 0.29 % elsewhere; torque 0.17 % and 0.33 %.
#![expect(
    clippy::cast_sign_loss,
    clippy::cast_possible_truncation,
    reason = "numbers of cells are small and positive"
)]

use crate::flow::{Shape, assert_error, turning};
use crate::reference;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

const WALL_SPEED: f64 = 0.02;

/// Angular momentum at a radius between two cells; in this flow it goes with the square of the radius, which is what is interpolated in.
fn swirl_at(lattice: &SwirlLattice, radius: f64) -> f64 {
    let cell = (radius - 0.5).floor();
    let turning = |y: f64| (y + 0.5) * f64::from(lattice.cell(0, y as usize).velocity[2]);
    let square = |y: f64| (y + 0.5) * (y + 0.5);
    let share = (radius * radius - square(cell)) / (square(cell + 1.0) - square(cell));
    ((1.0 - share) * turning(cell) + share * turning(cell + 1.0)) / radius
}

fn assert_couette(case: &str, inner_turns: bool, inner: f64, viscosity: f64) {
    let outer = 2.0 * inner;
    let shape = Shape(move |_, y: f64| {
        let radius = y + 0.5;
        let speed = |turns: bool| if turns { WALL_SPEED } else { 0.0 };
        if radius < inner {
            Some(turning(WallGroup::Body, [0.0, 0.0, speed(inner_turns)]))
        } else {
            (radius > outer).then(|| turning(WallGroup::Rim, [0.0, 0.0, speed(!inner_turns)]))
        }
    });
    let setup = SwirlSetup {
        extent: Extent::planar(1, outer.ceil() as usize),
        fluid: Fluid::new(LatticeViscosity(viscosity)),
        along: Side::Periodic,
        outside: Side::Open,
        geometry: &shape,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let mut lattice = SwirlLattice::new(&setup, |_, _| CellState {
        density: 0.0,
        velocity: [0.0; 3],
    });
    lattice.step_pairs((1.5 * inner * inner / viscosity) as usize);
    let mut count = 0;
    let mut worst = 0.0_f64;
    for row in reference::table("taylor_couette.csv") {
        let radius = outer * reference::number(&row, "r_over_r2");
        let is_between = radius > inner + 1.0 && radius < outer - 1.0;
        if !row["case"].starts_with(case) || !is_between {
            continue;
        }
        let expected = reference::number(&row, "uTheta_over_wall_speed");
        let error = swirl_at(&lattice, radius) / WALL_SPEED - expected;
        worst = worst.max(error.abs());
        count += 1;
    }
    assert!(count >= 8, "{count} radii");
    let name = format!("{case}, inner radius {inner}, viscosity {viscosity}");
    assert_error(&format!("{name}: profile"), worst, 5e-3);
    let rotation = WALL_SPEED / if inner_turns { inner } else { outer };
    let squares = (inner * outer).powi(2) / (outer * outer - inner * inner);
    let exact = 2.0 * viscosity * rotation * squares * if inner_turns { -1.0 } else { 1.0 };
    let torque = lattice.wall_force();
    let on_inner = torque.body[2] / exact - 1.0;
    assert_error(&format!("{name}: torque on the inner"), on_inner, 5e-3);
    let on_outer = -torque.rim[2] / exact - 1.0;
    assert_error(&format!("{name}: torque on the outer"), on_outer, 5e-3);
}

#[test]
fn inner_cylinder_turns() {
    for inner in [20.0, 20.3, 19.8] {
        for viscosity in [0.2, 0.02] {
            assert_couette("inner rotates", true, inner, viscosity);
        }
    }
}

#[test]
fn outer_cylinder_turns() {
    for inner in [20.0, 20.3, 19.8] {
        for viscosity in [0.2, 0.02] {
            assert_couette("outer rotates", false, inner, viscosity);
        }
    }
}
