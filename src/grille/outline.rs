//! The outline of one hole: a convex polygon, rounded by a radius.
//!
//! Every hole shape is the set of all points within `radius` of a convex core: a point (round hole), a segment (slot) or a polygon.
//! Area, perimeter and distance of such a body have closed forms (Steiner's formula), so only pictures and cuts need many-sided polygons.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, FRAC_PI_6, PI, SQRT_2, TAU};

use crate::grille::HoleShape;
use crate::grille::convex;

/// Straight pieces that stand for a full turn of a rounded outline.
const SEGMENTS_PER_TURN: f64 = 96.0;

/// All points within `radius` of a convex core, about the hole's own axis; lengths in m.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Corners of the core, counter-clockwise in the (y, z) plane; one for a point, two for a segment.
    pub core: Vec<[f64; 2]>,
    /// Radius of the rounding, m; 0 for sharp corners.
    pub radius: f64,
}

impl Outline {
    /// The outline turned by `angle` about its own axis and moved to `centre`.
    #[must_use]
    pub fn posed(&self, centre: [f64; 2], angle: f64) -> Self {
        let core = self
            .core
            .iter()
            .map(|&corner| convex::add(centre, convex::rotate(corner, angle)))
            .collect();
        Self {
            core,
            radius: self.radius,
        }
    }

    /// The outline scaled about its own axis.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let core = self
            .core
            .iter()
            .map(|corner| [corner[0] * factor, corner[1] * factor])
            .collect();
        Self {
            core,
            radius: self.radius * factor,
        }
    }

    /// Enclosed area, m².
    ///
    /// ```text
    /// A = A_core + P_core r + pi r²      (Steiner's formula for convex bodies; a segment counts there and back in P_core)
    /// ```
    pub fn area(&self) -> f64 {
        convex::area(&self.core)
            + convex::perimeter(&self.core) * self.radius
            + PI * self.radius * self.radius
    }

    /// Length of the outline, m: `P_core + 2 pi r`.
    pub fn perimeter(&self) -> f64 {
        convex::perimeter(&self.core) + TAU * self.radius
    }

    /// Largest distance of the outline from the origin, m.
    pub fn farthest(&self) -> f64 {
        self.core
            .iter()
            .map(|corner| convex::length(*corner))
            .fold(0.0, f64::max)
            + self.radius
    }

    /// Least distance of the outline from the origin, m; 0 if it surrounds the origin.
    pub fn nearest(&self) -> f64 {
        (convex::signed_distance(&self.core, [0.0, 0.0]) - self.radius).max(0.0)
    }

    /// The outline as a polygon, counter-clockwise, not closed; a full turn of rounding has 96 pieces with their corners on the true
    /// curve.
    pub fn points(&self) -> Vec<[f64; 2]> {
        self.points_per_turn(SEGMENTS_PER_TURN)
    }

    /// The outline as a polygon, with this many pieces for a full turn of rounding.
    pub(super) fn points_per_turn(&self, pieces_per_turn: f64) -> Vec<[f64; 2]> {
        if self.radius <= 0.0 {
            return self.core.clone();
        }
        let count = self.core.len();
        let mut points = Vec::new();
        for (index, &corner) in self.core.iter().enumerate() {
            let (start, sweep) = if count == 1 {
                (0.0, TAU * (1.0 - 1.0 / pieces_per_turn))
            } else {
                let before = self.core[(index + count - 1) % count];
                let after = self.core[(index + 1) % count];
                let incoming = convex::direction(convex::subtract(corner, before)) - FRAC_PI_2;
                let outgoing = convex::direction(convex::subtract(after, corner)) - FRAC_PI_2;
                let sweep = (outgoing - incoming).rem_euclid(TAU);
                // Two edges of a segment point exactly against each other: half a turn.
                (incoming, if count == 2 { PI } else { sweep })
            };
            let pieces = (pieces_per_turn * sweep / TAU).round().max(1.0);
            let mut piece = 0.0;
            while piece <= pieces {
                let angle = start + sweep * piece / pieces;
                points.push(convex::add(corner, convex::polar(self.radius, angle)));
                piece += 1.0;
            }
        }
        points
    }
}

