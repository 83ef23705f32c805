//! What must hold for every solid of a repeat: it repeats, it mirrors, walls lie between air and solid. Plain symmetry; no reference needed.

use proptest::prelude::*;
use ventwright::grille::{
    CountedFrom, Edge, Hands, HolePattern, HoleShape, Layout, RepeatSolid, Turn,
};

const T: f64 = 0.004;

fn shape() -> impl Strategy<Value = HoleShape> {
    let picked = (any::<prop::sample::Index>(), 2e-3..8e-3, 0.0..2e-2);
    picked.prop_map(|(kind, size, more)| *kind.get(&HoleShape::one_of_each(size, more)))
}

fn turn() -> impl Strategy<Value = Turn> {
    let from = prop_oneof![
        Just(CountedFrom::MidDepth),
        Just(CountedFrom::Front),
        Just(CountedFrom::Back)
    ];
    let hands = prop_oneof![Just(Hands::Same), Just(Hands::Alternate)];
    prop_oneof![
        1 => Just(Turn::Straight),
        4 => (-3.0..3.0, from, hands).prop_map(|(angle, counted_from, hands)| Turn::Twist { angle, counted_from, hands }),
        2 => (-1.0..1.0).prop_map(|angle| Turn::Lean { angle }),
        1 => (-0.1..0.1).prop_map(|angle| Turn::PatternTwist { angle }),
    ]
}

fn edge() -> impl Strategy<Value = Edge> {
    prop_oneof![
        Just(Edge::Sharp),
        (1e-4..1.9e-3).prop_map(Edge::Rounded),
        (1e-4..1.9e-3).prop_map(Edge::Chamfered)
    ]
}

fn pattern() -> impl Strategy<Value = HolePattern> {
    let layout = prop_oneof![
        Just(Layout::Square),
        Just(Layout::Staggered),
        Just(Layout::UpDown)
    ];
    (shape(), layout, 5e-4..5e-3, turn()).prop_map(|(shape, layout, rib, turn)| HolePattern {
        shape,
        layout: match (shape, layout) {
            (HoleShape::Triangle { .. }, _) | (_, Layout::Square) => layout,
            _ => Layout::Staggered,
        },
        rib,
        turn,
        merging_accepted: true,
    })
}

fn solid(pattern: &HolePattern, front: Edge, back: Edge) -> RepeatSolid {
    RepeatSolid::of(pattern, T, front, back, 0.04).expect("merging is accepted")
}

/// The same turn the other way.
fn reversed(pattern: &HolePattern) -> HolePattern {
    let turn = match pattern.turn {
        Turn::Straight => Turn::Straight,
        Turn::Twist {
            angle,
            counted_from,
            hands,
        } => Turn::Twist {
            angle: -angle,
            counted_from,
            hands,
        },
        Turn::Lean { angle } => Turn::Lean { angle: -angle },
        Turn::PatternTwist { angle } => Turn::PatternTwist { angle: -angle },
    };
    HolePattern {
        turn,
        ..pattern.clone()
    }
}

fn points() -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec(
        (0.0..1.0, -1.0..2.0, -1.0..2.0).prop_map(|(depth, y, z)| [depth, y, z]),
        60,
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_solid_repeats_along_y_and_z(pattern in pattern(), front in edge(), back in edge(), points in points()) {
        let solid = solid(&pattern, front, back);
        let [along, across] = solid.extent();
        for [depth, y, z] in points {
            let (depth, y, z) = (depth * T, y * along, z * across);
            let here = solid.is_solid(depth, y, z);
            prop_assert_eq!(here, solid.is_solid(depth, y + 3.0 * along, z));
            prop_assert_eq!(here, solid.is_solid(depth, y, z - 2.0 * across));
        }
    }

    #[test]
    fn the_mirror_image_turns_the_other_way(pattern in pattern(), front in edge(), back in edge(), points in points()) {
        let solid = solid(&pattern, front, back);
        let mirrored = RepeatSolid::of(&reversed(&pattern), T, front, back, 0.04).unwrap();
        let [along, across] = solid.extent();
        // All shapes are their own mirror image left and right, and so are the layouts about a hole's axis.
        let axis = solid.holes()[0].centre[0];
        for [depth, y, z] in points {
            let (depth, y, z) = (depth * T, y * along, z * across);
            prop_assert_eq!(solid.is_solid(depth, y, z), mirrored.is_solid(depth, 2.0 * axis - y, z));
        }
    }

    #[test]
    fn seen_from_behind_the_other_edges_and_the_other_turn(pattern in pattern(), front in edge(), back in edge(), points in points()) {
        let mut behind = reversed(&pattern);
        if let Turn::Twist { counted_from, .. } = &mut behind.turn {
            *counted_from = match counted_from {
                CountedFrom::Front => CountedFrom::Back,
                CountedFrom::Back => CountedFrom::Front,
                CountedFrom::MidDepth => CountedFrom::MidDepth,
            };
        }
        let (solid, behind) = (solid(&pattern, front, back), solid(&behind, back, front));
        let [along, across] = solid.extent();
        for [depth, y, z] in points {
            prop_assert_eq!(
                solid.is_solid(depth * T, y * along, z * across),
                behind.is_solid(T - depth * T, y * along, z * across)
            );
        }
    }

    #[test]
    fn the_first_wall_parts_air_from_solid(pattern in pattern(), front in edge(), back in edge(), points in points()) {
        let solid = solid(&pattern, front, back);
        let [along, across] = solid.extent();
        let place = |[depth, y, z]: [f64; 3]| [(2.0 * depth - 0.5) * T, y * along, z * across];
        for pair in points.chunks_exact(2) {
            let (from, to) = (place(pair[0]), place(pair[1]));
            let at = |share: f64| -> bool {
                let [depth, y, z] = [0, 1, 2].map(|axis| from[axis] + share * (to[axis] - from[axis]));
                solid.is_solid(depth, y, z)
            };
            let wall = solid.wall_fraction(from, to);
            if solid.is_solid(from[0], from[1], from[2]) {
                prop_assert_eq!(wall, Some(0.0));
                continue;
            }
            let before = wall.unwrap_or(1.0);
            // The promise leaves out what a line runs through for less than a thousandth of the hole's width. A run that is longer holds one of two places half that far away.
            let sideways = (to[1] - from[1]).hypot(to[2] - from[2]);
            let half = 0.5e-3 * pattern.shape.inscribed_diameter() / sideways;
            let is_rib = |share: f64| at(share) && (at(share - half) || at(share + half));
            for step in 0..500 {
                let share = before * f64::from(step) / 500.0;
                prop_assert!(!is_rib(share) || share > before - 1e-9 - half, "{} {:?}", share, wall);
            }
            if let Some(wall) = wall {
                prop_assert!(at(wall + 1e-9) && !at(wall - 1e-9), "{}", wall);
            }
        }
    }

    #[test]
    fn the_open_share_is_between_none_and_all(pattern in pattern(), front in edge(), back in edge(), depth in 0.0..1.0) {
        let solid = solid(&pattern, front, back);
        let share = solid.free_area_ratio_at(depth * T);
        prop_assert!(share > 0.0 && share <= 1.0 + 1e-9, "{}", share);
        prop_assert!(solid.wetted_perimeter_at(depth * T) > -1e-3 * solid.extent()[0]);
    }
}
