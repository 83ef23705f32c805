//! A plate that oscillates in its own plane under deep still fluid (Stokes' second problem).
//!
//! Source: closed form of G. G. Stokes (1851), in any textbook (from memory; insertion verifies it): `u = U exp(-y/d) cos(w t - y/d)`, `d = sqrt(2 nu / w)`.
//!
//! Order: 1.8 at least from each of 4, 8, 16 cells per `d` to the next, plate half-way and elsewhere between cells (seen 1.82 to 1.96). Size at 16 cells: 0.2 % of the plate's
//! speed at any height and time of the third period (seen 0.07 %, 0.08 %, 0.11 %): twice the largest seen, because single precision alone is 0.01 %.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error, wall};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

const SPEED: f64 = 0.05;
const VISCOSITY: f64 = 0.1;

/// Largest error over height and over the third period, relative to the plate's speed. `depth` is d in cells, `plate` the height of the plate.
fn worst_error(depth: f64, plate: f64) -> f64 {
    let rows = (12.0 * depth) as usize;
    let angular_frequency = 2.0 * VISCOSITY / (depth * depth);
    let exact = |y: f64, time: f64| {
        let s = (y - plate) / depth;
        SPEED * (-s).exp() * (angular_frequency * time - s).cos()
    };
    let top = rows as f64 - 0.5;
    let shape = Shape(move |_, y| {
        if y < plate {
            Some(wall(WallGroup::Body, [SPEED, 0.0]))
        } else {
            (y > top).then(|| wall(WallGroup::Rim, [0.0; 2]))
        }
    });
    let setup = PlaneSetup {
        extent: Extent::planar(1, rows),
        fluid: Fluid::new(LatticeViscosity(VISCOSITY)),
        is_axisymmetric: false,
        sides: Sides {
            along: Side::Periodic,
            bottom: Side::Open,
            top: Side::Open,
        },
        geometry: &shape,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let mut lattice = PlaneLattice::new(&setup, |_, y| CellState {
        density: 0.0,
        velocity: [exact(y as f64, 0.0) as f32, 0.0],
    });
    let first_row = usize::from(plate > 0.0);
    let period = (std::f64::consts::TAU / angular_frequency) as u64;
    let mut worst = 0.0_f64;
    while lattice.step_count() < 3 * period {
        for _ in 0..2 {
            let time = lattice.step_count() as f64 + 0.5;
            lattice.scale_wall_velocity((angular_frequency * time).cos());
            lattice.step();
        }
        let time = lattice.step_count();
        if time > 2 * period {
            for y in first_row..rows {
                let seen = f64::from(lattice.cell(0, y).velocity[0]);
                worst = worst.max((seen - exact(y as f64, time as f64)).abs());
            }
        }
    }
    worst / SPEED
}

#[test]
fn oscillating_plate_converges_at_second_order() {
    for plate in [-0.5, -0.2, 0.3] {
        let errors = [4.0, 8.0, 16.0].map(|depth| worst_error(depth, plate));
        for pair in errors.windows(2) {
            let order = (pair[0] / pair[1]).log2();
            assert!(
                order >= 1.8,
                "plate at {plate}: order {order:.2}, errors {errors:.6?}"
            );
        }
        assert_error(
            &format!("plate at {plate}, 16 cells in the layer"),
            errors[2],
            2e-3,
        );
    }
}
