//! Depths at which walls have a ring of points, and by how much an edge widens the opening there.

use std::f64::consts::FRAC_PI_2;

use crate::grille::Edge;
use crate::grille::part::arcs;

/// One depth; lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Level {
    /// From the front face.
    pub(super) depth: f64,
    /// By how much the opening is wider than drawn.
    pub(super) opening: f64,
}

/// The plate as far as levels go; lengths in m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plate {
    pub(super) thickness: f64,
    pub(super) front_edge: Edge,
    pub(super) back_edge: Edge,
    pub(super) tolerance: f64,
    /// By how much all walls are moved into the plastic.
    pub(super) offset: f64,
}

impl Plate {
    /// Levels from the front face to the back face, at least `turning_steps` of equal depth where a hole turns.
    ///
    /// No edge widens an opening by more than `widest`.
    pub(super) fn levels(&self, turning_steps: usize, widest: f64) -> Vec<Level> {
        // Half of the tolerance is left for the outlines.
        let mut corners = profile(self.front_edge, 0.5 * self.tolerance);
        let back = profile(self.back_edge, 0.5 * self.tolerance);
        corners.extend(back.into_iter().rev().map(|level| Level {
            depth: self.thickness - level.depth,
            ..level
        }));
        corners.dedup_by(|next, level| next.depth <= level.depth + 1e-9 * self.thickness);
        for level in &mut corners {
            level.opening = level.opening.min(widest).max(0.0);
        }
        let mut levels = vec![corners[0]];
        for pair in corners.windows(2) {
            let steps = turning_steps as f64 * (pair[1].depth - pair[0].depth) / self.thickness;
            let steps = (steps - 1e-9).ceil().max(1.0);
            let mut step = 1.0;
            while step <= steps {
                let share = step / steps;
                levels.push(Level {
                    depth: pair[0].depth + share * (pair[1].depth - pair[0].depth),
                    opening: pair[0].opening + share * (pair[1].opening - pair[0].opening),
                });
                step += 1.0;
            }
        }
        levels
    }
}

/// The corners of an edge, from its face inwards.
fn profile(edge: Edge, tolerance: f64) -> Vec<Level> {
    let level = |depth, opening| Level { depth, opening };
    match edge {
        Edge::Sharp => vec![level(0.0, 0.0)],
        Edge::Chamfered(size) => vec![level(0.0, size), level(size, 0.0)],
        Edge::Rounded(radius) => {
            let pieces = arcs::piece_count(radius, FRAC_PI_2, tolerance);
            let arc = arcs::unit_arc(0.0, FRAC_PI_2, pieces);
            let last = arc.len() - 1;
            let place = |(index, [across, along]): (usize, [f64; 2])| match index {
                0 => level(0.0, radius),
                _ if index == last => level(radius, 0.0),
                _ => level(radius * (1.0 - across), radius * (1.0 - along)),
            };
            arc.into_iter().enumerate().map(place).collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(front_edge: Edge, back_edge: Edge) -> Plate {
        Plate {
            thickness: 3e-3,
            front_edge,
            back_edge,
            tolerance: 2e-5,
            offset: 0.0,
        }
    }

    #[test]
    fn a_rounding_takes_its_own_area_off_the_wall() {
        let levels = plate(Edge::Rounded(1e-3), Edge::Sharp).levels(1, 1.0);
        let area: f64 = levels
            .windows(2)
            .map(|pair| 0.5 * (pair[0].opening + pair[1].opening) * (pair[1].depth - pair[0].depth))
            .sum();
        assert!((area / ((1.0 - std::f64::consts::FRAC_PI_4) * 1e-6) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn levels_go_from_face_to_face_without_one_twice() {
        for (front, back) in [
            (Edge::Sharp, Edge::Sharp),
            (Edge::Chamfered(1.5e-3), Edge::Rounded(1.5e-3)),
            (Edge::Rounded(0.4e-3), Edge::Chamfered(1e-3)),
        ] {
            let levels = plate(front, back).levels(7, 1.0);
            assert!(levels[0].depth.abs() < 1e-15);
            assert!((levels.last().unwrap().depth - 3e-3).abs() < 1e-12);
            assert!(levels.len() > 7);
            for pair in levels.windows(2) {
                assert!(pair[1].depth > pair[0].depth + 1e-9, "{levels:?}");
            }
        }
    }
}
