//! A square mesh of round threads as a repeat in three dimensions: two families of straight parallel threads that cross at a right angle.
//!
//! In a plain weave threads go over and under each other. Straight ones are an idealisation with the same thread, pitch and open fraction; where they touch, one family lies wholly behind the other.

use std::f64::consts::PI;
use std::ops::ControlFlow;

use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::repeat::{RepeatOutcome, drive_mirrored_repeat, drive_repeat};
use ventwright::tunnel::RepeatDomain;
use ventwright::units::LatticeVelocity;

use super::row::{ThreadSides, estimated_loss};
use super::speed::ThreadSpeed;

/// Limits that suit threads: their flow is steady, so K has to stand still.
pub(crate) const STEADY_LIMITS: DriveLimits = DriveLimits {
    tolerance: 1e-3,
    other_doubts: 0.0,
    least_time: 4.0,
    longest_time: 40.0,
};

/// How the two families meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Crossing {
    /// A plain weave: each thread goes over one and under the next of the other family, along a cosine. The mesh is two diameters thick.
    Woven,
    /// Straight threads, one family behind the other and touching it. The mesh is two diameters thick.
    Touching,
    /// Both in one plane, grown together where they cross, as in a moulded or welded mesh. It is one diameter thick.
    OnePlane,
}

/// A square mesh; lengths in pitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ThreadMesh {
    /// Open share of the face, (1 − thread diameter / pitch)², between 0 and 1.
    pub(crate) open_fraction: f64,
    /// How the families meet.
    pub(crate) crossing: Crossing,
    /// Thread Reynolds number: velocity ahead of the mesh times thread diameter over viscosity.
    pub(crate) reynolds_number: f64,
    /// Cells per pitch (approximately: the repeat gets a whole number of cells).
    pub(crate) cells_per_pitch: f64,
    /// Velocity ahead of the mesh.
    pub(crate) face_velocity: LatticeVelocity,
    /// Length ahead of the mesh, in pitches.
    pub(crate) pitches_ahead: f64,
    /// Length behind the mesh, in pitches.
    pub(crate) pitches_behind: f64,
    /// What lies beside the part that is computed: between mirrors, a quarter of an opening (of a weave: a quarter of four of them), or all of it.
    pub(crate) sides: ThreadSides,
}

impl ThreadMesh {
    /// A symmetric mesh with about so many cells across a thread, and with the lattice velocity and the room that suit its open fraction and Reynolds number.
    ///
    /// # Validity
    /// Open fractions from 0.3 to 0.9 and Reynolds numbers from 0.5 to 100 have been tried.
    pub(crate) fn new(
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
    pub(crate) fn diameter(&self) -> f64 {
        1.0 - self.open_fraction.sqrt()
    }

    /// Thickness of the mesh, in pitches.
    pub(crate) fn thickness(&self) -> f64 {
        match self.crossing {
            Crossing::Woven | Crossing::Touching => 2.0 * self.diameter(),
            Crossing::OnePlane => self.diameter(),
        }
    }

    /// Whether a place (depth below the front of the mesh, y, z; in pitches) lies in a thread. Threads of the one family run along z with their middle at y = 0, 1 and so on, those of the other along y.
    ///
    /// Straight threads along z are the front ones. Woven ones are round across their own direction, as far as a first-order distance to their middle line goes.
    pub(crate) fn is_solid(&self, [depth, y, z]: [f64; 3]) -> bool {
        let radius = 0.5 * self.diameter();
        let [front, back] = match self.crossing {
            Crossing::Touching => [radius, 3.0 * radius],
            Crossing::OnePlane => [radius; 2],
            Crossing::Woven => {
                return self.is_woven(depth, y, z, radius) || self.is_woven(depth, z, y, -radius);
            }
        };
        let from_middle = |across: f64| across - across.round();
        (depth - front).hypot(from_middle(y)) < radius
            || (depth - back).hypot(from_middle(z)) < radius
    }

    /// Whether a place lies in the woven threads that run `along`: those at an even number of pitches across are `swing` deeper than the middle of the mesh where they begin.
    fn is_woven(&self, depth: f64, across: f64, along: f64, swing: f64) -> bool {
        let nearest = across.round();
        let swing = if nearest.rem_euclid(2.0) < 0.5 {
            swing
        } else {
            -swing
        };
        let (sine, cosine) = (PI * along).sin_cos();
        let slope = PI * swing * sine;
        let from_middle = (depth - self.diameter() - swing * cosine) / slope.hypot(1.0);
        from_middle.hypot(across - nearest) < 0.5 * self.diameter()
    }

    /// The mesh as a repeat whose unit of length is the pitch; to be built with the sides of the mesh.
    ///
    /// Its unit of time is that in which the stream passes a pitch; in slow flow, where viscosity is quicker, a quarter of the time that viscosity takes for a pitch.
    pub(crate) fn repeat(&self) -> RepeatDomain {
        // A weave is its own image half as often as straight threads are.
        let half = match self.crossing {
            Crossing::Woven => 1.0,
            Crossing::Touching | Crossing::OnePlane => 0.5,
        };
        let width = match self.sides {
            ThreadSides::Mirrors => half,
            ThreadSides::Periodic => 2.0 * half,
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

/// Runs `mesh` until it is steady. Lengths of the outcome are in pitches, and K is on the velocity ahead of the mesh.
pub(crate) fn solve_mesh(mesh: &ThreadMesh) -> RepeatOutcome {
    let (domain, solid) = (mesh.repeat(), |place| mesh.is_solid(place));
    let engines = &Threads::One;
    let mut go_on = |_: &_| ControlFlow::Continue(());
    match mesh.sides {
        ThreadSides::Mirrors => {
            drive_mirrored_repeat(&domain, &solid, &STEADY_LIMITS, engines, &mut go_on)
        }
        ThreadSides::Periodic => drive_repeat(&domain, &solid, &STEADY_LIMITS, engines, &mut go_on),
    }
}
