//! The slice view with leaned walls and oblique inflow: one full pitch, periodic.
//!
//! Exact for steady laminar flow. At hole Reynolds numbers of thousands a periodic row sheds vortices that only a plane can have: then it is a picture and a
//! trend, never a number for a ranking.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths are computed as numbers and become positive counts of cells"
)]

use crate::lattice::collision::Fluid;
use crate::lattice::field::Extent;
use crate::lattice::halo::{Side, Sides};
use crate::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use crate::lattice::step::Threads;
use crate::lattice::walls::{Geometry, WallGroup, WallPoint};
use crate::units::{LatticeVelocity, LatticeViscosity};

/// A row of parallel slots whose walls lean, met by an oblique stream; lengths in slot widths (measured along the row).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeanedRow {
    /// Open share of the pitch, 0 to 1.
    pub free_area_ratio: f64,
    /// Plate thickness.
    pub thickness: f64,
    /// Tangent of the angle by which the walls lean towards +y along the flow.
    pub lean_tangent: f64,
    /// Tangent of the angle at which the flow comes in.
    pub inflow_tangent: f64,
    /// Reynolds number on the mean axial velocity in the slot and its width.
    pub reynolds_number: f64,
    /// Cells across the slot (approximately: the pitch gets a whole number of cells).
    pub cells_across_slot: f64,
    /// Axial velocity ahead of the row.
    pub face_velocity: LatticeVelocity,
    /// Length ahead, in pitches.
    pub pitches_ahead: f64,
    /// Length behind, in pitches.
    pub pitches_behind: f64,
}

/// The row in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeanedLayout {
    /// Pitch of the row.
    pub pitch: f64,
    /// Width of a slot.
    pub slot: f64,
    /// x of the face that meets the flow first.
    pub front: f64,
    /// Columns for the momentum balance ahead of the row: first and one past the last.
    pub ahead: (usize, usize),
    /// Columns for the momentum balance behind it.
    pub behind: (usize, usize),
}

struct Ribs {
    front: f64,
    thickness: f64,
    pitch: f64,
    slot: f64,
    lean_tangent: f64,
    inflow: [f64; 3],
}

impl Geometry for Ribs {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        if point[0] < -0.5 {
            return Some(WallPoint {
                group: WallGroup::Rim,
                velocity: self.inflow,
            });
        }
        let depth = point[0] - self.front;
        if depth < 0.0 || depth > self.thickness {
            return None;
        }
        let across = (point[1] + 0.5 - depth * self.lean_tangent).rem_euclid(self.pitch);
        (across >= self.slot).then_some(WallPoint {
            group: WallGroup::Body,
            velocity: [0.0; 3],
        })
    }
}

impl LeanedRow {
    /// Whether there is solid at a place: depth below the face that meets the flow first, and y from the lower wall of a slot in that face; in slot widths.
    pub fn is_solid(&self, [depth, y]: [f64; 2]) -> bool {
        let across = (y - depth * self.lean_tangent).rem_euclid(self.free_area_ratio.recip());
        (0.0..=self.thickness).contains(&depth) && across >= 1.0
    }

    /// Number of cells of one pitch, about.
    pub fn cell_count(&self) -> usize {
        let pitch = self.cells_across_slot / self.free_area_ratio;
        let along = self.thickness * self.cells_across_slot
            + (self.pitches_ahead + self.pitches_behind) * pitch;
        (along * pitch).ceil() as usize
    }

    /// Builds the lattice of one pitch, filled with the undisturbed stream.
    pub fn build(&self, threads: Threads) -> (PlaneLattice, LeanedLayout) {
        self.assemble(1, false, threads)
    }

    /// The same of several pitches, whose vortices then need not be alike, with the subgrid model.
    pub fn build_wide(&self, pitches: usize, threads: Threads) -> (PlaneLattice, LeanedLayout) {
        self.assemble(pitches, true, threads)
    }

    fn assemble(
        &self,
        pitches: usize,
        has_subgrid: bool,
        threads: Threads,
    ) -> (PlaneLattice, LeanedLayout) {
        let pitch = (self.cells_across_slot / self.free_area_ratio)
            .round()
            .max(4.0);
        let slot = pitch * self.free_area_ratio;
        let ahead = (self.pitches_ahead * pitch).ceil();
        let thickness = self.thickness * slot;
        let rear = ahead + thickness;
        let cells_along = (rear + self.pitches_behind * pitch).ceil();
        let velocity = self.face_velocity.0;
        let inflow = [velocity, velocity * self.inflow_tangent, 0.0];
        let ribs = Ribs {
            front: ahead - 0.5,
            thickness,
            pitch,
            slot,
            lean_tangent: self.lean_tangent,
            inflow,
        };
        let mut fluid = Fluid::new(LatticeViscosity(
            velocity / self.free_area_ratio * slot / self.reynolds_number,
        ));
        if has_subgrid {
            fluid = fluid.with_subgrid();
        }
        let setup = PlaneSetup {
            extent: Extent::planar(cells_along as usize, pitches * pitch as usize),
            fluid,
            is_axisymmetric: false,
            sides: Sides {
                along: Side::Open,
                bottom: Side::Periodic,
                top: Side::Periodic,
            },
            geometry: &ribs,
            outlet_velocity: Some([inflow[0], inflow[1]]),
            threads,
        };
        let start = CellState {
            density: 0.0,
            velocity: [inflow[0] as f32, inflow[1] as f32],
        };
        let room = cells_along - rear;
        let layout = LeanedLayout {
            pitch,
            slot,
            front: ahead - 0.5,
            ahead: ((0.25 * ahead) as usize, (0.6 * ahead).ceil() as usize),
            behind: ((rear + 0.2 * room) as usize, (rear + 0.6 * room) as usize),
        };
        (PlaneLattice::new(&setup, |_, _| start), layout)
    }
}
