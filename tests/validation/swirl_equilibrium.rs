//! Radial equilibrium: the pressure of air that turns on its way through a tube, ahead of an open end that holds the mean pressure only.
//!
//! Source: closed forms of `dp/dr = u_θ² / r`: solid body `Ω² r² / 2`, free vortex `-Γ² / 2r²`, Rankine's vortex with core radius c and largest swirl v: `v² (r²/c² - 2) / 2` inside,
//! `-v² c² / 2r²` outside. The first two are steady as they stand (walls of the annulus go along with the air); the core of the third spreads on its way, so it is looked at early and at low viscosity.
//!
//! Tolerance: 1 % of the largest difference of pressure, at every radius and (but for Rankine's) at every length up to the last column.
//! The outlet holds the area mean at zero: at most 1 % of the dynamic pressure of the stream.
//! Seen: solid body 0.01 % at all lengths, free vortex 0.07 to 0.40 % (its walls are 26 cells apart), Rankine's vortex 0.56 and 0.85 % at 8 and 16 columns; mean 0.1 %.
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

const VELOCITY: f64 = 0.05;

struct Tube {
    /// Radius of a shaft that goes along with the air; 0 for none.
    inner: f64,
    rows: usize,
    length: usize,
    viscosity: f64,
    /// Whether the outer side is a wall that goes along with the air; otherwise it is free of stress.
    has_wall: bool,
    step_pairs: usize,
}

impl Tube {
    /// From air that does not turn.
    fn solve(&self, swirl: impl Fn(f64) -> f64 + Copy) -> SwirlLattice {
        let inner = self.inner;
        let outer = self.rows as f64;
        let has_wall = self.has_wall;
        let shape = Shape(move |x: f64, y: f64| {
            let r = y + 0.5;
            let is_wall = x < -0.5 || r > 0.0 && r < inner || has_wall && r > outer;
            let speed = swirl(if x < -0.5 { r } else { r.clamp(inner, outer) });
            is_wall.then(|| turning(WallGroup::Rim, [VELOCITY, 0.0, speed]))
        });
        let setup = SwirlSetup {
            extent: Extent::planar(self.length, self.rows),
            fluid: Fluid::new(LatticeViscosity(self.viscosity)),
            along: Side::Open,
            outside: if self.has_wall {
                Side::Open
            } else {
                Side::Mirror
            },
            geometry: &shape,
            outlet_velocity: Some(VELOCITY),
            threads: Threads::One,
        };
        let mut lattice = SwirlLattice::new(&setup, |_, _| CellState {
            density: 0.0,
            velocity: [VELOCITY as f32, 0.0, 0.0],
        });
        lattice.step_pairs(self.step_pairs);
        lattice
    }

    /// Compares the pressure in these columns with `exact`; both less their mean over the area.
    fn assert_pressure(
        &self,
        name: &str,
        lattice: &SwirlLattice,
        columns: &[usize],
        exact: impl Fn(f64) -> f64,
    ) {
        let radii: Vec<f64> = (self.inner as usize..self.rows)
            .map(|y| y as f64 + 0.5)
            .collect();
        let area: f64 = radii.iter().sum();
        let mean = radii.iter().map(|&r| r * exact(r)).sum::<f64>() / area;
        let values = radii.iter().map(|&r| exact(r));
        let span = values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min);
        for &x in columns {
            let plane = swirl_plane(lattice, x);
            let error = |r: f64| {
                let pressure = f64::from(lattice.cell(x, (r - 0.5) as usize).density) / 3.0;
                (pressure - plane.pressure) - (exact(r) - mean)
            };
            let worst = radii.iter().map(|&r| error(r).abs()).fold(0.0, f64::max);
            assert_error(&format!("{name}, column {x}"), worst / span, 0.01);
            let dynamic = 0.5 * VELOCITY * VELOCITY;
            let held = plane.pressure / dynamic;
            assert_error(&format!("{name}, mean in column {x}"), held, 0.01);
        }
    }
}

#[test]
fn solid_body() {
    let tube = Tube {
        inner: 0.0,
        rows: 32,
        length: 160,
        viscosity: 0.02,
        has_wall: false,
        step_pairs: 20_000,
    };
    let rotation = VELOCITY / 32.0;
    let lattice = tube.solve(|r| rotation * r);
    let exact = |r: f64| 0.5 * (rotation * r).powi(2);
    tube.assert_pressure("solid body", &lattice, &[1, 80, 159], exact);
}

#[test]
fn free_vortex() {
    let tube = Tube {
        inner: 14.0,
        rows: 40,
        length: 160,
        viscosity: 0.02,
        has_wall: true,
        step_pairs: 20_000,
    };
    let circulation = VELOCITY * 14.0;
    let lattice = tube.solve(|r| circulation / r);
    let exact = |r: f64| -0.5 * (circulation / r).powi(2);
    tube.assert_pressure("free vortex", &lattice, &[1, 80, 159], exact);
}

#[test]
fn rankine() {
    let tube = Tube {
        inner: 0.0,
        rows: 48,
        length: 96,
        viscosity: 0.0004,
        has_wall: false,
        step_pairs: 5_000,
    };
    let (core, fastest) = (20.0, VELOCITY);
    let lattice = tube.solve(|r| {
        if r < core {
            fastest * r / core
        } else {
            fastest * core / r
        }
    });
    let exact = |r: f64| {
        let square = (r / core).powi(2);
        0.5 * fastest
            * fastest
            * if r < core {
                square - 2.0
            } else {
                -1.0 / square
            }
    };
    tube.assert_pressure("Rankine", &lattice, &[8, 16], exact);
}
