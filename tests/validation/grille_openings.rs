//! Ring slots, bars, what passes through an opening, what one sees through it, which way it turns, and what flow views get, against closed
//! forms and brute force.
//!
//! Tolerances, all relative: closed forms 1e-12 (seen 2e-16), with drawn arcs 1e-6 (seen 4e-7); turned corners 1e-9 (seen 1e-15); brute force 6e-3 for squares that pass and 1e-3 for slots,
//! by the size of its steps (seen 2.6e-3 and 5e-4); line of sight 1e-2, by counting (seen 9e-4).

use std::f64::consts::PI;

use ventwright::grille::{
    BarPattern, CountedFrom, CrossingHoles, FlowKind, GrilleWarning, Hands, HoleShape, Layout,
    OpeningShape, Pattern, RingPattern, Turn,
};

use crate::common::assert_close;
use crate::drawn::{MM, holes, is_inside, pattern, plate};

#[test]
fn rings_and_bars_have_their_closed_forms() {
    // Room from 15 to 67 mm: slots 5 mm wide every 7 mm from 67 inwards: 62-67, 55-60, ... 20-25 and 13-18, which crosses the disc.
    let rings = |bar_count, crossing| {
        plate(
            Pattern::Rings(RingPattern {
                slot_width: 5.0 * MM,
                rib: 2.0 * MM,
                bar_count,
                bar_width: 3.0 * MM,
                turn: Turn::Straight,
            }),
            crossing,
        )
    };
    let slots = |first: i32, count: i32| -> f64 {
        (first..count)
            .map(|index| 0.067 - 0.007 * f64::from(index))
            .map(|outer| PI * (outer.powi(2) - (outer - 0.005).powi(2)))
            .sum()
    };
    let dropped = rings(0, CrossingHoles::Drop).resolve(0.04).unwrap();
    assert_eq!(dropped.hole_count, 7);
    assert_close("rings", dropped.open_area, slots(0, 7), 1e-12);
    assert_close(
        "hydraulic diameter",
        dropped.zones[0].hydraulic_diameter,
        0.01,
        1e-12,
    );
    assert!(matches!(
        dropped.warnings[..],
        [GrilleWarning::LooseRings { zone: 1 }]
    ));
    let clipped = rings(0, CrossingHoles::Clip).resolve(0.04).unwrap();
    let last = PI * (0.018_f64.powi(2) - 0.015_f64.powi(2));
    assert_close("clipped", clipped.open_area, slots(0, 7) + last, 1e-12);
    // A bar takes nearly width times slot width; its ends are arcs, so a little more: (b³/24)(1/R1 - 1/R2) from the next term of sqrt(R² - z²).
    let with_bars = rings(6, CrossingHoles::Drop).resolve(0.04).unwrap();
    assert_eq!(with_bars.hole_count, 42);
    let taken: f64 = (0..7)
        .map(|index| 0.067 - 0.007 * f64::from(index))
        .map(|outer| {
            6.0 * (0.003 * 0.005 + 0.003_f64.powi(3) / 24.0 * (1.0 / (outer - 0.005) - 1.0 / outer))
        })
        .sum();
    let actual = slots(0, 7) - with_bars.open_area;
    assert_close("bars' area", actual, taken, 1e-6);
}

/// Two bars of width b across a disc take two half strips: b sqrt(R² - b²/4) + 2 R² asin(b / 2R) in all.
#[test]
fn two_bars_halve_a_disc() {
    let mut grille = plate(
        Pattern::Bars(BarPattern {
            bar_count: 2,
            bar_width: 6.0 * MM,
            turn: Turn::Straight,
        }),
        CrossingHoles::Drop,
    );
    grille.centre_disc_diameter = 0.0;
    let geometry = grille.resolve(0.0).unwrap();
    let (r, b) = (0.067_f64, 0.006_f64);
    let segment = r * r * (b / 2.0 / r).acos() - b / 2.0 * (r * r - b * b / 4.0).sqrt();
    assert_eq!(geometry.hole_count, 2);
    assert_close("two segments", geometry.open_area, 2.0 * segment, 1e-12);
    let perimeter = 2.0 * r * (b / 2.0 / r).acos() + 2.0 * (r * r - b * b / 4.0).sqrt();
    assert_close(
        "hydraulic diameter",
        geometry.zones[0].hydraulic_diameter,
        4.0 * segment / perimeter,
        1e-12,
    );
    // The largest circle in a segment has the segment's height.
    assert_close(
        "circle that passes",
        geometry.zones[0].passage.circle,
        r - b / 2.0,
        1e-12,
    );
}

