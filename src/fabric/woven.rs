//! Woven monofilament and square metal mesh: threads over and under each other, openings between them.

use std::f64::consts::PI;

use crate::fabric::screen::Grid;

/// What a mesh is made of; it changes no air flow, only the weight and the words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshMaterial {
    /// Plastic filaments.
    Monofilament,
    /// Metal wires.
    Metal,
}

/// A plain weave of round threads with rectangular openings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Woven {
    /// Filaments or wires.
    pub material: MeshMaterial,
    /// Diameter of the threads, m.
    pub thread: f64,
    /// Clear opening between neighbouring threads, m.
    pub opening: f64,
    /// Density of the material, kg/m³.
    pub density: f64,
}

impl Woven {
    /// Distance from thread to thread, m.
    pub fn pitch(&self) -> f64 {
        self.opening + self.thread
    }

    /// The mesh as two rows of threads.
    ///
    /// ```text
    /// f = (w / (w + d))^2      w: opening;  d: thread
    /// ```
    pub fn grid(&self) -> Grid {
        Grid {
            thread: self.thread,
            pitches: [self.pitch(); 2],
            open_fraction: (self.opening / self.pitch()).powi(2),
        }
    }

    /// Mass per area, kg/m², of straight threads; the waves of a weave add a few per cent.
    pub fn mass_per_area(&self) -> f64 {
        0.5 * PI * self.thread * self.thread * self.density / self.pitch()
    }
}
