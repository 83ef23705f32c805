//! Holes in a rectangular vent: how many fit, how much is open, and how fast the air meets them.
//!
//! Source: plane geometry in closed form (rows of equal squares; a periodic pattern over whole periods), and continuity.
//! Of squares of side s with ribs r a length L holds `n = floor((L + r) / (s + r))`.
//! A rectangle of whole periods holds the pattern's own share of open area, however the pattern is moved (translation keeps the area of a periodic figure).
//! Tolerance: none in counts; 1e-7 in areas, since polygons are cut on a grid of whole numbers; 5e-3 in the flow, since velocities are planned with three figures; 1e-12, rounding, elsewhere.
//! Error seen: 3e-9 in areas, 2e-3 in the flow.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use proptest::prelude::*;

use ventwright::grille::{
    CrossingHoles, CutOut, Edge, Grille, GrilleError, HolePattern, HoleShape, Layout, Pattern,
    RingPattern, Turn, Zone,
};
use ventwright::run::planning::plan::{plan, repeat_area};
use ventwright::study::{Draft, Study};

use crate::common::assert_close;

/// A plate over a vent whose border leaves these sides, m.
fn plate(inside: [f64; 2], pattern: Pattern, crossing_holes: CrossingHoles) -> Grille {
    let border = 0.002;
    let cut_out = CutOut::Vent {
        width: inside[0] + 2.0 * border,
        height: inside[1] + 2.0 * border,
    };
    Grille {
        name: "vent".to_owned(),
        cut_out,
        thickness: 0.003,
        border,
        centre_disc_diameter: 0.0,
        crossing_holes,
        front_edge: Edge::Sharp,
        back_edge: Edge::Sharp,
        zones: vec![Zone {
            inner_radius: 0.0,
            outer_radius: cut_out.inside(border).reach(),
            pattern,
        }],
    }
}

fn holes(shape: HoleShape, layout: Layout, rib: f64) -> HolePattern {
    HolePattern {
        shape,
        layout,
        rib,
        turn: Turn::Straight,
        merging_accepted: false,
    }
}

/// The signed area of a polygon (shoelace formula).
fn area(points: &[[f64; 2]]) -> f64 {
    let next = points.iter().cycle().skip(1);
    let doubled: f64 = points
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    0.5 * doubled
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_vent_takes_as_many_squares_as_its_sides_do(
        side in 3e-3..9e-3_f64, rib in 8e-4..3e-3_f64, width in 0.02..0.12_f64, height in 0.02..0.12_f64
    ) {
        let along = |length: f64| ((length + rib) / (side + rib)).floor();
        let pattern = Pattern::Holes(holes(HoleShape::Square { side }, Layout::Square, rib));
        let grille = plate([width, height], pattern, CrossingHoles::Drop);
        let geometry = grille.resolve(0.0).unwrap();
        let expected = along(width) * along(height);
        prop_assert!((geometry.hole_count as f64 - expected).abs() < 0.5, "{} holes, not {expected}", geometry.hole_count);
        prop_assert!((geometry.open_area / (expected * side * side) - 1.0).abs() < 1e-9);
        // They stand in the middle, and none crosses the border.
        let mut middle = [0.0, 0.0];
        for point in grille.outlines().iter().flatten() {
            prop_assert!(point[0].abs() <= 0.5 * width + 1e-9 && point[1].abs() <= 0.5 * height + 1e-9);
            middle = [middle[0] + point[0], middle[1] + point[1]];
        }
        let corners = 4.0 * expected;
        prop_assert!(middle.iter().all(|sum| (sum / corners).abs() < 1e-9), "{middle:?}");
    }

    #[test]
    fn clipped_at_whole_periods_a_vent_is_as_open_as_its_pattern(
        side in 3e-3..9e-3_f64, rib in 8e-4..3e-3_f64, columns in 2_u32..9, rows in 1_u32..5, kind in 0..3_u8
    ) {
        let (shape, layout) = match kind {
            0 => (HoleShape::Square { side }, Layout::Square),
            1 => (HoleShape::Hexagon { across_flats: side }, Layout::Staggered),
            _ => (HoleShape::Triangle { side }, Layout::UpDown),
        };
        let pattern = holes(shape, layout, rib);
        let repeat = pattern.repeat().unwrap();
        // Two rows, so that shifted ones come back to their places.
        let inside = [f64::from(columns) * repeat.first[0], 2.0 * f64::from(rows) * repeat.second[1]];
        let grille = plate(inside, Pattern::Holes(pattern.clone()), CrossingHoles::Clip);
        let geometry = grille.resolve(0.0).unwrap();
        let ratio = pattern.free_area_ratio().unwrap();
        prop_assert!((geometry.zone_free_area_ratio / ratio - 1.0).abs() < 1e-7, "{} {ratio}", geometry.zone_free_area_ratio);
        let drawn: f64 = grille.outlines().iter().map(|outline| area(outline)).sum();
        prop_assert!((drawn / geometry.open_area - 1.0).abs() < 1e-7);
        let face = (inside[0] + 0.004) * (inside[1] + 0.004);
        prop_assert!((geometry.cut_out_area / face - 1.0).abs() < 1e-12);
        prop_assert!((geometry.plastic_volume / ((face - drawn) * 0.003) - 1.0).abs() < 1e-7);
    }
}

