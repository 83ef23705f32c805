//! Which holes of the endless pattern find room in their zone, whole or cut off.

use geo::{Area, BooleanOps, LineString, MultiPolygon, Polygon};

use crate::grille::convex;
use crate::grille::room::{Fit, Room, line};
use crate::grille::turning::{self, PlacedHole};
use crate::grille::{CrossingHoles, Hands, HolePattern, HoleShape, Outline, Repeat, Turn};

/// Most holes (or slots) that a part may have.
pub(super) const MAX_HOLE_COUNT: usize = 200_000;

/// Share of a hole below which what a cut leaves is dropped.
const LEAST_SHARE: f64 = 1e-6;

/// Where the origin of a pattern may lie in a rectangle besides its middle, in pitches along and across the rows: halfway between holes or rows first.
/// Rows that are shifted by half a pitch stand evenly about the middle at a quarter of it, too.
const PARTS_OF_PITCH: [[f64; 2]; 5] =
    [[0.5, 0.0], [0.0, 0.5], [0.5, 0.5], [0.25, 0.0], [0.25, 0.5]];

/// The holes of one zone.
#[derive(Debug, Clone, Default)]
pub(super) struct Placement {
    /// Holes that lie in the zone at every depth.
    pub(super) whole: Vec<PlacedHole>,
    /// Holes of which an edge of the zone cuts something off at some depth.
    pub(super) cut: Vec<PlacedHole>,
    /// What is left of the cut ones as drawn.
    pub(super) pieces: Vec<Vec<[f64; 2]>>,
}

impl Placement {
    /// Holes and pieces.
    pub(super) fn count(&self) -> usize {
        self.whole.len() + self.pieces.len()
    }

    /// Open area as drawn, m².
    pub(super) fn area(&self, shape: &HoleShape) -> f64 {
        let pieces: f64 = self.pieces.iter().map(|piece| convex::area(piece)).sum();
        self.whole.len() as f64 * shape.area() + pieces
    }

    /// Perimeter of each opening as drawn, m.
    pub(super) fn perimeters(&self, shape: &HoleShape) -> Vec<f64> {
        let mut perimeters = vec![shape.perimeter(); self.whole.len()];
        perimeters.extend(self.pieces.iter().map(|piece| convex::perimeter(piece)));
        perimeters
    }
}

/// Number of holes to be expected, at most: repeats in the whole disc of the zone's outer radius, or in the rectangle.
pub(super) fn expected_count(repeat: &Repeat, outline: &Outline, room: Room) -> f64 {
    room.area_of_centres(outline.farthest()) / repeat.area() * repeat.holes.len() as f64
}

/// Puts the holes of a pattern into its room.
///
/// In a ring the pattern's origin lies on the fan axis.
/// In a rectangle it lies where most of the area is open, of places that leave the pattern in the middle; of equal ones the first counts.
pub(super) fn place(
    pattern: &HolePattern,
    repeat: &Repeat,
    room: Room,
    thickness: f64,
    crossing: CrossingHoles,
) -> Placement {
    let place = |origin| place_from(origin, pattern, repeat, room, thickness, crossing);
    let mut best = place([0.0, 0.0]);
    if let Room::Rectangle { .. } = room {
        for [along, across] in PARTS_OF_PITCH {
            let other = place([along * repeat.first[0], across * repeat.second[1]]);
            // Cut outlines are known to a few parts in 1e9 only.
            if other.area(&pattern.shape) > best.area(&pattern.shape) * (1.0 + 1e-6) {
                best = other;
            }
        }
    }
    best
}

/// The same with the pattern's origin at this place.
fn place_from(
    origin: [f64; 2],
    pattern: &HolePattern,
    repeat: &Repeat,
    room: Room,
    thickness: f64,
    crossing: CrossingHoles,
) -> Placement {
    let outline = pattern.shape.outline();
    let depths = depths_to_test(pattern);
    let mut placement = Placement::default();
    for hole in candidates(origin, pattern, repeat, &outline, room) {
        let mut fit = Fit::Inside;
        let mut is_all_outside = true;
        for &depth in &depths {
            let (centre, angle) = pattern.turn.pose(&hole, thickness, depth);
            let here = room.fit(&outline.posed(centre, angle));
            is_all_outside &= here == Fit::Outside;
            if here != Fit::Inside {
                fit = Fit::Crosses;
            }
        }
        if fit == Fit::Inside {
            placement.whole.push(hole);
        } else if crossing == CrossingHoles::Clip && !is_all_outside {
            let drawn = outline.posed(hole.centre, hole.angle);
            placement
                .pieces
                .extend(cut(&drawn, hole.centre, &outline, room));
            placement.cut.push(hole);
        }
    }
    placement
}

