//! Openings of a repeat at one depth, and how many cells of a section lie in them, row by row instead of cell by cell.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places within a row become columns"
)]

use crate::tunnel::repeat::RepeatLayout;

/// Distance from a wall, hydraulic diameters, from which on rounding decides nothing.
const SURE: f64 = 1e-9;

/// A convex opening: all points within `radius` of a polygon, lengths in hydraulic diameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    corners: Vec<[f64; 2]>,
    radius: f64,
    sides: Vec<Side>,
    /// Least and largest z.
    span: [f64; 2],
}

/// A side of the polygon.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Side {
    ends: [[f64; 2]; 2],
    /// Unit vector away from the polygon.
    outward: [f64; 2],
}

impl Opening {
    /// The points within `radius` of a convex polygon (y, z) with its corners counter-clockwise: one for a point, two for a segment.
    pub fn new(corners: Vec<[f64; 2]>, radius: f64) -> Self {
        let count = if corners.len() > 1 { corners.len() } else { 0 };
        let sides = (0..count).map(|index| {
            let ends = [corners[index], corners[(index + 1) % count]];
            let edge = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
            let length = edge[0].hypot(edge[1]);
            Side {
                ends,
                outward: [edge[1] / length, -edge[0] / length],
            }
        });
        let heights = corners.iter().map(|corner| corner[1]);
        let lowest = heights.clone().fold(f64::INFINITY, f64::min);
        let highest = heights.fold(f64::NEG_INFINITY, f64::max);
        Self {
            sides: sides.collect(),
            span: [lowest - radius, highest + radius],
            corners,
            radius,
        }
    }

    /// Where a row at this z begins and ends within the opening, grown by a length to all sides.
    fn chord(&self, z: f64, grown: f64) -> Option<[f64; 2]> {
        let radius = self.radius + grown;
        let mut ends = [f64::INFINITY, f64::NEG_INFINITY];
        let mut take = |y: f64| ends = [ends[0].min(y), ends[1].max(y)];
        for corner in &self.corners {
            let height = z - corner[1];
            if height.abs() <= radius {
                let half = (radius * radius - height * height).sqrt();
                take(corner[0] - half);
                take(corner[0] + half);
            }
        }
        for side in &self.sides {
            let [from, to] = side
                .ends
                .map(|end| [0, 1].map(|axis| end[axis] + radius * side.outward[axis]));
            let (below, above) = (z - from[1], to[1] - z);
            let whole = below + above;
            if below * above >= 0.0 && whole != 0.0 {
                take(from[0] + below / whole * (to[0] - from[0]));
            }
        }
        (ends[0] <= ends[1]).then_some(ends)
    }

    /// Part of a row that lies within the opening for sure: with a margin above, below and at both ends.
    fn surely_open(&self, z: f64) -> Option<[f64; 2]> {
        let [below, above] = [self.chord(z - SURE, 0.0)?, self.chord(z + SURE, 0.0)?];
        let (from, to) = (below[0].max(above[0]) + SURE, below[1].min(above[1]) - SURE);
        (from <= to).then_some([from, to])
    }

    /// Part of a row outside of which the opening does not reach for sure.
    fn perhaps_open(&self, z: f64) -> Option<[f64; 2]> {
        let [from, to] = self.chord(z, SURE)?;
        Some([from - SURE, to + SURE])
    }
}

/// What is known of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Known {
    Shut,
    Unsure,
    Open,
}

/// Centre of a cell in hydraulic diameters.
pub(super) fn centre(layout: &RepeatLayout, y: usize, z: usize) -> [f64; 2] {
    let per_cell = [
        1.0 / layout.cells_across_hole,
        1.0 / (layout.cells_across_hole * layout.stretch),
    ];
    [
        (y as f64 + 0.5 - layout.shift[0]) * per_cell[0],
        (z as f64 + 0.5 - layout.shift[1]) * per_cell[1],
    ]
}

/// Where the rows of a section pass through its openings.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rows {
    /// Cells along y and z, and the shift along z: rows lie alike wherever they are alike.
    laid: (usize, usize, f64),
    /// Row by row.
    stretches: Vec<Stretch>,
}

/// A part of a row; y in hydraulic diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    row: usize,
    perhaps_open: [f64; 2],
    surely_open: Option<[f64; 2]>,
}

/// What rows are laid by.
fn laid(layout: &RepeatLayout) -> (usize, usize, f64) {
    (layout.cells.ny, layout.cells.nz, layout.shift[1])
}

impl Rows {
    /// The rows of a section with these openings, which repeat by `height` along z.
    pub(super) fn of(layout: &RepeatLayout, height: f64, openings: &[Opening]) -> Self {
        let mut stretches = Vec::new();
        for row in 0..layout.cells.nz {
            let [_, z] = centre(layout, 0, row);
            for opening in openings {
                let [low, high] = opening.span;
                let last = ((z - low + SURE) / height).floor();
                let mut image = ((z - high - SURE) / height).ceil();
                while image <= last {
                    let here = z - image * height;
                    stretches.extend(opening.perhaps_open(here).map(|perhaps_open| Stretch {
                        row,
                        perhaps_open,
                        surely_open: opening.surely_open(here),
                    }));
                    image += 1.0;
                }
            }
        }
        Self {
            laid: laid(layout),
            stretches,
        }
    }

