//! Parts to print: whatever a study can draw becomes one closed body that is the one the views solve.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use ventwright::grille::{
    BarPattern, CountedFrom, CrossingHoles, CutOut, Edge, Grille, Hands, HolePattern, HoleShape,
    Layout, Pattern, Printer, RingPattern, Turn, Zone,
};
use ventwright::part::{Part, PartError, TriangleMesh};

/// How far walls may be off, mm: the default of the program.
const TOLERANCE: f64 = 0.02;

/// Points that are asked for each part.
const POINTS: u32 = 4000;

fn turn() -> impl Strategy<Value = Turn> {
    let from = prop_oneof![
        Just(CountedFrom::MidDepth),
        Just(CountedFrom::Front),
        Just(CountedFrom::Back)
    ];
    let hands = prop_oneof![Just(Hands::Same), Just(Hands::Alternate)];
    prop_oneof![
        Just(Turn::Straight),
        (-1.6..1.6, from, hands).prop_map(|(angle, counted_from, hands)| Turn::Twist {
            angle,
            counted_from,
            hands
        }),
        (-0.6..0.6).prop_map(|angle| Turn::Lean { angle }),
        (-0.3..0.3).prop_map(|angle| Turn::PatternTwist { angle }),
    ]
}

fn holes() -> impl Strategy<Value = Pattern> {
    let shape = (any::<prop::sample::Index>(), 3e-3..0.012, 1e-3..0.01)
        .prop_map(|(kind, size, more)| *kind.get(&HoleShape::one_of_each(size, more)));
    let layout = prop_oneof![
        Just(Layout::Square),
        Just(Layout::Staggered),
        Just(Layout::UpDown)
    ];
    (shape, layout, 8e-4..3e-3, turn(), any::<bool>()).prop_map(
        |(shape, layout, rib, turn, merging_accepted)| {
            let layout = match (shape, layout) {
                (HoleShape::Triangle { .. }, layout) => layout,
                (_, Layout::UpDown) => Layout::Staggered,
                (_, layout) => layout,
            };
            Pattern::Holes(HolePattern {
                shape,
                layout,
                rib,
                turn,
                merging_accepted,
            })
        },
    )
}

fn pattern() -> impl Strategy<Value = Pattern> {
    let straight = || {
        turn().prop_map(|turn| match turn {
            Turn::Twist { .. } => Turn::Straight,
            turn => turn,
        })
    };
    prop_oneof![
        6 => holes(),
        1 => (2e-3..6e-3, 1e-3..3e-3, 1..9_u32, 1e-3..4e-3, straight()).prop_map(
            |(slot_width, rib, bar_count, bar_width, turn)| Pattern::Rings(RingPattern { slot_width, rib, bar_count, bar_width, turn })
        ),
        1 => (1..30_u32, 1e-3..4e-3, straight())
            .prop_map(|(bar_count, bar_width, turn)| Pattern::Bars(BarPattern { bar_count, bar_width, turn })),
    ]
}

fn edge() -> impl Strategy<Value = Edge> {
    prop_oneof![
        2 => Just(Edge::Sharp),
        1 => (1e-4..6e-4).prop_map(Edge::Rounded),
        1 => (1e-4..6e-4).prop_map(Edge::Chamfered),
    ]
}

fn grille() -> impl Strategy<Value = Grille> {
    let face = (
        0.04..0.08,
        1.5e-3..6e-3,
        1e-3..4e-3,
        prop_oneof![Just(0.0), 5e-3..0.015],
    );
    let crossing = prop_oneof![Just(CrossingHoles::Drop), Just(CrossingHoles::Clip)];
    let zones = (
        pattern(),
        prop::option::of((0.3..0.7, 0.0..2e-3, pattern())),
        any::<bool>(),
    );
    (face, crossing, edge(), edge(), zones).prop_map(
        |((size, thickness, border, disc), crossing_holes, front_edge, back_edge, zones)| {
            let (first, second, is_vent) = zones;
            let is_vent = is_vent && matches!(first, Pattern::Holes(_)) && second.is_none();
            let reach = if is_vent {
                0.5 * size * 1.8_f64.hypot(1.0)
            } else {
                0.5 * size
            };
            let zone = |inner_radius, outer_radius, pattern| Zone {
                inner_radius,
                outer_radius,
                pattern,
            };
            let zones = match second {
                Some((share, gap, second)) => {
                    let split: f64 = reach * share;
                    vec![zone(0.0, split, first), zone(split + gap, reach, second)]
                }
                None => vec![zone(0.0, reach, first)],
            };
            Grille {
                name: "any".to_owned(),
                cut_out: if is_vent {
                    CutOut::Vent {
                        width: 1.8 * size,
                        height: size,
                    }
                } else {
                    CutOut::Bore { diameter: size }
                },
                thickness,
                border,
                centre_disc_diameter: if is_vent { 0.0 } else { disc },
                crossing_holes,
                front_edge,
                back_edge,
                zones,
            }
        },
    )
}

