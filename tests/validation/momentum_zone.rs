//! A momentum zone: the pressure drop and the outflow angle that it was given come out, whatever its thickness in cells; leaned walls push along their normal.
//!
//! Source: closed form, conservation of momentum of a plug that turns as a whole in a tube free of stress:
//! `P1 - P2 = K U² / 2` with `P` the area mean of pressure plus axial momentum flux, angular momentum ahead and behind from the swirl at the edge, `U tan(lean) (w2 - w1)` from leaned walls
//! (area mean: two thirds of the swirl at the edge).
//!
//! Tolerance: 1 % of the pressure drop and of the swirl that goes in.
//! Seen: drop 0.07 % (K 0.5) to 0.0001 % (K 400), swirl behind 0.01 %, torque against what the flow carries 0.33 % at most, angle 0.14 %, leaned walls 0.4 % of rho U².
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "states are single precision, and a number of steps is positive"
)]

use crate::flow::{Shape, assert_error, turning};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::lattice::zone::{MomentumZone, ZoneLaw};
use ventwright::measure::swirl::swirl_plane;
use ventwright::units::LatticeViscosity;

const ROWS: usize = 24;
const LENGTH: usize = 120;
const FRONT: usize = 50;

struct Plug {
    velocity: f64,
    /// Swirl at the edge over the axial velocity.
    edge: f64,
    columns: usize,
    law: ZoneLaw,
    viscosity: f64,
}

impl Plug {
    fn solve(&self) -> (SwirlLattice, MomentumZone) {
        let (velocity, edge) = (self.velocity, self.edge);
        let shape = Shape(move |x: f64, y: f64| {
            let swirl = edge * velocity * (y + 0.5) / ROWS as f64;
            (x < -0.5).then(|| turning(WallGroup::Rim, [velocity, 0.0, swirl]))
        });
        let setup = SwirlSetup {
            extent: Extent::planar(LENGTH, ROWS),
            fluid: Fluid::new(LatticeViscosity(self.viscosity)),
            along: Side::Open,
            outside: Side::Mirror,
            geometry: &shape,
            outlet_velocity: Some(velocity),
            threads: Threads::One,
        };
        let mut lattice = SwirlLattice::new(&setup, |_, _| CellState {
            density: 0.0,
            velocity: [velocity as f32, 0.0, 0.0],
        });
        let law = self.law;
        let zone = FRONT..FRONT + self.columns;
        let mut zone = MomentumZone::new(&lattice, zone, |_| Some(law));
        let through = LENGTH as f64 / velocity;
        zone.step_pairs(&mut lattice, (2.0 * through) as usize);
        (lattice, zone)
    }
}

const STRAIGHT: ZoneLaw = ZoneLaw {
    linear: 0.0,
    quadratic: 0.0,
    kept: 0.0,
    tangent: 0.0,
    lean_tangent: 0.0,
};

/// Compares drop and swirl over places ahead of and behind the zone.
fn assert_plug(name: &str, plug: &Plug, drop: f64, kept: f64) {
    let (lattice, zone) = plug.solve();
    for distance in [4, 16] {
        let planes = [FRONT - 1 - distance, FRONT + plug.columns + distance]
            .map(|x| swirl_plane(&lattice, x));
        let seen = planes[0].momentum_flux - planes[1].momentum_flux;
        assert_error(
            &format!("{name}, drop over {distance} cells"),
            seen / drop - 1.0,
            0.01,
        );
        let angular = planes.map(|plane| plane.angular_momentum_flux);
        assert_error(
            &format!("{name}, swirl over {distance} cells"),
            angular[1] / angular[0] - kept,
            0.01,
        );
        let expected = angular[0] - angular[1];
        assert_error(
            &format!("{name}, torque over {distance} cells"),
            (zone.force().torque - expected) / angular[0],
            0.01,
        );
    }
    let force = zone.force().axial / zone.area();
    assert_error(&format!("{name}, force"), force / drop - 1.0, 0.01);
}

#[test]
fn drop_and_outflow_are_those_that_were_given() {
    for (loss, velocity) in [(0.5, 0.04), (2.0, 0.04), (10.0, 0.02), (100.0, 0.008)] {
        for columns in [1, 3, 8] {
            let law = ZoneLaw {
                quadratic: 0.5 * loss,
                kept: 0.3,
                ..STRAIGHT
            };
            let plug = Plug {
                velocity,
                edge: 0.5,
                columns,
                law,
                // The same for a cell's Reynolds number: swirl that diffuses back towards the zone is no part of the flux that is compared.
                viscosity: 0.25 * velocity,
            };
            let drop = 0.5 * loss * velocity * velocity;
            assert_plug(&format!("K {loss}, {columns} columns"), &plug, drop, 0.3);
        }
    }
}

#[test]
fn the_angle_given_comes_out() {
    let law = ZoneLaw {
        quadratic: 1.0,
        tangent: 0.3,
        ..STRAIGHT
    };
    let plug = Plug {
        velocity: 0.03,
        edge: 0.6,
        columns: 4,
        law,
        viscosity: 0.01,
    };
    let (lattice, _) = plug.solve();
    let behind = swirl_plane(&lattice, FRONT + plug.columns + 8);
    // The angle is the same at all radii: mean of r² u u_θ.
    let expected = 0.3 * plug.velocity.powi(2) * (ROWS as f64).powi(3) / 3.0;
    assert_error(
        "tangent 0.3",
        behind.angular_momentum_flux / expected - 1.0,
        0.01,
    );
}

#[test]
fn leaned_walls_push_along_their_normal() {
    for (tangent, lean) in [(0.0, 0.4), (0.5, 0.4), (0.5, -0.4)] {
        let law = ZoneLaw {
            quadratic: 1.0,
            tangent,
            lean_tangent: lean,
            ..STRAIGHT
        };
        let plug = Plug {
            velocity: 0.03,
            edge: 0.6,
            columns: 5,
            law,
            viscosity: 0.01,
        };
        let (lattice, zone) = plug.solve();
        let planes = [FRONT - 9, FRONT + plug.columns + 8].map(|x| swirl_plane(&lattice, x));
        let square = plug.velocity * plug.velocity;
        let lift = lean * square * (tangent - 2.0 / 3.0 * plug.edge);
        let expected = square + lift;
        let drop = planes[0].momentum_flux - planes[1].momentum_flux;
        let name = format!("lean {lean}, out {tangent}");
        assert_error(&format!("{name}, drop"), (drop - expected) / square, 0.01);
        let force = zone.force().axial / zone.area();
        assert_error(&format!("{name}, force"), (force - drop) / square, 0.01);
    }
}

#[test]
fn a_drop_of_several_hundred_is_stable_from_a_standing_start() {
    let law = ZoneLaw {
        linear: 0.2,
        quadratic: 200.0,
        ..STRAIGHT
    };
    for columns in [1, 4] {
        let plug = Plug {
            velocity: 0.005,
            edge: 0.5,
            columns,
            law,
            viscosity: 1e-3,
        };
        assert_plug(
            &format!("K 400 and a linear part, {columns} columns"),
            &plug,
            law.drop(plug.velocity),
            0.0,
        );
    }
}
