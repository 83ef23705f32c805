//! Areas, counts and ratios that follow from a drawing, against closed forms and random counts that share no code with the library.
//!
//! Sources: areas and perimeters of regular polygons, circle and stadium, lattice areas: elementary geometry (any handbook of
//! mathematics, from memory).
//! Free-area ratio of perforated sheet, round holes d at pitch p: square 0.785 (d/p)², staggered by 60 degrees 0.907 (d/p)²; square holes
//! in rows (s/p)²: the usual formulas of sheet makers (from memory; the same by one hole over one repeat).
//! Monte-Carlo counts: 400 000 points (20 000 for outlines), so the relative standard error of a share p is sqrt((1-p)/(p N)); the tolerance
//! is four of them, and 0.1 % more for outlines, whose circles are polygons (seen 0.2 and 0.4 %, with tolerances of 0.9 and 0.7 %; outlines 1.1 % of 3 %).
//! Tolerance of the closed forms: 1e-12, rounding (seen 2e-16).

use std::f64::consts::PI;

use ventwright::grille::{BarPattern, RingPattern, Turn};
use ventwright::grille::{CrossingHoles, Edge, GrilleError, HoleShape, Layout, Pattern};

use crate::common::assert_close;
use crate::drawn::{MM, handbook, holes, is_inside, pattern, plate};

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

/// Share of random points of the bore's square that `is_open` accepts, times the square's area.
fn counted_area(radius: f64, is_open: impl Fn([f64; 2]) -> bool) -> (f64, f64) {
    let mut dice = Dice(20_261_125);
    let count = 400_000;
    let hits = (0..count)
        .filter(|_| {
            is_open([
                radius * (2.0 * dice.roll() - 1.0),
                radius * (2.0 * dice.roll() - 1.0),
            ])
        })
        .count();
    let share = f64::from(u32::try_from(hits).expect("fewer hits than points")) / f64::from(count);
    let error = ((1.0 - share) / (share * f64::from(count))).sqrt();
    (share * 4.0 * radius * radius, error)
}

#[test]
fn areas_perimeters_and_hydraulic_diameters_are_those_of_the_handbook() {
    let root = 3.0_f64.sqrt();
    let s = 5.0 * MM;
    for shape in HoleShape::one_of_each(s, 3.0 * s) {
        let (area, perimeter) = handbook(shape);
        let name = format!("{shape:?}");
        assert_close(&name, shape.area(), area, 1e-12);
        assert_close(&name, shape.perimeter(), perimeter, 1e-12);
        assert_close(
            &name,
            shape.hydraulic_diameter(),
            4.0 * area / perimeter,
            1e-12,
        );
    }
    // Of a polygon around a circle the hydraulic diameter is the circle's.
    let triangle = HoleShape::Triangle { side: s };
    assert_close("triangle", triangle.hydraulic_diameter(), s / root, 1e-12);
}

#[test]
fn free_area_ratios_of_endless_patterns_are_the_sheet_makers_formulas() {
    let root = 3.0_f64.sqrt();
    let (size, rib) = (5.0 * MM, 1.2 * MM);
    let share = size / (size + rib);
    let round = HoleShape::Round { diameter: size };
    let square = HoleShape::Square { side: size };
    let triangle = HoleShape::Triangle { side: size };
    let slot = HoleShape::Slot {
        width: size,
        length: 3.0 * size,
    };
    let slot_ratio = slot.area() / ((3.0 * size + rib) * (size + rib));
    for (shape, layout, expected) in [
        (round, Layout::Square, PI / 4.0 * share * share),
        (round, Layout::Staggered, PI / (2.0 * root) * share * share),
        (square, Layout::Square, share * share),
        (square, Layout::Staggered, share * share),
        (
            HoleShape::Hexagon { across_flats: size },
            Layout::Staggered,
            share * share,
        ),
        // Two triangles of side s in a rhombus of side L = s + √3 rib.
        (
            triangle,
            Layout::UpDown,
            (size / (size + root * rib)).powi(2),
        ),
        // One triangle in a rhombus of side s + rib.
        (triangle, Layout::Staggered, 0.5 * share * share),
        (slot, Layout::Square, slot_ratio),
        (slot, Layout::Staggered, slot_ratio),
    ] {
        let actual = pattern(shape, layout, rib).free_area_ratio().unwrap();
        assert_close(&format!("{shape:?} {layout:?}"), actual, expected, 1e-12);
        let geometry = holes(pattern(shape, layout, rib)).resolve(0.04).unwrap();
        assert_close(
            "resolved",
            geometry.pattern_free_area_ratio,
            expected,
            1e-12,
        );
    }
    assert!(
        pattern(round, Layout::UpDown, rib)
            .free_area_ratio()
            .is_none()
    );
}