    /// Whether the rows of a layout are these, wherever its cells lie along them.
    pub(super) fn are_those_of(&self, layout: &RepeatLayout) -> bool {
        self.laid == laid(layout)
    }

    /// Number of open cells; `is_open` is asked where a wall passes within rounding of a cell's centre.
    pub(super) fn open_cells(
        &self,
        layout: &RepeatLayout,
        is_open: &dyn Fn(f64, f64) -> bool,
    ) -> usize {
        let column = |y: f64| layout.point([0.0, y, 0.0])[1];
        let mut cells = vec![Known::Shut; layout.cells.ny];
        let mut count = 0;
        for stretches in self.stretches.chunk_by(|a, b| a.row == b.row) {
            cells.fill(Known::Shut);
            for stretch in stretches {
                mark(&mut cells, stretch.perhaps_open.map(column), Known::Unsure);
                if let Some(sure) = stretch.surely_open {
                    mark(&mut cells, sure.map(column), Known::Open);
                }
            }
            let is_counted = |(y, known): &(usize, &Known)| match known {
                Known::Open => true,
                Known::Shut => false,
                Known::Unsure => {
                    let [y, z] = centre(layout, *y, stretches[0].row);
                    is_open(y, z)
                }
            };
            count += cells.iter().enumerate().filter(is_counted).count();
        }
        count
    }
}

/// Notes what is known of the cells of a periodic row whose centres lie from one place to another, in cells. What is sure stays so.
fn mark(row: &mut [Known], [from, to]: [f64; 2], known: Known) {
    let count = row.len();
    let (first, last) = (from.ceil(), to.floor());
    if first > last {
        return;
    }
    let cells = ((last - first) as usize + 1).min(count);
    let start = first.rem_euclid(count as f64) as usize % count;
    let (wrapped, rest) = row.split_at_mut(start);
    let here = cells.min(rest.len());
    let parts = [&mut rest[..here], &mut wrapped[..cells - here]];
    for cell in parts.into_iter().flatten() {
        if *cell != Known::Open {
            *cell = known;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_by_hand() {
        // A square of side 2 about the origin: z = 0.5 from -1 to 1; rounded by 0.5 it is 1.5 wide on each side there, and at z = 1.3 by 0.4 less at a corner: 1 + √(0.25 - 0.09).
        let corners = vec![[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        let sharp = Opening::new(corners.clone(), 0.0);
        assert_eq!(sharp.chord(0.5, 0.0), Some([-1.0, 1.0]));
        assert_eq!(sharp.chord(1.5, 0.0), None);
        let round = Opening::new(corners, 0.5);
        assert_eq!(round.chord(0.5, 0.0), Some([-1.5, 1.5]));
        let [from, to] = round.chord(1.3, 0.0).unwrap();
        assert!((to - 1.4).abs() < 1e-12 && (from + 1.4).abs() < 1e-12);
        // A disc, and a slot along z.
        let disc = Opening::new(vec![[2.0, 3.0]], 5.0);
        let [from, to] = disc.chord(6.0, 0.0).unwrap();
        assert!((from + 2.0).abs() < 1e-12 && (to - 6.0).abs() < 1e-12);
        let slot = Opening::new(vec![[0.0, -1.0], [0.0, 1.0]], 0.25);
        assert_eq!(slot.chord(0.3, 0.0), Some([-0.25, 0.25]));
    }

    #[test]
    fn along_a_side_nothing_is_sure() {
        let corners = vec![[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        let square = Opening::new(corners, 0.0);
        assert_eq!(square.surely_open(1.0), None);
        let [from, to] = square.perhaps_open(1.0).unwrap();
        assert!(from < -1.0 && to > 1.0);
        assert!(square.surely_open(0.999).is_some());
        assert_eq!(square.perhaps_open(1.001), None);
    }

    #[test]
    fn a_stretch_goes_on_at_the_other_end_of_the_row() {
        let marked = |from: f64, to: f64| -> String {
            let mut row = [Known::Shut; 6];
            mark(&mut row, [from, to], Known::Open);
            row.map(|known| if known == Known::Open { '#' } else { '.' })
                .iter()
                .collect()
        };
        assert_eq!(marked(1.0, 2.9), ".##...");
        assert_eq!(marked(4.2, 7.0), "##...#");
        assert_eq!(marked(-1.5, 0.2), "#....#");
        assert_eq!(marked(2.1, 2.9), "......");
        assert_eq!(marked(-3.0, 30.0), "######");
    }
}
