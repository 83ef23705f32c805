//! How much plastic a grille takes.

use crate::grille::Grille;

impl Grille {
    /// Volume of the plate in the cut-out, m³: face less openings less what the edges take away.
    ///
    /// Turned and leaned holes have the same section at every depth, so they take the same volume (Cavalieri). `perimeters` holds the
    /// perimeter of each opening, m.
    pub(super) fn plastic_volume(&self, open_area: f64, perimeters: &[f64]) -> f64 {
        let face = self.cut_out.area();
        let edges: f64 = perimeters
            .iter()
            .map(|&perimeter| {
                self.front_edge.removed_volume(perimeter) + self.back_edge.removed_volume(perimeter)
            })
            .sum();
        ((face - open_area) * self.thickness - edges).max(0.0)
    }
}
