//! A square mesh of round threads as a repeat in three dimensions: two families of straight parallel threads that cross at a right angle.
//!
//! Woven threads go over and under each other. Straight ones are an idealisation with the same thread, pitch and open fraction; where they touch, one family lies wholly behind the other.

use crate::tunnel::RepeatDomain;
use crate::tunnel::thread_row::{ThreadSides, estimated_loss};
use crate::tunnel::thread_speed::ThreadSpeed;
use crate::units::LatticeVelocity;

/// How the two families meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Crossing {
    /// One family behind the other, touching it: what a woven mesh comes close to. The mesh is two diameters thick.
    Touching,
    /// Both in one plane, grown together where they cross, as in a moulded or welded mesh. It is one diameter thick.
    OnePlane,
}

/// A square mesh; lengths in pitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadMesh {
    /// Open share of the face, (1 − thread diameter / pitch)², between 0 and 1.
    pub open_fraction: f64,
    /// How the families meet.
    pub crossing: Crossing,
    /// Thread Reynolds number: velocity ahead of the mesh times thread diameter over viscosity.
    pub reynolds_number: f64,
    /// Cells per pitch (approximately: the repeat gets a whole number of cells).
    pub cells_per_pitch: f64,
    /// Velocity ahead of the mesh.
    pub face_velocity: LatticeVelocity,
    /// Length ahead of the mesh, in pitches.
    pub pitches_ahead: f64,
    /// Length behind the mesh, in pitches.
    pub pitches_behind: f64,
    /// What lies beside the part that is computed: a quarter of an opening between mirrors, or a whole pitch.
    pub sides: ThreadSides,
}

impl ThreadMesh {
    /// A symmetric mesh with about so many cells across a thread, and with the lattice velocity and the room that suit its open fraction and Reynolds number.
    ///
    /// # Validity
    /// Open fractions from 0.3 to 0.9 and Reynolds numbers from 0.5 to 100 have been tried.
    pub fn new(
        open_fraction: f64,
        crossing: Crossing,
        reynolds_number: f64,
        cells_across_thread: f64,
    ) -> Self {
        let gap = open_fraction.sqrt();
        let diameter = 1.0 - gap;
        let cells_per_pitch = (2.0 * (0.5 * cells_across_thread / diameter).round()).max(8.0);
        let speed = ThreadSpeed {
            loss_coefficient: 2.5 * estimated_loss(gap, reynolds_number),
            open_fraction,
            reynolds_number,
            cells_across_thread: diameter * cells_per_pitch,
        };
        let wake = 0.05 * reynolds_number * diameter.min(0.5);
        Self {
            open_fraction,
            crossing,
            reynolds_number,
            cells_per_pitch,
            face_velocity: speed.face_velocity(),
            pitches_ahead: 0.75,
            pitches_behind: 1.0 + wake.min(1.5),
            sides: ThreadSides::Mirrors,
        }
    }

    /// Diameter of a thread, in pitches.
    pub fn diameter(&self) -> f64 {
        1.0 - self.open_fraction.sqrt()
    }

    /// Thickness of the mesh, in pitches.
    pub fn thickness(&self) -> f64 {
        match self.crossing {
            Crossing::Touching => 2.0 * self.diameter(),
            Crossing::OnePlane => self.diameter(),
        }
    }

    /// Whether a place (depth below the front of the mesh, y, z; in pitches) lies in a thread. Threads of the front family stand along z with their middle at y = 0, those of the other along y at z = 0.
    pub fn is_solid(&self, [depth, y, z]: [f64; 3]) -> bool {
        let radius = 0.5 * self.diameter();
        let from_middle = |across: f64| across - across.round();
        let behind = match self.crossing {
            Crossing::Touching => 3.0 * radius,
            Crossing::OnePlane => radius,
        };
        (depth - radius).hypot(from_middle(y)) < radius
            || (depth - behind).hypot(from_middle(z)) < radius
    }

    /// The mesh as a repeat whose unit of length is the pitch; to be built with the sides of the mesh.
    ///
    /// Its unit of time is that in which the stream passes a pitch; in slow flow, where viscosity is quicker, a quarter of the time that viscosity takes for a pitch.
    pub fn repeat(&self) -> RepeatDomain {
        let width = match self.sides {
            ThreadSides::Mirrors => 0.5,
            ThreadSides::Periodic => 1.0,
        };
        // A repeat measures times, and its room in x, by one length.
        let pitch_reynolds_number = self.reynolds_number / self.diameter();
        let unit = (0.25 * pitch_reynolds_number).min(1.0);
        RepeatDomain {
            extent: [width; 2],
            pitch: unit,
            thickness: self.thickness(),
            free_area_ratio: self.open_fraction,
            reynolds_number: pitch_reynolds_number / self.open_fraction,
            inflow_tangents: [0.0; 2],
            cells_across_hole: self.cells_per_pitch,
            face_velocity: self.face_velocity,
            pitches_ahead: self.pitches_ahead / unit,
            pitches_behind: self.pitches_behind / unit,
            has_subgrid: false,
            shift: [0.0; 3],
            head_start: 0.0,
        }
    }
}
