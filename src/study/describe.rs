//! What a grille is, in words that its maker would use.

use crate::fabric::{FabricKind, Knit, MeshMaterial, SheetLayout};
use crate::grille::{Grille, Layout, Pattern, Turn};
use crate::study::holes_table::hole_in_words;

/// One line such as `hexagons 6 mm across flats, rib 1.2 mm, staggered, 4 mm thick`; zones are joined by "around".
pub fn describe(grille: &Grille) -> String {
    let zones: Vec<String> = grille
        .zones
        .iter()
        .rev()
        .map(|zone| describe_pattern(&zone.pattern))
        .collect();
    format!(
        "{}, {} mm thick",
        zones.join(", around "),
        millimetres(grille.thickness)
    )
}

/// The pattern of one zone: `round holes 6 mm, rib 1.2 mm, staggered`.
pub fn describe_pattern(pattern: &Pattern) -> String {
    let mut text = match pattern {
        Pattern::Holes(holes) => {
            let size = hole_in_words(&holes.shape);
            let layout = match holes.layout {
                Layout::Square => "in rows and columns",
                Layout::Staggered => "staggered",
                Layout::UpDown => "up and down",
            };
            format!("{size}, rib {} mm, {layout}", millimetres(holes.rib))
        }
        Pattern::Rings(rings) => format!(
            "ring slots {} mm, rings {} mm, {} bars of {} mm",
            millimetres(rings.slot_width),
            millimetres(rings.rib),
            rings.bar_count,
            millimetres(rings.bar_width)
        ),
        Pattern::Bars(bars) => {
            format!(
                "{} radial bars of {} mm",
                bars.bar_count,
                millimetres(bars.bar_width)
            )
        }
    };
    text += &describe_turn(pattern_turn(pattern));
    text
}

/// What a fabric is: `knit of 15 denier, one filament, 0.5 x 0.5 mm, stretched 60 % across and 30 % along`.
pub fn describe_fabric(kind: &FabricKind) -> String {
    match kind {
        FabricKind::Knit(knit) => describe_knit(knit),
        FabricKind::Woven(woven) => match woven.material {
            MeshMaterial::Monofilament => format!(
                "woven filaments of {} um, openings {} um",
                rounded(1e6 * woven.thread),
                rounded(1e6 * woven.opening)
            ),
            MeshMaterial::Metal => format!(
                "metal mesh, wire {} mm, openings {} mm",
                rounded(1e3 * woven.thread),
                rounded(1e3 * woven.opening)
            ),
        },
        FabricKind::Sheet(sheet) => format!(
            "sheet of {} mm, holes {} mm every {} mm, {}",
            rounded(1e3 * sheet.thickness),
            rounded(1e3 * sheet.hole),
            rounded(1e3 * sheet.pitch),
            match sheet.layout {
                SheetLayout::Square => "in rows and columns",
                SheetLayout::Staggered => "staggered",
            }
        ),
    }
}

fn describe_knit(knit: &Knit) -> String {
    let filaments = match knit.filament_count {
        1 => "one filament".to_owned(),
        count => format!("yarn of {count} filaments"),
    };
    let stretch = [knit.stretch_across, knit.stretch_along].map(|share| rounded(100.0 * share));
    let stretched = if stretch.iter().all(|percent| percent.abs() <= 0.0) {
        "slack".to_owned()
    } else {
        format!(
            "stretched {} % across and {} % along",
            stretch[0], stretch[1]
        )
    };
    format!(
        "knit of {} denier, {filaments}, {} x {} mm, {stretched}",
        knit.denier,
        rounded(1e3 * knit.pitch_across),
        rounded(1e3 * knit.pitch_along)
    )
}

/// To three decimals.
fn rounded(value: f64) -> f64 {
    (value * 1e3).round() / 1e3 + 0.0
}

/// How the openings of a pattern turn.
pub fn pattern_turn(pattern: &Pattern) -> Turn {
    match pattern {
        Pattern::Holes(holes) => holes.turn,
        Pattern::Rings(rings) => rings.turn,
        Pattern::Bars(bars) => bars.turn,
    }
}

fn describe_turn(turn: Turn) -> String {
    let degrees = |angle: f64| (angle.to_degrees() * 100.0).round() / 100.0;
    match turn {
        Turn::Straight => String::new(),
        Turn::Twist { angle, .. } => format!(", twisted {} degrees", degrees(angle)),
        Turn::Lean { angle } => format!(", leaned {} degrees", degrees(angle)),
        Turn::PatternTwist { angle } => {
            format!(", pattern twisted {} degrees", degrees(angle))
        }
    }
}

/// mm of a length in m, to 0.01 mm.
pub(super) fn millimetres(metres: f64) -> f64 {
    (metres * 1e5).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::{HolePattern, HoleShape, RingPattern};

    #[test]
    fn sizes_read_as_drawn() {
        let pattern = Pattern::Holes(HolePattern {
            shape: HoleShape::Slot {
                width: 0.004,
                length: 0.024,
            },
            layout: Layout::Staggered,
            rib: 0.0012,
            turn: Turn::Lean {
                angle: 20.0_f64.to_radians(),
            },
            merging_accepted: false,
        });
        assert_eq!(
            describe_pattern(&pattern),
            "slots 4 x 24 mm, rib 1.2 mm, staggered, leaned 20 degrees"
        );
        let rings = Pattern::Rings(RingPattern {
            slot_width: 0.0045,
            rib: 0.0015,
            bar_count: 6,
            bar_width: 0.0025,
            turn: Turn::Straight,
        });
        assert_eq!(
            describe_pattern(&rings),
            "ring slots 4.5 mm, rings 1.5 mm, 6 bars of 2.5 mm"
        );
    }
}
