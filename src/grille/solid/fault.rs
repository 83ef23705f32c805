//! Patterns of which no solid can be made.

use crate::grille::checks::{LARGEST_LEAN, LARGEST_TWIST};
use crate::grille::{Edge, HolePattern, Turn};

/// Why a pattern has no solid repeat; lengths in m, angles in radians.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RepeatSolidError {
    /// The layout does not suit the shape.
    #[error("the layout does not suit the shape of the holes; up and down is for triangles")]
    LayoutNotForShape,
    /// A number is not finite or not in its range.
    #[error("{quantity} is {value} (m or rad), which cannot be built")]
    OutOfRange {
        /// Which number, in words.
        quantity: &'static str,
        /// Value, in m or rad.
        value: f64,
    },
    /// Front and back edge together are deeper than the plate.
    #[error("the edges reach {edges} m into a plate of {thickness} m")]
    EdgesTooDeep {
        /// Sum of both edges.
        edges: f64,
        /// Plate thickness.
        thickness: f64,
    },
    /// Turned holes run into each other, and the pattern does not accept that.
    #[error("turned holes run into each other: the least rib is {least_rib} m")]
    HolesMerge {
        /// Least wall over the thickness; negative.
        least_rib: f64,
    },
}

/// Numbers that cannot be built.
pub(super) fn check(
    pattern: &HolePattern,
    thickness: f64,
    front_edge: Edge,
    back_edge: Edge,
    radius: f64,
) -> Result<(), RepeatSolidError> {
    let [along, across] = pattern.shape.extent();
    let lengths = [
        ("the thickness", thickness),
        ("the rib", pattern.rib),
        ("the hole's extent along y", along),
        ("the hole's extent along z", across),
    ];
    let is_slot_too_short = pattern.shape.as_short_slot().is_some();
    let (angle, largest) = match pattern.turn {
        Turn::Straight => (0.0, LARGEST_LEAN),
        Turn::Lean { angle } => (angle, LARGEST_LEAN),
        Turn::Twist { angle, .. } | Turn::PatternTwist { angle } => (angle, LARGEST_TWIST),
    };
    let wrong = lengths
        .into_iter()
        .map(|(quantity, value)| (quantity, value, value.is_finite() && value > 0.0))
        .chain([
            (
                "the front edge",
                front_edge.size(),
                front_edge.size() >= 0.0,
            ),
            ("the back edge", back_edge.size(), back_edge.size() >= 0.0),
            ("the slot's length", along, !is_slot_too_short),
            ("the angle of turning", angle, angle.abs() <= largest),
            (
                "the distance from the fan axis",
                radius,
                radius.is_finite() && radius >= 0.0,
            ),
        ])
        .find(|(_, _, is_right)| !is_right);
    if let Some((quantity, value, _)) = wrong {
        return Err(RepeatSolidError::OutOfRange { quantity, value });
    }
    let edges = front_edge.size() + back_edge.size();
    if edges > thickness * (1.0 + 1e-9) {
        return Err(RepeatSolidError::EdgesTooDeep { edges, thickness });
    }
    Ok(())
}

/// Turned holes that run into each other although the pattern does not accept that.
pub(super) fn check_merging(pattern: &HolePattern) -> Result<(), RepeatSolidError> {
    let Turn::Twist { hands, .. } = pattern.turn else {
        return Ok(());
    };
    if pattern.merging_accepted {
        return Ok(());
    }
    let neighbours = pattern
        .neighbours(pattern.rib, hands)
        .ok_or(RepeatSolidError::LayoutNotForShape)?;
    let (low, high) = pattern.turn.own_angles();
    let least_rib = neighbours.least_wall(low, high);
    if least_rib < 0.0 {
        return Err(RepeatSolidError::HolesMerge { least_rib });
    }
    Ok(())
}