/// Round holes on a hexagonal lattice, placed by the test itself: whole ones only.
#[test]
fn open_area_of_round_holes_is_that_of_a_random_count() {
    let (d, rib) = (5.0 * MM, 1.2 * MM);
    let grille = holes(pattern(
        HoleShape::Round { diameter: d },
        Layout::Staggered,
        rib,
    ));
    let pitch = d + rib;
    let is_open = |[y, z]: [f64; 2]| {
        let rise = pitch * 3.0_f64.sqrt() / 2.0;
        let near_row = (z / rise).round();
        [-1.0, 0.0, 1.0].iter().any(|step| {
            let row = near_row + step;
            let column = ((y - 0.5 * pitch * row) / pitch).round();
            let centre = [pitch * column + 0.5 * pitch * row, rise * row];
            let radius = centre[0].hypot(centre[1]);
            (y - centre[0]).hypot(z - centre[1]) < 0.5 * d
                && radius + 0.5 * d <= 0.067
                && radius - 0.5 * d >= 0.015
        })
    };
    let (expected, error) = counted_area(0.07, is_open);
    assert_close(
        "open area",
        grille.resolve(0.04).unwrap().open_area,
        expected,
        4.0 * error,
    );
}

/// Squares in rows and columns, cut off at border and centre disc: a point is open if it lies in a square and in the zone.
#[test]
fn open_area_of_clipped_squares_is_that_of_a_random_count() {
    let (side, rib) = (5.0 * MM, 1.2 * MM);
    let drawn = pattern(HoleShape::Square { side }, Layout::Square, rib);
    let grille = plate(Pattern::Holes(drawn), CrossingHoles::Clip);
    let pitch = side + rib;
    let is_open = |[y, z]: [f64; 2]| {
        let inside = |x: f64| (x - pitch * (x / pitch).round()).abs() < 0.5 * side;
        let radius = y.hypot(z);
        inside(y) && inside(z) && radius < 0.067 && radius > 0.015
    };
    let (expected, error) = counted_area(0.07, is_open);
    assert_close(
        "open area",
        grille.resolve(0.04).unwrap().open_area,
        expected,
        4.0 * error,
    );
}

/// What the outlines show is what was counted, in both ways of treating crossing holes, at both faces.
#[test]
fn outlines_enclose_the_open_area() {
    let size = 7.0 * MM;
    let slot = HoleShape::Slot {
        width: 4.0 * MM,
        length: 18.0 * MM,
    };
    let rings = Pattern::Rings(RingPattern {
        slot_width: 5.0 * MM,
        rib: 2.0 * MM,
        bar_count: 7,
        bar_width: 3.0 * MM,
        turn: Turn::Straight,
    });
    let bars = Pattern::Bars(BarPattern {
        bar_count: 9,
        bar_width: 4.0 * MM,
        turn: Turn::PatternTwist { angle: 0.3 },
    });
    let loose = Pattern::Rings(RingPattern {
        slot_width: 5.0 * MM,
        rib: 2.0 * MM,
        bar_count: 0,
        bar_width: 3.0 * MM,
        turn: Turn::Straight,
    });
    let mut turned = pattern(
        HoleShape::Hexagon { across_flats: size },
        Layout::Staggered,
        2.0 * MM,
    );
    turned.turn = Turn::PatternTwist { angle: 0.2 };
    let patterns = [
        Pattern::Holes(pattern(
            HoleShape::Triangle { side: 12.0 * MM },
            Layout::UpDown,
            1.2 * MM,
        )),
        Pattern::Holes(pattern(slot, Layout::Staggered, 1.5 * MM)),
        Pattern::Holes(turned),
        rings,
        bars,
        loose,
    ];
    for pattern in patterns {
        for crossing in [CrossingHoles::Drop, CrossingHoles::Clip] {
            let grille = plate(pattern.clone(), crossing);
            let open_area = grille.resolve(0.04).unwrap().open_area;
            for depth in [0.0, 1.0] {
                let outlines = grille.outlines_at_depth(depth);
                let signed: f64 = outlines
                    .iter()
                    .map(|outline| {
                        (0..outline.len())
                            .map(|i| {
                                let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
                                0.5 * (a[0] * b[1] - a[1] * b[0])
                            })
                            .sum::<f64>()
                    })
                    .sum();
                assert_close("outlines, signed areas", signed, open_area, 1e-3);
                let (counted, error) = counted_area_of(&outlines);
                assert_close("outlines, counted", counted, open_area, 4.0 * error + 1e-3);
                let farthest = outlines
                    .iter()
                    .flatten()
                    .map(|p| p[0].hypot(p[1]))
                    .fold(0.0, f64::max);
                assert!(farthest <= 0.067 + 1e-9, "{farthest}");
            }
        }
    }
}

