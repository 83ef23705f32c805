//! The solid of one repeat in three dimensions, against closed forms and random counts that share no code with the library.
//!
//! Sources: areas and perimeters of circle, regular polygons and stadium; Steiner's formula for the area within a distance o of a convex
//! body, A + P o + pi o²; lattice areas: elementary geometry (any handbook of mathematics, from memory).
//! Random counts: 60 000 points of a repeat, tolerance four standard errors sqrt(p (1 - p) / N) (seen: at most 2.5 of one).
//! Tolerance of the closed forms: 1e-12 (seen 7e-16). Holes that overlap go through a polygon library that counts in whole numbers and
//! makes arcs of chords: 1e-8 for sharp corners
//! (seen 6e-10), 1e-6 for round ones (seen 6e-7), 1e-4 for their walls, a difference quotient of areas (seen 1e-6).

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, FRAC_PI_4, PI, TAU};

use ventwright::grille::{
    CountedFrom, Edge, Hands, HolePattern, HoleShape, Layout, Outline, RepeatSolid,
    RepeatSolidError, Turn,
};

use crate::common::assert_close;
use crate::drawn::handbook;
use crate::drawn::{MM, holes, is_inside, pattern};
use crate::repeated::{SHAPES, SIZE, T, patterns, sharp, turned, twist};

/// Uniform numbers from 0 to 1: the 64-bit linear congruential generator of Knuth's MMIX (constants from memory; any would do).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Share of random points of the repeat that are open at a depth, and four standard errors of it if the share is `expected`.
fn counted(solid: &RepeatSolid, depth: f64, expected: f64) -> (f64, f64) {
    const COUNT: u32 = 60_000;
    let mut dice = Dice(20_261_125);
    let [along, across] = solid.extent();
    let hits: u32 = (0..COUNT)
        .map(|_| u32::from(!solid.is_solid(depth, along * dice.roll(), across * dice.roll())))
        .sum();
    let error = (expected * (1.0 - expected) / f64::from(COUNT)).sqrt();
    (f64::from(hits) / f64::from(COUNT), 4.0 * error)
}

#[track_caller]
fn assert_counted(name: &str, solid: &RepeatSolid, depth: f64, expected: f64) {
    let (share, allowed) = counted(solid, depth, expected);
    assert!(
        (share - expected).abs() <= allowed,
        "{name}: {share} of the points are open instead of {expected} +- {allowed}"
    );
}

fn turns() -> [Turn; 6] {
    let angle = 15_f64.to_radians();
    [
        Turn::Straight,
        twist(angle, CountedFrom::MidDepth, Hands::Same),
        twist(angle, CountedFrom::Front, Hands::Alternate),
        twist(-angle, CountedFrom::Back, Hands::Same),
        Turn::Lean { angle },
        Turn::PatternTwist { angle: 0.05 },
    ]
}

#[test]
fn no_shape_is_missing_here() {
    assert_eq!(SHAPES.len(), HoleShape::one_of_each(SIZE, SIZE).len());
}

#[test]
fn the_repeat_is_the_smallest_rectangle_with_its_holes_inside() {
    for turn in turns() {
        for (pattern, extent, count) in patterns(turn) {
            let solid = sharp(&pattern);
            assert_close("along", solid.extent()[0], extent[0], 1e-12);
            assert_close("across", solid.extent()[1], extent[1], 1e-12);
            assert_eq!(solid.hole_count(), count, "{pattern:?}");
            for hole in solid.holes() {
                assert!((0..2).all(|axis| (0.0..extent[axis]).contains(&hole.centre[axis])));
            }
            let (area, _) = handbook(pattern.shape);
            let share = area * count as f64 / (extent[0] * extent[1]);
            assert_close("free-area ratio", solid.free_area_ratio(), share, 1e-12);
            assert_close(
                "of the pattern",
                pattern.free_area_ratio().unwrap(),
                share,
                1e-12,
            );
        }
    }
}

