//! The least wall between neighbouring holes over the whole thickness, and how far holes may twist.
//!
//! Two outlines, one moved by the vector d, stay apart exactly if d lies outside their difference body; their distance is that of d from it.
//! All outlines are convex, so this is exact; over the depth the minimum is searched by angle, in steps of a degree, and refined.

use std::collections::HashSet;
use std::f64::consts::{PI, TAU};

use crate::grille::convex;
use crate::grille::layout::repeat_with_rib;
use crate::grille::turning::{self, PlacedHole};
use crate::grille::{Hands, HolePattern, HoleShape, Layout, Outline, Repeat, Turn, TwistLimit};

/// Step of the search over the angle, radians.
const ANGLE_STEP: f64 = PI / 180.0;

/// Rows and columns to look at, at most: long slots meet their nearest rows first.
const MAX_REACH: i64 = 24;

/// A length, m, that no rounding reaches and nobody prints.
const FAR_BEYOND_ROUNDING: f64 = 1e-12;

/// Two neighbouring holes of an endless pattern.
#[derive(Debug, Clone)]
struct Pair {
    /// From the first hole to the second, m.
    vector: [f64; 2],
    /// Angles as drawn, radians.
    angles: (f64, f64),
    /// Hands.
    hands: (f64, f64),
    /// Difference body as drawn.
    body: Vec<[f64; 2]>,
}

/// All pairs of neighbours that can come close to each other.
#[derive(Debug, Clone)]
pub(super) struct Neighbours {
    outline: Outline,
    period: f64,
    pairs: Vec<Pair>,
}

impl Neighbours {
    /// The neighbours in an endless pattern whose least drawn wall is `rib`.
    pub(super) fn new(
        shape: HoleShape,
        layout: Layout,
        rib: f64,
        repeat: &Repeat,
        hands: Hands,
    ) -> Self {
        let outline = shape.outline();
        let reach = 2.0 * outline.farthest() + rib;
        let (rows, columns) = neighbourhood(repeat, reach);
        let starts = if hands == Hands::Same { 1 } else { 2 };
        let mut pairs = Vec::new();
        for (row, column) in
            (0..starts).flat_map(|row| (0..starts).map(move |column| (row, column)))
        {
            for (number, hole) in repeat.holes.iter().enumerate() {
                let start = turning::hand(hands, layout, (column, row, number));
                for (other_row, other_column) in (-rows..=rows)
                    .flat_map(|row| (-columns..=columns).map(move |column| (row, column)))
                {
                    for (other_number, other) in repeat.holes.iter().enumerate() {
                        let vector = convex::subtract(
                            convex::add(repeat.origin(other_column, other_row), other.offset),
                            hole.offset,
                        );
                        // Each pair once: from below to above.
                        let is_counted = vector[1] > 1e-9 * reach
                            || (vector[1].abs() <= 1e-9 * reach && vector[0] > 0.0);
                        if !is_counted || convex::length(vector) > reach * (1.0 + 1e-9) {
                            continue;
                        }
                        let other_index = (column + other_column, row + other_row, other_number);
                        pairs.push(Pair {
                            vector,
                            angles: (hole.angle, other.angle),
                            hands: (start, turning::hand(hands, layout, other_index)),
                            body: convex::difference_body(
                                &outline.posed([0.0, 0.0], hole.angle).core,
                                &outline.posed([0.0, 0.0], other.angle).core,
                            ),
                        });
                    }
                }
            }
        }
        Self {
            outline,
            period: shape.turning_period(),
            pairs,
        }
    }

    /// Least wall, m, when every hole is turned by `angle` times its hand; negative where outlines overlap.
    pub(super) fn wall(&self, angle: f64) -> f64 {
        let distance = self
            .pairs
            .iter()
            .map(|pair| self.core_distance(pair, angle))
            .fold(f64::INFINITY, f64::min);
        distance - 2.0 * self.outline.radius
    }

    /// Distance of the cores of a pair at this angle, m.
    fn core_distance(&self, pair: &Pair, angle: f64) -> f64 {
        let (first, second) = pair.hands;
        if (first > 0.0) == (second > 0.0) {
            // Both turn alike: turn the vector back instead.
            return convex::signed_distance(
                &pair.body,
                convex::rotate(pair.vector, -first * angle),
            );
        }
        let origin = [0.0, 0.0];
        let body = convex::difference_body(
            &self
                .outline
                .posed(origin, pair.angles.0 + first * angle)
                .core,
            &self
                .outline
                .posed(origin, pair.angles.1 + second * angle)
                .core,
        );
        convex::signed_distance(&body, pair.vector)
    }

    /// Least wall, m, over all angles from `low` to `high`.
    pub(super) fn least_wall(&self, low: f64, high: f64) -> f64 {
        let high = high.min(low + self.period);
        let steps = ((high - low) / ANGLE_STEP).ceil().max(1.0);
        let step = (high - low) / steps;
        let mut best = (self.wall(low), low);
        let mut index = 1.0;
        while index <= steps && step > 0.0 {
            let angle = low + step * index;
            let wall = self.wall(angle);
            if wall < best.0 {
                best = (wall, angle);
            }
            index += 1.0;
        }
        let (from, to) = ((best.1 - step).max(low), (best.1 + step).min(high));
        best.0.min(least_value(from, to, |angle| self.wall(angle)))
    }

