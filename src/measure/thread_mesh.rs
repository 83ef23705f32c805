//! Drives a mesh of threads: a repeat in three dimensions, between mirrors or whole.

use std::ops::ControlFlow;

use crate::lattice::step::Threads;
use crate::measure::repeat::{RepeatOutcome, drive_mirrored_repeat, drive_repeat};
use crate::measure::series::StopReason;
use crate::measure::settle::{DriveLimits, DriveProgress};
use crate::tunnel::{ThreadMesh, ThreadSides};

/// Runs `mesh` on `threads`. The observer is asked at every sample, sixty times per unit of time ([`ThreadMesh::repeat`] says which), and may break off.
///
/// Lengths of the outcome are in pitches, and K is on the velocity ahead of the mesh.
pub fn drive_thread_mesh(
    mesh: &ThreadMesh,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let (domain, solid) = (mesh.repeat(), |place| mesh.is_solid(place));
    match mesh.sides {
        ThreadSides::Mirrors => drive_mirrored_repeat(&domain, &solid, limits, &threads, observer),
        ThreadSides::Periodic => drive_repeat(&domain, &solid, limits, &threads, observer),
    }
}
