//! Where the holes of an endless pattern lie: lattice vectors and the holes of one repeat.
//!
//! The pitch follows from the rib, which is the least wall between neighbouring outlines as drawn. Rows run along y.
//!
//! | layout | shape | lattice | pitch |
//! | --- | --- | --- | --- |
//! | square | any | rectangular | extent along y and along z, each plus the rib |
//! | staggered | round, hexagon | hexagonal | diameter or distance across flats, plus the rib (flats face the six neighbours) |
//! | staggered | triangle | hexagonal | side plus the rib |
//! | staggered | rhombus | rows shifted by half a pitch | both diagonals times the factor that leaves the rib between facing sides |
//! | staggered | square, slot | rows shifted by half a pitch | extent along y and along z, each plus the rib |
//! | up and down | triangle | hexagonal, two triangles a repeat | side plus √3 times the rib |
//!
//! Staggered triangles all stand on their rows' base lines, corner beside corner. The difference body of a triangle of side s is a
//! hexagon whose corners lie at s in the directions of the six neighbours, so the wall is least as drawn and such triangles may turn by
//! any angle, all by the same hand.

use crate::grille::convex;
use crate::grille::{HolePattern, HoleShape, Layout};

/// The repeating unit of an endless pattern; lengths in m.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeat {
    /// From one repeat to the next along a row.
    pub first: [f64; 2],
    /// From one row to the next.
    pub second: [f64; 2],
    /// The holes of one repeat.
    pub holes: Vec<RepeatHole>,
}

/// One hole of a repeat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatHole {
    /// Centre, from the repeat's origin, m.
    pub offset: [f64; 2],
    /// How far the outline is turned from the one of [`HoleShape::outline`], radians.
    pub angle: f64,
}

impl Repeat {
    /// Area of one repeat, m².
    pub fn area(&self) -> f64 {
        convex::cross(self.first, self.second)
    }

    /// Origin of the repeat with these numbers.
    pub fn origin(&self, column: i64, row: i64) -> [f64; 2] {
        convex::add(
            convex::scale(self.first, column as f64),
            convex::scale(self.second, row as f64),
        )
    }
}

impl HolePattern {
    /// The repeating unit for the pattern's rib, or `None` if the layout does not suit the shape (up and down is for triangles).
    pub fn repeat(&self) -> Option<Repeat> {
        repeat_with_rib(self.shape, self.layout, self.rib)
    }

    /// Free-area ratio of the endless pattern, 0 to 1; `None` as for [`HolePattern::repeat`].
    ///
    /// ```
    /// use ventwright::grille::{Hands, HolePattern, HoleShape, Layout, Turn};
    /// let pattern = HolePattern {
    ///     shape: HoleShape::Square { side: 0.004 },
    ///     layout: Layout::Square,
    ///     rib: 0.001,
    ///     turn: Turn::Straight,
    ///     merging_accepted: false,
    /// };
    /// assert!((pattern.free_area_ratio().unwrap() - 0.64).abs() < 1e-12); // (4 / 5)²
    /// ```
    pub fn free_area_ratio(&self) -> Option<f64> {
        self.repeat()
            .map(|repeat| self.shape.area() * repeat.holes.len() as f64 / repeat.area())
    }
}

/// The repeating unit that leaves `rib` as least wall; `None` if the layout does not suit the shape.
pub(super) fn repeat_with_rib(shape: HoleShape, layout: Layout, rib: f64) -> Option<Repeat> {
    let [along, across] = shape.extent();
    let (pitch, rise) = (along + rib, across + rib);
    let upright = vec![RepeatHole {
        offset: [0.0, 0.0],
        angle: 0.0,
    }];
    let repeat = match layout {
        Layout::Square => Repeat {
            first: [pitch, 0.0],
            second: [0.0, rise],
            holes: upright,
        },
        Layout::Staggered => {
            let (pitch, rise) = match shape {
                HoleShape::Round { .. }
                | HoleShape::Hexagon { .. }
                | HoleShape::Triangle { .. } => (pitch, 0.5 * 3.0_f64.sqrt() * pitch),
                HoleShape::Square { .. } | HoleShape::Slot { .. } => (pitch, rise),
                HoleShape::Rhombus { along, across } => {
                    let factor = rhombus_tiling(along.max(across), along.min(across), rib);
                    (along * factor, 0.5 * across * factor)
                }
            };
            Repeat {
                first: [pitch, 0.0],
                second: [0.5 * pitch, rise],
                holes: upright,
            }
        }
        Layout::UpDown => {
            let HoleShape::Triangle { side } = shape else {
                return None;
            };
            up_and_down(side + 3.0_f64.sqrt() * rib)
        }
    };
    Some(repeat)
}

/// By how much the tiling of the plane by rhombi must grow for `rib` to be the least wall between them; `long` and `short` are their diagonals.
///
/// ```text
/// k = 1 + rib / h                        between sides that face each other; h = l s / √(l² + s²): their distance
/// (k l/2 - l)² + (k s/2)² = rib²         between two tips, where the rib is so wide that the sides have passed each other
/// k >= 1 + rib / s                       between the tips of the shorter diagonal
/// ```
fn rhombus_tiling(long: f64, short: f64, rib: f64) -> f64 {
    let side = long.hypot(short);
    let facing = 1.0 + rib * side / (long * short);
    let (long_squared, side_squared) = (long * long, side * side);
    if (facing - 1.0) * (long_squared - short * short) <= side_squared {
        return facing;
    }
    let root = long_squared * long_squared - side_squared * (long_squared - rib * rib);
    let past = 2.0 * (long_squared + root.max(0.0).sqrt()) / side_squared;
    past.max(1.0 + rib / short)
}

/// The tiling of the plane by triangles of side `pitch`; six of them meet at the origin.
fn up_and_down(pitch: f64) -> Repeat {
    let third = pitch / 3.0_f64.sqrt();
    Repeat {
        first: [pitch, 0.0],
        second: [0.5 * pitch, 1.5 * third],
        holes: vec![
            RepeatHole {
                offset: [0.5 * pitch, 0.5 * third],
                angle: 0.0,
            },
            RepeatHole {
                offset: [pitch, third],
                angle: std::f64::consts::PI,
            },
        ],
    }
}
