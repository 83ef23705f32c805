//! Open area and wetted perimeter of a section: closed forms for holes that stay apart, a polygon library for those that run into each other.

use geo::{Area, BooleanOps, Coord, LineString, Polygon};

use crate::grille::solid::RepeatSolid;
use crate::grille::{Outline, convex};

/// Straight pieces that stand for a full turn of rounding where holes overlap: they take 8e-7 of the area of a circle.
const PIECES_PER_TURN: f64 = 2880.0;

/// Offset by which the wall's length is taken from the growth of the open area, as a share of the largest circle in a hole.
const OFFSET_SHARE: f64 = 1e-3;

impl RepeatSolid {
    /// Open area at a depth, m², edges and merging included; a depth outside of the plate counts as the nearer face.
    ///
    /// ```text
    /// A = n (A_core + P_core (r + o) + pi (r + o)²)     o: offset by the edge;  less what holes share where they overlap
    /// ```
    ///
    /// # Validity
    /// Exact for holes that stay apart; where they overlap, what they share is exact to 1e-8 for sharp corners and to 1e-5 for rounded ones.
    pub fn open_area_at(&self, depth: f64) -> f64 {
        let outlines = self.outlines_at(depth);
        let own: f64 = outlines.iter().map(Outline::area).sum();
        (own - self.shared_area(&outlines)).min(self.area())
    }

    /// Free-area ratio at a depth, 0 to 1; see [`RepeatSolid::open_area_at`].
    pub fn free_area_ratio_at(&self, depth: f64) -> f64 {
        self.open_area_at(depth) / self.area()
    }

    /// Length of wall around all openings of the repeat at a depth, m, along the face; a depth outside of the plate counts as the nearer face.
    ///
    /// What overlapping holes share of their walls is the growth of what they share of their areas per offset to all sides (Steiner), taken to
    /// the second order as the growth of a convex body is.
    ///
    /// # Validity
    /// Exact for holes that stay apart; where they overlap, what they share is exact to 1e-4.
    pub fn wetted_perimeter_at(&self, depth: f64) -> f64 {
        let outlines = self.outlines_at(depth);
        let own: f64 = outlines.iter().map(Outline::perimeter).sum();
        let offset = OFFSET_SHARE * self.inscribed_diameter;
        let shared = |steps: f64| {
            let mut widened = outlines.clone();
            for outline in &mut widened {
                outline.radius += steps * offset;
            }
            self.shared_area(&widened)
        };
        let here = shared(0.0);
        if here > 0.0 {
            own - (4.0 * shared(1.0) - shared(2.0) - 3.0 * here) / (2.0 * offset)
        } else {
            own
        }
    }

    /// By how much the open area is smaller than that of all outlines, m²: in an order that is the same from every repeat each hole loses
    /// what an earlier one has of it.
    fn shared_area(&self, outlines: &[Outline]) -> f64 {
        let mut shared = 0.0;
        for (index, outline) in outlines.iter().enumerate() {
            let earlier = self.earlier_overlaps(outlines, index);
            if !earlier.is_empty() {
                let union = geo::unary_union(&earlier);
                shared += polygon(outline).intersection(&union).unsigned_area();
            }
        }
        shared
    }

    /// The holes, with those of repeats around, that overlap the one with this index and come before it: by row and column of their
    /// repeat, then by index.
    fn earlier_overlaps(&self, outlines: &[Outline], index: usize) -> Vec<Polygon<f64>> {
        let outline = &outlines[index];
        let [columns, rows] = [0, 1].map(|axis| {
            // Holes of one repeat lie less than an extent apart, edges and turning within the reach.
            (2.0 * self.reach[axis] / self.extent[axis]).ceil() + 1.0
        });
        let mut found = Vec::new();
        let mut row = -rows;
        while row <= 0.0 {
            let mut column = -columns;
            while column <= columns {
                let away = [column * self.extent[0], row * self.extent[1]];
                for (other_index, other) in outlines.iter().enumerate() {
                    if (row, column, other_index) >= (0.0, 0.0, index) {
                        continue;
                    }
                    let moved = other.posed(away, 0.0);
                    let body = convex::difference_body(&moved.core, &outline.core);
                    let distance = convex::signed_distance(&body, [0.0, 0.0]);
                    if distance < outline.radius + moved.radius {
                        found.push(polygon(&moved));
                    }
                }
                column += 1.0;
            }
            row += 1.0;
        }
        found
    }
}

/// An outline for the polygon library.
fn polygon(outline: &Outline) -> Polygon<f64> {
    let line: LineString<f64> = outline
        .points_per_turn(PIECES_PER_TURN)
        .iter()
        .map(|point| Coord {
            x: point[0],
            y: point[1],
        })
        .collect();
    Polygon::new(line, Vec::new())
}