/// Half of the rectangle, along y or along z, does not repeat: so it is the smallest (no layout has a third).
#[test]
fn half_the_rectangle_does_not_repeat() {
    for turn in turns() {
        for (pattern, extent, _) in patterns(turn) {
            let solid = sharp(&pattern);
            for half in [[0.5 * extent[0], 0.0], [0.0, 0.5 * extent[1]]] {
                let mut dice = Dice(3);
                let is_other = (0..4000).any(|_| {
                    let depth = T * dice.roll();
                    let [y, z] = extent.map(|length| length * dice.roll());
                    solid.is_solid(depth, y, z) != solid.is_solid(depth, y + half[0], z + half[1])
                });
                assert!(is_other, "{pattern:?}");
            }
        }
    }
}

#[test]
fn random_points_are_open_by_the_closed_form_at_every_depth() {
    let (radius, chamfer) = (1.2 * MM, 0.8 * MM);
    for turn in turns() {
        for (pattern, extent, count) in patterns(turn) {
            let (front, back) = (Edge::Rounded(radius), Edge::Chamfered(chamfer));
            let solid = RepeatSolid::of(&pattern, T, front, back, 0.05).unwrap();
            let (area, perimeter) = handbook(pattern.shape);
            let half_way = radius - (radius * radius - 0.25 * radius * radius).sqrt();
            for (depth, offset) in [
                (0.0, radius),
                (0.5 * radius, half_way),
                (2.0 * MM, 0.0),
                (T - 0.25 * chamfer, 0.75 * chamfer),
                (T, chamfer),
            ] {
                let open = area + perimeter * offset + PI * offset * offset;
                let share = count as f64 * open / (extent[0] * extent[1]);
                let name = format!("{pattern:?} at {depth}");
                assert_close(&name, solid.free_area_ratio_at(depth), share, 1e-12);
                let wetted = count as f64 * (perimeter + TAU * offset);
                assert_close(&name, solid.wetted_perimeter_at(depth), wetted, 1e-12);
                assert_counted(&name, &solid, depth, share);
            }
        }
    }
}

#[test]
fn there_is_air_outside_of_the_plate() {
    let solid = sharp(&pattern(SHAPES[0], Layout::Square, MM));
    for depth in [-1e-9, T + 1e-9, -1.0, 1.0] {
        assert!(!solid.is_solid(depth, 0.0, 0.0) && solid.section(depth).is_none());
    }
    assert!(solid.is_solid(0.0, 0.0, 0.0) && solid.is_solid(T, 0.0, 0.0));
}

/// Outlines of the placed holes, moved so that the pattern's origin lies where the repeat has it, have no solid just inside and nothing but
/// solid just outside. They come from the placement in the bore; circles are 96-sided there, 0.1 % within the true one.
#[test]
fn solid_begins_at_the_outlines_of_the_placed_holes() {
    for turn in &turns()[..4] {
        for (pattern, _, _) in patterns(*turn) {
            let mut grille = holes(pattern.clone());
            grille.centre_disc_diameter = 0.0;
            let solid = RepeatSolid::of(&pattern, T, Edge::Sharp, Edge::Sharp, 0.0).unwrap();
            let drawn = pattern.repeat().unwrap().holes[0].offset;
            let centre = solid.holes()[0].centre;
            let away = [centre[0] - drawn[0], centre[1] - drawn[1]];
            for share in [0.0, 0.3, 0.5, 1.0] {
                let outlines = grille.outlines_at_depth(share);
                assert!(outlines.len() > 20);
                for outline in outlines {
                    let count = outline.len() as f64;
                    let middle = [0, 1]
                        .map(|axis| outline.iter().map(|point| point[axis]).sum::<f64>() / count);
                    for point in outline {
                        let at = |scale: f64| -> bool {
                            let [y, z] = [0, 1].map(|axis| {
                                middle[axis] + scale * (point[axis] - middle[axis]) + away[axis]
                            });
                            solid.is_solid(share * T, y, z)
                        };
                        assert!(!at(0.999) && at(1.002), "{pattern:?} {share}");
                    }
                }
            }
        }
    }
}

