//! One lattice with its rims: the order of things within a step.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::collision::Fluid;
use crate::lattice::field::{Extent, Phase, Populations};
use crate::lattice::halo::{self, Sides, VolumeSides};
use crate::lattice::outlet::Outlet;
use crate::lattice::row::PlaneCollision;
use crate::lattice::row_collision::{RowCollision, StartReach};
use crate::lattice::step::{FluidRuns, Threads, collide_and_stream};
use crate::lattice::sweep::{self, Sweep};
use crate::lattice::velocity_set::VelocitySet;
use crate::lattice::walls::{Geometry, WallForce, Walls};

/// Density deviation and velocity of a cell in `D` dimensions, two unless told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellState<const D: usize = 2> {
    /// Density minus that of resting air; a third of it is the pressure.
    pub density: f32,
    /// Along each axis.
    pub velocity: [f32; D],
}

impl<const D: usize> Default for CellState<D> {
    /// Resting air.
    fn default() -> Self {
        Self {
            density: 0.0,
            velocity: [0.0; D],
        }
    }
}

/// A lattice that can be advanced, for any collision: [`PlaneLattice`] or [`crate::lattice::volume::VolumeLattice`].
#[derive(Debug, Clone)]
pub struct Lattice<C: RowCollision<Q>, const Q: usize> {
    pub(super) field: Populations<C::Set, Q>,
    collision: C,
    runs: FluidRuns,
    pub(super) walls: Walls,
    pub(super) outlet: Option<Outlet>,
    sides: VolumeSides,
    threads: Threads,
    pub(super) steps: u64,
    pub(super) force: WallForce,
    pub(super) earlier_force: WallForce,
}

/// A plane or axisymmetric lattice.
pub type PlaneLattice = Lattice<PlaneCollision, 9>;

/// What every lattice is made of besides its collision.
pub(crate) struct Parts<'a> {
    pub(crate) extent: Extent,
    pub(crate) sides: VolumeSides,
    pub(crate) geometry: &'a dyn Geometry,
    pub(crate) outlet_velocity: Option<[f64; 3]>,
    pub(crate) threads: Threads,
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

impl<C: RowCollision<Q>, const Q: usize> Lattice<C, Q> {
    /// Builds a lattice and fills it with the equilibrium of `initial(x, y, z)`: density deviation and velocity.
    pub(crate) fn assemble(
        parts: &Parts<'_>,
        collision: C,
        mut initial: impl FnMut(usize, usize, usize) -> (f64, [f64; 3]),
    ) -> Self {
        let extent = parts.extent;
        let mut field = Populations::at_rest(extent);
        let runs = FluidRuns::find(extent.nx, extent.ny * extent.nz, |x, row| {
            let (y, z) = (row % extent.ny, row / extent.ny);
            let centre = [x as f64, y as f64, z as f64];
            parts.geometry.wall_at(centre).is_none()
        });
        let walls = Walls::find(&field, parts.geometry, &collision);
        for row in 0..extent.ny * extent.nz {
            let (y, z) = (row % extent.ny, row / extent.ny);
            for x in runs.of_row(row).iter().cloned().flatten() {
                let (density, velocity) = initial(x, y, z);
                let cell = field.index(x.cast_signed(), y.cast_signed(), z.cast_signed());
                for i in 0..Q {
                    let half_step = 0.5 * f64::from(C::Set::VELOCITIES[i][1]);
                    let reach = StartReach {
                        radius: collision.radius(y as f64),
                        link_radius: collision.radius(y as f64 - half_step),
                    };
                    let value = C::start(i, density, velocity, reach);
                    field.set_arriving(cell, i, value as f32);
                }
            }
        }
        let mut outlet = parts
            .outlet_velocity
            .map(|u| Outlet::new(extent, u, &collision, &runs));
        if let Some(outlet) = outlet.as_mut().filter(|_| C::Set::FLOW < Q) {
            for y in 0..extent.ny {
                let (density, _) = initial(extent.nx - 1, y, 0);
                let cell = field.index(extent.nx.cast_signed() - 1, y.cast_signed(), 0);
                let turning = field.slots()[C::Set::FLOW..].iter();
                let turning: f64 = turning.map(|slot| f64::from(slot[cell])).sum();
                outlet.start_turning(y, density, turning / collision.radius(y as f64));
            }
        }
        Self {
            field,
            collision,
            runs,
            walls,
            outlet,
            sides: parts.sides,
            threads: parts.threads,
            steps: 0,
            force: WallForce::default(),
            earlier_force: WallForce::default(),
        }
    }