    /// Largest twist that leaves the outlines clear of each other.
    pub(super) fn twist_limit(&self) -> TwistLimit {
        let steps = (self.period / ANGLE_STEP).ceil();
        let wall = |angle: f64| self.wall(angle).min(self.wall(-angle));
        let mut clear = 0.0;
        let mut index = 1.0;
        while index <= steps {
            let angle = index * ANGLE_STEP;
            if wall(angle) < 0.0 {
                let mut hit = angle;
                for _ in 0..50 {
                    let middle = 0.5 * (clear + hit);
                    if wall(middle) < 0.0 {
                        hit = middle;
                    } else {
                        clear = middle;
                    }
                }
                return TwistLimit {
                    from_mid_depth: Some(2.0 * clear),
                    from_face: Some(clear),
                };
            }
            clear = angle;
            index += 1.0;
        }
        TwistLimit {
            from_mid_depth: None,
            from_face: None,
        }
    }
}

/// Rows and columns of repeats in which neighbours within `reach` lie; one more each, as holes lie off their repeat's origin.
fn neighbourhood(repeat: &Repeat, reach: f64) -> (i64, i64) {
    let rows = count_within(reach, repeat.second[1]) + 1;
    let columns = count_within(reach + repeat.second[0] * rows as f64, repeat.first[0]) + 1;
    (rows, columns)
}

/// Lattice steps of this height within `reach`.
fn count_within(reach: f64, height: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "limited to 24")]
    let count = (reach / height).ceil().clamp(1.0, MAX_REACH as f64) as i64;
    count
}

/// Least value of a function with one valley between `from` and `to`, by golden section.
fn least_value(mut from: f64, mut to: f64, function: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let mut left = to - GOLDEN * (to - from);
    let mut right = from + GOLDEN * (to - from);
    let (mut at_left, mut at_right) = (function(left), function(right));
    for _ in 0..40 {
        if at_left < at_right {
            (to, right, at_right) = (right, left, at_left);
            left = to - GOLDEN * (to - from);
            at_left = function(left);
        } else {
            (from, left, at_left) = (left, right, at_right);
            right = from + GOLDEN * (to - from);
            at_right = function(right);
        }
    }
    at_left.min(at_right)
}

impl HolePattern {
    /// The pattern's neighbours by the given hands; `None` if the layout does not suit the shape.
    pub(super) fn neighbours(&self, rib: f64, hands: Hands) -> Option<Neighbours> {
        let repeat = repeat_with_rib(self.shape, self.layout, rib)?;
        Some(Neighbours::new(
            self.shape,
            self.layout,
            rib,
            &repeat,
            hands,
        ))
    }

    /// The rib that would have to be drawn for the twisted holes to keep walls of at least `wall` over the whole thickness, m.
    ///
    /// `None` if the layout does not suit the shape. Found by bisection to 1 µm.
    pub(super) fn rib_needed(&self, wall: f64, hands: Hands) -> Option<f64> {
        let (low, high) = self.turn.own_angles();
        let mut enough = wall + 2.0 * self.shape.circumradius();
        let mut tight = 0.0;
        while enough - tight > 1e-6 {
            let middle = 0.5 * (enough + tight);
            let neighbours = self.neighbours(middle, hands)?;
            if neighbours.least_wall(low, high) >= wall {
                enough = middle;
            } else {
                tight = middle;
            }
        }
        Some(enough)
    }
}

/// Least wall, m, between leaning holes in their places over the whole thickness.
///
/// Neighbours lean in slightly different directions, more so near the axis. The distance of two convex outlines that move along straight
/// lines is a convex function of the depth, so a golden section finds its minimum.
pub(super) fn least_leaning_wall(
    pattern: &HolePattern,
    lean: f64,
    thickness: f64,
    holes: &[PlacedHole],
) -> Option<f64> {
    let drawn = pattern.neighbours(pattern.rib, Hands::Same)?;
    let outline = pattern.shape.outline();
    let places: HashSet<_> = holes.iter().map(|hole| hole.index).collect();
    let repeat = pattern.repeat()?;
    let reach = 0.5 * thickness * lean.tan().abs();
    // Neighbours that may be brought together: those within reach of both holes' movement.
    let far = 2.0 * outline.farthest() + pattern.rib + 2.0 * reach;
    let (rows, columns) = neighbourhood(&repeat, far);
    let bodies = difference_bodies(&repeat, &outline);
    let mut least = drawn.wall(0.0);
    // Near the axis directions differ most: once the least wall there is known, few of the others need a look.
    let mut inside_out: Vec<&PlacedHole> = holes.iter().collect();
    inside_out.sort_by(|a, b| convex::length(a.centre).total_cmp(&convex::length(b.centre)));
    for hole in inside_out {
        let (column, row, number) = hole.index;
        for (other_row, other_column) in
            (0..=rows).flat_map(|row| (-columns..=columns).map(move |column| (row, column)))
        {
            for (other_number, other) in repeat.holes.iter().enumerate() {
                let index = (column + other_column, row + other_row, other_number);
                if index == hole.index || !places.contains(&index) {
                    continue;
                }
                let centre = convex::add(repeat.origin(index.0, index.1), other.offset);
                let vector = convex::subtract(centre, hole.centre);
                let drift =
                    convex::subtract(turning::tangent(centre), turning::tangent(hole.centre));
                let closest = convex::length(vector)
                    - 2.0 * outline.farthest()
                    - reach * convex::length(drift);
                if closest >= least {
                    continue;
                }
                let body = &bodies[number][other_number];
                let wall = |shift: f64| {
                    let moved = convex::add(vector, convex::scale(drift, shift));
                    convex::signed_distance(body, moved) - 2.0 * outline.radius
                };
                // A wall changes by no more than its holes move.
                if wall(0.0) - reach * convex::length(drift) > least + FAR_BEYOND_ROUNDING {
                    continue;
                }
                least = least.min(least_value(-reach, reach, wall));
            }
        }
    }
    Some(least)
}

