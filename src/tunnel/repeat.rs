//! The repeat view: one rectangular repeat of an endless pattern of holes in three dimensions, periodic to all sides, met by a uniform stream that may come in obliquely.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths become counts of cells, states single precision"
)]

use crate::lattice::collision::Fluid;
use crate::lattice::field::{Extent, Populations};
use crate::lattice::halo::{Side, VolumeSides};
use crate::lattice::simulation::CellState;
use crate::lattice::step::Threads;
use crate::lattice::velocity_set::D3Q19;
use crate::lattice::volume::{VolumeLattice, VolumeSetup};
use crate::lattice::walls::{Geometry, WallGroup, WallPoint};
use crate::units::{LatticeVelocity, LatticeViscosity};

/// Tells of a point (depth below the face that meets the flow first, y, z; in hydraulic diameters) whether it is solid. Periodic in y and z; asked only for depths within the plate.
pub type Solid<'a> = &'a (dyn Fn([f64; 3]) -> bool + Sync);

/// A repeat with all lengths in hydraulic diameters of its holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatDomain {
    /// Width of the repeat along y and z.
    pub extent: [f64; 2],
    /// Distance from hole to hole, for lengths ahead and behind and for times.
    pub pitch: f64,
    /// Plate thickness.
    pub thickness: f64,
    /// Open share of the repeat, 0 to 1.
    pub free_area_ratio: f64,
    /// Reynolds number of the hole: mean axial velocity in it times the hydraulic diameter over the viscosity.
    pub reynolds_number: f64,
    /// Tangents of the angles at which the flow comes in, towards y and z.
    pub inflow_tangents: [f64; 2],
    /// Cells per hydraulic diameter (approximately: the repeat gets a whole number of cells); [`RepeatDomain::fitted`] finds a good number near it.
    pub cells_across_hole: f64,
    /// Axial velocity ahead of the plate.
    pub face_velocity: LatticeVelocity,
    /// Length ahead of the plate, in pitches.
    pub pitches_ahead: f64,
    /// Length behind the plate, in pitches.
    pub pitches_behind: f64,
    /// Whether the subgrid model is on.
    pub has_subgrid: bool,
    /// Shift of the pattern along x, y and z, in cells.
    pub shift: [f64; 3],
    /// Time that a grid of half as many cells runs first, for the flow to begin with, in pitch-times; 0 begins with the undisturbed stream.
    pub head_start: f64,
}

/// The repeat in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatLayout {
    /// Number of cells.
    pub cells: Extent,
    /// Cells per hydraulic diameter along x and y.
    pub cells_across_hole: f64,
    /// By how much the pattern is stretched along z to fit a whole number of cells; the free-area ratio stays as it is.
    pub stretch: f64,
    /// Shift of the pattern along y and z, in cells.
    pub shift: [f64; 2],
    /// x of the face that meets the flow first.
    pub front: f64,
    /// Length of a pitch.
    pub pitch: f64,
    /// Viscosity.
    pub viscosity: LatticeViscosity,
    /// Columns for the momentum balance ahead of the plate: first and one past the last.
    pub ahead: (usize, usize),
    /// Columns for the momentum balance behind the plate.
    pub behind: (usize, usize),
}

impl RepeatDomain {
    /// The domain in cells.
    pub fn layout(&self) -> RepeatLayout {
        let [width, height] = self.extent;
        let ny = (self.cells_across_hole * width).round().max(4.0);
        let nz = (height / width * ny).round().max(1.0);
        let per_diameter = ny / width;
        let pitch = self.pitch * per_diameter;
        let ahead = (self.pitches_ahead * pitch).ceil();
        let rear = ahead + self.thickness * per_diameter;
        let nx = (rear + self.pitches_behind * pitch).ceil();
        let room = nx - rear;
        let hole_velocity = self.face_velocity.0 / self.free_area_ratio;
        RepeatLayout {
            cells: Extent {
                nx: nx as usize,
                ny: ny as usize,
                nz: nz as usize,
            },
            cells_across_hole: per_diameter,
            stretch: nz / (height / width * ny),
            shift: [self.shift[1], self.shift[2]],
            front: ahead - 0.5 + self.shift[0],
            pitch,
            viscosity: LatticeViscosity(hole_velocity * per_diameter / self.reynolds_number),
            ahead: ((0.25 * ahead) as usize, (0.6 * ahead).ceil() as usize),
            behind: ((rear + 0.35 * room) as usize, (rear + 0.75 * room) as usize),
        }
    }

