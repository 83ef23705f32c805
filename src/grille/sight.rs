//! How much of the open area one can look through, straight on and at an angle.
//!
//! A sight line passes if it lies inside the hole at every depth: for the whole hole that is the area shared by its outlines at all depths,
//! each moved against the sight line. Of a straight or leaned convex hole the two faces suffice; a turning one is cut at every two degrees.

use std::f64::consts::{PI, TAU};

use crate::grille::bars::Bars;
use crate::grille::convex;
use crate::grille::room::{Ring, Room};
use crate::grille::{HolePattern, Outline, Turn};

/// Sight lines, or holes, in this many directions about the axis stand for all.
const DIRECTIONS: u32 = 16;

/// Pieces of a full turn of a rounded outline: enough for a share.
const PIECES_PER_TURN: f64 = 48.0;

/// Radii that stand for all holes of a zone when the lean grows with the radius.
const RADII: u32 = 5;

/// Angle between two cuts of a turning hole, radians.
const CUT_ANGLE: f64 = 2.0 * PI / 180.0;

/// Open fraction of a pattern of holes, 0 to 1, for sight lines at `obliqueness` (radians) to the fan axis, mean over all directions.
pub(super) fn holes(pattern: &HolePattern, room: Room, thickness: f64, obliqueness: f64) -> f64 {
    let outline = pattern.shape.outline();
    let slope = thickness * obliqueness.tan();
    let is_round = pattern.shape.turning_period() <= 0.0;
    let straight = Change {
        own_angle: 0.0,
        bend: 0.0,
    };
    let turned = |angle: f64| if is_round { 0.0 } else { angle };
    match pattern.turn {
        Turn::Straight => over_directions(slope, DIRECTIONS, |sight| {
            shared(&outline, straight, |share| convex::scale(sight, share))
        }),
        Turn::Twist { angle, .. } => {
            let change = Change {
                own_angle: turned(angle),
                bend: 0.0,
            };
            over_directions(slope, DIRECTIONS, |sight| {
                shared(&outline, change, |share| convex::scale(sight, share))
            })
        }
        Turn::Lean { angle } => over_directions(thickness * angle.tan(), DIRECTIONS, |lean| {
            over_directions(slope, DIRECTIONS, |sight| {
                shared(&outline, straight, |share| {
                    convex::scale(convex::subtract(sight, lean), share)
                })
            })
        }),
        Turn::PatternTwist { angle } => {
            let change = Change {
                own_angle: turned(angle),
                bend: angle,
            };
            let mut sum = 0.0;
            for index in 0..RADII {
                // Radii that part the zone into rings of equal area.
                let part = (f64::from(index) + 0.5) / f64::from(RADII);
                let (inner, outer) = (room.inner(), room.outer());
                let radius = (inner * inner + part * (outer * outer - inner * inner)).sqrt();
                sum += over_directions(radius, DIRECTIONS / 2, |centre| {
                    over_directions(slope, DIRECTIONS / 2, |sight| {
                        shared(&outline, change, |share| {
                            let moved =
                                convex::subtract(convex::rotate(centre, angle * share), centre);
                            convex::subtract(convex::scale(sight, share), moved)
                        })
                    })
                });
            }
            sum / f64::from(RADII)
        }
    }
}

/// Mean of a function over vectors of this length in all directions.
fn over_directions(length: f64, count: u32, function: impl Fn([f64; 2]) -> f64) -> f64 {
    if length.abs() <= 0.0 {
        return function([0.0, 0.0]);
    }
    let sum: f64 = (0..count)
        .map(|index| {
            // Off the axes of symmetry of squares and triangles.
            let angle = TAU * (f64::from(index) + 0.25) / f64::from(count);
            function(convex::polar(length, angle))
        })
        .sum();
    sum / f64::from(count)
}

/// How an outline changes between the faces.
#[derive(Clone, Copy)]
struct Change {
    /// By which angle it turns about its own axis, radians.
    own_angle: f64,
    /// By which angle the line of sight or the hole's path bends, radians.
    bend: f64,
}

/// Share of an outline that stays open when it changes over the depth and sight lines move by `sight(share)` against it.
fn shared(outline: &Outline, change: Change, sight: impl Fn(f64) -> [f64; 2]) -> f64 {
    let drawn = outline.points_per_turn(PIECES_PER_TURN);
    // Beyond a full turn nothing new comes into the way.
    let turned = change.own_angle.abs().max(change.bend.abs()).min(TAU);
    let cuts = (turned / CUT_ANGLE).ceil().max(1.0);
    let mut open = drawn.clone();
    // The far face first: it blocks most.
    let mut index = cuts;
    while index > 0.0 && !open.is_empty() {
        let share = index / cuts;
        let moved = sight(share);
        let (sine, cosine) = (change.own_angle * share).sin_cos();
        let section: Vec<_> = drawn
            .iter()
            .map(|p| {
                [
                    p[0] * cosine - p[1] * sine - moved[0],
                    p[0] * sine + p[1] * cosine - moved[1],
                ]
            })
            .collect();
        open = convex::intersection(&open, &section);
        index -= 1.0;
    }
    (convex::area(&open) / convex::area(&drawn)).clamp(0.0, 1.0)
}

