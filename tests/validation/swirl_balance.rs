//! Mass, axial momentum with the forces on walls, and angular momentum with the torque on them, in what a bare fan blows into a tube: an annulus of air that turns, a hub, a casing.
//!
//! Source: conservation, in closed form. Mass: what the inlet's profile carries. Momentum: what the links of the inlet let in less what walls take. Both are compared with what pressure and velocity tell at
//! planes further on, where the side of the tube is free of stress so that no wall is left out.
//!
//! Tolerance: 0.5 % of what comes in. That the links alone close is book-keeping, exact but for rounding and for what still moves: at most 0.02 %.
//! Seen: mass 0.02 % (rings of whole cells against the profile), axial momentum 0.004 %, angular momentum 0.15 % four columns behind the end of the wall, where its viscous share is largest, and 0.02 % further on; links 0.004 and 0.009 %.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error, turning};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::measure::swirl::swirl_plane;
use ventwright::units::LatticeViscosity;

const ROWS: usize = 48;
const HUB: f64 = 18.0;
const TIP: f64 = 40.0;
const VELOCITY: f64 = 0.05;
/// Swirl velocity at the tip: solid body. Over the axial one 0.6.
const EDGE: f64 = 0.03;
const LENGTH: usize = 480;
/// Where the wall of the tube ends.
const WALL_END: f64 = 300.5;

fn fan(reynolds_number: f64) -> SwirlLattice {
    let shape = Shape(move |x: f64, y: f64| {
        let r = y + 0.5;
        if r > ROWS as f64 && x < WALL_END {
            Some(turning(WallGroup::Body, [0.0; 3]))
        } else if x < -0.5 && r > HUB && r < TIP {
            Some(turning(WallGroup::Rim, [VELOCITY, 0.0, EDGE * r / TIP]))
        } else {
            (x < -0.5).then(|| turning(WallGroup::Body, [0.0; 3]))
        }
    });
    let area = (TIP * TIP - HUB * HUB) / (ROWS * ROWS) as f64;
    let viscosity = 2.0 * TIP * VELOCITY / reynolds_number;
    let setup = SwirlSetup {
        extent: Extent::planar(LENGTH, ROWS),
        fluid: Fluid::new(LatticeViscosity(viscosity)),
        along: Side::Open,
        outside: Side::Mirror,
        geometry: &shape,
        outlet_velocity: Some(area * VELOCITY),
        threads: Threads::One,
    };
    SwirlLattice::new(&setup, |_, _| CellState {
        density: 0.0,
        velocity: [(area * VELOCITY) as f32, 0.0, 0.0],
    })
}

#[test]
fn a_bare_fan_in_a_tube_loses_nothing() {
    let mut lattice = fan(200.0);
    lattice.step_pairs(30_000);
    let mass = 0.5 * VELOCITY * (TIP * TIP - HUB * HUB);
    let walls = lattice.wall_force();
    let [axial_in, _, angular_in] = walls.rim.map(|component| -component);
    let [axial_taken, _, angular_taken] = walls.body;
    // The torque is most of what comes in, so that its share in the balance is tested too.
    assert!(angular_taken > 0.5 * angular_in);
    for x in [WALL_END as usize + 4, 380, LENGTH - 10] {
        let plane = swirl_plane(&lattice, x);
        let error = plane.velocity * plane.area / mass - 1.0;
        assert_error(&format!("mass in column {x}"), error, 5e-3);
        let axial = plane.momentum_flux * plane.area;
        let error = (axial_in - axial_taken - axial) / axial_in;
        assert_error(&format!("axial momentum in column {x}"), error, 5e-3);
        let angular = plane.angular_momentum_flux;
        let error = (angular_in - angular_taken - angular) / angular_in;
        assert_error(&format!("angular momentum in column {x}"), error, 5e-3);
        let links = lattice.flux_behind(x);
        let error = (axial_in - axial_taken - links.axial) / axial_in;
        assert_error(&format!("axial momentum over links at {x}"), error, 2e-4);
        let error = (angular_in - angular_taken - links.angular) / angular_in;
        assert_error(&format!("angular momentum over links at {x}"), error, 2e-4);
    }
}
