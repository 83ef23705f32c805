//! One rectangular repeat of an endless pattern of holes as a body in three dimensions: what a periodic flow view has to fill with solid.
//!
//! Coordinates are (depth, y, z) in m. Depth runs from 0 at the front face to the thickness at the back face; outside of that is air. The
//! repeat lies at a distance from the fan axis, with +y along the rows of the pattern *and* in the direction of growing angle about
//! the fan axis, so (depth, y, z) is right-handed and +z points to the axis. Turning follows [`Turn`]:
//!
//! ```text
//! own twist      outlines turn from y towards z by hand · angle · (depth/t - d)   d: 1/2, 0 or 1, where the drawn outline lies
//! lean           outlines move along +y by tan(angle) · (depth - t/2)
//! pattern twist  outlines move along +y by R · angle · (depth/t - 1/2)            R: distance from the fan axis
//! ```
//!
//! The pattern twist is seen unrolled about the fan axis: there it is a lean of atan(R angle / t), and outlines keep their place to the
//! tangent, so the repeat stays periodic. Real holes stand at every angle to the tangent; this is the one of the holes straight below or
//! above the axis.
//!
//! Edges widen the opening by an offset to all sides, in planes along the face: the points within the offset of the outline as it is at that
//! depth, so corners become round (exact for round holes and slots; the same reading as [`Edge::removed_volume`]).

mod fault;
mod merged;
mod section;
mod wall;

use crate::grille::layout::Repeat;
use crate::grille::{Edge, Hands, HolePattern, Layout, Outline, Turn, convex, turning};

pub use fault::RepeatSolidError;
pub use section::RepeatSection;
pub(super) use section::{Core, Rim};

/// One hole of a [`RepeatSolid`], as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidHole {
    /// Centre at the depth where the pattern is drawn, within the repeat, m.
    pub centre: [f64; 2],
    /// How far the outline is turned there from the one of [`crate::grille::HoleShape::outline`], radians.
    pub angle: f64,
    /// +1 or -1: by which hand it twists for a positive twist.
    pub hand: f64,
}

/// The smallest rectangle along y and z that repeats, with its holes; see the module's text for the coordinates. Lengths in m.
#[derive(Debug, Clone, PartialEq)]
pub struct RepeatSolid {
    extent: [f64; 2],
    thickness: f64,
    front_edge: Edge,
    back_edge: Edge,
    holes: Vec<SolidHole>,
    outline: Outline,
    core: Core,
    /// Sine and cosine of each hole's angle as drawn.
    uprights: Vec<(f64, f64)>,
    /// Depth fraction at which the pattern is drawn.
    drawn_depth: f64,
    /// Own twist from face to face, radians.
    twist: f64,
    /// Movement along +y per depth.
    lean_slope: f64,
    /// Half the room along y and z that an opening can take about its hole's centre, edges and turning included, m.
    reach: [f64; 2],
    /// Diameter of the largest circle in a hole, m.
    inscribed_diameter: f64,
}

