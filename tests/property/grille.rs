//! What holds for every drawing, sensible or absurd.

use proptest::prelude::*;

use ventwright::grille::{
    BarPattern, CountedFrom, CrossingHoles, CutOut, Edge, Grille, Hands, HolePattern, HoleShape,
    Layout, Pattern, RingPattern, Turn, Zone,
};

/// Sensible sizes, rarely an absurd one.
fn length() -> impl Strategy<Value = f64> {
    prop_oneof![
        60 => 1e-3..0.012,
        1 => absurd(),
    ]
}

fn absurd() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(1e-300),
        Just(1e-9),
        Just(1e-6),
        Just(1.1e-6),
        Just(3e-5),
        Just(0.3),
        Just(9.9),
        Just(1e9),
        Just(f64::MAX),
        Just(0.0),
        Just(-1e-3),
        Just(f64::NAN),
        Just(f64::INFINITY),
    ]
}

fn angle() -> impl Strategy<Value = f64> {
    prop_oneof![40 => -0.6..0.6, 8 => -6.0..6.0, 1 => Just(f64::NAN), 1 => Just(1e300)]
}

fn shape() -> impl Strategy<Value = HoleShape> {
    let picked = (any::<prop::sample::Index>(), length(), length());
    picked.prop_map(|(kind, size, more)| *kind.get(&HoleShape::one_of_each(size, more)))
}

fn layout() -> impl Strategy<Value = Layout> {
    prop_oneof![
        Just(Layout::Square),
        Just(Layout::Staggered),
        Just(Layout::UpDown)
    ]
}

fn turn() -> impl Strategy<Value = Turn> {
    let counted_from = prop_oneof![
        Just(CountedFrom::MidDepth),
        Just(CountedFrom::Front),
        Just(CountedFrom::Back)
    ];
    let hands = prop_oneof![Just(Hands::Same), Just(Hands::Alternate)];
    prop_oneof![
        Just(Turn::Straight),
        (angle(), counted_from, hands).prop_map(|(angle, counted_from, hands)| Turn::Twist {
            angle,
            counted_from,
            hands
        }),
        angle().prop_map(|angle| Turn::Lean { angle }),
        angle().prop_map(|angle| Turn::PatternTwist { angle }),
    ]
}

fn pattern() -> impl Strategy<Value = Pattern> {
    prop_oneof![
        4 => (shape(), layout(), length(), turn(), any::<bool>()).prop_map(|(shape, layout, rib, turn, merging_accepted)| {
            Pattern::Holes(HolePattern { shape, layout, rib, turn, merging_accepted })
        }),
        1 => (length(), length(), prop_oneof![0..40_u32, Just(u32::MAX)], length(), turn()).prop_map(
            |(slot_width, rib, bar_count, bar_width, turn)| Pattern::Rings(RingPattern { slot_width, rib, bar_count, bar_width, turn })
        ),
        1 => (prop_oneof![0..40_u32, Just(u32::MAX)], length(), turn())
            .prop_map(|(bar_count, bar_width, turn)| Pattern::Bars(BarPattern { bar_count, bar_width, turn })),
    ]
}

fn edge() -> impl Strategy<Value = Edge> {
    prop_oneof![4 => Just(Edge::Sharp), 2 => (0.0..8e-4).prop_map(Edge::Rounded), 1 => length().prop_map(Edge::Chamfered)]
}

