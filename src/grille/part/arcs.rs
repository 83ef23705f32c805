//! Arcs as few straight pieces that enclose the arc's own area, so that a part takes and leaves what was solved.

use std::f64::consts::{FRAC_PI_4, TAU};

/// Straight pieces of an arc whose corners and middles stay within `tolerance` of it; radius and tolerance in m, sweep in radians.
///
/// Chords between points on the arc would all lie inside; with the area kept, points lie `R Δ²/12` outside and middles half of that inside (Δ: angle of a piece).
pub(super) fn piece_count(radius: f64, sweep: f64, tolerance: f64) -> usize {
    let widest = (12.0 * tolerance / radius.max(tolerance))
        .sqrt()
        .min(FRAC_PI_4);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a float becomes a whole number without wrapping"
    )]
    let count = (sweep.abs() / widest).ceil().min(1e5) as usize;
    count.max(2)
}

/// Distance from the centre, as a share of the radius, of the inner points of an arc whose ends lie on it.
///
/// ```text
/// (n - 2) x² + 2 x = sweep / sin Δ     Δ = sweep / n:  n triangles from the centre have the sector's area
/// ```
pub(super) fn inner_share(sweep: f64, pieces: usize) -> f64 {
    let sweep = sweep.abs();
    let ratio = sweep / (sweep / pieces as f64).sin();
    match pieces {
        0 | 1 => 1.0,
        2 => 0.5 * ratio,
        _ => {
            let rest = pieces as f64 - 2.0;
            ((1.0 + rest * ratio).sqrt() - 1.0) / rest
        }
    }
}

/// The same for a full circle, all of whose points are alike.
pub(super) fn circle_share(pieces: usize) -> f64 {
    let step = TAU / pieces as f64;
    (step / step.sin()).sqrt()
}

/// Unit vectors on an arc from `start` over `sweep`, stretched so that the pieces enclose its area; both ends are there.
pub(super) fn unit_arc(start: f64, sweep: f64, pieces: usize) -> Vec<[f64; 2]> {
    let share = inner_share(sweep, pieces);
    let point = |index: usize| {
        let angle = start + sweep * index as f64 / pieces as f64;
        let radius = if index == 0 || index == pieces {
            1.0
        } else {
            share
        };
        [radius * angle.cos(), radius * angle.sin()]
    };
    (0..=pieces).map(point).collect()
}

/// A circle of this radius and area as a polygon, counter-clockwise.
pub(super) fn circle(radius: f64, pieces: usize) -> Vec<[f64; 2]> {
    let radius = radius * circle_share(pieces);
    let point = |index: usize| {
        let angle = TAU * index as f64 / pieces as f64;
        [radius * angle.cos(), radius * angle.sin()]
    };
    (0..pieces).map(point).collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::grille::convex;

    #[test]
    fn arcs_of_few_pieces_have_the_area_of_their_sectors() {
        for sweep in [0.3, 1.0, PI] {
            for pieces in 2..9 {
                let mut sector = unit_arc(0.4, sweep, pieces);
                sector.push([0.0, 0.0]);
                let area = convex::area(&sector);
                assert!(
                    (area / (0.5 * sweep) - 1.0).abs() < 1e-12,
                    "{sweep} {pieces}"
                );
            }
        }
        assert!((convex::area(&circle(2.0, 9)) / (4.0 * PI) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn pieces_stay_within_the_tolerance() {
        for radius in [0.3e-3, 2.5e-3, 70e-3] {
            let tolerance = 0.02e-3;
            let polygon = circle(radius, piece_count(radius, TAU, tolerance));
            for (a, b) in polygon.iter().zip(&polygon[1..]) {
                let middle = convex::scale(convex::add(*a, *b), 0.5);
                for point in [*a, middle] {
                    let off = convex::length(point) - radius;
                    assert!(off.abs() < 1.1 * tolerance, "{radius}: {off}");
                }
            }
        }
    }
}
