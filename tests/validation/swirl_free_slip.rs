//! A tube with a free-slip side keeps the flux of angular momentum: the side is free of stress for swirl too.
//!
//! Source: conservation, in closed form: the flux through every plane is that of the inlet. For solid-body rotation carried by a uniform stream it is `U Ω R⁴ / 4` per radian.
//!
//! Tolerance: 0.1 % over 20 diameters. (A side without gradient of `u_θ`, the naive mirror, takes a torque of `ν u_θ R` per length and radian: here the flux would fall by a seventh in every radius.)
//! Seen: solid body within 0.006 % of the closed form in flux and velocity; a swirl of the middle, which spreads on its way, 0.027 % over 21 diameters.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of steps are small and positive; states are single precision"
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

const ROWS: usize = 16;
const DIAMETER: usize = 2 * ROWS;
const VELOCITY: f64 = 0.05;
/// Reynolds number 100 on the diameter.
const VISCOSITY: f64 = VELOCITY * DIAMETER as f64 / 100.0;

fn tube(swirl: impl Fn(f64) -> f64 + Copy) -> SwirlLattice {
    let shape = Shape(move |x: f64, y: f64| {
        (x < -0.5).then(|| turning(WallGroup::Rim, [VELOCITY, 0.0, swirl(y + 0.5)]))
    });
    let length = 22 * DIAMETER;
    let setup = SwirlSetup {
        extent: Extent::planar(length, ROWS),
        fluid: Fluid::new(LatticeViscosity(VISCOSITY)),
        along: Side::Open,
        outside: Side::Mirror,
        geometry: &shape,
        outlet_velocity: Some(VELOCITY),
        threads: Threads::One,
    };
    let mut lattice = SwirlLattice::new(&setup, |_, y| CellState {
        density: 0.0,
        velocity: [VELOCITY as f32, 0.0, swirl(y as f64 + 0.5) as f32],
    });
    lattice.step_pairs((3.0 * length as f64 / VELOCITY) as usize / 2);
    lattice
}

/// Flux, with its viscous share, so many diameters behind the inlet.
fn flux(lattice: &SwirlLattice, diameters: usize) -> f64 {
    lattice.flux_behind(diameters * DIAMETER).angular
}

#[test]
fn solid_body_rotation_is_carried_along() {
    let edge = 0.5 * VELOCITY;
    let radius = ROWS as f64;
    let lattice = tube(|r| edge * r / radius);
    let exact = 0.25 * VELOCITY * edge * radius.powi(3);
    for diameters in [1, 5, 10, 20] {
        let error = flux(&lattice, diameters) / exact - 1.0;
        assert_error(&format!("flux after {diameters} diameters"), error, 1e-3);
        let outermost = lattice.cell(diameters * DIAMETER, ROWS - 1).velocity[2];
        let error = f64::from(outermost) / (edge * (radius - 0.5) / radius) - 1.0;
        assert_error(&format!("swirl after {diameters} diameters"), error, 1e-3);
    }
}

#[test]
fn a_swirl_that_spreads_keeps_its_flux() {
    // All of it in the middle, none at the side.
    let radius = ROWS as f64;
    let lattice = tube(|r| 2.0 * VELOCITY * (r / radius) * (1.0 - (r / radius).powi(2)).powi(2));
    let start = flux(&lattice, 0);
    let first = swirl_plane(&lattice, DIAMETER);
    for diameters in [1, 5, 10, 21] {
        let error = flux(&lattice, diameters) / start - 1.0;
        assert_error(&format!("flux after {diameters} diameters"), error, 1e-3);
    }
    let last = swirl_plane(&lattice, 20 * DIAMETER);
    let carried = last.angular_momentum_flux / first.angular_momentum_flux - 1.0;
    assert_error("what the flow carries, 1 to 20 diameters", carried, 2e-2);
}