fn counted_area_of(outlines: &[Vec<[f64; 2]>]) -> (f64, f64) {
    let mut dice = Dice(7);
    let count = 20_000;
    let hits = (0..count)
        .filter(|_| {
            is_inside(
                outlines,
                [
                    0.07 * (2.0 * dice.roll() - 1.0),
                    0.07 * (2.0 * dice.roll() - 1.0),
                ],
            )
        })
        .count();
    let share = f64::from(u32::try_from(hits).expect("fewer hits than points")) / f64::from(count);
    (
        share * 4.0 * 0.07 * 0.07,
        ((1.0 - share) / (share * f64::from(count))).sqrt(),
    )
}

#[test]
fn ratios_of_the_whole_grille_stand_on_their_areas() {
    let mut grille = holes(pattern(
        HoleShape::Round { diameter: 5.0 * MM },
        Layout::Staggered,
        1.2 * MM,
    ));
    let geometry = grille.resolve(0.045).unwrap();
    assert_close("bore", geometry.cut_out_area, PI * 0.07 * 0.07, 1e-12);
    assert_close(
        "annulus",
        geometry.annulus_area,
        PI * (0.07 * 0.07 - 0.0225 * 0.0225),
        1e-12,
    );
    assert_close(
        "zone",
        geometry.zone_area,
        PI * (0.067 * 0.067 - 0.015 * 0.015),
        1e-12,
    );
    assert_close(
        "open",
        geometry.open_area,
        geometry.hole_count as f64 * PI * 0.0025 * 0.0025,
        1e-12,
    );
    assert_close(
        "on the bore",
        geometry.cut_out_free_area_ratio,
        geometry.open_area / geometry.cut_out_area,
        1e-12,
    );
    assert_close(
        "volume",
        geometry.plastic_volume,
        (geometry.cut_out_area - geometry.open_area) * 0.004,
        1e-12,
    );
    // Chamfers: a frustum of a cone less its cylinder at each end of each hole.
    grille.front_edge = Edge::Chamfered(0.5 * MM);
    let (r, c) = (2.5 * MM, 0.5 * MM);
    let frustum = PI * c / 3.0 * (r * r + r * (r + c) + (r + c) * (r + c)) - PI * r * r * c;
    let chamfered = grille.resolve(0.045).unwrap();
    let expected = geometry.plastic_volume - geometry.hole_count as f64 * frustum;
    assert_close("chamfered", chamfered.plastic_volume, expected, 1e-12);
}

#[test]
fn zones_and_edges_that_contradict_each_other_are_all_told() {
    let mut grille = holes(pattern(
        HoleShape::Round { diameter: 5.0 * MM },
        Layout::UpDown,
        0.0,
    ));
    grille.front_edge = Edge::Rounded(3.0 * MM);
    grille.back_edge = Edge::Chamfered(2.0 * MM);
    let mut second = grille.zones[0].clone();
    second.inner_radius = 0.03;
    second.outer_radius = 0.08;
    grille.zones.push(second);
    let codes: Vec<_> = grille
        .resolve(0.2)
        .unwrap_err()
        .iter()
        .map(GrilleError::code)
        .collect();
    for code in [
        "edges-too-deep",
        "zone-beyond-bore",
        "zones-overlap",
        "ribs-overlap",
        "layout-not-for-shape",
        "hub-fills-bore",
    ] {
        assert!(codes.contains(&code), "{code} not in {codes:?}");
    }
}

#[test]
fn a_plate_of_1500_holes_resolves() {
    let shape = HoleShape::Hexagon {
        across_flats: 2.2 * MM,
    };
    let grille = plate(
        Pattern::Holes(pattern(shape, Layout::Staggered, 0.8 * MM)),
        CrossingHoles::Clip,
    );
    let geometry = grille.resolve(0.04).unwrap();
    assert!(geometry.hole_count > 1500, "{}", geometry.hole_count);
}