impl RepeatSolid {
    /// The repeat of a pattern in a plate of this `thickness`, `radius` from the fan axis (used by a pattern twist only); m.
    ///
    /// Square layouts repeat with one hole, shifted rows with two, triangles up and down with four; a chessboard of hands with four.
    ///
    /// # Errors
    /// [`RepeatSolidError`]: what [`crate::grille::Grille::resolve`] would refuse too, as far as it concerns an endless pattern.
    ///
    /// # Examples
    /// ```
    /// use ventwright::grille::{Edge, HolePattern, HoleShape, Layout, RepeatSolid, Turn};
    /// let pattern = HolePattern {
    ///     shape: HoleShape::Round { diameter: 0.004 },
    ///     layout: Layout::Staggered,
    ///     rib: 0.001,
    ///     turn: Turn::Straight,
    ///     merging_accepted: false,
    /// };
    /// let solid = RepeatSolid::of(&pattern, 0.003, Edge::Sharp, Edge::Sharp, 0.05)?;
    /// let [along, across] = solid.extent(); // pitch, and √3 times the pitch
    /// assert!((along - 0.005).abs() < 1e-12 && (across / along - 3.0_f64.sqrt()).abs() < 1e-12);
    /// let hole = solid.holes()[0].centre;
    /// assert!(!solid.is_solid(0.001, hole[0], hole[1]) && solid.is_solid(0.001, hole[0] + 0.0025, hole[1]));
    /// # Ok::<(), ventwright::grille::RepeatSolidError>(())
    /// ```
    pub fn of(
        pattern: &HolePattern,
        thickness: f64,
        front_edge: Edge,
        back_edge: Edge,
        radius: f64,
    ) -> Result<Self, RepeatSolidError> {
        fault::check(pattern, thickness, front_edge, back_edge, radius)?;
        let repeat = pattern
            .repeat()
            .ok_or(RepeatSolidError::LayoutNotForShape)?;
        fault::check_merging(pattern)?;
        let (twist, hands) = own_twist(pattern);
        let lean_slope = match pattern.turn {
            Turn::Straight | Turn::Twist { .. } => 0.0,
            Turn::Lean { angle } => angle.tan(),
            Turn::PatternTwist { angle } => radius * angle / thickness,
        };
        let (extent, holes) = rectangle(pattern, &repeat, hands);
        let outline = pattern.shape.outline();
        let edge = front_edge.size().max(back_edge.size());
        Ok(Self {
            extent,
            thickness,
            front_edge,
            back_edge,
            reach: reach(&outline, &holes, twist).map(|reach| reach + edge),
            uprights: holes.iter().map(|hole| hole.angle.sin_cos()).collect(),
            holes,
            core: Core::new(&outline.core),
            outline,
            drawn_depth: pattern.turn.drawn_depth(),
            twist,
            lean_slope,
            inscribed_diameter: pattern.shape.inscribed_diameter(),
        })
    }

    /// Extent along y and z, m.
    pub fn extent(&self) -> [f64; 2] {
        self.extent
    }

    /// Movement of the openings along +y per depth: the tangent of their lean.
    pub fn lean_slope(&self) -> f64 {
        self.lean_slope
    }

    /// Plate thickness, m.
    pub fn thickness(&self) -> f64 {
        self.thickness
    }

    /// The holes, as drawn.
    pub fn holes(&self) -> &[SolidHole] {
        &self.holes
    }

    /// Number of holes.
    pub fn hole_count(&self) -> usize {
        self.holes.len()
    }

    /// Area of the repeat, m².
    pub fn area(&self) -> f64 {
        self.extent[0] * self.extent[1]
    }

    /// Open area as drawn, m²: without edges, and before turned holes run into each other.
    pub fn open_area(&self) -> f64 {
        self.outline.area() * self.holes.len() as f64
    }

    /// Free-area ratio as drawn, 0 to 1; see [`RepeatSolid::open_area`].
    pub fn free_area_ratio(&self) -> f64 {
        self.open_area() / self.area()
    }

    /// Outlines of the holes (one for each, unmerged) at a depth, widened by the edges; a depth outside of the plate counts as the nearer face.
    pub fn outlines_at(&self, depth: f64) -> Vec<Outline> {
        let section = self.plate_section(depth);
        self.holes
            .iter()
            .map(|hole| section.outline(hole))
            .collect()
    }