/// Depth fractions at which a hole must lie inside its zone.
fn depths_to_test(pattern: &HolePattern) -> Vec<f64> {
    let moves = match pattern.turn {
        Turn::Straight | Turn::PatternTwist { .. } => false,
        Turn::Twist { .. } => pattern.shape.turning_period() > 0.0,
        Turn::Lean { .. } => true,
    };
    if moves {
        (0..=8).map(|step| f64::from(step) / 8.0).collect()
    } else {
        vec![pattern.turn.drawn_depth()]
    }
}

/// All holes of the endless pattern whose circumscribed circle reaches into the room.
fn candidates(
    from: [f64; 2],
    pattern: &HolePattern,
    repeat: &Repeat,
    outline: &Outline,
    room: Room,
) -> Vec<PlacedHole> {
    let reach = outline.farthest();
    let hands = match pattern.turn {
        Turn::Twist { hands, .. } => hands,
        _ => Hands::Same,
    };
    // One repeat more on each side: a repeat's holes lie off its origin.
    let rows = whole_steps(room.half()[1] + reach, repeat.second[1]);
    let mut holes = Vec::new();
    for row in -rows..=rows {
        let origin = convex::add(from, repeat.origin(0, row));
        let half = room.half_row(origin[1], reach) + repeat.first[0];
        let first = whole_floor((-half - origin[0]) / repeat.first[0]) - 1;
        let last = whole_floor((half - origin[0]) / repeat.first[0]) + 1;
        for column in first..=last {
            for (number, hole) in repeat.holes.iter().enumerate() {
                let centre = convex::add(repeat.origin(column, row), hole.offset);
                let centre = convex::add(from, centre);
                if room.is_reached(centre, reach) {
                    let index = (column, row, number);
                    holes.push(PlacedHole {
                        index,
                        centre,
                        angle: hole.angle,
                        hand: turning::hand(hands, pattern.layout, index),
                    });
                }
            }
        }
    }
    holes
}

/// Steps of this size that reach beyond `distance`.
fn whole_steps(distance: f64, step: f64) -> i64 {
    whole_floor(distance / step) + 2
}

/// The next whole number below; the hole count was limited before, so it fits.
fn whole_floor(value: f64) -> i64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped to where f64 counts exactly"
    )]
    let whole = value.floor().clamp(-1e15, 1e15) as i64;
    whole
}

/// What the room leaves of an outline in its place, as polygons.
///
/// `unplaced` is the same outline about its own axis.
pub(super) fn cut(
    outline: &Outline,
    centre: [f64; 2],
    unplaced: &Outline,
    room: Room,
) -> Vec<Vec<[f64; 2]>> {
    match room.fit(outline) {
        Fit::Inside => return vec![outline.points()],
        Fit::Outside => return Vec::new(),
        Fit::Crosses => {}
    }
    let region = room.nearby(centre, unplaced.farthest());
    let hole = Polygon::new(line(&outline.points()), Vec::new());
    let shared: MultiPolygon<f64> = hole.intersection(&region);
    let least = LEAST_SHARE * unplaced.area();
    shared
        .iter()
        .filter(|piece| piece.unsigned_area() > least)
        .flat_map(ring_lines)
        .collect()
}

/// Outer line of a polygon, counter-clockwise, and its inner lines, clockwise, so that areas add up.
fn ring_lines(polygon: &Polygon<f64>) -> Vec<Vec<[f64; 2]>> {
    let corners = |line: &LineString<f64>, sign: f64| {
        let mut points: Vec<_> = line.coords().map(|corner| [corner.x, corner.y]).collect();
        points.pop();
        if convex::area(&points) * sign < 0.0 {
            points.reverse();
        }
        points
    };
    let mut lines = vec![corners(polygon.exterior(), 1.0)];
    lines.extend(polygon.interiors().iter().map(|line| corners(line, -1.0)));
    lines
}
