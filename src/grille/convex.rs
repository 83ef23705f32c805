//! Plane geometry of convex polygons: sums, distances, cuts.
//!
//! Polygons are lists of corners, counter-clockwise and not closed; a point is a polygon of one corner, a segment one of two.

/// Sum of two vectors.
pub(super) fn add(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] + b[0], a[1] + b[1]]
}

/// `a` minus `b`.
pub(super) fn subtract(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// `a` times `factor`.
pub(super) fn scale(a: [f64; 2], factor: f64) -> [f64; 2] {
    [a[0] * factor, a[1] * factor]
}

/// Scalar product.
pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Component of the vector product along x.
pub(super) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Length of a vector.
pub(super) fn length(a: [f64; 2]) -> f64 {
    a[0].hypot(a[1])
}

/// Angle of a vector from the y axis towards z, radians.
pub(super) fn direction(a: [f64; 2]) -> f64 {
    a[1].atan2(a[0])
}

/// The vector of this length and direction.
pub(super) fn polar(radius: f64, angle: f64) -> [f64; 2] {
    [radius * angle.cos(), radius * angle.sin()]
}

/// `a` turned by `angle` about the origin, from y towards z.
pub(super) fn rotate(a: [f64; 2], angle: f64) -> [f64; 2] {
    let (sine, cosine) = angle.sin_cos();
    [a[0] * cosine - a[1] * sine, a[0] * sine + a[1] * cosine]
}

/// Area of a polygon (positive if counter-clockwise).
pub(super) fn area(polygon: &[[f64; 2]]) -> f64 {
    0.5 * edges(polygon).map(|(a, b)| cross(a, b)).sum::<f64>()
}

/// Length of the closed outline; a segment counts there and back.
pub(super) fn perimeter(polygon: &[[f64; 2]]) -> f64 {
    edges(polygon).map(|(a, b)| length(subtract(b, a))).sum()
}

/// Edges of a closed polygon, as pairs of corners.
fn edges(polygon: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
    let count = polygon.len();
    (0..count).map(move |index| (polygon[index], polygon[(index + 1) % count]))
}

/// Distance of `point` from a convex polygon; negative inside (distance to the nearest edge).
pub(super) fn signed_distance(polygon: &[[f64; 2]], point: [f64; 2]) -> f64 {
    let mut outside = f64::INFINITY;
    let mut inside = f64::INFINITY;
    let mut is_inside = polygon.len() > 2;
    for (a, b) in edges(polygon) {
        let edge = subtract(b, a);
        let offset = subtract(point, a);
        let squared = dot(edge, edge);
        let along = if squared > 0.0 {
            (dot(offset, edge) / squared).clamp(0.0, 1.0)
        } else {
            0.0
        };
        outside = outside.min(length(subtract(offset, scale(edge, along))));
        if squared > 0.0 {
            let height = cross(edge, offset) / squared.sqrt();
            is_inside &= height >= 0.0;
            inside = inside.min(height);
        }
    }
    if is_inside { -inside } else { outside }
}

/// The difference body `a - b`: all vectors from a point of `b` to a point of `a`, both convex.
///
/// Moved by `d`, `b` stays clear of `a` exactly if `d` lies outside of it, and their distance is that of `d` from it.
pub(super) fn difference_body(a: &[[f64; 2]], b: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mirrored: Vec<_> = b.iter().map(|corner| [-corner[0], -corner[1]]).collect();
    minkowski_sum(a, &mirrored)
}

/// Sum of two convex polygons: the edges of both, in the order of their directions.
fn minkowski_sum(a: &[[f64; 2]], b: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let (first, second) = (lowest(a), lowest(b));
    let (count_a, count_b) = (edge_count(a), edge_count(b));
    let mut sum = Vec::with_capacity(a.len() + b.len());
    let (mut i, mut j) = (0, 0);
    let corner =
        |polygon: &[[f64; 2]], start: usize, index: usize| polygon[(start + index) % polygon.len()];
    loop {
        sum.push(add(corner(a, first, i), corner(b, second, j)));
        let edge_a = subtract(corner(a, first, i + 1), corner(a, first, i));
        let edge_b = subtract(corner(b, second, j + 1), corner(b, second, j));
        match (i < count_a, j < count_b) {
            (true, true) => {
                // Edges start at the lowest corner, so their directions rise from 0 to a full turn in both.
                let turn = cross(edge_a, edge_b);
                let is_same_half = (half(edge_a), half(edge_b));
                match is_same_half {
                    (0, 1) => i += 1,
                    (1, 0) => j += 1,
                    _ if turn > 0.0 => i += 1,
                    _ if turn < 0.0 => j += 1,
                    _ => {
                        i += 1;
                        j += 1;
                    }
                }
            }
            (true, false) => i += 1,
            (false, true) => j += 1,
            (false, false) => break,
        }
    }
    if sum.len() > 1 {
        sum.pop();
    }
    sum
}

/// Number of edges: none for a point.
fn edge_count(polygon: &[[f64; 2]]) -> usize {
    if polygon.len() < 2 { 0 } else { polygon.len() }
}

/// 0 for directions from 0 up to half a turn, 1 for the rest.
fn half(edge: [f64; 2]) -> u8 {
    u8::from(edge[1] < 0.0 || (edge[1] <= 0.0 && edge[0] < 0.0))
}

/// Index of the corner with the least z; among equals the one with the least y.
fn lowest(polygon: &[[f64; 2]]) -> usize {
    let mut best = 0;
    for (index, corner) in polygon.iter().enumerate() {
        let other = polygon[best];
        if corner[1] < other[1] || (corner[1] <= other[1] && corner[0] < other[0]) {
            best = index;
        }
    }
    best
}

/// What two convex polygons share; empty if nothing.
pub(super) fn intersection(subject: &[[f64; 2]], other: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut shared = subject.to_vec();
    for (a, b) in edges(other) {
        if shared.is_empty() {
            break;
        }
        shared = left_of(&shared, a, b);
    }
    shared
}

/// The part of a convex polygon to the left of the line from `a` to `b` (Sutherland and Hodgman's cut by a half-plane).
fn left_of(polygon: &[[f64; 2]], a: [f64; 2], b: [f64; 2]) -> Vec<[f64; 2]> {
    let edge = subtract(b, a);
    let side = |point: [f64; 2]| cross(edge, subtract(point, a));
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (p, q) in edges(polygon) {
        let (side_p, side_q) = (side(p), side(q));
        if side_p >= 0.0 {
            kept.push(p);
        }
        if (side_p >= 0.0) != (side_q >= 0.0) {
            let share = side_p / (side_p - side_q);
            kept.push(add(p, scale(subtract(q, p), share)));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

    #[test]
    fn difference_body_of_a_square_has_twice_its_side() {
        let body = difference_body(&SQUARE, &SQUARE);
        assert!((area(&body) - 4.0).abs() < 1e-12);
        assert!((signed_distance(&body, [1.3, 0.2]) - 0.3).abs() < 1e-12);
        assert!((signed_distance(&body, [0.0, 0.0]) + 1.0).abs() < 1e-12);
    }

    #[test]
    fn difference_body_of_a_triangle_is_a_hexagon_of_six_times_its_area() {
        let triangle = [[0.0, 0.0], [1.0, 0.0], [0.3, 0.8]];
        let body = difference_body(&triangle, &triangle);
        assert!((area(&body) - 6.0 * area(&triangle)).abs() < 1e-12);
    }

    #[test]
    fn difference_body_of_a_segment_and_a_square_is_the_swept_square() {
        let body = difference_body(&SQUARE, &[[0.0, 0.0], [2.0, 1.0]]);
        // Area of a square swept along (2, 1): 1 + extent across the path times its length = 1 + 2 + 1.
        assert!((area(&body) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn squares_share_their_overlap() {
        let moved: Vec<_> = SQUARE.iter().map(|p| add(*p, [0.25, 0.5])).collect();
        assert!((area(&intersection(&SQUARE, &moved)) - 0.375).abs() < 1e-12);
        let apart: Vec<_> = SQUARE.iter().map(|p| add(*p, [2.0, 0.0])).collect();
        assert!(intersection(&SQUARE, &apart).is_empty());
    }
}
