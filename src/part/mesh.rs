//! A closed surface of triangles.

use std::collections::HashMap;

/// Corners lie on a grid this fine, mm, so that every file can hold them without two becoming one.
const GRID_MM: f64 = 1e-4;

/// Twice the area below which a triangle counts as a line, mm²: half a step of the grid over a millimetre.
const LEAST_AREA: f64 = 1e-9;

/// Most rounds in which triangles without area are taken out.
const ROUNDS: usize = 20;

/// A closed surface; seen from outside its triangles turn counter-clockwise. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriangleMesh {
    /// Corners.
    pub corners: Vec<[f64; 3]>,
    /// Triangles by their corners' numbers.
    pub triangles: Vec<[u32; 3]>,
}

/// A piece of a surface that hangs together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Volume, mm³.
    pub(super) volume: f64,
    /// One of its corners, on the face.
    pub(super) place: [f64; 2],
}

impl TriangleMesh {
    /// Enclosed volume, mm³, by the divergence theorem.
    pub fn volume(&self) -> f64 {
        self.triangles.iter().map(|t| self.volume_under(t)).sum()
    }

    fn volume_under(&self, triangle: &[u32; 3]) -> f64 {
        let [a, b, c] = self.places(triangle);
        dot(a, cross(b, c)) / 6.0
    }

    /// The corners of a triangle.
    pub(super) fn places(&self, triangle: &[u32; 3]) -> [[f64; 3]; 3] {
        triangle.map(|corner| self.corners[corner as usize])
    }

    /// Number of openings that go through the body: half of 2 less the Euler number, for one piece.
    pub fn handles(&self) -> usize {
        (2 + self.triangles.len() / 2).saturating_sub(self.corners.len()) / 2
    }

    /// Why this is no closed surface, in words; `None` if it is one: every edge has one triangle on each side.
    pub fn gap(&self) -> Option<String> {
        let mut edges: HashMap<(u32, u32), u32> = HashMap::with_capacity(3 * self.triangles.len());
        for [a, b, c] in &self.triangles {
            for edge in [(*a, *b), (*b, *c), (*c, *a)] {
                *edges.entry(edge).or_default() += 1;
            }
        }
        let bad = edges.iter().filter(|&(&(from, to), &count)| {
            from == to || count != 1 || !edges.contains_key(&(to, from))
        });
        match bad.count() {
            0 => None,
            count => Some(format!("{count} edges without a triangle on each side")),
        }
    }

    /// Number of triangles without area.
    pub fn flat_count(&self) -> usize {
        let is_flat = |t: &&[u32; 3]| length(self.normal(t)) < LEAST_AREA;
        self.triangles.iter().filter(is_flat).count()
    }

    /// Normal of a triangle, twice its area long, mm².
    pub(super) fn normal(&self, triangle: &[u32; 3]) -> [f64; 3] {
        let [a, b, c] = self.places(triangle);
        cross(subtract(b, a), subtract(c, a))
    }

    /// Pieces of the surface that hang together, the largest first.
    pub(super) fn pieces(&self) -> Vec<Piece> {
        let mut groups = Groups::new(self.corners.len());
        for [a, b, c] in &self.triangles {
            groups.join(*a, *b);
            groups.join(*b, *c);
        }
        let mut pieces: HashMap<u32, Piece> = HashMap::new();
        for triangle in &self.triangles {
            let [x, y, _] = self.corners[triangle[0] as usize];
            let piece = pieces.entry(groups.head(triangle[0])).or_insert(Piece {
                volume: 0.0,
                place: [x, y],
            });
            piece.volume += self.volume_under(triangle);
        }
        let mut pieces: Vec<Piece> = pieces.into_values().collect();
        pieces.sort_by(|a, b| b.volume.total_cmp(&a.volume));
        pieces
    }

    /// The same surface with its corners on the grid and without triangles that have no area.
    ///
    /// # Errors
    /// In words: that it is not closed, or that triangles without area are left.
    pub(super) fn settled(mut self) -> Result<Self, String> {
        for corner in &mut self.corners {
            // Adding zero turns -0 into 0.
            *corner = corner.map(|along| (along / GRID_MM).round() * GRID_MM + 0.0);
        }
        self.join_equal();
        for _ in 0..ROUNDS {
            if !self.turn_flat() {
                break;
            }
        }
        if let Some(gap) = self.gap() {
            return Err(gap);
        }
        match self.flat_count() {
            0 => Ok(self),
            count => Err(format!("{count} triangles have no area")),
        }
    }

