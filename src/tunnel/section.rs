//! The plate of the hole view and the half-slot view, as walls for the lattice.

use crate::lattice::walls::{Geometry, WallGroup, WallPoint};

/// Shape of the edge of an opening, in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EdgeShape {
    /// A right angle.
    Sharp,
    /// A quarter circle of this radius.
    Rounded(f64),
    /// A 45 degree chamfer of this depth.
    Chamfered(f64),
}

/// A plate with an opening from the axis (or mirror plane) at y = −1/2 outwards; lengths in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSection {
    /// Distance of the opening's wall from the axis: radius of the hole, half the width of the slot.
    pub opening: f64,
    /// x of the face that meets the flow first.
    pub front: f64,
    /// Plate thickness.
    pub thickness: f64,
    /// Edge that meets the flow first.
    pub front_edge: EdgeShape,
    /// Edge at the far face.
    pub rear_edge: EdgeShape,
    /// Number of columns; beyond them x is open on the far side.
    pub cells_along: usize,
    /// Number of rows.
    pub cells_across: usize,
    /// Velocity with which the fluid enters through the plane x = −1/2.
    pub inflow: f64,
}

impl PlateSection {
    /// Whether a point lies in the plate: x along the flow as of [`Self::front`], and the distance from the axis or mirror plane.
    pub fn is_plate(&self, x: f64, distance: f64) -> bool {
        let depth = x - self.front;
        if depth < 0.0 || depth > self.thickness || distance < self.opening {
            return false;
        }
        let from_wall = distance - self.opening;
        !is_cut_off(self.front_edge, depth, from_wall)
            && !is_cut_off(self.rear_edge, self.thickness - depth, from_wall)
    }
}

/// Whether the edge has been cut away at this depth below the face and distance behind the opening's wall.
fn is_cut_off(edge: EdgeShape, depth: f64, from_wall: f64) -> bool {
    match edge {
        EdgeShape::Sharp => false,
        EdgeShape::Chamfered(size) => depth + from_wall < size,
        EdgeShape::Rounded(radius) => {
            let (a, b) = (radius - depth, radius - from_wall);
            a > 0.0 && b > 0.0 && a * a + b * b > radius * radius
        }
    }
}

impl Geometry for PlateSection {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        let [x, y, _] = point;
        if x < -0.5 {
            return Some(WallPoint {
                group: WallGroup::Rim,
                velocity: [self.inflow, 0.0, 0.0],
            });
        }
        // Both sides are mirrors: fold the point back between them.
        let height = self.cells_across as f64;
        let distance = (y + 0.5).abs();
        let distance = if distance > height {
            2.0 * height - distance
        } else {
            distance
        };
        self.is_plate(x, distance).then_some(WallPoint {
            group: WallGroup::Body,
            velocity: [0.0; 3],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(front_edge: EdgeShape) -> PlateSection {
        PlateSection {
            opening: 10.0,
            front: 20.5,
            thickness: 8.0,
            front_edge,
            rear_edge: EdgeShape::Sharp,
            cells_along: 60,
            cells_across: 16,
            inflow: 0.01,
        }
    }

    #[test]
    fn sharp_plate_is_solid_beyond_the_opening() {
        let p = plate(EdgeShape::Sharp);
        assert!(p.wall_at([24.0, 9.0, 0.0]).is_none());
        assert!(p.wall_at([24.0, 10.0, 0.0]).is_some());
        assert!(p.wall_at([20.0, 12.0, 0.0]).is_none());
        assert!(p.wall_at([29.0, 12.0, 0.0]).is_none());
    }

    #[test]
    fn rounded_edge_opens_the_corner_only() {
        let p = plate(EdgeShape::Rounded(4.0));
        assert!(p.wall_at([20.6, 9.7, 0.0]).is_none());
        assert!(p.wall_at([24.6, 9.7, 0.0]).is_some());
        assert!(p.wall_at([20.6, 14.0, 0.0]).is_some());
    }

    #[test]
    fn mirrors_continue_the_plate() {
        let p = plate(EdgeShape::Sharp);
        assert!(p.wall_at([24.0, 16.0, 0.0]).is_some());
        assert!(p.wall_at([24.0, -1.0, 0.0]).is_none());
    }
}