/// Whether points lie within a closed surface: by how often a line along the thickness goes in and out.
struct Inside<'a> {
    mesh: &'a TriangleMesh,
    squares: std::collections::HashMap<[i64; 2], Vec<u32>>,
}

const SQUARE: f64 = 1.0;

fn square(along: f64) -> i64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a face is at most some hundred mm wide"
    )]
    let square = (along / SQUARE).floor() as i64;
    square
}

impl<'a> Inside<'a> {
    fn new(mesh: &'a TriangleMesh) -> Self {
        let mut squares: std::collections::HashMap<_, Vec<u32>> = std::collections::HashMap::new();
        for (number, triangle) in (0..).zip(&mesh.triangles) {
            let places = triangle.map(|corner| mesh.corners[corner as usize]);
            let range = |axis: usize| {
                let along = places.map(|place| place[axis]);
                let low = along.iter().copied().fold(f64::INFINITY, f64::min);
                let high = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                (square(low), square(high))
            };
            let (across, up) = (range(0), range(1));
            for x in across.0..=across.1 {
                for y in up.0..=up.1 {
                    squares.entry([x, y]).or_default().push(number);
                }
            }
        }
        Self { mesh, squares }
    }

    /// How often the surface winds around a point.
    fn winding(&self, [x, y, z]: [f64; 3]) -> i32 {
        let Some(triangles) = self.squares.get(&[x, y].map(square)) else {
            return 0;
        };
        let mut winding = 0;
        for number in triangles {
            let triangle = self.mesh.triangles[*number as usize];
            let [a, b, c] = triangle.map(|corner| self.mesh.corners[corner as usize]);
            let side =
                |p: [f64; 3], q: [f64; 3]| (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]);
            let (ab, bc, ca) = (side(a, b), side(b, c), side(c, a));
            let turn = if ab > 0.0 && bc > 0.0 && ca > 0.0 {
                1
            } else if ab < 0.0 && bc < 0.0 && ca < 0.0 {
                -1
            } else {
                continue;
            };
            let height = (bc * a[2] + ca * b[2] + ab * c[2]) / (ab + bc + ca);
            if height > z {
                winding += turn;
            }
        }
        winding
    }
}

/// Points of a sequence that fills the cube evenly (Halton's, bases 2, 3 and 5).
fn point(index: u32) -> [f64; 3] {
    [2, 3, 5].map(|base| {
        let (mut rest, mut share, mut value) = (index + 1, 1.0, 0.0);
        while rest > 0 {
            share /= f64::from(base);
            value += share * f64::from(rest % base);
            rest /= base;
        }
        value
    })
}