/// A length that gives the size of a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoleLength {
    /// Short name, without a unit: it enters the inputs of a run and so their keys.
    pub name: &'static str,
    /// Name in messages.
    pub in_words: &'static str,
    /// The length, m.
    pub value: f64,
}

impl HoleShape {
    /// One of each shape, for whatever goes over all of them: as wide as `size` where only one length gives the size; where two do, the longer one by `more`. Both in m.
    pub fn one_of_each(size: f64, more: f64) -> Vec<Self> {
        // Each shape names the next, so that a new one does not compile before it has its place.
        let next = |shape: &Self| match shape {
            Self::Round { .. } => Some(Self::Square { side: size }),
            Self::Square { .. } => Some(Self::Hexagon { across_flats: size }),
            Self::Hexagon { .. } => Some(Self::Triangle { side: size }),
            Self::Triangle { .. } => Some(Self::Rhombus {
                along: size + more,
                across: size,
            }),
            Self::Rhombus { .. } => Some(Self::Slot {
                width: size,
                length: size + more,
            }),
            Self::Slot { .. } => None,
        };
        let first = Some(Self::Round { diameter: size });
        std::iter::successors(first, next).collect()
    }

    /// The lengths that give its size.
    pub fn lengths(&self) -> Vec<HoleLength> {
        let length = |name, in_words, value| HoleLength {
            name,
            in_words,
            value,
        };
        match *self {
            Self::Round { diameter } => vec![length("round", "the hole's diameter", diameter)],
            Self::Square { side } => vec![length("square_side", "the hole's side", side)],
            Self::Hexagon { across_flats } => vec![length(
                "hexagon_across_flats",
                "the hole's size across flats",
                across_flats,
            )],
            Self::Triangle { side } => vec![length("triangle_side", "the hole's side", side)],
            Self::Rhombus { along, across } => vec![
                length("rhombus_along", "the hole's diagonal along the rows", along),
                length(
                    "rhombus_across",
                    "the hole's diagonal across the rows",
                    across,
                ),
            ],
            Self::Slot {
                width,
                length: long,
            } => vec![
                length("slot_width", "the slot's width", width),
                length("slot_length", "the slot's length", long),
            ],
        }
    }

    /// Width and length of a slot that is shorter than wide.
    pub fn as_short_slot(&self) -> Option<[f64; 2]> {
        match *self {
            Self::Slot { width, length } if length < width => Some([width, length]),
            _ => None,
        }
    }

    /// The outline as drawn, about the centre of area.
    ///
    /// A square has its sides along y and z, a hexagon two flats that face ±y, a triangle its base along y and its tip at +z, a rhombus
    /// its diagonals along y and z, a slot its long side along y.
    pub fn outline(&self) -> Outline {
        let (core, radius) = match *self {
            Self::Round { diameter } => (vec![[0.0, 0.0]], 0.5 * diameter),
            Self::Square { side } => (regular(4, side / SQRT_2, PI / 4.0), 0.0),
            Self::Hexagon { across_flats } => {
                (regular(6, across_flats / 3.0_f64.sqrt(), FRAC_PI_6), 0.0)
            }
            Self::Triangle { side } => (regular(3, side / 3.0_f64.sqrt(), FRAC_PI_2), 0.0),
            Self::Rhombus { along, across } => {
                let (y, z) = (0.5 * along, 0.5 * across);
                (vec![[y, 0.0], [0.0, z], [-y, 0.0], [0.0, -z]], 0.0)
            }
            Self::Slot { width, length } => {
                let half = 0.5 * (length - width);
                let core = if half > 0.0 {
                    vec![[-half, 0.0], [half, 0.0]]
                } else {
                    vec![[0.0, 0.0]]
                };
                (core, 0.5 * width)
            }
        };
        Outline { core, radius }
    }