/// Open fraction of ring slots of this width, curvature and bars left out of account.
pub(super) fn slots(width: f64, thickness: f64, obliqueness: f64) -> f64 {
    let slope = thickness * obliqueness.tan();
    over_directions(slope, DIRECTIONS, |sight| {
        (1.0 - sight[0].abs() / width).max(0.0)
    })
}

/// Open fraction of a ring with bars, for bars that lean or turn; the edges of the ring itself are left out of account.
pub(super) fn bars(bars: Bars, turn: Turn, ring: Ring, thickness: f64, obliqueness: f64) -> f64 {
    let slope = thickness * obliqueness.tan();
    let (mut open, mut all) = (0.0, 0.0);
    for index in 0..100 {
        let radius = ring.inner + (ring.outer - ring.inner) * (f64::from(index) + 0.5) / 100.0;
        let lean = match turn {
            Turn::Lean { angle } => thickness * angle.tan(),
            Turn::PatternTwist { angle } => radius * angle,
            Turn::Straight | Turn::Twist { .. } => 0.0,
        };
        let gap = bars.gap(radius);
        all += gap;
        open += over_directions(slope, DIRECTIONS, |sight| {
            if bars.count == 0 {
                gap
            } else {
                (gap - (sight[0] - lean).abs()).max(0.0)
            }
        });
    }
    if all > 0.0 { open / all } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::{CountedFrom, Hands, HoleShape, Layout};

    fn turned(shape: HoleShape, angle: f64) -> HolePattern {
        HolePattern {
            shape,
            layout: Layout::Staggered,
            rib: 0.001,
            turn: Turn::Twist {
                angle,
                counted_from: CountedFrom::MidDepth,
                hands: Hands::Same,
            },
            merging_accepted: true,
        }
    }

    /// Inscribed circle over area, closed forms: triangle pi/(3√3), square pi/4, hexagon pi/(2√3).
    #[test]
    fn a_full_turn_leaves_the_inscribed_circle() {
        let ring = Room::Ring(Ring {
            inner: 0.0,
            outer: 0.06,
        });
        let root = 3.0_f64.sqrt();
        for (shape, expected) in [
            (HoleShape::Triangle { side: 0.005 }, PI / (3.0 * root)),
            (HoleShape::Square { side: 0.005 }, PI / 4.0),
            (
                HoleShape::Hexagon {
                    across_flats: 0.005,
                },
                PI / (2.0 * root),
            ),
        ] {
            let open = holes(&turned(shape, TAU), ring, 0.004, 0.0);
            assert!(
                (open / expected - 1.0).abs() < 5e-4,
                "{shape:?}: {open} {expected}"
            );
        }
    }

    /// Two circles of diameter d whose centres lie a apart share (d²/2) acos(a/d) - (a/2) sqrt(d² - a²) (lens).
    #[test]
    fn a_round_hole_seen_at_an_angle_is_a_lens() {
        let ring = Room::Ring(Ring {
            inner: 0.0,
            outer: 0.06,
        });
        let mut pattern = turned(HoleShape::Round { diameter: 0.005 }, 0.0);
        pattern.turn = Turn::Straight;
        let (d, a) = (0.005_f64, 0.004 * 30_f64.to_radians().tan());
        let lens = 0.5 * d * d * (a / d).acos() - 0.5 * a * (d * d - a * a).sqrt();
        let expected = lens / (PI * d * d / 4.0);
        let open = holes(&pattern, ring, 0.004, 30_f64.to_radians());
        assert!((open / expected - 1.0).abs() < 2e-3, "{open} {expected}");
        assert!((holes(&pattern, ring, 0.004, 0.0) - 1.0).abs() < 1e-12);
    }

    /// A slot of width w, its far face moved by d in all directions: 1 - 2 d / (pi w), the mean of |cos| being 2 / pi.
    #[test]
    fn a_ring_slot_seen_at_an_angle_loses_the_mean_shift() {
        let open = slots(0.005, 0.004, 30_f64.to_radians());
        let expected = 1.0 - 2.0 * 0.004 * 30_f64.to_radians().tan() / (PI * 0.005);
        assert!((open / expected - 1.0).abs() < 2e-3, "{open} {expected}");
    }

    /// Each of n bars that lean by e from face to face hides e (R2 - R1) of the open area.
    #[test]
    fn leaning_bars_hide_their_shift() {
        let ring = Ring {
            inner: 0.02,
            outer: 0.067,
        };
        let nine = Bars {
            count: 9,
            width: 0.004,
        };
        let lean = 0.4_f64;
        let open = bars(nine, Turn::Lean { angle: lean }, ring, 0.004, 0.0);
        let hidden = 9.0 * 0.004 * lean.tan() * (0.067 - 0.02);
        let expected = 1.0 - hidden / nine.open_area(ring);
        assert!((open / expected - 1.0).abs() < 1e-4, "{open} {expected}");
    }
}