/// Number of points at which part and grille differ, though nothing of the grille's wall is within the tolerance.
fn differing(grille: &Grille, part: &Part, points: u32) -> usize {
    let body = grille.body();
    let inside = Inside::new(&part.mesh);
    let reach = match grille.cut_out {
        CutOut::Bore { diameter } => [0.5 * diameter; 2],
        CutOut::Vent { width, height } => [0.5 * width, 0.5 * height],
    };
    let mut differing = 0;
    for index in 0..points {
        let [u, v, w] = point(index);
        let place = [
            grille.thickness * w,
            // Off the lines of symmetry, on which edges of triangles lie.
            reach[0] * (2.0 * u - 1.0) + 1.7e-7,
            reach[1] * (2.0 * v - 1.0) - 2.3e-7,
        ];
        let is_solid =
            |off: [f64; 3]| body.is_solid(place[0] + off[0], place[1] + off[1], place[2] + off[2]);
        let here = is_solid([0.0; 3]);
        let winding = inside.winding([1e3 * place[1], 1e3 * place[2], 1e3 * place[0]]);
        assert!(winding == 0 || winding == 1, "winds {winding} times");
        if here != (winding == 1) {
            // A sharp corner is farther from where a wall is moved by the tolerance: twice, in directions that do not miss a tip.
            let near = 2.0 * TOLERANCE * 1e-3;
            let is_at_wall = (0..60).any(|way| {
                let angle = std::f64::consts::TAU * f64::from(way % 20) / 20.0;
                let rise = f64::from(way / 20 - 1);
                is_solid([near * rise, near * angle.cos(), near * angle.sin()]) != here
            });
            if !is_at_wall {
                differing += 1;
            }
        }
    }
    differing
}

/// Whether the drawing's own sum of its volume holds to the last digit: it rounds the corners of edges along a cut, knows nothing of holes that meet, and counts cut
/// holes that turn, and leaning bars, as they are drawn.
fn has_exact_volume(grille: &Grille) -> bool {
    let has_edges = grille.front_edge != Edge::Sharp || grille.back_edge != Edge::Sharp;
    let is_simple = |zone: &Zone| match &zone.pattern {
        Pattern::Holes(holes) => {
            let is_cut = grille.crossing_holes == CrossingHoles::Clip;
            let is_still = matches!(holes.turn, Turn::Straight | Turn::PatternTwist { .. });
            !holes.merging_accepted && !(is_cut && (has_edges || !is_still))
        }
        Pattern::Rings(RingPattern { turn, .. }) | Pattern::Bars(BarPattern { turn, .. }) => {
            !has_edges && !matches!(turn, Turn::Lean { .. })
        }
    };
    grille.zones.len() == 1 && grille.zones.iter().all(is_simple)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        max_shrink_iters: 100,
        rng_seed: RngSeed::Fixed(17),
        ..ProptestConfig::default()
    })]

    /// The seed is fixed; some 2,000 drawings by other seeds found nothing either.
    #[test]
    fn any_drawing_that_can_be_made_is_one_closed_body_that_is_what_is_solved(grille in grille(), hole_error in -4e-4..4e-4) {
        let Ok(geometry) = grille.resolve(0.0) else {
            return Ok(());
        };
        let part = match Part::of(&grille, TOLERANCE, Printer::default()) {
            Ok(part) => part,
            Err(PartError::FallsApart { .. }) => return Ok(()),
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        prop_assert_eq!(part.mesh.gap(), None);
        prop_assert_eq!(part.mesh.flat_count(), 0);
        prop_assert_eq!(differing(&grille, &part, POINTS), 0);
        // Drawn against the printer it is one body as well, and a smaller one where holes come out small.
        match Part::of(&grille, TOLERANCE, Printer { hole_error }) {
            Ok(drawn) => {
                let less = part.mesh.volume() - drawn.mesh.volume();
                prop_assert!(less * -hole_error >= 0.0, "{less} mm³ less for {hole_error} m");
            }
            Err(PartError::Drawing(_) | PartError::FallsApart { .. }) => {}
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        }
        if has_exact_volume(&grille) {
            let off = 1e-9 * part.mesh.volume() / geometry.plastic_volume - 1.0;
            prop_assert!(off.abs() < 2e-3, "volume {} % off", 100.0 * off);
            prop_assert_eq!(part.mesh.handles(), geometry.hole_count);
        }
        let is_sharp = grille.front_edge == Edge::Sharp && grille.back_edge == Edge::Sharp;
        if has_exact_volume(&grille) && is_sharp {
            let area = 1e6 * (grille.cut_out.area() - geometry.open_area);
            for step in 0..10 {
                let height = 1e3 * grille.thickness * f64::from(step) / 9.0;
                let off = part.mesh.section(height).area() / area - 1.0;
                // Between levels straight lines cut the corners of a turn.
                prop_assert!(off.abs() < 5e-3, "area {} % off at {height} mm", 100.0 * off);
            }
        }
    }
}
