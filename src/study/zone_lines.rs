//! The numbers of one zone of a grille, in words: for `check` and the report alike.

use crate::grille::{Grille, Turn, Zone, ZoneGeometry};
use crate::study::describe::pattern_turn;

/// What angles of walls are counted from: the fan's axis, or straight through a vent.
pub fn straight_of(grille: &Grille) -> &'static str {
    if grille.cut_out.is_vent() {
        "straight through"
    } else {
        "the fan's axis"
    }
}

/// Subject and text of each number of a zone: holes, ribs, walls of turned holes, line of sight, what passes. `straight` as [`straight_of`] tells it.
pub fn zone_lines(
    straight: &str,
    zone: &Zone,
    numbers: &ZoneGeometry,
) -> Vec<(&'static str, String)> {
    let mut lines = vec![
        (
            "holes",
            format!(
                "{}, effective width (hydraulic diameter) {:.2} mm, thickness {:.2} times that",
                numbers.hole_count,
                numbers.hydraulic_diameter * 1000.0,
                numbers.thickness_ratio
            ),
        ),
        (
            "least rib",
            format!(
                "{:.2} mm as drawn, {:.2} mm over the whole thickness",
                numbers.drawn_rib * 1000.0,
                numbers.least_rib * 1000.0
            ),
        ),
    ];
    if pattern_turn(&zone.pattern) != Turn::Straight {
        let angle = numbers.wall_angle.to_degrees();
        lines.push(("walls", format!("up to {angle:.1} degrees from {straight}")));
    }
    if let Some(limit) = &numbers.twist_limit {
        lines.push((
            "largest twist that fits",
            format!(
                "{} from mid-depth, {} from a face",
                degrees(limit.from_mid_depth),
                degrees(limit.from_face)
            ),
        ));
    }
    lines.push((
        "line of sight",
        format!(
            "{:.0} % of the hole area straight on, {:.0} % at 30 degrees",
            (100.0 * numbers.straight_sight).abs(),
            (100.0 * numbers.oblique_sight).abs()
        ),
    ));
    lines.push((
        "largest object that fits through",
        format!(
            "circle {:.1} mm, square {:.1} mm, slot {:.1} mm",
            numbers.passage.circle * 1000.0,
            numbers.passage.square * 1000.0,
            numbers.passage.slot * 1000.0
        ),
    ));
    lines
}

fn degrees(angle: Option<f64>) -> String {
    angle.map_or_else(
        || "any".to_owned(),
        |angle| format!("{:.1} degrees", angle.to_degrees()),
    )
}