/// Holes straight below the axis lean along +y in the grille's drawing too: there the tangent is that way.
#[test]
fn the_lean_is_that_of_the_holes_below_the_axis() {
    let turn = Turn::Lean {
        angle: 25_f64.to_radians(),
    };
    let pattern = turned(SHAPES[1], Layout::Square, 2.0 * MM, turn);
    let grille = holes(pattern.clone());
    let solid = sharp(&pattern);
    let centre = solid.holes()[0].centre;
    let radius = 6.0 * 7.0 * MM;
    for step in 0..=4 {
        let share = f64::from(step) / 4.0;
        let outlines = grille.outlines_at_depth(share);
        for row in -6..=6 {
            for column in -8..=8 {
                let [y, z] =
                    [f64::from(column), f64::from(row)].map(|step| 0.37 * MM * step + 1e-5);
                assert_eq!(
                    is_inside(&outlines, [y, z - radius]),
                    !solid.is_solid(share * T, centre[0] + y, centre[1] + z),
                    "{share} {y} {z}"
                );
            }
        }
    }
}

#[test]
fn a_twist_by_the_turning_period_brings_the_outline_back() {
    let mut dice = Dice(7);
    for (shape, period) in [
        (SHAPES[1], FRAC_PI_2),
        (SHAPES[2], FRAC_PI_3),
        (SHAPES[3], TAU / 3.0),
        (SHAPES[4], PI),
    ] {
        for from in [CountedFrom::MidDepth, CountedFrom::Front, CountedFrom::Back] {
            let pattern = HolePattern {
                merging_accepted: true,
                ..turned(
                    shape,
                    Layout::Staggered,
                    MM,
                    twist(period, from, Hands::Same),
                )
            };
            let solid = sharp(&pattern);
            let drawn = sharp(&pattern_without_turn(&pattern));
            let mut differ = 0;
            for _ in 0..4000 {
                let [y, z] = solid.extent().map(|length| length * dice.roll());
                assert_eq!(solid.is_solid(0.0, y, z), solid.is_solid(T, y, z));
                differ += u32::from(solid.is_solid(0.0, y, z) != drawn.is_solid(0.0, y, z));
            }
            // Half a period from mid-depth is another outline (of squares, hexagons and triangles as of slots).
            assert_eq!(
                differ > 0,
                from == CountedFrom::MidDepth,
                "{shape:?} {from:?}"
            );
        }
    }
}

fn pattern_without_turn(pattern: &HolePattern) -> HolePattern {
    HolePattern {
        turn: Turn::Straight,
        ..pattern.clone()
    }
}

/// A positive twist turns y towards z as the depth grows: a corner at 45 degrees goes to 60 by 15 degrees.
#[test]
fn a_positive_twist_turns_y_towards_z() {
    let turn = twist(30_f64.to_radians(), CountedFrom::MidDepth, Hands::Same);
    let solid = sharp(&turned(SHAPES[1], Layout::Square, 4.0 * MM, turn));
    let centre = solid.holes()[0].centre;
    let tip = |depth: f64, degrees: f64| -> bool {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        let reach = 0.99 * SIZE / 2.0_f64.sqrt();
        solid.is_solid(depth, centre[0] + reach * cosine, centre[1] + reach * sine)
    };
    assert!(!tip(T, 60.0) && tip(T, 30.0) && !tip(0.0, 30.0) && tip(0.0, 60.0));
    assert!(!tip(0.5 * T, 45.0));
}

