//! Walls between holes over the whole thickness, against brute force and closed forms.
//!
//! Brute force: every corner of every outline against every edge of every other one, at many depths; it shares nothing with the
//! library's difference bodies but the outlines.
//! Closed forms: derived beside each test.
//!
//! Tolerances, all relative: closed forms 1e-6 (seen below 1e-14); brute force over the thickness 1e-3, which is what its steps may miss (seen 5e-7); free-area ratios
//! that are printed to three digits 1e-3 without a rib (seen 4e-4) and, printed to two, 1 % with one (seen 0.9 %).

use ventwright::grille::{
    CountedFrom, CutOut, Grille, GrilleError, GrilleWarning, Hands, HoleShape, Layout, Pattern,
    Turn,
};

use crate::common::assert_close;
use crate::drawn::{MM, holes, is_inside, pattern};

fn twisted(
    shape: HoleShape,
    layout: Layout,
    rib: f64,
    angle: f64,
    counted_from: CountedFrom,
    hands: Hands,
) -> Grille {
    let mut pattern = pattern(shape, layout, rib);
    pattern.turn = Turn::Twist {
        angle,
        counted_from,
        hands,
    };
    holes(pattern)
}

/// Distance of two polygons by brute force: every corner against every edge; 0 if one holds a corner of the other.
fn brute_distance(a: &[[f64; 2]], b: &[[f64; 2]]) -> f64 {
    let outlines = [a.to_vec(), b.to_vec()];
    if b.iter().any(|corner| is_inside(&outlines[..1], *corner))
        || a.iter().any(|corner| is_inside(&outlines[1..], *corner))
    {
        return 0.0;
    }
    let corner_to_edges = |corners: &[[f64; 2]], polygon: &[[f64; 2]]| {
        let mut least = f64::INFINITY;
        for point in corners {
            for (index, start) in polygon.iter().enumerate() {
                let end = polygon[(index + 1) % polygon.len()];
                let edge = [end[0] - start[0], end[1] - start[1]];
                let offset = [point[0] - start[0], point[1] - start[1]];
                let along = ((offset[0] * edge[0] + offset[1] * edge[1])
                    / (edge[0].powi(2) + edge[1].powi(2)))
                .clamp(0.0, 1.0);
                least = least.min((offset[0] - along * edge[0]).hypot(offset[1] - along * edge[1]));
            }
        }
        least
    };
    corner_to_edges(a, b).min(corner_to_edges(b, a))
}

/// Least distance between any two outlines of a small plate at this depth.
fn brute_wall(grille: &Grille, depth: f64) -> f64 {
    let outlines = grille.outlines_at_depth(depth);
    let mut least = f64::INFINITY;
    for (index, a) in outlines.iter().enumerate() {
        for b in &outlines[index + 1..] {
            least = least.min(brute_distance(a, b));
        }
    }
    least
}

/// A small plate of about twenty holes, so that brute force stays quick.
fn small(mut grille: Grille) -> Grille {
    grille.cut_out = CutOut::Bore { diameter: 0.05 };
    grille.border = 0.0;
    grille.centre_disc_diameter = 0.0;
    grille.zones[0].outer_radius = 0.025;
    grille
}

#[test]
fn the_drawn_rib_is_the_least_distance_of_the_outlines() {
    let rib = 1.3 * MM;
    for shape in HoleShape::one_of_each(5.0 * MM, 4.0 * MM) {
        for layout in [Layout::Square, Layout::Staggered, Layout::UpDown] {
            let drawn = pattern(shape, layout, rib);
            if drawn.repeat().is_none() {
                continue;
            }
            let grille = small(holes(drawn));
            let geometry = grille.resolve(0.0).unwrap();
            assert_close("resolved", geometry.zones[0].least_rib, rib, 1e-9);
            // Round outlines are polygons of 96 corners: up to d (1 - cos(pi/96)) = 0.05 % of 6 mm more wall.
            assert_close(
                &format!("{shape:?} {layout:?}"),
                brute_wall(&grille, 0.0),
                rib,
                3e-3,
            );
        }
    }
}

/// Long rhombi and wide ribs, where no two sides face each other any more.
#[test]
fn rhombi_keep_their_rib_however_long_they_are() {
    for (along, across, rib) in [
        (12.0, 4.0, 1.0),
        (4.0, 12.0, 3.0),
        (20.0, 4.0, 4.2),
        (20.0, 4.0, 4.5),
        (20.0, 6.0, 9.0),
        (3.0, 16.0, 12.0),
    ] {
        let shape = HoleShape::Rhombus {
            along: along * MM,
            across: across * MM,
        };
        let grille = holes(pattern(shape, Layout::Staggered, rib * MM));
        let least = grille.resolve(0.0).unwrap().zones[0].least_rib;
        assert_close(&format!("{shape:?}"), least, rib * MM, 1e-9);
        assert_close(
            &format!("{shape:?}"),
            brute_wall(&grille, 0.0),
            rib * MM,
            1e-6,
        );
    }
}

