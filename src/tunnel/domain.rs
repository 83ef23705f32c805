//! How long the tunnel is, how it is started, and where the planes for the momentum balance lie.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths are computed as numbers and become positive counts of cells; a count too large saturates and is refused by its memory"
)]

use crate::lattice::collision::Fluid;
use crate::lattice::field::{Extent, Populations};
use crate::lattice::halo::{Side, Sides};
use crate::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use crate::lattice::step::Threads;
use crate::lattice::velocity_set::D2Q9;
use crate::lattice::walls::Geometry;
use crate::tunnel::section::{EdgeShape, PlateSection};
use crate::units::{LatticeVelocity, LatticeViscosity};

/// Which of the two flat views.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum View {
    /// A hole in its round repeat (axisymmetric).
    Hole,
    /// Half a slot between mirror planes (planar).
    Slice,
}

/// A flat view with all lengths in units of the opening (hole diameter, slot width).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Domain {
    /// Which view.
    pub view: View,
    /// Open share of the repeat, 0 to 1.
    pub free_area_ratio: f64,
    /// Plate thickness over opening.
    pub thickness: f64,
    /// Edge that meets the flow first, over opening.
    pub front_edge: EdgeShape,
    /// Edge at the far face, over opening.
    pub rear_edge: EdgeShape,
    /// Reynolds number of the hole, on the mean velocity in the opening and its diameter or width.
    pub reynolds_number: f64,
    /// Cells across the opening (approximately: the repeat gets a whole number of cells).
    pub cells_across_opening: f64,
    /// Velocity ahead of the plate.
    pub face_velocity: LatticeVelocity,
    /// Length ahead of the plate, in pitches of the repeat.
    pub pitches_ahead: f64,
    /// Length behind the plate, in pitches of the repeat.
    pub pitches_behind: f64,
    /// Whether the subgrid model is on.
    pub has_subgrid: bool,
    /// Shift of the plate along x, in cells (0 puts its front half-way between two cells).
    pub shift: f64,
}

/// The domain in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// The plate and its surroundings.
    pub section: PlateSection,
    /// Cells across the opening, exactly.
    pub cells_across_opening: f64,
    /// Length of a pitch.
    pub pitch: f64,
    /// Viscosity.
    pub viscosity: LatticeViscosity,
    /// Columns for the momentum balance ahead of the plate: first and one past the last.
    pub ahead: (usize, usize),
    /// Columns for the momentum balance behind the plate.
    pub behind: (usize, usize),
}

impl Domain {
    /// Pitch over opening: the repeat is twice as wide as the half that is computed.
    fn pitch_over_opening(&self) -> f64 {
        match self.view {
            View::Hole => self.free_area_ratio.sqrt().recip(),
            View::Slice => self.free_area_ratio.recip(),
        }
    }

    /// The domain in cells. The repeat gets a whole number of cells; the opening keeps the free-area ratio exactly.
    ///
    /// Among the repeats within a tenth of the size asked for, the one is taken whose walls come closest to half-way between cells: there the
    /// corner error of the walls changes least from one design to the next.
    pub fn layout(&self) -> Layout {
        let ratio = self.pitch_over_opening();
        let wanted = (0.5 * self.cells_across_opening * ratio).max(2.0);
        let misfit = |cells: f64| {
            let opening = cells / ratio;
            let off = |length: f64| (length - length.round()).abs();
            off(opening) + 0.5 * off(2.0 * opening * self.thickness) + (cells / wanted - 1.0).abs()
        };
        // A repeat of very many cells has no need of the search, and a hopeless one must not take forever to be refused.
        let reach = (0.1 * wanted).min(1000.0);
        let candidates =
            ((wanted - reach).ceil() as usize).max(2)..=((wanted + reach).ceil() as usize).max(2);
        let cells_across = candidates
            .map(|cells| cells as f64)
            .min_by(|a, b| misfit(*a).total_cmp(&misfit(*b)))
            .unwrap_or(wanted.round());
        let pitch = 2.0 * cells_across;
        let opening = pitch / ratio;
        let ahead = (self.pitches_ahead * pitch).ceil();
        let thickness = self.thickness * opening;
        let cells_along = ahead + (thickness + self.pitches_behind * pitch).ceil();
        let scaled = |edge: EdgeShape| match edge {
            EdgeShape::Sharp => EdgeShape::Sharp,
            EdgeShape::Rounded(r) => EdgeShape::Rounded(r * opening),
            EdgeShape::Chamfered(d) => EdgeShape::Chamfered(d * opening),
        };
        let section = PlateSection {
            opening: 0.5 * opening,
            front: ahead - 0.5 + self.shift,
            thickness,
            front_edge: scaled(self.front_edge),
            rear_edge: scaled(self.rear_edge),
            cells_along: cells_along as usize,
            cells_across: cells_across as usize,
            inflow: self.face_velocity.0,
        };
        let opening_velocity = self.face_velocity.0 / self.free_area_ratio;
        let rear = ahead + thickness;
        let room = cells_along - rear;
        Layout {
            section,
            cells_across_opening: opening,
            pitch,
            viscosity: LatticeViscosity(opening_velocity * opening / self.reynolds_number),
            ahead: ((0.25 * ahead) as usize, (0.6 * ahead).ceil() as usize),
            behind: ((rear + 0.2 * room) as usize, (rear + 0.6 * room) as usize),
        }
    }

    /// Number of cells, walls included.
    pub fn cell_count(&self) -> usize {
        let section = self.layout().section;
        section.cells_along.saturating_mul(section.cells_across)
    }

    /// Memory of the populations and of the mean fields, bytes.
    pub fn memory_bytes(&self) -> u64 {
        self.cell_count() as u64 * (Populations::<D2Q9, 9>::BYTES_PER_CELL + 8 * 10)
    }

    /// Builds the lattice, filled with the undisturbed stream.
    pub fn build(&self, threads: Threads) -> (PlaneLattice, Layout) {
        let layout = self.layout();
        let section = layout.section;
        let mut fluid = Fluid::new(layout.viscosity);
        if self.has_subgrid {
            fluid = fluid.with_subgrid();
        }
        let setup = PlaneSetup {
            extent: Extent::planar(section.cells_along, section.cells_across),
            fluid,
            is_axisymmetric: self.view == View::Hole,
            sides: Sides {
                along: Side::Open,
                bottom: Side::Mirror,
                top: Side::Mirror,
            },
            geometry: &section as &dyn Geometry,
            outlet_velocity: Some([section.inflow, 0.0]),
            threads,
        };
        let start = CellState {
            density: 0.0,
            velocity: [section.inflow as f32, 0.0],
        };
        (PlaneLattice::new(&setup, |_, _| start), layout)
    }
}
