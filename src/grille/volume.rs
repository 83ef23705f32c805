//! How much plastic a grille takes.

use std::f64::consts::PI;

use crate::grille::Grille;

impl Grille {
    /// Volume of the plate in the bore, m³: disc less openings less what the edges take away.
    ///
    /// Turned and leaned holes have the same section at every depth, so they take the same volume (Cavalieri). `perimeters` holds the
    /// perimeter of each opening, m.
    pub(super) fn plastic_volume(&self, open_area: f64, perimeters: &[f64]) -> f64 {
        let disc = PI * self.bore_diameter * self.bore_diameter / 4.0;
        let edges: f64 = perimeters
            .iter()
            .map(|&perimeter| {
                self.front_edge.removed_volume(perimeter) + self.back_edge.removed_volume(perimeter)
            })
            .sum();
        ((disc - open_area) * self.thickness - edges).max(0.0)
    }
}
