//! One lattice with its rims: the order of things within a step.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::collision::{Fluid, equilibrium};
use crate::lattice::field::{Extent, Phase, Populations};
use crate::lattice::halo::{self, Sides};
use crate::lattice::outlet::Outlet;
use crate::lattice::step::{FluidRuns, PlaneCollision, Threads, collide_and_stream};
use crate::lattice::velocity_set::{D2Q9, VelocitySet};
use crate::lattice::walls::{Geometry, WallForce, Walls};

/// Density deviation and velocity of a cell.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CellState {
    /// Density minus that of resting air; a third of it is the pressure.
    pub density: f32,
    /// Along x and y.
    pub velocity: [f32; 2],
}

/// A plane or axisymmetric lattice that can be advanced.
#[derive(Debug, Clone)]
pub struct PlaneLattice {
    field: Populations<D2Q9, 9>,
    collision: PlaneCollision,
    runs: FluidRuns,
    walls: Walls,
    outlet: Option<Outlet>,
    sides: Sides,
    threads: Threads,
    steps: u64,
    force: WallForce,
}

/// What a [`PlaneLattice`] is made of.
pub struct PlaneSetup<'a> {
    /// Number of cells.
    pub extent: Extent,
    /// Fluid properties.
    pub fluid: Fluid,
    /// Whether y is the radius.
    pub is_axisymmetric: bool,
    /// What lies beyond the sides.
    pub sides: Sides,
    /// Walls, inlets included.
    pub geometry: &'a dyn Geometry,
    /// Velocity with which the outlet starts, if there is one at the far end of x.
    pub outlet_velocity: Option<[f64; 2]>,
    /// Threads for this lattice.
    pub threads: Threads,
}

impl PlaneLattice {
    /// Builds a lattice and fills it with the equilibrium of `initial(x, y)`.
    pub fn new(setup: &PlaneSetup<'_>, mut initial: impl FnMut(usize, usize) -> CellState) -> Self {
        let extent = setup.extent;
        let mut field = Populations::at_rest(extent);
        let collision = if setup.is_axisymmetric {
            PlaneCollision::round(&setup.fluid, extent.ny)
        } else {
            PlaneCollision::flat(&setup.fluid, extent.ny)
        };
        let runs = FluidRuns::find(extent.nx, extent.ny, |x, y| {
            setup.geometry.wall_at([x as f64, y as f64, 0.0]).is_none()
        });
        let walls = Walls::find(&field, setup.geometry, setup.is_axisymmetric);
        for y in 0..extent.ny {
            for run in runs.of_row(y) {
                for x in run.clone() {
                    let state = initial(x, y);
                    let cell = field.index(x.cast_signed(), y.cast_signed(), 0);
                    for i in 0..9 {
                        let c = D2Q9::VELOCITIES[i];
                        let link = if setup.is_axisymmetric {
                            y as f64 + 0.5 - 0.5 * f64::from(c[1])
                        } else {
                            1.0
                        };
                        let value = equilibrium(
                            c,
                            D2Q9::WEIGHTS[i],
                            state.density.into(),
                            state.velocity.map(f64::from),
                        );
                        field.set_arriving(cell, i, (link * value) as f32);
                    }
                }
            }
        }
        let outlet = setup
            .outlet_velocity
            .map(|u| Outlet::new(extent.nx, extent.ny, u, setup.is_axisymmetric));
        Self {
            field,
            collision,
            runs,
            walls,
            outlet,
            sides: setup.sides,
            threads: setup.threads,
            steps: 0,
            force: WallForce::default(),
        }
    }

    /// Multiplies all velocities that the geometry gave to walls and inlets by `factor`, from the next step on: plates that oscillate, streams that start
    /// slowly. It holds over the whole step; the value half a step ahead makes it second order in time.
    pub fn scale_wall_velocity(&mut self, factor: f64) {
        self.walls.scale_velocity(factor);
    }

    /// Advances by one step.
    pub fn step(&mut self) {
        collide_and_stream(&mut self.field, &self.collision, &self.runs, self.threads);
        if let Some(outlet) = &mut self.outlet {
            outlet.advance(&mut self.field);
        }
        halo::fill(&mut self.field, self.sides);
        self.force = self.walls.bounce_back(&mut self.field);
        self.steps += 1;
    }

    /// Advances by `count` pairs of steps; afterwards moments can be read.
    pub fn step_pairs(&mut self, count: usize) {
        for _ in 0..count {
            self.step();
            self.step();
        }
    }

    /// Steps done.
    pub fn step_count(&self) -> u64 {
        self.steps
    }

    /// Force on the walls during the last step (in axisymmetric flow per radian).
    pub fn wall_force(&self) -> WallForce {
        self.force
    }

    /// Number of cells along each axis.
    pub fn extent(&self) -> Extent {
        self.field.extent()
    }

    /// Number of fluid cells.
    pub fn fluid_cell_count(&self) -> usize {
        self.runs.cell_count()
    }

    /// Links in gaps of a single cell.
    pub fn narrow_gap_count(&self) -> usize {
        self.walls.narrow_gap_count()
    }

    /// Whether y is the radius.
    pub fn is_axisymmetric(&self) -> bool {
        self.collision.is_axisymmetric()
    }

    /// Runs of fluid cells of row `y`.
    pub fn fluid_runs(&self, y: usize) -> &[std::ops::Range<usize>] {
        self.runs.of_row(y)
    }

    /// State of a cell.
    ///
    /// # Panics
    /// In debug builds, unless an even number of steps has been done.
    #[inline]
    pub fn cell(&self, x: usize, y: usize) -> CellState {
        debug_assert_eq!(self.field.phase(), Phase::Gathered);
        let cell = self.field.index(x.cast_signed(), y.cast_signed(), 0);
        let f: [f32; 9] = std::array::from_fn(|i| self.field.slots()[i][cell]);
        let mass = f[0] + ((f[1] + f[2]) + (f[3] + f[4])) + ((f[5] + f[6]) + (f[7] + f[8]));
        let along = (f[1] - f[2]) + (f[5] - f[6]) + (f[7] - f[8]);
        let across = (f[3] - f[4]) + (f[5] - f[6]) - (f[7] - f[8]);
        let (density, velocity) = self.collision.row(y).macroscopic(
            mass,
            [along, across],
            self.collision.is_axisymmetric(),
        );
        CellState { density, velocity }
    }

    /// Sum of all density deviations, r-weighted in axisymmetric flow.
    pub fn total_mass(&self) -> f64 {
        let extent = self.extent();
        let mut sum = 0.0;
        for y in 0..extent.ny {
            for run in self.runs.of_row(y) {
                for x in run.clone() {
                    let cell = self.field.index(x.cast_signed(), y.cast_signed(), 0);
                    sum += self
                        .field
                        .slots()
                        .iter()
                        .map(|s| f64::from(s[cell]))
                        .sum::<f64>();
                }
            }
        }
        sum
    }
}
