//! Drawings that several test files of the grille's geometry share.

use std::f64::consts::PI;

use ventwright::grille::{
    CrossingHoles, CutOut, Edge, Grille, HolePattern, HoleShape, Layout, Pattern, Turn, Zone,
};

/// A millimetre in m.
pub(crate) const MM: f64 = 1e-3;

pub(crate) fn pattern(shape: HoleShape, layout: Layout, rib: f64) -> HolePattern {
    HolePattern {
        shape,
        layout,
        rib,
        turn: Turn::Straight,
        merging_accepted: false,
    }
}

/// Area and perimeter of a hole, by the handbook.
pub(crate) fn handbook(shape: HoleShape) -> (f64, f64) {
    let root = 3.0_f64.sqrt();
    match shape {
        HoleShape::Round { diameter: d } => (PI * d * d / 4.0, PI * d),
        HoleShape::Square { side: s } => (s * s, 4.0 * s),
        HoleShape::Hexagon { across_flats: s } => (root / 2.0 * s * s, 2.0 * root * s),
        HoleShape::Triangle { side: s } => (root / 4.0 * s * s, 3.0 * s),
        HoleShape::Rhombus { along, across } => (0.5 * along * across, 2.0 * along.hypot(across)),
        HoleShape::Slot { width, length } => {
            let straight = length - width;
            let ends = PI * width * width / 4.0;
            (straight * width + ends, 2.0 * straight + PI * width)
        }
    }
}

/// A plate in a 140 mm bore with a 3 mm border and a 30 mm disc in the centre, 4 mm thick.
pub(crate) fn plate(pattern: Pattern, crossing_holes: CrossingHoles) -> Grille {
    Grille {
        name: "plate".to_owned(),
        cut_out: CutOut::Bore { diameter: 0.14 },
        thickness: 0.004,
        border: 0.003,
        centre_disc_diameter: 0.03,
        crossing_holes,
        front_edge: Edge::Sharp,
        back_edge: Edge::Sharp,
        zones: vec![Zone {
            inner_radius: 0.0,
            outer_radius: 0.07,
            pattern,
        }],
    }
}

pub(crate) fn holes(pattern: HolePattern) -> Grille {
    plate(Pattern::Holes(pattern), CrossingHoles::Drop)
}

/// Whether a point lies inside, by the number of outlines that a ray crosses (even-odd rule).
pub(crate) fn is_inside(outlines: &[Vec<[f64; 2]>], point: [f64; 2]) -> bool {
    let mut inside = false;
    for outline in outlines {
        for (index, a) in outline.iter().enumerate() {
            let b = outline[(index + 1) % outline.len()];
            if (a[1] > point[1]) != (b[1] > point[1]) {
                let y = a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                inside ^= y > point[0];
            }
        }
    }
    inside
}
