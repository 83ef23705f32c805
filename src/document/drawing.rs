//! The faces of a grille to scale, from its drawing.

use std::fmt::Write as _;

use geo::{LineString, Simplify};
use maud::{Markup, html};

use crate::document::Drawn;
use crate::document::close_up::close_up;
use crate::document::words::cut;
use crate::grille::{CutOut, Turn};
use crate::study::pattern_turn;

/// A unit of the drawings, m: a hundredth of a millimetre.
pub(super) const UNIT: f64 = 1e-5;

/// How far a drawn line may lie off the true one, units: tried in this order until the drawing is small enough.
const ROUGHNESSES: [f64; 3] = [2.0, 6.0, 20.0];

/// Room around the plate, units.
const MARGIN: f64 = 150.0;

/// Front, and where the holes turn the back and one hole large; a sentence where there would be more lines than `room` letters hold.
pub(super) fn faces(drawn: &Drawn<'_>, hub_diameter: f64, room: usize) -> Markup {
    let is_turned = drawn
        .grille
        .zones
        .iter()
        .any(|zone| pattern_turn(&zone.pattern) != Turn::Straight);
    let mut faces = vec![(0.0, "front", "the outer face, as one sees it")];
    if is_turned {
        faces.push((
            1.0,
            "back",
            "the face on the fan's side, seen from the front through the plate",
        ));
    }
    let each = room / faces.len();
    html! {
        div.faces {
            @for (depth, name, words) in faces {
                @match path(drawn, depth, each) {
                    Some(path) => figure {
                        (face(drawn, hub_diameter, name, &path))
                        figcaption { (name) ": " (words) }
                    },
                    None => p.note { "The " (name) " has too many openings to be drawn here (" (drawn.geometry.hole_count) ")." },
                }
            }
            @if is_turned { (close_up(drawn)) }
        }
    }
}

/// y runs to the left of who looks along the flow into the front, z upwards.
pub(super) fn seen(point: [f64; 2]) -> [f64; 2] {
    [-point[0] / UNIT, -point[1] / UNIT]
}

/// All openings as one path; `None` where it takes more letters than `room` in every roughness.
fn path(drawn: &Drawn<'_>, depth: f64, room: usize) -> Option<String> {
    let outlines = drawn.grille.outlines_at_depth(depth);
    ROUGHNESSES.into_iter().find_map(|roughness| {
        let mut path = String::new();
        for outline in &outlines {
            write_outline(&mut path, outline, roughness);
            if path.len() > room {
                return None;
            }
        }
        Some(path)
    })
}

/// The longest round length in mm of at most a third of a width in units.
pub(super) fn scale_bar(width: f64) -> f64 {
    let bars = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5];
    bars.into_iter()
        .find(|mm| mm / 1e3 / UNIT <= width / 3.0)
        .unwrap_or(0.2)
}

/// Adds a closed line to a path, in whole units.
pub(super) fn write_outline(path: &mut String, outline: &[[f64; 2]], roughness: f64) {
    let mut points: Vec<(f64, f64)> = outline.iter().map(|point| seen(*point).into()).collect();
    let Some(first) = points.first().copied() else {
        return;
    };
    points.push(first);
    let mut at: Option<(i64, i64)> = None;
    let line = LineString::from(points).simplify(roughness);
    for corner in line.0.iter().take(line.0.len().saturating_sub(1)) {
        #[expect(clippy::cast_possible_truncation, reason = "a place on the plate")]
        let here = (corner.x.round() as i64, corner.y.round() as i64);
        // Writing into a text does not fail.
        let _ = match at {
            None => write!(path, "M{} {}", here.0, here.1),
            Some(last) => write!(path, "l{} {}", here.0 - last.0, here.1 - last.1),
        };
        at = Some(here);
    }
    path.push('z');
}

fn face(drawn: &Drawn<'_>, hub_diameter: f64, name: &str, path: &str) -> Markup {
    let [half_width, half_height] = match drawn.grille.cut_out {
        CutOut::Bore { diameter } => [0.5 * diameter / UNIT; 2],
        CutOut::Vent { width, height } => [0.5 * width / UNIT, 0.5 * height / UNIT],
    };
    let (x, y) = (half_width + MARGIN, half_height + MARGIN);
    let scale_bar = scale_bar(2.0 * half_width);
    let foot = 900.0;
    let frame = format!("{:.0} {:.0} {:.0} {:.0}", -x, -y, 2.0 * x, 2.0 * y + foot);
    let under = half_height + 450.0;
    let size = match drawn.grille.cut_out {
        CutOut::Bore { diameter } => format!("{:.1} mm across", 1e3 * diameter),
        CutOut::Vent { width, height } => {
            format!("{:.1} by {:.1} mm", 1e3 * width, 1e3 * height)
        }
    };
    let alternative = format!(
        "Drawing to scale: {name} of {}, {size}, {} openings.",
        cut(&drawn.grille.name, 60),
        drawn.geometry.hole_count
    );
    html! {
        svg.face viewBox=(frame) role="img" aria-label=(alternative) {
            @match drawn.grille.cut_out {
                CutOut::Bore { .. } => circle.plate r=(format!("{half_width:.0}")) {},
                CutOut::Vent { .. } => rect.plate x=(format!("{:.0}", -half_width)) y=(format!("{:.0}", -half_height))
                    width=(format!("{:.0}", 2.0 * half_width)) height=(format!("{:.0}", 2.0 * half_height)) {},
            }
            path.openings d=(path) {}
            @if hub_diameter > 0.0 && !drawn.grille.cut_out.is_vent() {
                circle.hub r=(format!("{:.0}", 0.5 * hub_diameter / UNIT)) {}
            }
            path.scale d=(format!("M{:.0} {under:.0}h{:.0}", -half_width, scale_bar * 100.0)) {}
            text x=(format!("{:.0}", -half_width + scale_bar * 100.0 + 200.0)) y=(format!("{:.0}", under + 170.0)) font-size="520" { (scale_bar) " mm" }
        }
    }
}
