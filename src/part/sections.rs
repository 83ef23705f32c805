//! Cuts through a part along its face, as closed lines.

use std::collections::HashMap;

use crate::part::mesh::TriangleMesh;

/// How far a cut is moved off a plane in which corners lie, as a share of the thickness.
const SIDESTEP: f64 = 1e-7;

/// A cut through a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Closed lines, the body to their left, mm: outlines counter-clockwise, openings clockwise.
    pub lines: Vec<Vec<[f64; 2]>>,
}

impl Section {
    /// Area of the body in the cut, mm².
    pub fn area(&self) -> f64 {
        let twice = |line: &Vec<[f64; 2]>| {
            let next = line.iter().cycle().skip(1);
            let pairs = line.iter().zip(next);
            pairs.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>()
        };
        0.5 * self.lines.iter().map(twice).sum::<f64>()
    }
}

impl TriangleMesh {
    /// The cut at this height over the front face, mm; at a face, just inside of it.
    pub fn section(&self, height: f64) -> Section {
        let heights = self.corners.iter().map(|corner| corner[2]);
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| {
            (low.min(z), high.max(z))
        });
        // No corner lies in the plane then: corners are a grid apart.
        let step = SIDESTEP * (high - low);
        let height = if height + step < high {
            (height + step).max(low + step)
        } else {
            high - step
        };
        let is_above = |corner: u32| self.corners[corner as usize][2] > height;
        // A way through a triangle goes from the edge that comes down to the one that goes up.
        let mut next: HashMap<[u32; 2], [u32; 2]> = HashMap::new();
        for [a, b, c] in &self.triangles {
            let (mut down, mut up) = (None, None);
            for (from, to) in [(*a, *b), (*b, *c), (*c, *a)] {
                match (is_above(from), is_above(to)) {
                    (true, false) => down = Some([to, from]),
                    (false, true) => up = Some([from, to]),
                    _ => {}
                }
            }
            if let (Some(down), Some(up)) = (down, up) {
                next.insert(down, up);
            }
        }
        let place = |[low, high]: [u32; 2]| {
            let [low, high] = [low, high].map(|corner| self.corners[corner as usize]);
            let share = (height - low[2]) / (high[2] - low[2]);
            [
                low[0] + share * (high[0] - low[0]),
                low[1] + share * (high[1] - low[1]),
            ]
        };
        let mut starts: Vec<[u32; 2]> = next.keys().copied().collect();
        starts.sort_unstable();
        let mut lines = Vec::new();
        for start in starts {
            let mut line = Vec::new();
            let mut edge = start;
            while let Some(after) = next.remove(&edge) {
                line.push(place(edge));
                edge = after;
            }
            if line.len() > 2 {
                lines.push(line);
            }
        }
        Section { lines }
    }
}
