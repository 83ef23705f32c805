//! What the edge of a hole takes away from the plate.

use std::f64::consts::{FRAC_PI_4, PI};

use crate::grille::Edge;

impl Edge {
    /// How far the edge reaches, into the depth and sideways alike, m; 0 if sharp.
    pub fn size(&self) -> f64 {
        match *self {
            Self::Sharp => 0.0,
            Self::Rounded(radius) => radius,
            Self::Chamfered(depth) => depth,
        }
    }

    /// Volume that the edge takes away around one hole of this perimeter, m³.
    ///
    /// ```text
    /// V = P A + 2 pi M     A: area of the section taken away; M: its first moment about the hole's wall
    /// chamfer of depth c:  A = c²/2,          M = c³/6
    /// radius r:            A = (1 - pi/4) r², M = (5/6 - pi/4) r³
    /// ```
    ///
    /// The outline at a distance x outside a convex hole has the length P + 2 pi x (Steiner); corners are rounded accordingly.
    /// Exact for a round hole (Pappus and Guldin).
    pub fn removed_volume(&self, perimeter: f64) -> f64 {
        let size = self.size();
        let (section, moment) = match self {
            Self::Sharp => (0.0, 0.0),
            Self::Rounded(_) => (1.0 - FRAC_PI_4, 5.0 / 6.0 - FRAC_PI_4),
            Self::Chamfered(_) => (0.5, 1.0 / 6.0),
        };
        perimeter * section * size * size + 2.0 * PI * moment * size.powi(3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chamfered_round_hole_loses_a_cone_less_a_cylinder() {
        let (radius, depth) = (0.0025_f64, 0.001_f64);
        let outer = radius + depth;
        let frustum = PI * depth / 3.0 * (radius * radius + radius * outer + outer * outer);
        let expected = frustum - PI * radius * radius * depth;
        let actual = Edge::Chamfered(depth).removed_volume(2.0 * PI * radius);
        assert!((actual / expected - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_rounded_edge_takes_less_than_a_chamfer_of_its_size() {
        let rounded = Edge::Rounded(0.001).removed_volume(0.02);
        assert!(rounded > 0.0 && rounded < Edge::Chamfered(0.001).removed_volume(0.02));
        assert!(Edge::Sharp.removed_volume(0.02).abs() < 1e-30);
    }

    /// Volume between a quarter torus and its cylinder, summed over thin discs.
    #[test]
    fn a_rounded_round_hole_loses_a_bell_less_a_cylinder() {
        let (radius, round) = (0.0025_f64, 0.001_f64);
        let slices = 200_000_u32;
        let step = round / f64::from(slices);
        let expected: f64 = (0..slices)
            .map(|slice| {
                let height = step * (f64::from(slice) + 0.5);
                let widened = radius + round - (round * round - height * height).sqrt();
                PI * (widened * widened - radius * radius) * step
            })
            .sum();
        let actual = Edge::Rounded(round).removed_volume(2.0 * PI * radius);
        assert!(
            (actual / expected - 1.0).abs() < 1e-6,
            "{actual} {expected}"
        );
    }
}