/// Largest square and smallest enclosing square by brute force over orientation, centre on the axis of symmetry.
#[test]
fn what_passes_is_what_brute_force_finds() {
    let size = 6.0 * MM;
    for shape in HoleShape::one_of_each(size, 0.5 * size) {
        let polygon = shape.outline().points();
        let passage = shape.passage();
        let extent = |angle: f64| {
            let along = polygon
                .iter()
                .map(|p| p[0] * angle.cos() + p[1] * angle.sin());
            along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
        };
        let mut largest_square = 0.0_f64;
        let (mut narrowest, mut enclosing) = (f64::INFINITY, f64::INFINITY);
        for step in 0..180 {
            let angle = f64::from(step).to_radians();
            narrowest = narrowest.min(extent(angle));
            enclosing = enclosing.min(extent(angle).max(extent(angle + PI / 2.0)));
            for shift in -120..=120 {
                // Largest square about a centre: until a corner meets an edge.
                let centre = [0.0, size * f64::from(shift) / 400.0];
                let mut half_diagonal = f64::INFINITY;
                for corner in 0..4 {
                    let direction = angle + PI / 2.0 * f64::from(corner);
                    half_diagonal = half_diagonal.min(ray_length(&polygon, centre, direction));
                }
                largest_square = largest_square.max(half_diagonal * 2.0_f64.sqrt());
            }
        }
        // The narrowest slot touches a whole side, which may lie between two of the angles.
        for (index, a) in polygon.iter().enumerate() {
            let b = polygon[(index + 1) % polygon.len()];
            narrowest = narrowest.min(extent((a[0] - b[0]).atan2(b[1] - a[1])));
        }
        let name = format!("{shape:?}");
        assert_close(&name, largest_square, passage.square, 6e-3);
        assert_close(&name, narrowest, passage.slot, 1e-3);
        assert_close(&name, enclosing, passage.enclosing_square.unwrap(), 1e-3);
        let farthest = polygon.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
        assert_close(
            &name,
            2.0 * farthest,
            passage.enclosing_circle.unwrap(),
            1e-9,
        );
    }
}

/// Distance from a point to the outline in a direction; 0 if the point lies outside.
fn ray_length(polygon: &[[f64; 2]], from: [f64; 2], angle: f64) -> f64 {
    if !is_inside(&[polygon.to_vec()], from) {
        return 0.0;
    }
    let (sine, cosine) = angle.sin_cos();
    let mut least = f64::INFINITY;
    for (index, a) in polygon.iter().enumerate() {
        let b = polygon[(index + 1) % polygon.len()];
        let turn = |p: [f64; 2]| {
            let offset = [p[0] - from[0], p[1] - from[1]];
            [
                offset[0] * cosine + offset[1] * sine,
                offset[1] * cosine - offset[0] * sine,
            ]
        };
        let (a, b) = (turn(*a), turn(b));
        if (a[1] > 0.0) != (b[1] > 0.0) {
            let along = a[0] - a[1] / (b[1] - a[1]) * (b[0] - a[0]);
            if along > 0.0 {
                least = least.min(along);
            }
        }
    }
    least
}

#[test]
fn the_whole_pattern_turned_blocks_the_sight_of_outer_holes() {
    // A hole at radius R moves sideways by R times the twist: 40 mm and 10 degrees are 7 mm, so 5 mm holes further out are blocked.
    let mut drawn = pattern(
        HoleShape::Round { diameter: 5.0 * MM },
        Layout::Staggered,
        1.2 * MM,
    );
    drawn.turn = Turn::PatternTwist {
        angle: 10_f64.to_radians(),
    };
    let mut grille = holes(drawn);
    grille.zones[0].inner_radius = 0.04;
    let zone = &grille.resolve(0.0).unwrap().zones[0];
    assert!(zone.straight_sight.abs() < 1e-12);
    assert_close(
        "wall",
        zone.wall_angle.tan(),
        0.067 * 10_f64.to_radians() / 0.004,
        1e-12,
    );
    // Lean by d / t: the shift is the hole's diameter.
    let mut leaned = pattern(
        HoleShape::Square { side: 5.0 * MM },
        Layout::Square,
        1.2 * MM,
    );
    leaned.turn = Turn::Lean {
        angle: 0.5_f64.atan(),
    };
    let mut grille = holes(leaned);
    grille.centre_disc_diameter = 0.06;
    // A square moved by (p, q) keeps (1 - p/s)(1 - q/s); the mean over all directions of a shift e is 1 - 4 e/(pi s) + e²/(pi s²).
    let e: f64 = 0.002 / 0.005;
    let expected = 1.0 - 4.0 * e / PI + e * e / PI;
    let zone = &grille.resolve(0.0).unwrap().zones[0];
    assert_close("leaned squares", zone.straight_sight, expected, 1e-2);
}

/// Middle of an outline's corners.
fn middle(outline: &[[f64; 2]]) -> [f64; 2] {
    let count = outline.len() as f64;
    let sum = outline
        .iter()
        .fold([0.0, 0.0], |sum, p| [sum[0] + p[0], sum[1] + p[1]]);
    [sum[0] / count, sum[1] / count]
}