fn grille() -> impl Strategy<Value = Grille> {
    let crossing = prop_oneof![Just(CrossingHoles::Drop), Just(CrossingHoles::Clip)];
    // Where a zone begins and ends, in shares of what is left of the bore's radius; now and then beyond it.
    let zone = (
        prop_oneof![20 => 0.0..0.4, 1 => -0.5..0.0],
        prop_oneof![20 => 0.4..1.0, 1 => 0.9..1.5],
        pattern(),
    );
    let bore = prop_oneof![40 => 0.05..0.2, 1 => absurd()];
    let thickness = prop_oneof![40 => 1e-3..0.01, 1 => absurd()];
    (
        bore,
        thickness,
        0.0..0.005,
        0.0..0.04,
        crossing,
        edge(),
        edge(),
        prop::collection::vec(zone, 0..3_usize),
    )
        .prop_map(
            |(
                bore_diameter,
                thickness,
                border,
                centre_disc_diameter,
                crossing_holes,
                front_edge,
                back_edge,
                parts,
            )| {
                let mut start = 0.0;
                let zones = parts
                    .into_iter()
                    .map(|(begin, end, pattern)| {
                        let left = 0.5 * bore_diameter - start;
                        let zone = Zone {
                            inner_radius: start + begin * left,
                            outer_radius: start + end * left,
                            pattern,
                        };
                        start = zone.outer_radius;
                        zone
                    })
                    .collect();
                Grille {
                    name: "any".to_owned(),
                    cut_out: CutOut::Bore {
                        diameter: bore_diameter,
                    },
                    thickness,
                    border,
                    centre_disc_diameter,
                    crossing_holes,
                    front_edge,
                    back_edge,
                    zones,
                }
            },
        )
}

/// A hole pattern that can be made, in a 140 mm bore.
fn sound(shape: HoleShape, layout: Layout, rib: f64, crossing_holes: CrossingHoles) -> Grille {
    let layout = match (shape, layout) {
        (HoleShape::Triangle { .. }, _) | (_, Layout::Square) => layout,
        _ => Layout::Staggered,
    };
    Grille {
        name: "sound".to_owned(),
        cut_out: CutOut::Bore { diameter: 0.14 },
        thickness: 0.004,
        border: 0.003,
        centre_disc_diameter: 0.02,
        crossing_holes,
        front_edge: Edge::Sharp,
        back_edge: Edge::Sharp,
        zones: vec![Zone {
            inner_radius: 0.0,
            outer_radius: 0.067,
            pattern: Pattern::Holes(HolePattern {
                shape,
                layout,
                rib,
                turn: Turn::Straight,
                merging_accepted: false,
            }),
        }],
    }
}

