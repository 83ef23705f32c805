//! The surface of a plate with openings that stay apart: two faces, and walls between them.

use crate::grille::WallRing;
use crate::part::face::filled;
use crate::part::mesh::{TriangleMesh, number};

/// A plate whose openings are put in one by one.
#[derive(Debug)]
pub(super) struct Shell {
    mesh: TriangleMesh,
    front: Vec<Vec<(u32, [f64; 2])>>,
    back: Vec<Vec<(u32, [f64; 2])>>,
}

/// Which side of a wall the body is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Body {
    Inside,
    Outside,
}

impl Shell {
    /// A plate with this outline (counter-clockwise) and thickness, m.
    pub(super) fn new(outline: &[[f64; 2]], thickness: f64) -> Self {
        let ring = |depth| WallRing {
            depth,
            points: outline.to_vec(),
        };
        Self::within(&[ring(0.0), ring(thickness)])
    }

    /// A body with this outer wall.
    pub(super) fn within(rings: &[WallRing]) -> Self {
        let mut shell = Self {
            mesh: TriangleMesh::default(),
            front: Vec::new(),
            back: Vec::new(),
        };
        shell.add_wall(rings, Body::Inside);
        shell
    }

    /// Puts an opening in.
    pub(super) fn open(&mut self, rings: &[WallRing]) {
        self.add_wall(rings, Body::Outside);
    }

    fn add_wall(&mut self, rings: &[WallRing], body: Body) {
        let numbers: Vec<Vec<u32>> = rings.iter().map(|ring| self.add_ring(ring)).collect();
        for (level, pair) in numbers.windows(2).enumerate() {
            let (near, far) = (&pair[0], &pair[1]);
            let count = near.len();
            for index in 0..count {
                let next = (index + 1) % count;
                let [a, b, c, d] = [near[index], near[next], far[next], far[index]];
                // Diagonals in turn, or a wall that twists would lie on one side of the true one.
                let halves = if (index + level) % 2 == 0 {
                    [[a, b, c], [a, c, d]]
                } else {
                    [[a, b, d], [b, c, d]]
                };
                for [a, b, c] in halves {
                    if a != b && b != c && c != a {
                        self.mesh.triangles.push(match body {
                            Body::Inside => [a, b, c],
                            Body::Outside => [a, c, b],
                        });
                    }
                }
            }
        }
        if let (Some(first), Some(last)) = (numbers.first(), numbers.last()) {
            let front = self.line(first);
            let back = self.line(last);
            self.front.push(front);
            self.back.push(back);
        }
    }

    /// Numbers of a ring's points; equal neighbours share one.
    fn add_ring(&mut self, ring: &WallRing) -> Vec<u32> {
        let mut numbers: Vec<u32> = Vec::with_capacity(ring.points.len());
        for (index, point) in ring.points.iter().enumerate() {
            let is_last = index + 1 == ring.points.len();
            let number = if index > 0 && is_same(point, &ring.points[index - 1]) {
                numbers[index - 1]
            } else if is_last && index > 0 && is_same(point, &ring.points[0]) {
                numbers[0]
            } else {
                let [y, z] = *point;
                self.mesh.corners.push([1e3 * y, 1e3 * z, 1e3 * ring.depth]);
                number(self.mesh.corners.len() - 1)
            };
            numbers.push(number);
        }
        numbers
    }

    /// A ring as a line on a face, no point twice.
    fn line(&self, numbers: &[u32]) -> Vec<(u32, [f64; 2])> {
        let mut numbers = numbers.to_vec();
        numbers.dedup();
        if numbers.len() > 1 && numbers.first() == numbers.last() {
            numbers.pop();
        }
        let place = |number: u32| {
            let [x, y, _] = self.mesh.corners[number as usize];
            (number, [x, y])
        };
        numbers.into_iter().map(place).collect()
    }

    /// The surface with its faces.
    ///
    /// # Errors
    /// In words: openings that touch or cross each other on a face.
    pub(super) fn close(mut self) -> Result<TriangleMesh, String> {
        let front = filled(&self.front)?;
        let back = filled(&self.back)?;
        let turned = front.into_iter().map(|[a, b, c]| [a, c, b]);
        self.mesh.triangles.extend(turned);
        self.mesh.triangles.extend(back);
        Ok(self.mesh)
    }
}

/// Whether two points of a ring are one: within a nanometre, which no printer and no file tells apart.
fn is_same(a: &[f64; 2], b: &[f64; 2]) -> bool {
    (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9
}
