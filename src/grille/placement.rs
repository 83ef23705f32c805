//! Which holes of the endless pattern find room in their zone, whole or cut off.

use std::f64::consts::{PI, TAU};

use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon};

use crate::grille::convex;
use crate::grille::turning::{self, PlacedHole};
use crate::grille::{CrossingHoles, Hands, HolePattern, HoleShape, Outline, Repeat, Turn};

/// Most holes (or slots) that a part may have.
pub(super) const MAX_HOLE_COUNT: usize = 200_000;

/// Share of a hole below which what a cut leaves is dropped.
const LEAST_SHARE: f64 = 1e-6;

/// Straight pieces of an arc at which a hole is cut off.
const ARC_PIECES: u32 = 64;

/// The ring between two radii that holes may take, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub(super) inner: f64,
    pub(super) outer: f64,
}

impl Ring {
    /// Area, m².
    pub(super) fn area(&self) -> f64 {
        PI * (self.outer * self.outer - self.inner * self.inner)
    }

    /// How an outline in its place lies to this ring.
    fn fit(&self, outline: &Outline) -> Fit {
        let tolerance = 1e-9 * self.outer;
        let (nearest, farthest) = (outline.nearest(), outline.farthest());
        if farthest <= self.outer + tolerance
            && (self.inner <= 0.0 || nearest >= self.inner - tolerance)
        {
            Fit::Inside
        } else if nearest >= self.outer || farthest <= self.inner {
            Fit::Outside
        } else {
            Fit::Crosses
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fit {
    Inside,
    Crosses,
    Outside,
}

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

/// Number of holes to be expected, at most: repeats in the whole disc of the zone's outer radius.
pub(super) fn expected_count(repeat: &Repeat, outline: &Outline, ring: Ring) -> f64 {
    let radius = ring.outer + outline.farthest();
    PI * radius * radius / repeat.area() * repeat.holes.len() as f64
}

/// Puts the holes of a pattern into a ring.
pub(super) fn place(
    pattern: &HolePattern,
    repeat: &Repeat,
    ring: Ring,
    thickness: f64,
    crossing: CrossingHoles,
) -> Placement {
    let outline = pattern.shape.outline();
    let depths = depths_to_test(pattern);
    let mut placement = Placement::default();
    for hole in candidates(pattern, repeat, &outline, ring) {
        let mut fit = Fit::Inside;
        let mut is_all_outside = true;
        for &depth in &depths {
            let (centre, angle) = pattern.turn.pose(&hole, thickness, depth);
            let here = ring.fit(&outline.posed(centre, angle));
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
                .extend(cut(&drawn, hole.centre, &outline, ring));
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

/// All holes of the endless pattern whose circumscribed circle reaches into the ring.
fn candidates(
    pattern: &HolePattern,
    repeat: &Repeat,
    outline: &Outline,
    ring: Ring,
) -> Vec<PlacedHole> {
    let reach = outline.farthest();
    let hands = match pattern.turn {
        Turn::Twist { hands, .. } => hands,
        _ => Hands::Same,
    };
    let far = ring.outer + reach;
    // One repeat more on each side: a repeat's holes lie off its origin.
    let rows = whole_steps(far, repeat.second[1]);
    let mut holes = Vec::new();
    for row in -rows..=rows {
        let origin = repeat.origin(0, row);
        let half = (far * far - origin[1] * origin[1]).max(0.0).sqrt() + repeat.first[0];
        let first = whole_floor((-half - origin[0]) / repeat.first[0]) - 1;
        let last = whole_floor((half - origin[0]) / repeat.first[0]) + 1;
        for column in first..=last {
            for (number, hole) in repeat.holes.iter().enumerate() {
                let centre = convex::add(repeat.origin(column, row), hole.offset);
                let radius = convex::length(centre);
                if radius - reach < ring.outer && radius + reach > ring.inner {
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

/// What the ring leaves of an outline in its place, as polygons.
///
/// `unplaced` is the same outline about its own axis.
pub(super) fn cut(
    outline: &Outline,
    centre: [f64; 2],
    unplaced: &Outline,
    ring: Ring,
) -> Vec<Vec<[f64; 2]>> {
    match ring.fit(outline) {
        Fit::Inside => return vec![outline.points()],
        Fit::Outside => return Vec::new(),
        Fit::Crosses => {}
    }
    let region = nearby_ring(
        ring,
        convex::length(centre),
        convex::direction(centre),
        unplaced.farthest(),
    );
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

/// The part of the ring around a hole of this reach whose centre lies at (`radius`, `angle`).
fn nearby_ring(ring: Ring, radius: f64, angle: f64, reach: f64) -> Polygon<f64> {
    let reach = 1.01 * reach;
    if radius <= 1.5 * reach {
        let turn = |radius: f64| arc(radius, 0.0, TAU * (1.0 - 1.0 / 720.0), 719);
        let inner = if ring.inner > 0.0 {
            vec![line(&turn(ring.inner))]
        } else {
            Vec::new()
        };
        return Polygon::new(line(&turn(ring.outer)), inner);
    }
    let half = (reach / radius).asin() * 1.05;
    // Beyond the hole an arc may lie anywhere; its pieces bulge inwards, so leave room outside.
    let outer = ring.outer.min(1.1 * (radius + reach));
    let inner = ring.inner.max(0.9 * (radius - reach));
    let mut sector = arc(outer, angle - half, angle + half, ARC_PIECES);
    sector.extend(arc(inner, angle + half, angle - half, ARC_PIECES));
    Polygon::new(line(&sector), Vec::new())
}

/// Points on an arc.
pub(super) fn arc(radius: f64, from: f64, to: f64, pieces: u32) -> Vec<[f64; 2]> {
    (0..=pieces)
        .map(|piece| {
            convex::polar(
                radius,
                from + (to - from) * f64::from(piece) / f64::from(pieces),
            )
        })
        .collect()
}

/// A line for the polygon library.
fn line(points: &[[f64; 2]]) -> LineString<f64> {
    points
        .iter()
        .map(|point| Coord {
            x: point[0],
            y: point[1],
        })
        .collect()
}