    /// Area of a hole, m².
    pub fn area(&self) -> f64 {
        self.outline().area()
    }

    /// Length of a hole's outline, m.
    pub fn perimeter(&self) -> f64 {
        self.outline().perimeter()
    }

    /// Hydraulic diameter of a hole, m: 4 × area ÷ perimeter.
    ///
    /// ```
    /// use ventwright::grille::HoleShape;
    /// let hexagon = HoleShape::Hexagon { across_flats: 0.005 };
    /// assert!((hexagon.hydraulic_diameter() - 0.005).abs() < 1e-15); // any polygon around a circle: the circle's diameter
    /// ```
    pub fn hydraulic_diameter(&self) -> f64 {
        4.0 * self.area() / self.perimeter()
    }

    /// Distance of the farthest point of the outline from the hole's axis, m.
    pub fn circumradius(&self) -> f64 {
        self.outline().farthest()
    }

    /// Diameter of the largest circle inside, m.
    pub fn inscribed_diameter(&self) -> f64 {
        match *self {
            Self::Round { diameter } => diameter,
            Self::Square { side } => side,
            Self::Hexagon { across_flats } => across_flats,
            Self::Triangle { side } => side / 3.0_f64.sqrt(),
            Self::Rhombus { along, across } => along * across / along.hypot(across),
            Self::Slot { width, .. } => width,
        }
    }

    /// Extent along y and z as drawn, m.
    pub fn extent(&self) -> [f64; 2] {
        match *self {
            Self::Round { diameter } => [diameter, diameter],
            Self::Square { side } => [side, side],
            Self::Hexagon { across_flats } => [across_flats, 2.0 * across_flats / 3.0_f64.sqrt()],
            Self::Triangle { side } => [side, 0.5 * 3.0_f64.sqrt() * side],
            Self::Rhombus { along, across } => [along, across],
            Self::Slot { width, length } => [length, width],
        }
    }

    /// Angle, in radians, after which the turned outline covers itself again; 0 for a round hole.
    pub fn turning_period(&self) -> f64 {
        match *self {
            Self::Round { .. } => 0.0,
            Self::Square { .. } => FRAC_PI_2,
            Self::Hexagon { .. } => FRAC_PI_3,
            Self::Triangle { .. } => TAU / 3.0,
            Self::Rhombus { .. } | Self::Slot { .. } => PI,
        }
    }
}

/// A regular polygon about the origin whose first corner lies in direction `first`.
fn regular(count: u32, circumradius: f64, first: f64) -> Vec<[f64; 2]> {
    (0..count)
        .map(|index| {
            convex::polar(
                circumradius,
                first + TAU * f64::from(index) / f64::from(count),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_of_a_slot_enclose_its_area() {
        let slot = HoleShape::Slot {
            width: 0.004,
            length: 0.012,
        };
        let polygon = slot.outline().points();
        let ratio = convex::area(&polygon) / slot.area();
        assert!(ratio < 1.0 && ratio > 0.999, "{ratio}");
    }

    #[test]
    fn a_slot_as_long_as_wide_is_a_circle() {
        let slot = HoleShape::Slot {
            width: 0.004,
            length: 0.004,
        };
        assert_eq!(
            slot.outline(),
            HoleShape::Round { diameter: 0.004 }.outline()
        );
    }

    #[test]
    fn turning_by_the_period_covers_the_outline_again() {
        for shape in [
            HoleShape::Square { side: 1.0 },
            HoleShape::Hexagon { across_flats: 1.0 },
            HoleShape::Triangle { side: 1.0 },
            HoleShape::Rhombus {
                along: 2.0,
                across: 1.0,
            },
        ] {
            let drawn = shape.outline();
            let turned = drawn.posed([0.0, 0.0], shape.turning_period());
            for corner in turned.core {
                let is_there = drawn
                    .core
                    .iter()
                    .any(|other| convex::length(convex::subtract(corner, *other)) < 1e-12);
                assert!(is_there, "{shape:?}");
            }
        }
    }
}