    pub(crate) fn collision(&self) -> &C {
        &self.collision
    }

    /// Runs of fluid cells of a row, rows counted without ghosts, layer after layer.
    pub(crate) fn runs_of_row(&self, row: usize) -> &[std::ops::Range<usize>] {
        self.runs.of_row(row)
    }

    /// Populations of a cell before collision.
    #[inline]
    pub(crate) fn populations(&self, x: usize, y: usize, z: usize) -> [f32; Q] {
        debug_assert_eq!(self.field.phase(), Phase::Gathered);
        let cell = self
            .field
            .index(x.cast_signed(), y.cast_signed(), z.cast_signed());
        std::array::from_fn(|i| self.field.slots()[i][cell])
    }

    /// Tells the outlet that a jet leaves through a part of it: axial velocity row by row at the start, of the mean that the outlet was given. It then holds the mean pressure as it is.
    pub fn expect_jet_at_outlet(&mut self, velocity: impl Fn(usize) -> f64) {
        if let Some(outlet) = &mut self.outlet {
            outlet.expect_jet(velocity);
        }
    }

    /// What the next collision finds in a cell, after any number of steps.
    pub(crate) fn arrived(&self, [x, y, z]: [usize; 3]) -> [f32; Q] {
        let [x, y, z] = [x, y, z].map(usize::cast_signed);
        let cell = self.field.index(x, y, z);
        std::array::from_fn(|i| self.field.arriving(cell, i))
    }

    /// Replaces it: for what acts on some cells between steps.
    pub(crate) fn set_arrived(&mut self, [x, y, z]: [usize; 3], populations: [f32; Q]) {
        let [x, y, z] = [x, y, z].map(usize::cast_signed);
        let cell = self.field.index(x, y, z);
        for (i, population) in populations.into_iter().enumerate() {
            self.field.set_arriving(cell, i, population);
        }
    }

    /// What a wall took over along direction `i` from the cell `at` during the last step, times the direction: what left and what came back.
    #[inline]
    pub(crate) fn exchanged(&self, at: [usize; 3], i: usize) -> f64 {
        let [x, y, z] = at.map(usize::cast_signed);
        let cell = self.field.index(x, y, z);
        let back = C::Set::OPPOSITE[i];
        f64::from(self.field.left(cell, i)) + f64::from(self.field.arriving(cell, back))
    }

    /// Multiplies all velocities that the geometry gave to walls and inlets by `factor`, from the next step on: plates that oscillate, streams that start
    /// slowly. It holds over the whole step; the value half a step ahead makes it second order in time.
    pub fn scale_wall_velocity(&mut self, factor: f64) {
        self.walls.scale_velocity(factor);
    }

    /// Advances by one step.
    pub fn step(&mut self) {
        let columns = 0..self.field.extent().nx;
        let last_column = match &mut self.outlet {
            Some(outlet) => outlet.last_column(),
            None => &mut [],
        };
        collide_and_stream(
            &mut self.field,
            &self.collision,
            &self.runs,
            columns,
            self.threads,
            last_column,
        );
        if let Some(outlet) = &mut self.outlet {
            outlet.advance(&mut self.field, &self.collision, self.threads);
        }
        halo::fill(&mut self.field, self.sides, self.threads);
        self.earlier_force = self.force;
        self.force = self.walls.bounce_back(&mut self.field, self.threads);
        self.steps += 1;
    }

