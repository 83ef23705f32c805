//! Developed flow between plates that run across the grid at arctan(3/8): slanted walls at every fraction of a link.
//!
//! Source: the exact friction factor times Reynolds number of parallel plates in `tests/reference/duct_laminar_fRe.csv`.
//! Tolerance: 1 % at 25 cells across, at two viscosities and three positions of the duct on the grid (seen 0.76 % at viscosity 0.05, 0.51 % at 0.2; the position changes 0.01 %).
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error, wall};
use crate::reference;
use crate::steady;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

const GAP: f64 = 25.0;

/// f Re over the exact one, less 1, with the duct shifted across itself by `shift` cells.
fn friction_error(viscosity: f64, shift: f64) -> f64 {
    // One duct in a repeat of 80 by 30 cells: the slope 3/8 leads from corner to corner.
    let extent = Extent::planar(80, 30);
    let length = 73.0_f64.sqrt();
    let along = [8.0 / length, 3.0 / length];
    let repeat = extent.ny as f64 * along[0];
    let shape = Shape(move |x: f64, y: f64| {
        let across: f64 = (y * along[0] - x * along[1] - shift).rem_euclid(repeat);
        (across >= GAP).then(|| wall(WallGroup::Rim, [0.0; 2]))
    });
    let diameter = 2.0 * GAP;
    let gradient = 0.5 * viscosity / (diameter * diameter);
    let setup = PlaneSetup {
        extent,
        fluid: Fluid {
            force: along.map(|a| a * gradient),
            ..Fluid::new(LatticeViscosity(viscosity))
        },
        is_axisymmetric: false,
        sides: Sides {
            along: Side::Periodic,
            bottom: Side::Periodic,
            top: Side::Periodic,
        },
        geometry: &shape,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let mut lattice = PlaneLattice::new(&setup, |_, _| CellState::default());
    let area = extent.nx as f64 / along[0] * GAP;
    let pairs = (0.02 * diameter * diameter / viscosity).ceil() as usize;
    let mean = steady::settle(&mut lattice, pairs, 60, 1e-5, |lattice: &PlaneLattice| {
        let mut flow = 0.0;
        for y in 0..extent.ny {
            for x in lattice.fluid_runs(y).iter().cloned().flatten() {
                let velocity = lattice.cell(x, y).velocity.map(f64::from);
                flow += velocity[0] * along[0] + velocity[1] * along[1];
            }
        }
        flow / area
    });
    let friction = 2.0 * diameter * diameter * gradient / (viscosity * mean);
    let exact = reference::table("duct_laminar_fRe.csv")
        .iter()
        .find(|row| row["section"] == "parallel_plates")
        .map(|row| reference::number(row, "darcy_f_times_Re_Dh"));
    friction / exact.expect("the section is in the table") - 1.0
}

#[test]
fn slanted_walls_keep_the_friction() {
    for viscosity in [0.05, 0.2] {
        for shift in [0.0, 0.4, 0.8] {
            let error = friction_error(viscosity, shift);
            assert_error(
                &format!("viscosity {viscosity}, shift {shift}"),
                error,
                0.01,
            );
        }
    }
}
