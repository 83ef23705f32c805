//! Developed laminar flow in three dimensions, driven by a uniform force: plates in all orientations, a square duct and a triangular one.
//!
//! Source: plane Poiseuille flow, exact; `tests/reference/duct_laminar_fRe.csv` for square (Fourier series) and equilateral triangle (exact), Darcy friction factor times Reynolds number on the
//! hydraulic diameter.
//!
//! Tolerance: plates 0.2 % at 24 cells between them, what half-way walls and `MAGIC_PARAMETER` leave (seen 0.11 % too little flow in all six, 0.42 % at 12 cells); ducts 1 % at 32 cells per side, slanted walls and walls off the grid included (seen 0.02 % and 0.01 % for the square, 0.40 % and 0.02 % for the triangle).
//! Balance of forces: 0.1 % (seen 0.001 %). Velocity 0.02 at most: compressibility is out of the picture.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive"
)]

use crate::flow::{Solid, assert_error, wall};
use crate::reference;
use crate::steady;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, VolumeSides};
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::volume::{VolumeLattice, VolumeSetup};
use ventwright::lattice::walls::{Geometry, WallGroup};
use ventwright::units::LatticeViscosity;

const VISCOSITY: f64 = 0.1;

/// Walls everywhere but where `is_fluid` says; steady flow under `force`; the sum of the velocity along the force over all cells, and
/// the force on the walls over that on the fluid, less 1.
fn mean_velocity(
    extent: Extent,
    geometry: &dyn Geometry,
    force: [f64; 3],
    time_scale: f64,
) -> (f64, f64) {
    let setup = VolumeSetup {
        extent,
        fluid: Fluid {
            force,
            ..Fluid::new(LatticeViscosity(VISCOSITY))
        },
        sides: VolumeSides {
            along: Side::Periodic,
            bottom: Side::Periodic,
            top: Side::Periodic,
            near: Side::Periodic,
            far: Side::Periodic,
        },
        geometry,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let axis = force
        .iter()
        .position(|&g| g != 0.0)
        .expect("some force drives the flow");
    let mut lattice = VolumeLattice::new(&setup, |_, _, _| CellState::default());
    let pairs = (0.25 * time_scale / VISCOSITY) as usize;
    let volume_flow = steady::settle(&mut lattice, pairs, 100, 1e-5, |lattice: &VolumeLattice| {
        let mut flow = 0.0;
        for z in 0..extent.nz {
            for y in 0..extent.ny {
                for x in lattice.fluid_runs(y, z).iter().cloned().flatten() {
                    flow += f64::from(lattice.cell(x, y, z).velocity[axis]);
                }
            }
        }
        flow
    });
    (
        volume_flow,
        lattice.wall_force().body[axis] / (force[axis] * lattice.fluid_cell_count() as f64) - 1.0,
    )
}

/// Flow along `flow_axis` between plates across `wall_axis`.
fn assert_plates(flow_axis: usize, wall_axis: usize) {
    const GAP: usize = 24;
    let mut cells = [3; 3];
    cells[wall_axis] = GAP + 1;
    let plates = Solid(|point: [f64; 3]| {
        let inside = (-0.5..GAP as f64 - 0.5).contains(&point[wall_axis]);
        (!inside).then(|| wall(WallGroup::Body, [0.0; 2]))
    });
    let speed = 0.02;
    let gap = GAP as f64;
    let mut force = [0.0; 3];
    force[flow_axis] = 12.0 * VISCOSITY * speed / (gap * gap);
    let extent = Extent {
        nx: cells[0],
        ny: cells[1],
        nz: cells[2],
    };
    let (flow, balance) = mean_velocity(extent, &plates, force, 0.25 * gap * gap);
    let name = format!("flow along {flow_axis}, plates across {wall_axis}");
    assert_error(&name, flow / (9.0 * gap) / speed - 1.0, 2e-3);
    assert_error(&format!("{name}, balance"), balance, 1e-3);
}

#[test]
fn plane_channels_in_all_orientations() {
    for flow_axis in 0..3 {
        for wall_axis in 0..3 {
            if wall_axis != flow_axis {
                assert_plates(flow_axis, wall_axis);
            }
        }
    }
}

fn published(section: &str) -> f64 {
    let row = reference::table("duct_laminar_fRe.csv")
        .into_iter()
        .find(|row| row["section"] == section)
        .expect("the table has this section");
    reference::number(&row, "darcy_f_times_Re_Dh")
}

/// Darcy f times Re of a duct along x from area and perimeter, driven so that the expected one gives a velocity of 0.01; also the balance of forces.
fn friction(
    extent: Extent,
    geometry: &dyn Geometry,
    area: f64,
    perimeter: f64,
    expected: f64,
) -> (f64, f64) {
    let diameter = 4.0 * area / perimeter;
    let speed = 0.01;
    let force = expected * VISCOSITY * speed / (2.0 * diameter * diameter);
    let (flow, balance) = mean_velocity(
        extent,
        geometry,
        [force, 0.0, 0.0],
        0.25 * diameter * diameter,
    );
    let mean = flow / (extent.nx as f64 * area);
    (
        2.0 * diameter * diameter * force / (VISCOSITY * mean),
        balance,
    )
}

#[test]
fn square_duct_has_its_friction() {
    let expected = published("square");
    let side = 32.0;
    // On the grid, and off it by a part of a cell: then walls lie at any share of a link.
    for shift in [0.0, 0.3] {
        let duct = Solid(|[_, y, z]: [f64; 3]| {
            let is_inside = |v: f64| (shift - 0.5..shift + side - 0.5).contains(&v);
            (!(is_inside(y) && is_inside(z))).then(|| wall(WallGroup::Body, [0.0; 2]))
        });
        let extent = Extent {
            nx: 2,
            ny: 34,
            nz: 34,
        };
        let (seen, balance) = friction(extent, &duct, side * side, 4.0 * side, expected);
        assert_error(
            &format!("square, shifted by {shift}"),
            seen / expected - 1.0,
            0.01,
        );
        assert_error("balance", balance, 1e-3);
    }
}

#[test]
fn triangular_duct_has_its_friction() {
    let expected = published("equilateral_triangle");
    let side: f64 = 32.0;
    let height = side * 0.75_f64.sqrt();
    // Base along z, tip up; in two places on the grid.
    for [low, left] in [[0.5, 0.5], [0.83, 1.21]] {
        let duct = Solid(|[_, y, z]: [f64; 3]| {
            let up = y - low;
            let half_width = (height - up) / 3.0_f64.sqrt();
            let is_inside = up > 0.0 && (z - left - 0.5 * side).abs() < half_width;
            (!is_inside).then(|| wall(WallGroup::Body, [0.0; 2]))
        });
        let extent = Extent {
            nx: 2,
            ny: 31,
            nz: 36,
        };
        let (seen, balance) = friction(extent, &duct, 0.5 * side * height, 3.0 * side, expected);
        assert_error(
            &format!("triangle at {low} {left}"),
            seen / expected - 1.0,
            0.01,
        );
        assert_error("balance", balance, 1e-3);
    }
}
