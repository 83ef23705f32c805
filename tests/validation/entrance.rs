//! Pressure drop along the entrance of a round pipe and between plates, from a flat inflow to developed flow.
//!
//! Source: `tests/reference/entrance_pressure_drop_curve.csv` and `entrance_excess_pressure.csv`, rows derived from the boundary-layer equations (marched on three grids,
//! extrapolated, independent of the lattice). The rows from memory are not used.
//!
//! Set-up: Reynolds number 500 on diameter or gap, 40 cells across. Ahead of the entrance the side is free of stress for one diameter, and the pressure is taken there,
//! where it is uniform. Forcing a flat profile right where the wall begins would give the corner a shear that grows like 1/x and a mean pressure without a limit on
//! finer grids (reasoned, not tried on several grids; seen at 40 cells: drops 7 and 9 % too high at xi 0.03).
//!
//! Tolerance: 3 % of the drop from xi = 0.03 on, 8 % of the excess far downstream: the table is the limit of high Reynolds number, and at 500 the diffusion along the stream that it
//! leaves out adds some per cent to the excess.
//! Seen: pipe 2.3, 1.1, 0.8, 0.7 % at xi 0.03, 0.1, 0.2, 0.3, excess 3.0 %; plates 2.0, 0.9, 0.6, 0.5 %, excess 1.6 %.
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

/// Radius or half gap, in cells.
const HALF: usize = 20;
const REYNOLDS_NUMBER: f64 = 500.0;
/// Columns with free slip ahead of the entrance.
const AHEAD: usize = 2 * HALF;
const VELOCITY: f64 = 0.05;
const VISCOSITY: f64 = 2.0 * HALF as f64 * VELOCITY / REYNOLDS_NUMBER;

/// Columns from the inflow to the place `xi` = x nu / (U a^2).
fn columns(xi: f64) -> f64 {
    xi * VELOCITY * (HALF * HALF) as f64 / VISCOSITY
}

/// Velocity over its mean at `s` = distance from the axis over the half width: flat at the inflow, developed at `xi` 0.2 and beyond.
fn first_guess(is_round: bool, s: f64, xi: f64) -> f64 {
    let parabola = if is_round { 2.0 } else { 1.5 } * (1.0 - s * s);
    let share = (xi / 0.2).min(1.0).sqrt();
    1.0 + share * (parabola - 1.0)
}

fn entrance(is_round: bool, end: f64) -> PlaneLattice {
    let extent = Extent::planar(AHEAD + columns(end) as usize + 2 * HALF, HALF);
    let top = HALF as f64 - 0.5;
    let shape = Shape(move |x: f64, y: f64| {
        if y > top && x > AHEAD as f64 - 0.5 {
            Some(wall(WallGroup::Body, [0.0; 2]))
        } else {
            (x < -0.5).then(|| wall(WallGroup::Rim, [VELOCITY, 0.0]))
        }
    });
    let setup = PlaneSetup {
        extent,
        fluid: Fluid::new(LatticeViscosity(VISCOSITY)),
        is_axisymmetric: is_round,
        sides: Sides {
            along: Side::Open,
            bottom: Side::Mirror,
            top: Side::Mirror,
        },
        geometry: &shape,
        outlet_velocity: Some([VELOCITY, 0.0]),
        threads: Threads::One,
    };
    PlaneLattice::new(&setup, |x, y| {
        let s = (y as f64 + 0.5) / HALF as f64;
        let xi = (x as f64 - AHEAD as f64).max(0.0) / columns(1.0);
        CellState {
            density: 0.0,
            velocity: [(VELOCITY * first_guess(is_round, s, xi)) as f32, 0.0],
        }
    })
}

/// Mean pressure over the section at distance `x` (in columns) from the inflow plane, over the dynamic pressure.
fn pressure(lattice: &PlaneLattice, x: f64) -> f64 {
    let place = AHEAD as f64 + x - 0.5;
    let column = (place as usize).min(lattice.extent().nx - 2);
    let mean = |x: usize| {
        let (mut sum, mut area) = (0.0, 0.0);
        for y in 0..HALF {
            let weight = if lattice.is_axisymmetric() {
                y as f64 + 0.5
            } else {
                1.0
            };
            sum += weight * f64::from(lattice.cell(x, y).density) / 3.0;
            area += weight;
        }
        sum / area
    };
    let share = place - column as f64;
    ((1.0 - share) * mean(column) + share * mean(column + 1)) / (0.5 * VELOCITY * VELOCITY)
}

/// The pressure drop in excess of developed flow, far downstream, over the dynamic pressure.
fn excess_far_downstream(duct: &str) -> f64 {
    reference::table("entrance_excess_pressure.csv")
        .iter()
        .find(|row| row["duct"] == duct && row["status"].starts_with("derived"))
        .map(|row| reference::number(row, "value"))
        .expect("the duct is in the table")
}

fn assert_entrance(duct: &str, is_round: bool) {
    let mut lattice = entrance(is_round, 0.33);
    let drop_to = |lattice: &PlaneLattice, xi: f64| {
        pressure(lattice, -0.5 * AHEAD as f64) - pressure(lattice, columns(xi))
    };
    steady::settle(&mut lattice, 2000, 40, 2e-4, |lattice| {
        drop_to(lattice, 0.3)
    });
    let mut count = 0;
    for row in reference::table("entrance_pressure_drop_curve.csv") {
        let xi = reference::number(&row, "xi = x*nu/(Umean*a^2); a = radius or half gap");
        if row["duct"] != duct || !(0.029..0.301).contains(&xi) {
            continue;
        }
        let expected = reference::number(&row, "pressure_drop_over_half_rho_U2");
        let error = drop_to(&lattice, xi) / expected - 1.0;
        assert_error(&format!("{duct} at xi {xi}"), error, 0.03);
        count += 1;
    }
    assert_eq!(count, 4);
    // At xi 0.3 the excess is all but complete: what the table still adds to it is 0.4 %.
    let developed = if is_round { 16.0 } else { 6.0 };
    let excess = drop_to(&lattice, 0.3) - developed * 0.3;
    let error = excess / excess_far_downstream(duct) - 1.0;
    assert_error(&format!("{duct}, excess"), error, 0.08);
}

#[test]
fn entrance_of_a_round_pipe() {
    assert_entrance("round_pipe", true);
}

#[test]
fn entrance_between_plates() {
    assert_entrance("parallel_plates", false);
}
