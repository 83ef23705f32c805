//! How a hole moves and turns on its way through the plate.
//!
//! Depth runs from 0 at the front face to 1 at the back face; x points the same way and (x, y, z) is right-handed, so a positive angle
//! turns y towards z as the depth grows. A right-handed helix is the same from both sides. Lean and pattern twist are drawn at mid-depth;
//! a positive lean shifts a hole towards growing angle about the fan axis as the depth grows (the fan turning that way, air entering at the
//! front).

use crate::grille::convex;
use crate::grille::{CountedFrom, Hands, HoleShape, Layout, Turn};

/// Largest twist, in radians and by either hand, before neighbouring holes touch; `None` if they never do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwistLimit {
    /// From face to face, the drawn outline lying at mid-depth.
    pub from_mid_depth: Option<f64>,
    /// From face to face, the drawn outline lying at one of the faces.
    pub from_face: Option<f64>,
}

/// A hole in its place, as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PlacedHole {
    /// Column and row of its repeat, and its number within the repeat.
    pub(super) index: (i64, i64, usize),
    /// Centre, m.
    pub(super) centre: [f64; 2],
    /// How far it is turned in the drawing, radians.
    pub(super) angle: f64,
    /// +1 or -1: by which hand it twists for a positive twist.
    pub(super) hand: f64,
}

impl Turn {
    /// Depth fraction at which the drawn outline lies.
    pub fn drawn_depth(&self) -> f64 {
        match self {
            Self::Twist {
                counted_from: CountedFrom::Front,
                ..
            } => 0.0,
            Self::Twist {
                counted_from: CountedFrom::Back,
                ..
            } => 1.0,
            _ => 0.5,
        }
    }

    /// Angles, least and largest, by which an outline is turned about its own axis over the thickness; radians.
    pub(super) fn own_angles(&self) -> (f64, f64) {
        match *self {
            Self::Twist { angle, .. } => {
                let (front, back) = (
                    -self.drawn_depth() * angle,
                    (1.0 - self.drawn_depth()) * angle,
                );
                (front.min(back), front.max(back))
            }
            _ => (0.0, 0.0),
        }
    }

    /// Centre and angle of a placed hole at a depth fraction.
    pub(super) fn pose(&self, hole: &PlacedHole, thickness: f64, depth: f64) -> ([f64; 2], f64) {
        let share = depth - self.drawn_depth();
        match *self {
            Self::Straight => (hole.centre, hole.angle),
            Self::Twist { angle, .. } => (hole.centre, hole.angle + hole.hand * angle * share),
            Self::Lean { angle } => {
                let shift = convex::scale(tangent(hole.centre), thickness * share * angle.tan());
                (convex::add(hole.centre, shift), hole.angle)
            }
            Self::PatternTwist { angle } => (
                convex::rotate(hole.centre, angle * share),
                hole.angle + angle * share,
            ),
        }
    }

    /// Steepest wall against the fan axis, radians: how far a print overhangs.
    ///
    /// ```text
    /// own twist:      atan(r twist / t)   r: distance of the outline's farthest corner from the hole's axis; 0 for a round hole
    /// lean:           the lean itself
    /// pattern twist:  atan(R twist / t)   R: outer radius of the zone
    /// ```
    pub(super) fn wall_angle(
        &self,
        shape: Option<&HoleShape>,
        outer_radius: f64,
        thickness: f64,
    ) -> f64 {
        match *self {
            Self::Straight => 0.0,
            Self::Twist { angle, .. } => {
                let radius = shape
                    .filter(|shape| shape.turning_period() > 0.0)
                    .map_or(0.0, HoleShape::circumradius);
                (radius * angle.abs() / thickness).atan()
            }
            Self::Lean { angle } => angle.abs(),
            Self::PatternTwist { angle } => (outer_radius * angle.abs() / thickness).atan(),
        }
    }
}

/// Unit vector about the fan axis, towards growing angle; zero on the axis itself, where a hole has no side to lean to.
pub(super) fn tangent(centre: [f64; 2]) -> [f64; 2] {
    let radius = convex::length(centre);
    if radius < 1e-9 {
        [0.0, 0.0]
    } else {
        [-centre[1] / radius, centre[0] / radius]
    }
}

/// By which hand the hole with this index twists: +1 or -1.
///
/// Alternate hands follow a chessboard in rows and columns, every other row where rows are shifted (three holes that touch each other cannot
/// all differ), and up against down in the tiling.
pub(super) fn hand(hands: Hands, layout: Layout, (column, row, hole): (i64, i64, usize)) -> f64 {
    let is_odd = match (hands, layout) {
        (Hands::Same, _) => false,
        (Hands::Alternate, Layout::Square) => (column + row).rem_euclid(2) == 1,
        (Hands::Alternate, Layout::Staggered) => row.rem_euclid(2) == 1,
        (Hands::Alternate, Layout::UpDown) => hole == 1,
    };
    if is_odd { -1.0 } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Table "helix angle of the wall" of the trade: t 5 mm, r 4 mm, 60 degrees give 40 degrees (tan = 0.8378).
    #[test]
    fn wall_angle_follows_the_helix() {
        let turn = Turn::Twist {
            angle: 60_f64.to_radians(),
            counted_from: CountedFrom::MidDepth,
            hands: Hands::Same,
        };
        let square = HoleShape::Square {
            side: 0.004 * 2.0_f64.sqrt(),
        };
        let angle = turn.wall_angle(Some(&square), 0.06, 0.005);
        assert!((angle.tan() - 0.837_758).abs() < 1e-5);
    }

    #[test]
    fn a_round_hole_does_not_change_when_it_turns() {
        let turn = Turn::Twist {
            angle: 1.0,
            counted_from: CountedFrom::Front,
            hands: Hands::Same,
        };
        let round = HoleShape::Round { diameter: 0.005 };
        assert!(turn.wall_angle(Some(&round), 0.06, 0.005).abs() < 1e-15);
        assert_eq!(turn.own_angles(), (0.0, 1.0));
    }

    #[test]
    fn direct_neighbours_alternate_where_they_can() {
        let by = |layout, index| hand(Hands::Alternate, layout, index);
        // Chessboard: both neighbours differ.
        for neighbour in [(4, 2, 0), (3, 3, 0)] {
            assert!(by(Layout::Square, (3, 2, 0)) * by(Layout::Square, neighbour) < 0.0);
        }
        // Shifted rows: alike along the row, different across.
        assert!(by(Layout::Staggered, (3, 2, 0)) * by(Layout::Staggered, (4, 2, 0)) > 0.0);
        assert!(by(Layout::Staggered, (3, 2, 0)) * by(Layout::Staggered, (3, 3, 0)) < 0.0);
        assert!(by(Layout::Staggered, (3, -1, 0)) < 0.0);
        assert!(by(Layout::UpDown, (3, 2, 0)) * by(Layout::UpDown, (3, 2, 1)) < 0.0);
        assert!(hand(Hands::Same, Layout::Square, (3, 2, 0)) > 0.0);
    }
}
