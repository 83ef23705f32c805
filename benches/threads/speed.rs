//! How fast air may go on the lattice between threads: as fast as density, lattice and viscosity bear.

use ventwright::units::LatticeVelocity;

/// Density rise across the threads that is aimed at; 1 % is the limit.
const DENSITY_RISE: f64 = 0.004;

/// Fastest velocity in the gaps.
const FASTEST: f64 = 0.06;

/// Largest viscosity: beyond it walls move off their place.
const THICKEST: f64 = 0.3;

/// What decides it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ThreadSpeed {
    /// Roughly how much the threads cost.
    pub(crate) loss_coefficient: f64,
    /// Open share of the face.
    pub(crate) open_fraction: f64,
    /// Reynolds number of a thread on the velocity ahead of it.
    pub(crate) reynolds_number: f64,
    /// Cells per thread diameter.
    pub(crate) cells_across_thread: f64,
}

impl ThreadSpeed {
    /// Velocity ahead of the threads.
    pub(crate) fn face_velocity(&self) -> LatticeVelocity {
        let by_density = (DENSITY_RISE / (1.5 * self.loss_coefficient)).sqrt();
        let by_gap = FASTEST * self.open_fraction;
        let by_viscosity = THICKEST * self.reynolds_number / self.cells_across_thread;
        LatticeVelocity(by_density.min(by_gap).min(by_viscosity))
    }
}