    /// Memory of the populations, bytes.
    pub fn memory_bytes(&self) -> u64 {
        self.layout().cells.cell_count() as u64 * Populations::<D3Q19, 19>::BYTES_PER_CELL
    }

    /// Builds the lattice, filled with the undisturbed stream.
    pub fn build(&self, solid: Solid<'_>, threads: Threads) -> (VolumeLattice, RepeatLayout) {
        let start = CellState {
            density: 0.0,
            velocity: self.inflow().map(|u| u as f32),
        };
        self.build_from(solid, threads, |_| start)
    }

    /// The same between mirrors at y = 0, z = 0 and the far sides, for an axial stream and a solid that is its own image in all four.
    pub fn build_mirrored(
        &self,
        solid: Solid<'_>,
        threads: Threads,
    ) -> (VolumeLattice, RepeatLayout) {
        let start = CellState {
            density: 0.0,
            velocity: self.inflow().map(|u| u as f32),
        };
        self.assemble(solid, Side::Mirror, threads, |_| start)
    }

    /// Builds the lattice, filled with the state that `start` tells of a place (depth below the face that meets the flow first, y, z; in hydraulic diameters).
    pub fn build_from(
        &self,
        solid: Solid<'_>,
        threads: Threads,
        start: impl Fn([f64; 3]) -> CellState<3>,
    ) -> (VolumeLattice, RepeatLayout) {
        self.assemble(solid, Side::Periodic, threads, start)
    }

    fn assemble(
        &self,
        solid: Solid<'_>,
        side: Side,
        threads: Threads,
        start: impl Fn([f64; 3]) -> CellState<3>,
    ) -> (VolumeLattice, RepeatLayout) {
        let layout = self.layout();
        let inflow = self.inflow();
        let plate = Plate {
            solid,
            thickness: self.thickness * layout.cells_across_hole,
            layout,
            inflow,
        };
        let mut fluid = Fluid::<3>::new(layout.viscosity);
        if self.has_subgrid {
            fluid = fluid.with_subgrid();
        }
        let setup = VolumeSetup {
            extent: layout.cells,
            fluid,
            sides: VolumeSides {
                along: Side::Open,
                bottom: side,
                top: side,
                near: side,
                far: side,
            },
            geometry: &plate,
            outlet_velocity: Some(inflow),
            threads,
        };
        let lattice = VolumeLattice::new(&setup, |x, y, z| {
            start(layout.place([x as f64, y as f64, z as f64]))
        });
        (lattice, layout)
    }

    /// Velocity of the undisturbed stream, lattice units.
    fn inflow(&self) -> [f64; 3] {
        let axial = self.face_velocity.0;
        let [y, z] = self.inflow_tangents;
        [axial, axial * y, axial * z]
    }
}

impl RepeatLayout {
    /// Hydraulic diameters per cell along each axis.
    fn per_cell(&self) -> [f64; 3] {
        let per_cell = 1.0 / self.cells_across_hole;
        [per_cell, per_cell, per_cell / self.stretch]
    }

    /// Place of a point given in cells (whole numbers are centres of cells): depth below the face that meets the flow first, y, z, in hydraulic diameters.
    pub fn place(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        let per_cell = self.per_cell();
        [
            (x - self.front) * per_cell[0],
            (y + 0.5 - self.shift[0]) * per_cell[1],
            (z + 0.5 - self.shift[1]) * per_cell[2],
        ]
    }

    /// The point in cells at a place: undoes [`RepeatLayout::place`].
    pub fn point(&self, [depth, y, z]: [f64; 3]) -> [f64; 3] {
        let per_cell = self.per_cell();
        [
            depth / per_cell[0] + self.front,
            y / per_cell[1] - 0.5 + self.shift[0],
            z / per_cell[2] - 0.5 + self.shift[1],
        ]
    }
}

/// The plate in cell coordinates.
struct Plate<'a> {
    solid: Solid<'a>,
    layout: RepeatLayout,
    /// Thickness of the plate in cells.
    thickness: f64,
    inflow: [f64; 3],
}

impl Geometry for Plate<'_> {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        if point[0] < -0.5 {
            return Some(WallPoint {
                group: WallGroup::Rim,
                velocity: self.inflow,
            });
        }
        let depth = point[0] - self.layout.front;
        if depth < 0.0 || depth > self.thickness {
            return None;
        }
        (self.solid)(self.layout.place(point)).then_some(WallPoint {
            group: WallGroup::Body,
            velocity: [0.0; 3],
        })
    }
}
