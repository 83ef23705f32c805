//! What a table won from the repeat view says of a zone of which only the flat view is solved: shapes, holes that turn, and air that comes in at an angle.

use crate::grille::{
    FlowKind, Hands, HoleShape, Layout, OpeningShape, Pattern, Turn, Zone, ZoneFlow,
};
use crate::run::corrections::flat_view::Correction;
use crate::run::corrections::repeat_grid::one_grid_half_width;
use crate::run::corrections::repeat_table::{self, Loss};
use crate::study::Side;

/// Cells across the hydraulic diameter of the table's holes.
const CELLS: f64 = 24.0;

/// Half-width, as a part of K, of what the table says of straight holes met straight on: what lies between its rows, and its grid of 24 cells, which counts for more where it hides more.
const STRAIGHT: f64 = 0.06;

/// The same of twisted holes.
const TWISTED: f64 = 0.10;

/// The same where holes lean or the air comes in at an angle: from rows of their own shape, and where hexagons stand in for it.
const LEANING: (f64, f64) = (0.10, 0.14);

/// What is added where twisted holes are met at an angle: the table has no such row, and the two changes of K are multiplied.
const BOTH: f64 = 0.04;

/// Shapes of the table between which a straight rhombus lies, met straight on: one with an angle of 60 degrees is two triangles, one of 90 a square.
const LIKE_A_RHOMBUS: [&str; 2] = ["triangle up-down", "square"];

/// Half-width, as a part of K, of what they say of it; and where one diagonal is at least [`LONG_RHOMBUS`] times the other. Judgement: no rhombus was solved for the table.
const RHOMBUS: (f64, f64) = (0.15, 0.3);

/// Ratio of the diagonals from which a rhombus is unlike both.
const LONG_RHOMBUS: f64 = 3.0;

/// K of the real pattern over K of its flat view, by the table; `None` where it does not reach. `tests/validation/repeat_factors.rs` compares it with rows that are kept out of it.
///
/// `inflow_tangent` is the tangent of the angle at which the air comes in, positive with the fan's rotation. Behind the fan K is the static one, ahead of it the total one.
pub(in crate::run) fn tabled(
    zone: &Zone,
    flow: &ZoneFlow,
    inflow_tangent: f64,
    side: Side,
) -> Option<Correction> {
    let shape = match shape(zone, flow)? {
        Row::Of(shape) => shape,
        Row::LikeRhombus { half_width } => {
            let is_straight = flow.turn == Turn::Straight && inflow_tangent == 0.0;
            return is_straight.then(|| like_a_rhombus(flow, half_width))?;
        }
    };
    let (twist, lean) = match flow.turn {
        Turn::Straight => (0.0, 0.0),
        Turn::Twist { angle, hands, .. } => {
            if hands == Hands::Alternate && flow.shape != OpeningShape::Round {
                return None;
            }
            (angle.to_degrees(), 0.0)
        }
        Turn::Lean { angle } => (0.0, angle.to_degrees()),
        Turn::PatternTwist { angle } => {
            let slope = flow.mean_radius() * angle / flow.thickness;
            (0.0, slope.atan().to_degrees())
        }
    };
    let inflow = inflow_tangent.atan().to_degrees();
    let loss = match side {
        Side::Exhaust => Loss::Static,
        Side::Intake => Loss::Total,
    };
    let phi = flow.free_area_ratio;
    let thickness = flow.thickness / flow.hydraulic_diameter;
    let (leaning, is_own) = repeat_table::leaning(shape, phi, lean, inflow, loss)?;
    let factor = repeat_table::straight(shape, phi, thickness)?
        * repeat_table::twisted(shape, phi, twist)?
        * leaning;
    let is_axial = lean == 0.0 && inflow == 0.0;
    let half_width = match (twist == 0.0, is_axial, is_own) {
        (true, true, _) => STRAIGHT,
        (false, true, _) => TWISTED,
        (_, false, true) => LEANING.0,
        (_, false, false) => LEANING.1,
    };
    let is_both = twist != 0.0 && !is_axial;
    let half_width = half_width + if is_both { BOTH } else { 0.0 };
    let is_turned = flow.turn != Turn::Straight;
    let half_width = half_width.max(one_grid_half_width(CELLS, phi, is_turned));
    // What straight holes of a shape have in common cancels between them; what a turn adds does not.
    let family = if twist == 0.0 && is_axial {
        shape.to_owned()
    } else {
        format!("{shape} twist {twist:.1} lean {lean:.1} inflow {inflow:.1}")
    };
    Some(Correction {
        factor,
        half_width,
        family,
    })
}