    /// Advances by `count` pairs of steps; afterwards moments can be read.
    pub fn step_pairs(&mut self, count: usize) {
        let bytes = Populations::<C::Set, Q>::BYTES_PER_CELL * self.extent().cell_count() as u64;
        let mut left = count;
        while left > 0 {
            let done = if bytes < sweep::LARGE {
                0
            } else {
                self.sweep(left)
            };
            if done == 0 {
                self.step();
                self.step();
            }
            left -= done.max(1);
        }
    }

    /// Several pairs of steps in one go through memory, at most `wanted`; returns how many.
    pub(crate) fn sweep(&mut self, wanted: usize) -> usize {
        let sweep = Sweep {
            collision: &self.collision,
            fluid: &self.runs,
            walls: &self.walls,
            sides: self.sides,
            threads: self.threads,
        };
        let pairs = match self.field.phase() {
            Phase::Gathered => sweep.pairs(&self.field, self.outlet.is_some(), wanted),
            Phase::Turned => 0,
        };
        if pairs > 0 {
            [self.earlier_force, self.force] =
                sweep.run(&mut self.field, self.outlet.as_mut(), pairs);
            self.steps += 2 * pairs as u64;
        }
        pairs
    }

    /// Steps done.
    pub fn step_count(&self) -> u64 {
        self.steps
    }

    /// Mean force on the walls during the last two steps (in axisymmetric flow per radian; with swirl the third component is the torque about the axis).
    ///
    /// At low viscosity the viscous stress swings about its value from step to step, and the force on walls with it: the mean of two steps is the force.
    pub fn wall_force(&self) -> WallForce {
        self.earlier_force.mean(self.force)
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

    /// Sum of all density deviations, r-weighted in axisymmetric flow.
    pub fn total_mass(&self) -> f64 {
        let extent = self.extent();
        let mut sum = 0.0;
        for row in 0..extent.ny * extent.nz {
            let (y, z) = (row % extent.ny, row / extent.ny);
            for x in self.runs.of_row(row).iter().cloned().flatten() {
                let cell = self
                    .field
                    .index(x.cast_signed(), y.cast_signed(), z.cast_signed());
                sum += self.field.slots()[..C::Set::FLOW]
                    .iter()
                    .map(|s| f64::from(s[cell]))
                    .sum::<f64>();
            }
        }
        sum
    }
}

impl PlaneLattice {
    /// Builds a lattice and fills it with the equilibrium of `initial(x, y)`.
    pub fn new(setup: &PlaneSetup<'_>, mut initial: impl FnMut(usize, usize) -> CellState) -> Self {
        let collision = if setup.is_axisymmetric {
            PlaneCollision::round(&setup.fluid, setup.extent.ny)
        } else {
            PlaneCollision::flat(&setup.fluid, setup.extent.ny)
        };
        let parts = Parts {
            extent: setup.extent,
            sides: setup.sides.into(),
            geometry: setup.geometry,
            outlet_velocity: setup.outlet_velocity.map(|[u, v]| [u, v, 0.0]),
            threads: setup.threads,
        };
        Self::assemble(&parts, collision, |x, y, _| {
            let state = initial(x, y);
            let [u, v] = state.velocity.map(f64::from);
            (state.density.into(), [u, v, 0.0])
        })
    }

    /// Runs of fluid cells of row `y`.
    pub fn fluid_runs(&self, y: usize) -> &[std::ops::Range<usize>] {
        self.runs_of_row(y)
    }

    /// State of a cell.
    ///
    /// # Panics
    /// In debug builds, unless an even number of steps has been done.
    #[inline]
    pub fn cell(&self, x: usize, y: usize) -> CellState {
        let f = self.populations(x, y, 0);
        let mass = f[0] + ((f[1] + f[2]) + (f[3] + f[4])) + ((f[5] + f[6]) + (f[7] + f[8]));
        let along = (f[1] - f[2]) + (f[5] - f[6]) + (f[7] - f[8]);
        let across = (f[3] - f[4]) + (f[5] - f[6]) - (f[7] - f[8]);
        let (density, velocity) =
            self.collision()
                .row(y)
                .macroscopic(mass, [along, across], self.is_axisymmetric());
        CellState { density, velocity }
    }
}