/// Angle of a corner about the axis of the hole that lies farthest along y.
fn turned_corner(turn: Turn, depth: f64) -> ([f64; 2], f64) {
    let mut drawn = pattern(
        HoleShape::Square { side: 5.0 * MM },
        Layout::Square,
        5.0 * MM,
    );
    drawn.turn = turn;
    let outlines = holes(drawn).outlines_at_depth(depth);
    let hole = outlines
        .iter()
        .filter(|outline| middle(outline)[1].abs() < 2.0 * MM)
        .max_by(|a, b| middle(a)[0].total_cmp(&middle(b)[0]))
        .expect("a hole on the y axis");
    let centre = middle(hole);
    let corner = [hole[0][0] - centre[0], hole[0][1] - centre[1]];
    (centre, corner[1].atan2(corner[0]).rem_euclid(PI / 2.0))
}

/// x points from front to back and (x, y, z) is right-handed: a right-handed helix turns y towards z with growing depth.
#[test]
fn positive_turns_are_right_handed_from_front_to_back() {
    let angle = 0.2;
    let (_, drawn) = turned_corner(Turn::Straight, 0.0);
    for (counted_from, front, back) in [
        (CountedFrom::Front, 0.0, angle),
        (CountedFrom::Back, -angle, 0.0),
        (CountedFrom::MidDepth, -0.5 * angle, 0.5 * angle),
    ] {
        let turn = Turn::Twist {
            angle,
            counted_from,
            hands: Hands::Same,
        };
        let (at_front, at_back) = (turned_corner(turn, 0.0).1, turned_corner(turn, 1.0).1);
        assert_close("front", at_front, drawn + front, 1e-9);
        assert_close("back", at_back, drawn + back, 1e-9);
    }
    // Leaned towards growing angle: along +z for a hole on the y axis, by t tan(lean) from face to face.
    let lean = Turn::Lean { angle };
    let (front, back) = (turned_corner(lean, 0.0).0, turned_corner(lean, 1.0).0);
    assert_close("lean", back[1] - front[1], 0.004 * angle.tan(), 1e-9);
    assert!((back[0] - front[0]).abs() < 1e-12);
    // The whole pattern: a hole on the y axis goes round by the angle.
    let twist = Turn::PatternTwist { angle: 0.01 };
    let (front, back) = (turned_corner(twist, 0.0).0, turned_corner(twist, 1.0).0);
    let turned = back[1].atan2(back[0]) - front[1].atan2(front[0]);
    assert_close("pattern twist", turned, 0.01, 1e-9);
}

#[test]
fn flow_views_get_slots_as_slots_and_holes_as_holes() {
    let flow = |shape, layout| {
        let grille = holes(pattern(shape, layout, 1.2 * MM));
        grille.flow_geometry(&grille.resolve(0.0).unwrap())[0]
    };
    let hexagon = flow(
        HoleShape::Hexagon {
            across_flats: 5.0 * MM,
        },
        Layout::Staggered,
    );
    assert_eq!(hexagon.shape, OpeningShape::Hexagon);
    assert_eq!(hexagon.kind, FlowKind::Hole);
    assert_close(
        "phi",
        hexagon.free_area_ratio,
        (5.0_f64 / 6.2).powi(2),
        1e-12,
    );
    assert_close("Dh", hexagon.hydraulic_diameter, 5.0 * MM, 1e-12);
    let slot = |length| {
        let shape = HoleShape::Slot {
            width: 4.0 * MM,
            length,
        };
        flow(shape, Layout::Staggered)
    };
    assert_eq!(slot(15.9 * MM).kind, FlowKind::Hole);
    let long = slot(16.1 * MM);
    let FlowKind::Slot { width, pitch } = long.kind else {
        panic!("{long:?}");
    };
    assert_close("width", width, 4.0 * MM, 1e-12);
    assert_close("pitch", width / pitch, long.free_area_ratio, 1e-12);
    // Rings without bars: the real pitch.
    let rings = plate(
        Pattern::Rings(RingPattern {
            slot_width: 5.0 * MM,
            rib: 2.0 * MM,
            bar_count: 0,
            bar_width: 3.0 * MM,
            turn: Turn::Straight,
        }),
        CrossingHoles::Drop,
    );
    let ring = rings.flow_geometry(&rings.resolve(0.0).unwrap())[0];
    let FlowKind::Slot { width, pitch } = ring.kind else {
        panic!("{ring:?}");
    };
    assert_eq!(ring.shape, OpeningShape::Ring);
    assert_close("ring slot", width, 5.0 * MM, 1e-12);
    assert_close("ring pitch", pitch, 7.0 * MM, 1e-12);
    assert_close("ring Dh", ring.hydraulic_diameter, 10.0 * MM, 1e-12);
}