    /// The section at a depth, to ask for many points of it; `None` outside of the plate. Both faces belong to it.
    pub fn section(&self, depth: f64) -> Option<RepeatSection<'_>> {
        (0.0..=self.thickness)
            .contains(&depth)
            .then(|| self.plate_section(depth))
    }

    /// Whether there is solid at a depth and a place, which may lie in any repeat; m. Walls belong to the solid.
    pub fn is_solid(&self, depth: f64, y: f64, z: f64) -> bool {
        self.section(depth)
            .is_some_and(|section| section.is_solid(y, z))
    }

    /// The section at a depth within the plate.
    fn plate_section(&self, depth: f64) -> RepeatSection<'_> {
        let depth = if depth.is_nan() {
            0.0
        } else {
            depth.clamp(0.0, self.thickness)
        };
        let share = depth / self.thickness - self.drawn_depth;
        let (sine, cosine) = if self.twist == 0.0 {
            (0.0, 1.0)
        } else {
            (self.twist * share).sin_cos()
        };
        let from_back = self.thickness - depth;
        let rim = if depth < self.front_edge.size() {
            Rim::new(self.front_edge, depth)
        } else if from_back < self.back_edge.size() {
            Rim::new(self.back_edge, from_back)
        } else {
            Rim::Wall
        };
        RepeatSection {
            solid: self,
            shift: self.lean_slope * self.thickness * share,
            angle: self.twist * share,
            sine,
            cosine,
            opening: rim.opening(),
            rim,
        }
    }
}

/// Own twist from face to face and hands, as far as they can be seen: a round hole does not turn.
fn own_twist(pattern: &HolePattern) -> (f64, Hands) {
    match pattern.turn {
        Turn::Twist { angle, hands, .. }
            if angle != 0.0 && pattern.shape.turning_period() > 0.0 =>
        {
            (angle, hands)
        }
        _ => (0.0, Hands::Same),
    }
}

/// Extent and holes of the smallest rectangle along y and z that repeats.
///
/// Rows run along y, so it is one pitch wide, and as many rows high as shifted rows need to come back: two for half a pitch, else one. A
/// chessboard of hands doubles both; other hands follow the rows or the holes within a repeat and are kept.
fn rectangle(pattern: &HolePattern, repeat: &Repeat, hands: Hands) -> ([f64; 2], Vec<SolidHole>) {
    let is_shifted = repeat.second[0] > 0.25 * repeat.first[0];
    let is_chessboard = hands == Hands::Alternate && pattern.layout == Layout::Square;
    let (columns, rows) = match (is_chessboard, is_shifted) {
        (true, _) => (2, 2),
        (false, true) => (1, 2),
        (false, false) => (1, 1),
    };
    let extent = [
        columns as f64 * repeat.first[0],
        rows as f64 * repeat.second[1],
    ];
    // A single hole lies in the middle of its part of the rectangle; triangles up and down stand on its lower side.
    let start = if repeat.holes.len() == 1 {
        let shifted_rows = if is_shifted { 2.0 } else { 1.0 };
        [0.5 * repeat.first[0] / shifted_rows, 0.5 * repeat.second[1]]
    } else {
        [0.0, 0.0]
    };
    let mut holes = Vec::new();
    for (row, column) in (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column))) {
        for (number, hole) in repeat.holes.iter().enumerate() {
            let origin = convex::add(repeat.origin(column, row), start);
            let centre = convex::add(origin, hole.offset);
            holes.push(SolidHole {
                centre: [
                    centre[0].rem_euclid(extent[0]),
                    centre[1].rem_euclid(extent[1]),
                ],
                angle: hole.angle,
                hand: turning::hand(hands, pattern.layout, (column, row, number)),
            });
        }
    }
    (extent, holes)
}

/// Half the room along y and z that an outline takes about its hole's centre, over all holes and depths, m.
fn reach(outline: &Outline, holes: &[SolidHole], twist: f64) -> [f64; 2] {
    if twist != 0.0 {
        return [outline.farthest(); 2];
    }
    let mut reach = [0.0_f64; 2];
    for hole in holes {
        for corner in outline.posed([0.0, 0.0], hole.angle).core {
            reach = [reach[0].max(corner[0].abs()), reach[1].max(corner[1].abs())];
        }
    }
    reach.map(|core| core + outline.radius)
}
