//! Axisymmetric flow with swirl: the lattice as its user sees it.
//!
//! The swirl velocity `u_θ` is positive to the right-handed side of the flow along x. A mirror side is free of stress: a flow that turns there keeps its angular momentum.
//! Walls and inlets give the velocity about the axis as third component of [`WallPoint::velocity`](crate::lattice::walls::WallPoint::velocity).

use crate::lattice::collision::Fluid;
use crate::lattice::field::Extent;
use crate::lattice::halo::{Side, Sides};
use crate::lattice::simulation::{CellState, Lattice, Parts};
use crate::lattice::step::Threads;
use crate::lattice::swirl_row::SwirlCollision;
use crate::lattice::velocity_set::{D2Q9Swirl, VelocitySet};
use crate::lattice::walls::Geometry;

/// An axisymmetric lattice with swirl.
pub type SwirlLattice = Lattice<SwirlCollision, 14>;

/// What a [`SwirlLattice`] is made of.
pub struct SwirlSetup<'a> {
    /// Number of cells; y is the radius, and row 0 is centred half a cell off the axis.
    pub extent: Extent,
    /// Fluid properties.
    pub fluid: Fluid,
    /// What lies beyond both ends of x.
    pub along: Side,
    /// What lies beyond the last row.
    pub outside: Side,
    /// Walls, inlets included. A shaft on the axis is a wall too.
    pub geometry: &'a dyn Geometry,
    /// Axial velocity with which the outlet starts, if there is one at the far end of x.
    pub outlet_velocity: Option<f64>,
    /// Threads for this lattice.
    pub threads: Threads,
}

/// Sums over a plane across the axis, per radian about it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PlaneFlux {
    /// Volume flow.
    pub mass: f64,
    /// Axial momentum, pressure included.
    pub axial: f64,
    /// Angular momentum.
    pub angular: f64,
}

impl SwirlLattice {
    /// Builds a lattice and fills it with the equilibrium of `initial(x, y)`: axial, radial and swirl velocity.
    pub fn new(
        setup: &SwirlSetup<'_>,
        mut initial: impl FnMut(usize, usize) -> CellState<3>,
    ) -> Self {
        let collision = SwirlCollision::new(&setup.fluid, setup.extent.ny);
        let sides = Sides {
            along: setup.along,
            bottom: Side::Mirror,
            top: setup.outside,
        };
        let parts = Parts {
            extent: setup.extent,
            sides: sides.into(),
            geometry: setup.geometry,
            outlet_velocity: setup.outlet_velocity.map(|u| [u, 0.0, 0.0]),
            threads: setup.threads,
        };
        Self::assemble(&parts, collision, |x, y, _| {
            let state = initial(x, y);
            let [u, v, swirl] = state.velocity.map(f64::from);
            let radius = y as f64 + 0.5;
            (state.density.into(), [u, v, radius * swirl])
        })
    }

    /// Runs of fluid cells of row `y`.
    pub fn fluid_runs(&self, y: usize) -> &[std::ops::Range<usize>] {
        self.runs_of_row(y)
    }

    /// State of a cell: density deviation, axial, radial and swirl velocity.
    ///
    /// # Panics
    /// In debug builds, unless an even number of steps has been done.
    #[inline]
    pub fn cell(&self, x: usize, y: usize) -> CellState<3> {
        let f = self.populations(x, y, 0);
        let mass = f[0] + ((f[1] + f[2]) + (f[3] + f[4])) + ((f[5] + f[6]) + (f[7] + f[8]));
        let along = (f[1] - f[2]) + (f[5] - f[6]) + (f[7] - f[8]);
        let across = (f[3] - f[4]) + (f[5] - f[6]) - (f[7] - f[8]);
        let turning = (f[9] + f[10]) + (f[11] + f[12]) + f[13];
        let (density, velocity) =
            self.collision()
                .row(y)
                .macroscopic(mass, [along, across], turning);
        CellState { density, velocity }
    }

    /// Sum of the angular momentum of all cells, per radian about the axis.
    pub fn total_angular_momentum(&self) -> f64 {
        let extent = self.extent();
        let mut sum = 0.0;
        for y in 0..extent.ny {
            for x in self.fluid_runs(y).iter().cloned().flatten() {
                let f = self.populations(x, y, 0);
                sum += f[D2Q9Swirl::FLOW..]
                    .iter()
                    .copied()
                    .map(f64::from)
                    .sum::<f64>();
            }
        }
        sum
    }

    /// What went from column `x` to column `x + 1` during the last step, viscous stress included: what the cells behind the plane gained from it, to the last digit.
    ///
    /// # Panics
    /// In debug builds, unless an even number of steps has been done.
    pub fn flux_behind(&self, x: usize) -> PlaneFlux {
        let mut flux = PlaneFlux::default();
        let is_fluid = |x: usize, y: usize| self.fluid_runs(y).iter().any(|run| run.contains(&x));
        for y in 0..self.extent().ny {
            for (column, towards) in [(x, -1), (x + 1, 1)] {
                if !is_fluid(column, y) {
                    continue;
                }
                let f = self.populations(column, y, 0);
                let velocities = D2Q9Swirl::VELOCITIES.iter();
                for (i, (value, c)) in f.into_iter().zip(velocities).enumerate() {
                    if c[0] != towards {
                        continue;
                    }
                    // What has arrived here from the other side of the plane.
                    let sign = f64::from(towards);
                    let value = f64::from(value);
                    if i < D2Q9Swirl::FLOW {
                        flux.mass += sign * value;
                        flux.axial += value;
                    } else {
                        flux.angular += sign * value;
                    }
                }
            }
        }
        flux
    }
}
