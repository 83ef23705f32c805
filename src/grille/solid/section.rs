//! The section of a repeat at one depth: which points are solid, and by how much the others are not.

use crate::grille::convex;
use crate::grille::solid::{RepeatSolid, SolidHole};
use crate::grille::{Edge, Outline};

/// A section of a [`RepeatSolid`] at one depth, for many points; made by [`RepeatSolid::section`].
#[derive(Debug, Clone, Copy)]
pub struct RepeatSection<'a> {
    pub(super) solid: &'a RepeatSolid,
    /// How far the holes have moved along +y since they were drawn, m.
    pub(super) shift: f64,
    /// How far a right-handed hole has turned since it was drawn, radians.
    pub(super) angle: f64,
    /// Its sine.
    pub(super) sine: f64,
    /// Its cosine.
    pub(super) cosine: f64,
    /// What the edge does here.
    pub(super) rim: Rim,
    /// By how much it widens the openings, m.
    pub(super) opening: f64,
}

impl RepeatSection<'_> {
    /// Whether there is solid at a place, which may lie in any repeat; m. Walls belong to the solid.
    pub fn is_solid(&self, y: f64, z: f64) -> bool {
        let widened = self.solid.outline.radius + self.opening;
        !self.is_any_hole(y, z, |point| self.solid.core.distance(point) < widened)
    }

    /// How far a place lies within an opening, m: positive in the air, zero or negative in the solid.
    ///
    /// By how much it may change for a metre's move of the place to the side: one; for the depth see [`RepeatSolid::wall_fraction`].
    /// In the solid only the sign counts.
    pub(super) fn margin(&self, y: f64, z: f64) -> f64 {
        let mut margin = -self.solid.inscribed_diameter;
        self.is_any_hole(y, z, |point| {
            let outside = self.solid.core.distance(point) - self.solid.outline.radius;
            margin = margin.max(self.rim.margin(outside));
            false
        });
        margin
    }

    /// The outline of a hole here, widened by the edge.
    pub(super) fn outline(&self, hole: &SolidHole) -> Outline {
        let centre = [hole.centre[0] + self.shift, hole.centre[1]];
        let mut outline = self
            .solid
            .outline
            .posed(centre, hole.angle + hole.hand * self.angle);
        outline.radius += self.opening;
        outline
    }

    /// Whether `accept` is true for any hole that may reach the place, in whatever repeat; it gets the place as seen from the hole's
    /// axis, turned back to the outline as drawn upright.
    fn is_any_hole(&self, y: f64, z: f64, mut accept: impl FnMut([f64; 2]) -> bool) -> bool {
        let [along, across] = self.solid.extent;
        let [reach_along, reach_across] = self.solid.reach;
        for (hole, &(upright_sine, upright_cosine)) in
            self.solid.holes.iter().zip(&self.solid.uprights)
        {
            let y = nearest(y - self.shift - hole.centre[0], along);
            let z = nearest(z - hole.centre[1], across);
            let turned_sine = hole.hand * self.sine;
            let sine = upright_sine * self.cosine + upright_cosine * turned_sine;
            let cosine = upright_cosine * self.cosine - upright_sine * turned_sine;
            let (first_row, last_row) = images(z, across, reach_across);
            let (first_column, last_column) = images(y, along, reach_along);
            let mut row = first_row;
            while row <= last_row {
                let mut column = first_column;
                while column <= last_column {
                    let (y, z) = (y - column * along, z - row * across);
                    if accept([y * cosine + z * sine, z * cosine - y * sine]) {
                        return true;
                    }
                    column += 1.0;
                }
                row += 1.0;
            }
        }
        false
    }
}

/// The distance to the nearest image of a point that repeats by `extent`.
///
/// Adding and taking away 1.5 · 2⁵² rounds to a whole number (from memory): faster than a call where the processor's own rounding is not
/// counted on. Two images as near as each other serve equally.
fn nearest(distance: f64, extent: f64) -> f64 {
    const ROUNDS: f64 = 6_755_399_441_055_744.0;
    let count = (distance / extent + ROUNDS) - ROUNDS;
    distance - extent * count
}

/// First and last image, counted from the nearest, that lies within `reach`; none if the first is above the last.
fn images(distance: f64, extent: f64, reach: f64) -> (f64, f64) {
    if distance.abs() > reach && distance.abs() + reach < extent {
        (1.0, 0.0)
    } else if distance.abs() + reach < extent {
        (0.0, 0.0)
    } else {
        (
            ((distance - reach) / extent).ceil(),
            ((distance + reach) / extent).floor(),
        )
    }
}

/// What an edge does at one depth; lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::grille) enum Rim {
    /// Nothing: the wall as drawn.
    Wall,
    /// A rounding.
    Rounded {
        /// Radius.
        radius: f64,
        /// Distance from the face.
        from_face: f64,
    },
    /// A 45 degree chamfer that ends `rest` deeper.
    Chamfered {
        /// Depth from here to where the chamfer ends.
        rest: f64,
    },
}