/// The factor of straight rhombi met straight on.
fn like_a_rhombus(flow: &ZoneFlow, half_width: f64) -> Option<Correction> {
    let thickness = flow.thickness / flow.hydraulic_diameter;
    let [first, second] =
        LIKE_A_RHOMBUS.map(|shape| repeat_table::straight(shape, flow.free_area_ratio, thickness));
    Some(Correction {
        factor: 0.5 * (first? + second?),
        half_width,
        family: "rhombus".to_owned(),
    })
}

/// Angles, degrees, up to which the table reaches where it does not reach the angle of the air: straight holes, holes that lean.
const REACH: [f64; 3] = [45.0, 30.0, 0.0];

/// The same at the angle of the air, or at the largest one that the table reaches, with the tangent for which it holds.
pub(in crate::run) fn tabled_within_reach(
    zone: &Zone,
    flow: &ZoneFlow,
    inflow_tangent: f64,
    side: Side,
) -> Option<(Correction, f64)> {
    let reach = REACH.map(|degrees| degrees.to_radians().tan());
    let mut angles = vec![inflow_tangent];
    angles.extend(
        reach
            .into_iter()
            .filter(|tangent| *tangent < inflow_tangent),
    );
    angles
        .into_iter()
        .find_map(|tangent| Some((tabled(zone, flow, tangent, side)?, tangent)))
}