/// The least rib of a small plate of twisted holes against brute force; it may miss the minimum a little, so the tolerance is
/// what 320 steps leave at a corner that passes its neighbour: p c δ² / 2 (p - c)², δ half a step, under 0.05 %; elsewhere under 0.001 % seen.
fn check_least_rib(
    shape: HoleShape,
    layout: Layout,
    rib_mm: f64,
    twist_deg: f64,
    from: CountedFrom,
    hands: Hands,
) {
    let angle = twist_deg.to_radians();
    let grille = small(twisted(shape, layout, rib_mm * MM, angle, from, hands));
    let actual = grille.resolve(0.0).expect("a plate that can be made").zones[0].least_rib;
    let expected = (0..=320)
        .map(|step| brute_wall(&grille, f64::from(step) / 320.0))
        .fold(f64::INFINITY, f64::min);
    assert_close(
        &format!("{shape:?} {layout:?} {hands:?}"),
        actual,
        expected,
        1e-3,
    );
    assert!(
        actual <= expected + 1e-9,
        "brute force may only miss the minimum: {actual} {expected}"
    );
    assert!(
        expected < rib_mm * MM * 0.99 || layout == Layout::Staggered,
        "the case must show something"
    );
}

#[test]
fn the_least_rib_over_the_thickness_is_that_of_brute_force() {
    use CountedFrom::{Back, Front, MidDepth};
    use Hands::{Alternate, Same};
    use Layout::{Square, Staggered, UpDown};
    let side = 6.0 * MM;
    let square = HoleShape::Square { side };
    let triangle = HoleShape::Triangle { side };
    let hexagon = HoleShape::Hexagon { across_flats: side };
    check_least_rib(square, Square, 2.5, 40.0, MidDepth, Same);
    check_least_rib(square, Square, 3.0, 35.0, Front, Alternate);
    check_least_rib(square, Staggered, 3.0, -50.0, Back, Same);
    check_least_rib(hexagon, Staggered, 1.2, 25.0, Front, Same);
    check_least_rib(hexagon, Staggered, 1.6, 60.0, MidDepth, Alternate);
    check_least_rib(triangle, UpDown, 1.5, 45.0, MidDepth, Same);
    check_least_rib(triangle, UpDown, 1.5, -14.0, Front, Alternate);
    check_least_rib(triangle, Staggered, 1.0, 70.0, MidDepth, Same);
    // Least where a corner points at the neighbour, between two of the depths tried.
    check_least_rib(square, Square, 3.0, 77.0, Front, Same);
}

#[test]
fn leaning_holes_come_closer_by_brute_force_too() {
    let mut drawn = pattern(
        HoleShape::Hexagon {
            across_flats: 4.0 * MM,
        },
        Layout::Staggered,
        1.5 * MM,
    );
    drawn.turn = Turn::Lean {
        angle: 20_f64.to_radians(),
    };
    let grille = small(holes(drawn));
    let actual = grille.resolve(0.0).unwrap().zones[0].least_rib;
    let expected = (0..=64)
        .map(|step| brute_wall(&grille, f64::from(step) / 64.0))
        .fold(f64::INFINITY, f64::min);
    assert!(
        expected < 1.45 * MM,
        "the case must show something: {expected}"
    );
    assert_close("least wall", actual, expected, 1e-3);
}

/// Up/down triangles of side s in a tiling of pitch L, all turned by the same angle a, keep facing edges parallel at a distance of
/// (L cos a - s) / √3: they touch at cos a = s / L.
#[test]
fn up_down_triangles_touch_where_cos_a_is_s_over_l() {
    let root = 3.0_f64.sqrt();
    for pitch in [10.0 * MM, 20.0 * MM] {
        let rib = 1.2 * MM;
        let side = pitch - root * rib;
        let shape = HoleShape::Triangle { side };
        let geometry = holes(pattern(shape, Layout::UpDown, rib))
            .resolve(0.0)
            .unwrap();
        let limit = geometry.zones[0].twist_limit.unwrap();
        let expected = (side / pitch).acos();
        assert_close("from a face", limit.from_face.unwrap(), expected, 1e-6);
        assert_close(
            "from mid-depth",
            limit.from_mid_depth.unwrap(),
            2.0 * expected,
            1e-6,
        );
        let angle = 20_f64.to_radians();
        let turned = twisted(
            shape,
            Layout::UpDown,
            rib,
            angle,
            CountedFrom::Front,
            Hands::Same,
        );
        let least = turned.resolve(0.0).unwrap().zones[0].least_rib;
        assert_close("gap", least, (pitch * angle.cos() - side) / root, 1e-6);
    }
}

