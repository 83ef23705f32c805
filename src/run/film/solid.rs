//! What stands in the air of a film.

use crate::run::views::fan::Face;
use crate::run::views::repeat::Repeat;
use crate::study::BehindGrille;
use crate::tunnel::{FaceLayout, LeanedRow, RepeatLayout};

/// How solid a zone is drawn that stands for holes too small to be resolved.
const ZONE: f64 = 0.45;

/// What is solid at a place, in m from the origin of the window.
pub(super) enum Standing<'a> {
    /// Nothing.
    Nothing,
    /// Ribs of a row; a slot width in m.
    Row(&'a LeanedRow, f64),
    /// The true body, in the plane through the middle of a hole: its y and z.
    Repeat(&'a Repeat, [f64; 2]),
    /// Fan and grille, in a layout with cells of this length.
    Face(&'a Face, FaceLayout, f64),
}

impl Standing<'_> {
    /// How solid it is there, 0 to 1.
    pub(super) fn at(&self, [x, y]: [f64; 2]) -> f64 {
        match self {
            Self::Nothing => 0.0,
            Self::Row(row, slot) => f64::from(u8::from(row.is_solid([x / slot, y / slot + 0.5]))),
            Self::Repeat(repeat, [middle_y, middle_z]) => {
                let diameter = repeat.hydraulic_diameter;
                let depth = x / diameter;
                let is_in_plate = (0.0..=repeat.domain.thickness).contains(&depth);
                let place = [depth, middle_y + y / diameter, *middle_z];
                f64::from(u8::from(is_in_plate && repeat.is_solid(place)))
            }
            Self::Face(face, layout, cell) => at_face(face, layout, [x / cell, y.abs() / cell]),
        }
    }
}

/// Hub and frame of the fan, the walls of the grille, and its zones; places in cells from the front of the grille and from the axis.
fn at_face(face: &Face, layout: &FaceLayout, [x, radius]: [f64; 2]) -> f64 {
    let bore = layout.bore as f64;
    let radius = radius / bore;
    let thickness = (layout.rear - layout.front) as f64;
    let blades = -(layout.front as f64);
    let is_bare = face.grille.zones.is_empty() && face.grille.walls.is_empty();
    if radius >= 1.0 {
        let is_wall = x < thickness || face.view.behind == BehindGrille::Duct;
        return f64::from(u8::from(is_wall));
    }
    if x < blades {
        return f64::from(u8::from(
            radius < face.exit.hub_radius() / face.bore_radius(),
        ));
    }
    if is_bare || !(0.0..thickness).contains(&x) {
        return 0.0;
    }
    let is_between = |[inner, outer]: [f64; 2]| (inner..outer).contains(&radius);
    if face.grille.walls.iter().any(|wall| is_between(*wall)) {
        return 1.0;
    }
    let mut zones = face.grille.zones.iter();
    if zones.any(|zone| is_between([zone.inner, zone.outer])) {
        ZONE
    } else {
        0.0
    }
}

/// Of a repeat: where the middle of its first hole lies at the face that the air meets first, in hydraulic diameters.
pub(super) fn middle_of_hole(repeat: &Repeat) -> [f64; 2] {
    let axes = repeat.hole_axes();
    axes.first().map_or([0.0; 2], |axis| axis.centre)
}

/// The same in cells.
pub(super) fn cell_of_hole(repeat: &Repeat, layout: &RepeatLayout) -> [f64; 3] {
    let [y, z] = middle_of_hole(repeat);
    layout.point([0.0, y, z])
}