/// Squares that twist by a half right angle stand on their tips; two tips of height h beyond the border of the repeat share 2 h².
#[test]
fn merged_holes_count_once() {
    let rib = MM;
    let turn = twist(FRAC_PI_4, CountedFrom::Front, Hands::Same);
    let refused = turned(SHAPES[1], Layout::Square, rib, turn);
    let fault = RepeatSolid::of(&refused, T, Edge::Sharp, Edge::Sharp, 0.0);
    assert!(matches!(fault, Err(RepeatSolidError::HolesMerge { least_rib }) if least_rib < 0.0));
    let accepted = HolePattern {
        merging_accepted: true,
        ..refused
    };
    let solid = sharp(&accepted);
    let (pitch, tip) = (SIZE + rib, SIZE / 2.0_f64.sqrt() - 0.5 * (SIZE + rib));
    let share = (SIZE * SIZE - 4.0 * tip * tip) / (pitch * pitch);
    assert_close("free-area ratio", solid.free_area_ratio_at(T), share, 1e-8);
    let wetted = 4.0 * SIZE - 8.0 * 2.0_f64.sqrt() * tip;
    assert_close("perimeter", solid.wetted_perimeter_at(T), wetted, 1e-6);
    assert_close("drawn", solid.free_area_ratio_at(0.0), 25.0 / 36.0, 1e-12);
    assert_counted("merged squares", &solid, T, share);
}

/// Slots of 15 mm in rows 6 mm apart that turn upright run into one channel; on the way there is no closed form, but the count.
#[test]
fn merged_slots_become_a_channel() {
    let round = 0.4 * MM;
    for (layout, hands) in [
        (Layout::Square, Hands::Same),
        (Layout::Square, Hands::Alternate),
        (Layout::Staggered, Hands::Alternate),
    ] {
        let turn = twist(FRAC_PI_2, CountedFrom::Front, hands);
        let slots = HolePattern {
            merging_accepted: true,
            ..turned(SHAPES[4], layout, MM, turn)
        };
        let edge = Edge::Rounded(round);
        let solid = RepeatSolid::of(&slots, T, edge, edge, 0.0).unwrap();
        for depth in [0.5 * T, 0.8 * T, T] {
            let unmerged: f64 = solid.outlines_at(depth).iter().map(Outline::area).sum();
            let share = solid.free_area_ratio_at(depth);
            assert!(share < 0.999 * unmerged / solid.area());
            assert_counted("merged slots", &solid, depth, share);
        }
        if layout == Layout::Square {
            let channels = solid.extent()[0] / (3.0 * SIZE + MM);
            let width = SIZE + 2.0 * round;
            let open = channels * width / solid.extent()[0];
            assert_close("channel", solid.free_area_ratio_at(T), open, 1e-6);
            let walls = 2.0 * channels * solid.extent()[1];
            assert_close("walls", solid.wetted_perimeter_at(T), walls, 1e-4);
        }
    }
}

#[test]
fn what_cannot_be_built_is_refused() {
    let fine = pattern(SHAPES[1], Layout::Square, MM);
    let fault = |pattern: &HolePattern, thickness, edge| {
        RepeatSolid::of(pattern, thickness, edge, edge, 0.0).unwrap_err()
    };
    let up_down = pattern(SHAPES[1], Layout::UpDown, MM);
    assert_eq!(
        fault(&up_down, T, Edge::Sharp),
        RepeatSolidError::LayoutNotForShape
    );
    let deep = fault(&fine, T, Edge::Rounded(3.0 * MM));
    assert!(matches!(deep, RepeatSolidError::EdgesTooDeep { .. }));
    let steep = turned(SHAPES[0], Layout::Square, MM, Turn::Lean { angle: 1.6 });
    let short = HoleShape::Slot {
        width: SIZE,
        length: MM,
    };
    for fault in [
        fault(&fine, f64::NAN, Edge::Sharp),
        fault(&fine, 0.0, Edge::Sharp),
        fault(&fine, T, Edge::Chamfered(f64::NAN)),
        fault(&pattern(SHAPES[1], Layout::Square, -MM), T, Edge::Sharp),
        fault(&pattern(short, Layout::Square, MM), T, Edge::Sharp),
        fault(&steep, T, Edge::Sharp),
    ] {
        assert!(
            matches!(fault, RepeatSolidError::OutOfRange { .. }),
            "{fault}"
        );
    }
}