fn sound_shape(kind: prop::sample::Index, size: f64) -> HoleShape {
    *kind.get(&HoleShape::one_of_each(size, 1.5 * size))
}

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases(3000))]

    #[test]
    fn any_drawing_gives_sound_numbers_or_errors(grille in grille(), hub in length()) {
        let start = std::time::Instant::now();
        match grille.resolve(hub) {
            Err(errors) => {
                prop_assert!(!errors.is_empty());
                for error in errors {
                    prop_assert!(!error.to_string().is_empty() && !error.hint().is_empty());
                }
            }
            Ok(geometry) => {
                prop_assert!(geometry.open_area > 0.0 && geometry.hole_count > 0);
                prop_assert!(geometry.open_area <= geometry.zone_area * (1.0 + 1e-9));
                prop_assert!(geometry.plastic_volume >= 0.0 && geometry.plastic_volume <= geometry.cut_out_area * grille.thickness);
                for zone in &geometry.zones {
                    for share in [zone.pattern_free_area_ratio, zone.placed_free_area_ratio, zone.straight_sight, zone.oblique_sight] {
                        prop_assert!((0.0..=1.0 + 1e-9).contains(&share), "{}", share);
                    }
                    prop_assert!(zone.least_rib <= zone.drawn_rib * (1.0 + 1e-9));
                    prop_assert!(zone.hydraulic_diameter > 0.0 && zone.wall_angle >= 0.0);
                    prop_assert!(zone.passage.circle <= zone.passage.slot * (1.0 + 1e-9));
                    prop_assert!(zone.passage.square <= zone.passage.circle * (1.0 + 1e-9));
                }
                prop_assert_eq!(grille.flow_geometry(&geometry).len(), grille.zones.len());
                let outlines = grille.outlines_at_depth(0.3);
                prop_assert!(outlines.iter().flatten().flatten().all(|x| x.is_finite()));
            }
        }
        prop_assert!(start.elapsed().as_secs() < 20);
    }
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn dropping_leaves_no_more_open_than_clipping(kind in any::<prop::sample::Index>(), size in 2e-3..0.015, rib in 5e-4..4e-3, layout in layout()) {
        let shape = sound_shape(kind, size);
        let dropped = sound(shape, layout, rib, CrossingHoles::Drop).resolve(0.0).unwrap();
        let clipped = sound(shape, layout, rib, CrossingHoles::Clip).resolve(0.0).unwrap();
        prop_assert!(dropped.open_area <= clipped.open_area);
        prop_assert!(clipped.zone_free_area_ratio <= 1.0);
        // Clipped, the zone shows the endless pattern but for the chance of what falls on its edge: about the edge's length times a hole.
        let edge = 2.0 * std::f64::consts::PI * (0.067 + 0.01) * shape.extent()[0].max(shape.extent()[1]);
        let chance = 0.5 * edge / clipped.zone_area;
        prop_assert!((clipped.zone_free_area_ratio - clipped.pattern_free_area_ratio).abs() < chance);
    }

    #[test]
    fn larger_holes_at_the_same_rib_open_more(kind in any::<prop::sample::Index>(), size in 2e-3..0.015, rib in 5e-4..4e-3, layout in layout(), more in 1.01..2.0) {
        let ratio = |size: f64| -> f64 {
            let grille = sound(sound_shape(kind, size), layout, rib, CrossingHoles::Clip);
            grille.resolve(0.0).unwrap().pattern_free_area_ratio
        };
        prop_assert!(ratio(size * more) > ratio(size));
    }

    #[test]
    fn scaling_the_whole_drawing_scales_every_number(kind in any::<prop::sample::Index>(), size in 2e-3..0.015, rib in 5e-4..4e-3, factor in 0.5_f64..3.0) {
        let drawn = sound(sound_shape(kind, size), Layout::Staggered, rib, CrossingHoles::Clip);
        let mut scaled = sound(sound_shape(kind, size * factor), Layout::Staggered, rib * factor, CrossingHoles::Clip);
        scaled.cut_out = CutOut::Bore { diameter: 0.14 * factor };
        scaled.thickness *= factor;
        scaled.border *= factor;
        scaled.centre_disc_diameter *= factor;
        scaled.zones[0].outer_radius *= factor;
        let (a, b) = (drawn.resolve(0.03).unwrap(), scaled.resolve(0.03 * factor).unwrap());
        prop_assert!((b.open_area / (a.open_area * factor * factor) - 1.0).abs() < 1e-5);
        prop_assert!((b.annulus_free_area_ratio / a.annulus_free_area_ratio - 1.0).abs() < 1e-5);
        prop_assert!((b.zones[0].oblique_sight - a.zones[0].oblique_sight).abs() < 1e-9);
        prop_assert!((b.plastic_volume / (a.plastic_volume * factor.powi(3)) - 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_turned_outline_keeps_area_perimeter_and_reach(kind in any::<prop::sample::Index>(), size in 2e-3..0.015, angle in -7.0..7.0) {
        let outline = sound_shape(kind, size).outline();
        let turned = outline.posed([0.0, 0.0], angle);
        prop_assert!((turned.area() / outline.area() - 1.0).abs() < 1e-12);
        prop_assert!((turned.perimeter() / outline.perimeter() - 1.0).abs() < 1e-12);
        prop_assert!((turned.farthest() / outline.farthest() - 1.0).abs() < 1e-12);
        prop_assert!((outline.scaled(2.0).area() / outline.area() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn the_hand_of_a_twist_does_not_matter_from_mid_depth(kind in any::<prop::sample::Index>(), size in 2e-3..0.01, rib in 3e-3..6e-3, angle in 0.0..1.2) {
        let by = |angle: f64| {
            let mut grille = sound(sound_shape(kind, size), Layout::Square, rib, CrossingHoles::Drop);
            if let Pattern::Holes(pattern) = &mut grille.zones[0].pattern {
                pattern.turn = Turn::Twist { angle, counted_from: CountedFrom::MidDepth, hands: Hands::Same };
                pattern.merging_accepted = true;
            }
            grille.resolve(0.0).unwrap().zones[0].clone()
        };
        let (right, left) = (by(angle), by(-angle));
        prop_assert!((right.least_rib - left.least_rib).abs() < 1e-9);
        prop_assert!((right.wall_angle - left.wall_angle).abs() < 1e-12);
        prop_assert!((right.straight_sight - left.straight_sight).abs() < 1e-9);
    }
}