#[test]
fn what_goes_round_a_fan_axis_is_refused() {
    let leaned = HolePattern {
        turn: Turn::Lean { angle: 0.2 },
        ..holes(
            HoleShape::Round { diameter: 0.005 },
            Layout::Staggered,
            0.001,
        )
    };
    let rings = RingPattern {
        slot_width: 0.004,
        rib: 0.001,
        bar_count: 3,
        bar_width: 0.002,
        turn: Turn::Straight,
    };
    for pattern in [Pattern::Holes(leaned), Pattern::Rings(rings)] {
        let errors = plate([0.06, 0.03], pattern, CrossingHoles::Drop).resolve(0.0);
        let errors = errors.unwrap_err();
        assert!(
            matches!(errors[..], [GrilleError::NeedsBore { .. }]),
            "{errors:?}"
        );
    }
}

fn study(side: &str, supply: &str) -> Study {
    let text = format!(
        "format = 1\nstudy.name = \"box\"\nfan = {{ {supply} }}\nvent = {{ width_mm = 80, height_mm = 40 }}\nplace = {{ side = \"{side}\", pc_case_k = 3 }}\n\
         [[grille]]\nname = \"holes\"\nthickness_mm = 2\nholes = {{ shape = \"square\", side_mm = 5, rib_mm = 1 }}\n"
    );
    let draft = Draft::parse(text.as_bytes(), "box.toml").unwrap();
    draft.resolve(&mut |_| Err(String::new())).unwrap()
}

#[test]
fn the_flow_that_is_given_goes_through_the_holes() {
    let study = study("exhaust", "given_flow_m3_per_h = 18");
    assert_close("area", study.reference_area(), 0.08 * 0.04, 1e-12);
    let plan = plan(&study).unwrap();
    let zone = &plan.grilles[0].zones[0];
    // 12 by 6 squares of 5 mm every 6 mm find room in 76 x 36 mm.
    assert_eq!(plan.grilles[0].geometry.hole_count, 72);
    let velocities: Vec<f64> = zone
        .points
        .iter()
        .map(|point| point.face_velocity)
        .collect();
    // The quick setting solves at 0.8 and 1.2 times the velocity that it expects.
    let expected = 0.5 * (velocities[0] + velocities[1]);
    let flow = expected * repeat_area(&zone.flow);
    assert_close("flow", flow, 18.0 / 3600.0, 5e-3);
    let in_holes = flow / (72.0 * 25e-6);
    assert_close(
        "velocity in the holes",
        expected / zone.flow.free_area_ratio,
        in_holes,
        1e-12,
    );
}

#[test]
fn a_fan_elsewhere_in_the_box_brings_no_swirl() {
    let turning = "free_flow_m3_per_h = 30, shut_off_pressure_pa = 20, speed_rpm = 3000";
    let [intake, exhaust] = ["intake", "exhaust"].map(|side| study(side, turning));
    assert!(!intake.is_behind_fan() && !exhaust.is_behind_fan());
    let velocities = |study: &Study| -> Vec<f64> {
        let plan = plan(study).unwrap();
        let zone = plan.grilles[0].zones[0].clone();
        zone.points
            .iter()
            .map(|point| point.face_velocity)
            .collect()
    };
    // The plate is the same from both sides, and straight-on air does not tell them apart.
    assert_eq!(velocities(&intake), velocities(&exhaust));
    let copy = exhaust.to_toml();
    let draft = Draft::parse(copy.as_bytes(), "copy.toml").unwrap();
    assert_eq!(draft.resolve(&mut |_| Err(String::new())), Ok(exhaust));
}