impl Rim {
    /// The edge at this distance from its face, m, less than its size.
    pub(in crate::grille) fn new(edge: Edge, from_face: f64) -> Self {
        match edge {
            Edge::Sharp => Self::Wall,
            Edge::Rounded(radius) => Self::Rounded { radius, from_face },
            Edge::Chamfered(depth) => Self::Chamfered {
                rest: depth - from_face,
            },
        }
    }

    /// By how much the opening is wider than drawn, m: r - √(x (2 r - x)) at x from the face for a rounding, the rest of the depth for a
    /// chamfer.
    pub(in crate::grille) fn opening(&self) -> f64 {
        match *self {
            Self::Wall => 0.0,
            Self::Rounded { radius, from_face } => {
                radius - (from_face * (2.0 * radius - from_face)).sqrt()
            }
            Self::Chamfered { rest } => rest,
        }
    }

    /// How far a point `outside` m outside of the drawn outline (negative inside) is from being solid; positive in the air, m.
    ///
    /// Of a rounding it is the distance from the circle in the plane of depth and offset, so it changes by a metre a metre at most, even
    /// where the wall runs along the face. It is written so that it vanishes where it should to the last digit.
    fn margin(&self, outside: f64) -> f64 {
        match *self {
            Self::Wall => -outside,
            Self::Rounded { radius, from_face } if outside < radius => {
                let inward = radius - outside;
                (inward * inward - from_face * (2.0 * radius - from_face))
                    / (inward.hypot(radius - from_face) + radius)
            }
            Self::Rounded { radius, .. } => radius - outside,
            Self::Chamfered { rest } => rest - outside,
        }
    }
}

/// The convex core of an outline, prepared for many distances.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::grille) struct Core {
    corners: Vec<[f64; 2]>,
    /// None for a point; a segment has one there and one back.
    sides: Vec<Side>,
}

/// An edge of a core.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Side {
    start: [f64; 2],
    /// Unit vector along it.
    along: [f64; 2],
    length: f64,
}

impl Core {
    /// Prepares a core with its corners counter-clockwise.
    pub(in crate::grille) fn new(corners: &[[f64; 2]]) -> Self {
        let count = if corners.len() > 1 { corners.len() } else { 0 };
        let sides = (0..count)
            .map(|index| {
                let edge = convex::subtract(corners[(index + 1) % count], corners[index]);
                let length = convex::length(edge);
                Side {
                    start: corners[index],
                    along: convex::scale(edge, 1.0 / length),
                    length,
                }
            })
            .collect();
        Self {
            corners: corners.to_vec(),
            sides,
        }
    }

    /// Distance of a point from the core; negative inside (distance to the nearest side).
    ///
    /// No point is nearer than its greatest height above a side's line. Where the foot lies on that side, that is the distance; else no side
    /// holds the nearest point, and it is a corner.
    pub(in crate::grille) fn distance(&self, point: [f64; 2]) -> f64 {
        let mut height = f64::NEG_INFINITY;
        let mut is_foot_on_side = false;
        for side in &self.sides {
            let offset = convex::subtract(point, side.start);
            let here = -convex::cross(side.along, offset);
            if here > height {
                let foot = convex::dot(side.along, offset);
                height = here;
                is_foot_on_side = (0.0..=side.length).contains(&foot);
            }
        }
        if is_foot_on_side || (height <= 0.0 && self.sides.len() > 2) {
            return height;
        }
        self.corners
            .iter()
            .map(|&corner| {
                let offset = convex::subtract(point, corner);
                convex::dot(offset, offset)
            })
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::HoleShape;

    /// Against the plain distance of `convex`, which looks at every edge.
    #[test]
    fn distance_from_a_core_is_that_from_its_nearest_edge() {
        let slot = HoleShape::Slot {
            width: 1.0,
            length: 3.0,
        };
        for shape in [
            HoleShape::Round { diameter: 1.0 },
            HoleShape::Square { side: 1.0 },
            HoleShape::Hexagon { across_flats: 1.0 },
            HoleShape::Triangle { side: 1.0 },
            slot,
        ] {
            let corners = shape.outline().core;
            let core = Core::new(&corners);
            for row in -20..=20 {
                for column in -20..=20 {
                    let point = [0.1 * f64::from(column), 0.1 * f64::from(row)];
                    let expected = convex::signed_distance(&corners, point);
                    assert!(
                        (core.distance(point) - expected).abs() < 1e-12,
                        "{shape:?} {point:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_rim_is_air_by_its_margin_where_it_is_air_by_its_opening() {
        for edge in [Edge::Rounded(1.0), Edge::Chamfered(1.0)] {
            for step in 0..100 {
                let rim = Rim::new(edge, 0.01 * f64::from(step));
                for offset in -20..40 {
                    let outside = 0.05 * f64::from(offset) + 1e-3;
                    assert_eq!(
                        outside < rim.opening(),
                        rim.margin(outside) > 0.0,
                        "{rim:?} {outside}"
                    );
                }
            }
        }
    }
}