/// Where the table tells of a shape.
enum Row {
    /// In rows of its own, under this name.
    Of(&'static str),
    /// Between those of other shapes, with this half-width.
    LikeRhombus { half_width: f64 },
}

/// Where the table tells of the shape; `None` for what it does not hold.
fn shape(zone: &Zone, flow: &ZoneFlow) -> Option<Row> {
    let Pattern::Holes(pattern) = &zone.pattern else {
        return None;
    };
    if flow.kind != FlowKind::Hole || pattern.merging_accepted && flow.turn != Turn::Straight {
        return None;
    }
    Some(Row::Of(match pattern.shape {
        HoleShape::Round { .. } => "round",
        HoleShape::Square { .. } => "square",
        HoleShape::Hexagon { .. } => "hexagon",
        HoleShape::Triangle { .. } if pattern.layout == Layout::UpDown => "triangle up-down",
        HoleShape::Triangle { .. } => "triangle",
        HoleShape::Rhombus { along, across } => {
            // Less what millimetres in m are off in the last digit.
            let ratio = along.max(across) / along.min(across) + 1e-9;
            let is_long = ratio >= LONG_RHOMBUS;
            let half_width = if is_long { RHOMBUS.1 } else { RHOMBUS.0 };
            return Some(Row::LikeRhombus { half_width });
        }
        HoleShape::Slot { .. } => return None,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::{CountedFrom, CrossingHoles, CutOut, Edge, Grille, HolePattern};

    const HEXAGON: HoleShape = HoleShape::Hexagon {
        across_flats: 0.0055,
    };

    fn holes(shape: HoleShape, turn: Turn) -> HolePattern {
        HolePattern {
            shape,
            layout: Layout::Staggered,
            rib: 0.002,
            turn,
            merging_accepted: false,
        }
    }

    fn worth(shape: HoleShape, turn: Turn, inflow: f64) -> Option<Correction> {
        worth_of_pattern(holes(shape, turn), inflow)
    }

    /// What the table says of a pattern in 4 mm of thickness from the axis to 68 mm.
    fn worth_of_pattern(pattern: HolePattern, inflow: f64) -> Option<Correction> {
        let grille = Grille {
            name: "holes".to_owned(),
            cut_out: CutOut::Bore { diameter: 0.14 },
            thickness: 0.004,
            border: 0.002,
            centre_disc_diameter: 0.0,
            crossing_holes: CrossingHoles::Drop,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            zones: vec![Zone {
                inner_radius: 0.0,
                outer_radius: 0.068,
                pattern: Pattern::Holes(pattern),
            }],
        };
        let flow = grille.flow_geometry(&grille.resolve(0.0).unwrap())[0];
        tabled(&grille.zones[0], &flow, inflow, Side::Intake)
    }

    fn worth_of(along: f64, turn: Turn, inflow: f64) -> Option<Correction> {
        let across = 0.006;
        worth(HoleShape::Rhombus { along, across }, turn, inflow)
    }

    fn twist(degrees: f64) -> Turn {
        Turn::Twist {
            angle: degrees.to_radians(),
            counted_from: CountedFrom::MidDepth,
            hands: Hands::Same,
        }
    }

    #[test]
    fn a_pattern_that_turns_leans_as_its_mean_radius_does() {
        // Over a disc of 68 mm the mean radius is 2/3 of that, and over 4 mm of thickness the holes there lean by 20 degrees.
        let lean = 20_f64.to_radians();
        let angle = 0.004 * lean.tan() / (2.0 / 3.0 * 0.068);
        let turned = worth(HEXAGON, Turn::PatternTwist { angle }, 0.0).unwrap();
        let leaned = worth(HEXAGON, Turn::Lean { angle: lean }, 0.0).unwrap();
        assert!((turned.factor / leaned.factor - 1.0).abs() < 1e-9);
        assert_eq!(turned.family, "hexagon twist 0.0 lean 20.0 inflow 0.0");
        assert_eq!(leaned.family, turned.family);
    }

    #[test]
    fn holes_that_may_merge_are_told_of_only_where_they_do_not_turn() {
        let merging = |turn: Turn| HolePattern {
            merging_accepted: true,
            ..holes(HEXAGON, turn)
        };
        let straight = worth_of_pattern(merging(Turn::Straight), 0.0);
        assert_eq!(straight, worth(HEXAGON, Turn::Straight, 0.0));
        assert!(straight.is_some());
        assert_eq!(worth_of_pattern(merging(twist(20.0)), 0.0), None);
        assert!(worth(HEXAGON, twist(20.0), 0.0).is_some());
    }

    #[test]
    fn ranges_widen_with_what_the_table_has_fewer_rows_of() {
        // Hexagons of 5.5 mm between ribs of 2 mm are open by (5.5/7.5)² = 0.538: 24 cells hide 5 + 6 (0.538 - 0.42)/0.18 = 8.9 % of straight holes, 2 % more of those that turn.
        let grid = 0.05 + 0.06 * ((5.5_f64 / 7.5).powi(2) - 0.42) / 0.18;
        let is = |turn: Turn, inflow: f64, half_width: f64, family: &str| {
            let seen = worth(HEXAGON, turn, inflow.to_radians().tan()).unwrap();
            assert!((seen.half_width - half_width).abs() < 1e-6, "{seen:?}");
            assert_eq!(seen.family, family);
        };
        is(Turn::Straight, 0.0, grid, "hexagon");
        is(
            twist(20.0),
            0.0,
            grid + 0.02,
            "hexagon twist 20.0 lean 0.0 inflow 0.0",
        );
        let by_rows = "hexagon twist 0.0 lean 0.0 inflow 20.0";
        is(Turn::Straight, 20.0, 0.10, by_rows);
        // Both at once: 10 and 4 %.
        is(
            twist(20.0),
            20.0,
            0.14,
            "hexagon twist 20.0 lean 0.0 inflow 20.0",
        );
    }

    #[test]
    fn straight_rhombi_lie_between_squares_and_triangles_with_a_wide_range() {
        let correction = worth_of(0.009, Turn::Straight, 0.0).unwrap();
        assert!((1.13..1.23).contains(&correction.factor), "{correction:?}");
        assert!((correction.half_width - 0.15).abs() < 1e-12);
        let long = worth_of(0.018, Turn::Straight, 0.0).unwrap();
        assert!((long.half_width - 0.3).abs() < 1e-12);
    }

    #[test]
    fn the_table_says_nothing_of_rhombi_that_turn_or_are_met_at_an_angle() {
        assert_eq!(worth_of(0.009, twist(6.0), 0.0), None);
        assert_eq!(worth_of(0.009, Turn::Straight, 0.3), None);
    }
}
