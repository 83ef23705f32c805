//! What a table won from the repeat view says of a zone of which only the flat view is solved: shapes, holes that turn, and air that comes in at an angle.

use crate::grille::{
    FlowKind, Hands, HoleShape, Layout, OpeningShape, Pattern, Turn, Zone, ZoneFlow,
};
use crate::run::repeat_grid::one_grid_half_width;
use crate::run::repeat_plan::mean_radius;
use crate::run::repeat_table::{self, Loss};
use crate::run::view::Worth;
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

/// K of the real pattern over K of its flat view, by the table; `None` where it does not reach. `tests/validation/repeat_factors.rs` compares it with rows that are kept out of it.
///
/// `inflow_tangent` is the tangent of the angle at which the air comes in, positive with the fan's rotation. Behind the fan K is the static one, ahead of it the total one.
pub(super) fn tabled(
    zone: &Zone,
    flow: &ZoneFlow,
    inflow_tangent: f64,
    side: Side,
) -> Option<Worth> {
    let shape = shape(zone, flow)?;
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
            let slope = mean_radius(flow) * angle / flow.thickness;
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
    Some(Worth {
        factor,
        half_width,
        family,
    })
}

/// Angles, degrees, up to which the table reaches where it does not reach the angle of the air: straight holes, holes that lean.
const REACH: [f64; 3] = [45.0, 30.0, 0.0];

/// The same at the angle of the air, or at the largest one that the table reaches, with the tangent for which it holds.
pub(super) fn tabled_within_reach(
    zone: &Zone,
    flow: &ZoneFlow,
    inflow_tangent: f64,
    side: Side,
) -> Option<(Worth, f64)> {
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

/// Name of the shape in the table; `None` for what it does not hold.
fn shape(zone: &Zone, flow: &ZoneFlow) -> Option<&'static str> {
    let Pattern::Holes(pattern) = &zone.pattern else {
        return None;
    };
    if flow.kind != FlowKind::Hole || pattern.merging_accepted && flow.turn != Turn::Straight {
        return None;
    }
    match pattern.shape {
        HoleShape::Round { .. } => Some("round"),
        HoleShape::Square { .. } => Some("square"),
        HoleShape::Hexagon { .. } => Some("hexagon"),
        HoleShape::Triangle { .. } if pattern.layout == Layout::UpDown => Some("triangle up-down"),
        HoleShape::Triangle { .. } => Some("triangle"),
        HoleShape::Slot { .. } => None,
    }
}
