//! The decay of Taylor-Green vortices in a uniform stream, periodic both ways: viscosity and order of the collision without walls.
//!
//! Source: the exact solution of the Navier-Stokes equations by G. I. Taylor and A. E. Green, Proc. R. Soc. A 158 (1937) 499 (plane form, from memory;
//! insertion verifies it): `u = U sin kx cos ky`, `v = -U cos kx sin ky`, `p = U^2/4 (cos 2kx + cos 2ky)`, decaying as `exp(-2 nu k^2 t)`,
//! carried along by the stream.
//!
//! Order: 1.8 at least from each grid of 16, 32, 64 cells per wave to the next, velocity falling with the cell (seen 2.00 twice). Viscosity at 64 cells: 0.5 %, an order below
//! what any other part of a run is worth (seen 0.05 %).
//! Subgrid model: 1 % of the molecular viscosity at most, the limit that the lattice sets itself; at a cell Reynolds number of 3, just above its threshold of 2
//! (seen 0.14 %), and nothing but start-up noise, 0.01 %, below it (seen 0.004 %).
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error};
use std::f64::consts::TAU;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::units::LatticeViscosity;

struct Vortices {
    cells: usize,
    speed: f64,
    stream: [f64; 2],
    fluid: Fluid,
}

impl Vortices {
    fn wave_number(&self) -> f64 {
        TAU / self.cells as f64
    }

    /// Velocity of the vortices alone and pressure, at full strength.
    fn pattern(&self, x: f64, y: f64) -> ([f64; 2], f64) {
        let k = self.wave_number();
        let (x, y) = (k * x, k * y);
        let velocity = [
            self.speed * x.sin() * y.cos(),
            -self.speed * x.cos() * y.sin(),
        ];
        let pressure = 0.25 * self.speed * self.speed * ((2.0 * x).cos() + (2.0 * y).cos());
        (velocity, pressure)
    }

    fn lattice(&self) -> PlaneLattice {
        let setup = PlaneSetup {
            extent: Extent::planar(self.cells, self.cells),
            fluid: self.fluid,
            is_axisymmetric: false,
            sides: Sides {
                along: Side::Periodic,
                bottom: Side::Periodic,
                top: Side::Periodic,
            },
            geometry: &Shape(|_, _| None),
            outlet_velocity: None,
            threads: Threads::One,
        };
        PlaneLattice::new(&setup, |x, y| {
            let (vortex, pressure) = self.pattern(x as f64, y as f64);
            let velocity = [0, 1].map(|a| (vortex[a] + self.stream[a]) as f32);
            CellState {
                density: (3.0 * pressure) as f32,
                velocity,
            }
        })
    }

    /// Strength of the exact pattern in the lattice (projection), over its strength at the start, and the root of the mean square of what remains.
    fn strength(&self, lattice: &PlaneLattice) -> (f64, f64) {
        let time = lattice.step_count() as f64;
        let (mut product, mut square, mut all) = (0.0, 0.0, 0.0);
        for y in 0..self.cells {
            for x in 0..self.cells {
                let (exact, _) = self.pattern(
                    x as f64 - self.stream[0] * time,
                    y as f64 - self.stream[1] * time,
                );
                let seen = lattice.cell(x, y).velocity;
                for a in 0..2 {
                    let own = f64::from(seen[a]) - self.stream[a];
                    product += exact[a] * own;
                    square += exact[a] * exact[a];
                    all += own * own;
                }
            }
        }
        let strength = product / square;
        (
            strength,
            (all / square - strength * strength).max(0.0).sqrt(),
        )
    }

    /// Pairs of steps in which the exact vortices lose half an e-fold.
    fn half_time(&self) -> usize {
        let k = self.wave_number();
        (0.25 / (2.0 * self.fluid.viscosity.0 * k * k)).round() as usize
    }

    /// Runs over an e-fold; returns the viscosity seen in the second half of it over the one set, less 1, and the error of the final field.
    fn errors(&self) -> (f64, f64) {
        let k = self.wave_number();
        let nu = self.fluid.viscosity.0;
        let mut lattice = self.lattice();
        lattice.step_pairs(self.half_time());
        let (before, _) = self.strength(&lattice);
        lattice.step_pairs(self.half_time());
        let (after, rest) = self.strength(&lattice);
        let seen = (before / after).ln() / (2.0 * k * k * (2 * self.half_time()) as f64);
        let exact = (-2.0 * nu * k * k * lattice.step_count() as f64).exp();
        (seen / nu - 1.0, (after / exact - 1.0).hypot(rest / exact))
    }
}

#[test]
fn decay_converges_at_second_order() {
    // Velocity falls with the cell, so that the error of compressibility does as well.
    let errors = [16, 32, 64].map(|cells| {
        let scale = 16.0 / cells as f64;
        let vortices = Vortices {
            cells,
            speed: 0.04 * scale,
            stream: [0.05 * scale, 0.03 * scale],
            fluid: Fluid::new(LatticeViscosity(0.05)),
        };
        vortices.errors()
    });
    for pair in errors.windows(2) {
        let order = (pair[0].1 / pair[1].1).log2();
        assert!(order >= 1.8, "order {order:.2}, errors {errors:?}");
    }
    assert_error("viscosity at 64 cells", errors[2].0, 5e-3);
}

/// Extra decay rate over the first half e-fold that the subgrid model causes, relative to the viscous one.
fn eddy_viscosity_ratio(cell_reynolds_number: f64) -> f64 {
    let after_half = |has_subgrid: bool| {
        let mut vortices = Vortices {
            cells: 16,
            speed: 0.05,
            stream: [0.0; 2],
            fluid: Fluid::new(LatticeViscosity(0.0)),
        };
        // The largest strain rate |S| of the pattern is 2 U k.
        let strain = 2.0 * vortices.speed * vortices.wave_number();
        vortices.fluid = Fluid::new(LatticeViscosity(strain / cell_reynolds_number));
        if has_subgrid {
            vortices.fluid = vortices.fluid.with_subgrid();
        }
        let mut lattice = vortices.lattice();
        lattice.step_pairs(vortices.half_time());
        vortices.strength(&lattice).0
    };
    (after_half(false) / after_half(true)).ln() / 0.5
}

#[test]
fn subgrid_model_leaves_resolved_vortices_alone() {
    assert_error(
        "eddy viscosity at cell Reynolds number 1.5",
        eddy_viscosity_ratio(1.5),
        1e-4,
    );
    let above = eddy_viscosity_ratio(3.0);
    assert_error("eddy viscosity at cell Reynolds number 3", above, 0.01);
    assert!(
        above > 1e-4,
        "above its threshold of 2 the model acts: {above}"
    );
}
