//! Virtual smoke: particles that rakes let into moving air and that the air carries, and the light that a camera would see of them.
//!
//! The air is a block of cells whose velocity changes in time ([`Air`]); a particle follows it exactly and falls, drifts and hinders nothing ([`carried`]).
//! Lengths are cells and times those of the velocities; whole numbers are centres of cells.
//! Particles that leave one point of a rake one after the other make a streak line, which is what a thread of smoke shows: not the path of one particle, and not the direction of the
//! air at an instant.

mod air;
mod carried;
mod cloud;
mod exposure;

pub use air::{Air, Between, Beyond};
pub use carried::{Wind, carried};
pub use cloud::{Cloud, Particle, Thread};
pub use exposure::{Exposure, Lens, Shown, long_exposure};