    /// Joins the ends of edges without length and drops triangles that became lines.
    fn join_equal(&mut self) {
        let mut groups = Groups::new(self.corners.len());
        let place = |corner: u32| self.corners[corner as usize].map(f64::to_bits);
        for [a, b, c] in &self.triangles {
            for (from, to) in [(*a, *b), (*b, *c), (*c, *a)] {
                if place(from) == place(to) {
                    groups.join(from, to);
                }
            }
        }
        let mut numbers = vec![u32::MAX; self.corners.len()];
        let mut corners = Vec::with_capacity(self.corners.len());
        let mut triangles = Vec::with_capacity(self.triangles.len());
        for triangle in &self.triangles {
            let heads = triangle.map(|corner| groups.head(corner));
            if heads[0] == heads[1] || heads[1] == heads[2] || heads[2] == heads[0] {
                continue;
            }
            triangles.push(heads.map(|head| {
                let named = &mut numbers[head as usize];
                if *named == u32::MAX {
                    *named = number(corners.len());
                    corners.push(self.corners[head as usize]);
                }
                *named
            }));
        }
        *self = Self { corners, triangles };
    }

    /// Gives the longest side of each flat triangle to its neighbour's other corner; whether there was one.
    fn turn_flat(&mut self) -> bool {
        let mut across: HashMap<(u32, u32), usize> = HashMap::new();
        let is_flat = |mesh: &Self, t: usize| length(mesh.normal(&mesh.triangles[t])) < LEAST_AREA;
        let flat: Vec<usize> = (0..self.triangles.len())
            .filter(|&t| is_flat(self, t))
            .collect();
        if flat.is_empty() {
            return false;
        }
        for (number, [a, b, c]) in self.triangles.iter().enumerate() {
            for edge in [(*a, *b), (*b, *c), (*c, *a)] {
                across.insert(edge, number);
            }
        }
        let mut touched = std::collections::HashSet::new();
        let mut has_turned = false;
        for t in flat {
            let [a, b, c] = self.triangles[t];
            let side = |from: u32, to: u32| {
                length(subtract(
                    self.corners[to as usize],
                    self.corners[from as usize],
                ))
            };
            let sides = [(a, b, c), (b, c, a), (c, a, b)];
            let longest = sides
                .into_iter()
                .max_by(|x, y| side(x.0, x.1).total_cmp(&side(y.0, y.1)));
            let Some((from, to, tip)) = longest else {
                continue;
            };
            let Some(&other) = across.get(&(to, from)) else {
                continue;
            };
            let far = self.triangles[other]
                .into_iter()
                .find(|corner| *corner != from && *corner != to);
            let Some(far) = far else {
                continue;
            };
            if far == tip
                || across.contains_key(&(tip, far))
                || across.contains_key(&(far, tip))
                || touched.contains(&t)
                || touched.contains(&other)
            {
                continue;
            }
            touched.extend([t, other]);
            self.triangles[t] = [tip, from, far];
            self.triangles[other] = [tip, far, to];
            has_turned = true;
        }
        has_turned
    }
}

/// Sets of corners that belong together.
struct Groups {
    above: Vec<u32>,
}

impl Groups {
    fn new(count: usize) -> Self {
        Self {
            above: (0..number(count)).collect(),
        }
    }

    fn head(&mut self, mut member: u32) -> u32 {
        while self.above[member as usize] != member {
            let next = self.above[member as usize];
            self.above[member as usize] = self.above[next as usize];
            member = next;
        }
        member
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.head(a), self.head(b));
        self.above[a.max(b) as usize] = a.min(b);
    }
}

/// A place in a list as the number of a corner.
pub(super) fn number(place: usize) -> u32 {
    u32::try_from(place).expect("four billion corners do not fit into any memory")
}

pub(super) fn subtract(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn length(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}
