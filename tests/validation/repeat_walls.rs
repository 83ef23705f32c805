//! Where straight lines meet the walls of a repeat, against closed forms.
//!
//! Sources: where a line meets a plane, a leaning cylinder, a quarter circle, a twisted flat: elementary geometry (any handbook of
//! mathematics, from memory). Tolerance: 1e-9 of the line, which is what a view needs (seen 9e-12 of a short length).

use std::f64::consts::FRAC_PI_4;

use ventwright::grille::{CountedFrom, Edge, Hands, HoleShape, Layout, RepeatSolid, Turn};

use crate::common::assert_close;
use crate::repeated::{SHAPES, SIZE, T, patterns, sharp, turned, twist};

/// A millimetre in m.
const MM: f64 = 1e-3;

#[test]
fn a_lean_moves_the_hole_by_its_tangent_times_the_depth() {
    let lean = 30_f64.to_radians();
    let radius = 0.05;
    let round = |turn| sharp(&turned(SHAPES[0], Layout::Staggered, 2.0 * MM, turn));
    for (solid, slope) in [
        (round(Turn::Lean { angle: lean }), 1.0 / 3.0_f64.sqrt()),
        (round(Turn::Lean { angle: -lean }), -1.0 / 3.0_f64.sqrt()),
        // R · angle / t = 50 mm · 0.04 / 4 mm
        (round(Turn::PatternTwist { angle: 0.04 }), radius * 0.04 / T),
    ] {
        for hole in solid.holes() {
            for depth in [0.0, 1.0 * MM, 2.0 * MM, T] {
                let y = hole.centre[0] + slope * (depth - 2.0 * MM);
                let right = [depth, y + 7.0 * MM / 2.0, hole.centre[1]];
                let wall = solid.wall_fraction([depth, y, hole.centre[1]], right);
                assert_close("to the right", wall.unwrap(), 5.0 / 7.0, 1e-9);
                let left = [depth, y - 7.0 * MM / 2.0, hole.centre[1]];
                let wall = solid.wall_fraction([depth, y, hole.centre[1]], left);
                assert_close("to the left", wall.unwrap(), 5.0 / 7.0, 1e-9);
            }
        }
    }
}

#[test]
fn a_line_meets_planes_and_cylinders_where_geometry_says() {
    let square = sharp(&turned(SHAPES[1], Layout::Square, MM, Turn::Straight));
    let [y, z] = square.holes()[0].centre;
    // Along the depth, from 1 mm ahead of the rib: the face.
    let wall = square.wall_fraction([-MM, y + 3.0 * MM, z], [T, y + 3.0 * MM, z]);
    assert_close("face", wall.unwrap(), 0.2, 1e-9);
    // From behind: the back face, 2 mm away.
    let wall = square.wall_fraction([T + 2.0 * MM, y + 3.0 * MM, z], [0.0, y + 3.0 * MM, z]);
    assert_close("back face", wall.unwrap(), 2.0 / 6.0, 1e-9);
    // Through the hole: nothing. Within the rib: at once.
    assert_eq!(square.wall_fraction([-1.0, y, z], [1.0, y + MM, z]), None);
    assert_eq!(
        square.wall_fraction([MM, y + 3.0 * MM, z], [MM, y, z]),
        Some(0.0)
    );
    // Across, past the corner: y - z walls are planes.
    let wall = square.wall_fraction([MM, y, z], [2.0 * MM, y + 3.0 * MM, z + 4.0 * MM]);
    assert_close("plane", wall.unwrap(), 2.5 / 4.0, 1e-9);

    // A leaning cylinder: |o + s d| = R in the frame that moves with it, a quadratic equation.
    let slope = 0.3_f64;
    let turn = Turn::Lean {
        angle: slope.atan(),
    };
    let round = sharp(&turned(SHAPES[0], Layout::Staggered, MM, turn));
    let [y, z] = round.holes()[1].centre;
    let (from, to) = (
        [0.5 * MM, y - 0.4 * MM, z + 0.7 * MM],
        [3.5 * MM, y + 2.5 * MM, z - 3.0 * MM],
    );
    let start = [from[1] - y - slope * (from[0] - 2.0 * MM), from[2] - z];
    let path = [to[1] - from[1] - slope * (to[0] - from[0]), to[2] - from[2]];
    let (a, b, c) = (
        path[0] * path[0] + path[1] * path[1],
        start[0] * path[0] + start[1] * path[1],
        start[0] * start[0] + start[1] * start[1] - 6.25 * MM * MM,
    );
    let expected = (-b + (b * b - a * c).sqrt()) / a;
    assert!(expected > 0.0 && expected < 1.0);
    let wall = round.wall_fraction(from, to);
    assert_close("leaning cylinder", wall.unwrap(), expected, 1e-9);
}