/// Largest free-area ratio at which holes turn by any angle, all by the same hand: the difference body's circumscribed circle must
/// fit, so the pitch is 2 R + rib for squares and hexagons and s + rib for triangles. Without rib 0.50 (square), 0.75 (hexagon), 0.50
/// (triangle one way); with 0.8 mm at a hydraulic diameter of 5 mm 0.40, 0.58, 0.42.
#[test]
fn holes_turn_freely_up_to_the_known_free_area_ratios() {
    let root = 3.0_f64.sqrt();
    let size = 5.0 * MM;
    let square = HoleShape::Square { side: size };
    let hexagon = HoleShape::Hexagon { across_flats: size };
    let triangle = HoleShape::Triangle { side: size * root };
    for (shape, layout, bare, with_rib, bare_rib) in [
        (
            square,
            Layout::Square,
            0.50,
            0.40,
            size * (2.0_f64.sqrt() - 1.0),
        ),
        (
            hexagon,
            Layout::Staggered,
            0.75,
            0.58,
            size * (2.0 / root - 1.0),
        ),
        (triangle, Layout::Staggered, 0.50, 0.42, 0.0),
    ] {
        let turns_freely = |rib: f64| {
            let grille = holes(pattern(shape, layout, rib));
            grille.resolve(0.0).unwrap().zones[0]
                .twist_limit
                .unwrap()
                .from_face
                .is_none()
        };
        let ratio = |rib: f64| pattern(shape, layout, rib).free_area_ratio().unwrap();
        // The ratio at which the holes just touch while turning.
        assert_close("without rib", ratio(bare_rib + 1e-6), bare, 1e-3);
        assert!(turns_freely(bare_rib + 2e-6), "{shape:?}");
        if bare_rib > 0.0 {
            assert!(!turns_freely(bare_rib - 2e-6), "{shape:?}");
        }
        assert_close("with 0.8 mm", ratio(bare_rib + 0.8 * MM), with_rib, 0.01);
        let turned = twisted(
            shape,
            layout,
            bare_rib + 0.8 * MM,
            2.0,
            CountedFrom::Front,
            Hands::Same,
        );
        assert_close(
            "least wall",
            turned.resolve(0.0).unwrap().zones[0].least_rib,
            0.8 * MM,
            1e-6,
        );
    }
}

#[test]
fn twisted_holes_that_collide_are_refused_with_what_would_fit() {
    let shape = HoleShape::Square { side: 6.0 * MM };
    let angle = 80_f64.to_radians();
    let grille = twisted(
        shape,
        Layout::Square,
        1.5 * MM,
        angle,
        CountedFrom::MidDepth,
        Hands::Same,
    );
    let errors = grille.resolve(0.0).unwrap_err();
    let [
        GrilleError::TwistedHolesCollide {
            largest_from_mid_depth: Some(from_mid_depth),
            largest_from_face: Some(from_face),
            rib_needed: Some(rib),
            ..
        },
    ] = errors[..]
    else {
        panic!("{errors:?}");
    };
    let try_out = |rib: f64, angle: f64, from: CountedFrom| {
        twisted(shape, Layout::Square, rib, angle, from, Hands::Same).resolve(0.0)
    };
    assert!(try_out(1.5 * MM, from_mid_depth - 1e-4, CountedFrom::MidDepth).is_ok());
    assert!(try_out(1.5 * MM, from_mid_depth + 1e-4, CountedFrom::MidDepth).is_err());
    assert!(try_out(1.5 * MM, from_face - 1e-4, CountedFrom::Back).is_ok());
    assert!(try_out(1.5 * MM, -from_face - 1e-4, CountedFrom::Back).is_err());
    let least = try_out(rib, angle, CountedFrom::MidDepth).unwrap().zones[0].least_rib;
    assert_close("wall with the rib that was named", least, 0.8 * MM, 5e-3);
    let mut merging = grille;
    if let Pattern::Holes(pattern) = &mut merging.zones[0].pattern {
        pattern.merging_accepted = true;
    }
    let geometry = merging.resolve(0.0).unwrap();
    assert!(matches!(
        geometry.warnings[0],
        GrilleWarning::MergingHoles { .. }
    ));
    assert!(geometry.zones[0].least_rib < 0.0);
}