/// Difference bodies of each hole of a repeat and each other.
fn difference_bodies(repeat: &Repeat, outline: &Outline) -> Vec<Vec<Vec<[f64; 2]>>> {
    let cores: Vec<_> = repeat
        .holes
        .iter()
        .map(|hole| outline.posed([0.0, 0.0], hole.angle).core)
        .collect();
    cores
        .iter()
        .map(|first| {
            cores
                .iter()
                .map(|second| convex::difference_body(first, second))
                .collect()
        })
        .collect()
}

/// Least wall, m, of a pattern of holes over the whole thickness; `None` if the layout does not suit the shape.
pub(super) fn least_wall(
    pattern: &HolePattern,
    thickness: f64,
    holes: &[PlacedHole],
) -> Option<f64> {
    match pattern.turn {
        Turn::Straight | Turn::PatternTwist { .. } => {
            Some(pattern.neighbours(pattern.rib, Hands::Same)?.wall(0.0))
        }
        Turn::Twist { hands, .. } => {
            let (low, high) = pattern.turn.own_angles();
            let neighbours = pattern.neighbours(pattern.rib, hands)?;
            Some(neighbours.least_wall(low.max(-TAU), high.min(TAU)))
        }
        Turn::Lean { angle } => least_leaning_wall(pattern, angle, thickness, holes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every pair of neighbours to its end, in the order of the holes.
    fn every_pair(pattern: &HolePattern, reach: f64, holes: &[PlacedHole]) -> f64 {
        let outline = pattern.shape.outline();
        let drawn = pattern.neighbours(pattern.rib, Hands::Same).unwrap();
        let mut least = drawn.wall(0.0);
        for (number, hole) in holes.iter().enumerate() {
            for other in &holes[number + 1..] {
                let vector = convex::subtract(other.centre, hole.centre);
                let drift = convex::subtract(
                    turning::tangent(other.centre),
                    turning::tangent(hole.centre),
                );
                let body = convex::difference_body(
                    &outline.posed([0.0, 0.0], hole.angle).core,
                    &outline.posed([0.0, 0.0], other.angle).core,
                );
                least = least.min(least_value(-reach, reach, |shift| {
                    let moved = convex::add(vector, convex::scale(drift, shift));
                    convex::signed_distance(&body, moved) - 2.0 * outline.radius
                }));
            }
        }
        least
    }

    #[test]
    fn pairs_that_are_not_looked_at_have_no_part_in_the_least_wall_of_leaning_holes() {
        for shape in HoleShape::one_of_each(0.005, 0.004) {
            for (layout, lean) in [(Layout::Square, 0.3), (Layout::Staggered, 0.6)] {
                let pattern = HolePattern {
                    shape,
                    layout,
                    rib: 0.0015,
                    turn: Turn::Lean { angle: lean },
                    merging_accepted: true,
                };
                let Some(repeat) = pattern.repeat() else {
                    continue;
                };
                let places = (-4..=4).flat_map(|row| (-4..=4).map(move |column| (column, row)));
                let holes = places.flat_map(|(column, row)| {
                    let holes = repeat.holes.iter().enumerate();
                    let origin = repeat.origin(column, row);
                    holes.map(move |(number, hole)| PlacedHole {
                        index: (column, row, number),
                        centre: convex::add(origin, hole.offset),
                        angle: hole.angle,
                        hand: 1.0,
                    })
                });
                // None on the axis itself, where no direction is a tangent.
                let holes: Vec<PlacedHole> = holes
                    .filter(|hole| convex::length(hole.centre) > 0.012)
                    .collect();
                let seen = least_leaning_wall(&pattern, lean, 0.004, &holes).unwrap();
                let reach = 0.5 * 0.004 * lean.tan();
                let expected = every_pair(&pattern, reach, &holes);
                assert!(
                    (seen - expected).abs() < 1e-15,
                    "{shape:?} {seen} {expected}"
                );
            }
        }
    }
}