/// A line beside the axis of a twisted square, at the distance q from it and in the direction of a corner at mid-depth, meets a flat
/// where cos(45° - turn) q = side/2.
#[test]
fn a_line_meets_a_twisted_wall_where_geometry_says() {
    let angle = 40_f64.to_radians();
    let turn = twist(angle, CountedFrom::MidDepth, Hands::Same);
    let solid = sharp(&turned(SHAPES[1], Layout::Square, 4.0 * MM, turn));
    let [y, z] = solid.holes()[0].centre;
    let distance = 3.2 * MM;
    let turned_by = FRAC_PI_4 - (0.5 * SIZE / distance).acos();
    let at = |depth| {
        [
            depth,
            y + distance * FRAC_PI_4.cos(),
            z + distance * FRAC_PI_4.sin(),
        ]
    };
    // Half the thickness for half the angle, from the middle to either face.
    let expected = turned_by / (0.5 * angle);
    assert!(expected < 1.0);
    for face in [0.0, T] {
        let wall = solid.wall_fraction(at(0.5 * T), at(face));
        assert_close("flat", wall.unwrap(), expected, 1e-9);
    }
}

#[test]
fn a_thin_rib_is_not_jumped_over() {
    for rib in [1e-3, 1e-4, 1e-5] {
        let solid = sharp(&turned(SHAPES[1], Layout::Square, rib, Turn::Straight));
        let [y, z] = solid.holes()[0].centre;
        let pitch = SIZE + rib;
        let wall = solid.wall_fraction([MM, y, z], [MM, y + pitch, z]);
        assert_close("rib", wall.unwrap(), 0.5 * SIZE / pitch, 1e-9);
        // Oblique, over many holes, from outside.
        let wall = solid.wall_fraction([-MM, y, z], [3.0 * MM, y + 40.0 * pitch, z]);
        // It comes in at a quarter of the way in the middle of the tenth hole.
        let expected = (10.0 * pitch + 0.5 * SIZE) / (40.0 * pitch);
        assert_close("oblique", wall.unwrap(), expected, 1e-9);
    }
}

#[test]
fn edges_widen_the_opening_as_drawn() {
    let (radius, chamfer) = (0.9 * MM, 0.6 * MM);
    for (pattern, _, _) in patterns(Turn::Straight) {
        let (front, back) = (Edge::Rounded(radius), Edge::Chamfered(chamfer));
        let solid = RepeatSolid::of(&pattern, T, front, back, 0.0).unwrap();
        let hole = solid.holes()[0];
        // Down from the middle: every shape has its foot there, half its extent below (a triangle a third of its height).
        let foot = match pattern.shape {
            HoleShape::Triangle { side } => side / 12.0_f64.sqrt(),
            HoleShape::Hexagon { .. } => continue,
            _ => 0.5 * SIZE,
        };
        let down = |depth: f64| {
            let [y, z] = hole.centre;
            let wall = solid.wall_fraction([depth, y, z], [depth, y, z - 2.0 * foot]);
            wall.unwrap() * 2.0 * foot
        };
        assert_close("at the front face", down(0.0), foot + radius, 1e-9);
        assert_close("at the back face", down(T), foot + chamfer, 1e-9);
        assert_close("in the middle", down(0.5 * T), foot, 1e-9);
        // Along the depth, e outside of the foot: a quarter circle about (r, r), a line of 45 degrees.
        for share in [0.1, 0.5, 0.9] {
            let along = |from: f64, outside: f64| {
                let [y, z] = [hole.centre[0], hole.centre[1] - foot - outside];
                let wall = solid.wall_fraction([from, y, z], [0.5 * T, y, z]);
                wall.unwrap() * (0.5 * T - from).abs()
            };
            let outside = share * radius;
            let rounding = radius - (radius * radius - (radius - outside).powi(2)).sqrt();
            assert_close("rounding", along(0.0, outside), rounding, 1e-9);
            let outside = share * chamfer;
            assert_close(
                "chamfer",
                along(T + MM, outside),
                MM + chamfer - outside,
                1e-9,
            );
        }
    }
}
