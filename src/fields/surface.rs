//! The surface of the plate of a repeat from its outlines: walls of the holes and both faces, cut at the sides of the repeat.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "points are written in single precision, and counts of pieces are small"
)]

use std::io::Write;

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};

use crate::fields::SolvedRepeat;
use crate::grille::Outline;
use crate::tunnel::repeat::Solid;
use crate::vtk::{Surface, VtkError, write_surface};

/// Pieces of a hole's wall over the depth of the plate.
const PIECES_DEEP: f64 = 32.0;

/// Pieces of an edge over its depth.
const PIECES_OF_AN_EDGE: f64 = 12.0;

/// Longest side of a piece of wall along the face, hydraulic diameters.
const LONGEST_SIDE: f64 = 1.0 / 12.0;

/// How far from a wall it is asked whether there is solid behind it, hydraulic diameters: more than a flat piece lies inside of a round wall.
const BEHIND: f64 = 2e-3;

/// Least radius of a corner of a ring, so that outlines have as many points where an edge widens them as where not; hydraulic diameters.
const LEAST_RADIUS: f64 = 1e-6;

/// The plate as drawn, in the coordinates of [`Solid`]: depth below the face that the flow meets first, y, z; lengths in hydraulic diameters.
pub struct PlateShape<'a> {
    /// The outline of every hole at a depth, as points counter-clockwise, not closed; each hole has as many at every depth. See [`ring`].
    pub outlines_at: &'a dyn Fn(f64) -> Vec<Vec<[f64; 2]>>,
    /// Where there is solid.
    pub solid: Solid<'a>,
    /// Depth to which the edges of the face met first and of the other reach.
    pub edges: [f64; 2],
}

/// The outline of a hole as points, lengths divided by `diameter`; as many of them whether an edge rounds its corners or not.
pub fn ring(outline: &Outline, diameter: f64) -> Vec<[f64; 2]> {
    let mut rounded = outline.clone();
    rounded.radius = rounded.radius.max(LEAST_RADIUS * diameter);
    let points = rounded.points();
    points
        .into_iter()
        .map(|point| point.map(|place| place / diameter))
        .collect()
}

/// Writes the surface of the plate as XML poly data (`plate.vtp`), in the coordinates of the fields; open where the repeat is cut from the endless plate.
///
/// # Errors
/// [`VtkError`]: a failing `out`.
pub fn write_plate(
    solved: &SolvedRepeat<'_>,
    shape: &PlateShape<'_>,
    out: impl Write,
) -> Result<(), VtkError> {
    write_surface(&plate_surface(solved, shape), out)
}

/// From the plate's coordinates to metres of the fields.
struct Place {
    /// Width of the repeat along y and z, hydraulic diameters.
    extent: [f64; 2],
    /// Metres per hydraulic diameter along x, y and z.
    metres: [f64; 3],
    /// Shift of the pattern along y and z, m.
    shift: [f64; 2],
}

impl Place {
    fn point(&self, depth: f64, [y, z]: [f64; 2]) -> [f32; 3] {
        [
            depth * self.metres[0],
            (y - 0.5 * self.extent[0]) * self.metres[1] + self.shift[0],
            (z - 0.5 * self.extent[1]) * self.metres[2] + self.shift[1],
        ]
        .map(|place| place as f32)
    }
}

/// The surface that [`write_plate`] writes: walls of the holes and both faces in flat pieces, m.
pub fn plate_surface(solved: &SolvedRepeat<'_>, shape: &PlateShape<'_>) -> Surface {
    let layout = &solved.outcome.layout;
    let per_diameter = layout.cells_across_hole;
    let diameter = per_diameter * solved.scale.cell;
    let thickness = solved.outcome.thickness / per_diameter;
    let place = Place {
        extent: [
            layout.cells.ny as f64 / per_diameter,
            layout.cells.nz as f64 / (per_diameter * layout.stretch),
        ],
        metres: [diameter, diameter, diameter * layout.stretch],
        shift: layout.shift.map(|cells| cells * solved.scale.cell),
    };
    let mut surface = Surface::default();
    let levels = levels(thickness, shape.edges);
    let rings: Vec<_> = levels
        .iter()
        .map(|&depth| (shape.outlines_at)(depth))
        .collect();
    for (depths, rings) in levels.windows(2).zip(rings.windows(2)) {
        for (near, far) in rings[0].iter().zip(&rings[1]) {
            add_wall(
                &mut surface,
                &place,
                shape,
                [depths[0], depths[1]],
                [near, far],
            );
        }
    }
    for (depth, rings) in [(0.0, rings.first()), (thickness, rings.last())] {
        add_face(&mut surface, &place, depth, rings.map_or(&[], |r| r));
    }
    surface
}

/// Depths at which the wall is cut into pieces: evenly, and finer in the edges, finest at the faces.
fn levels(thickness: f64, edges: [f64; 2]) -> Vec<f64> {
    let mut levels: Vec<f64> = steps(PIECES_DEEP).map(|share| share * thickness).collect();
    for (edge, is_front) in edges.into_iter().zip([true, false]) {
        if edge > 0.0 {
            levels.extend(steps(PIECES_OF_AN_EDGE).map(|share| {
                let depth = share * share * edge;
                if is_front { depth } else { thickness - depth }
            }));
        }
    }
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * thickness);
    levels
}

/// From 0 to 1 in so many equal steps.
fn steps(count: f64) -> impl Iterator<Item = f64> {
    (0..=count as u32).map(move |step| f64::from(step) / count)
}

/// The wall of one hole between two depths, with that of its images in the repeats around.
fn add_wall(
    surface: &mut Surface,
    place: &Place,
    shape: &PlateShape<'_>,
    depths: [f64; 2],
    rings: [&[[f64; 2]]; 2],
) {
    let count = rings[0].len().min(rings[1].len());
    for corner in 0..count {
        let next = (corner + 1) % count;
        let ends = rings.map(|ring| [ring[corner], ring[next]]);
        let side = between(ends[0][0], ends[0][1]);
        let length = side[0].hypot(side[1]);
        if length < 2.0 * LEAST_RADIUS {
            continue;
        }
        let pieces = (length / LONGEST_SIDE).ceil();
        for piece in 0..pieces as u32 {
            let shares = [0.0, 1.0].map(|end| (f64::from(piece) + end) / pieces);
            let at = |level: usize, share: f64| -> [f64; 2] {
                let [from, to] = ends[level];
                [0, 1].map(|axis| from[axis] + share * (to[axis] - from[axis]))
            };
            let quad = [
                (depths[0], at(0, shares[0])),
                (depths[0], at(0, shares[1])),
                (depths[1], at(1, shares[1])),
                (depths[1], at(1, shares[0])),
            ];
            // Counter-clockwise outlines have the solid at their right.
            let middle = quad.iter().fold([0.0; 3], |sum, (depth, at)| {
                [
                    sum[0] + 0.25 * depth,
                    sum[1] + 0.25 * at[0],
                    sum[2] + 0.25 * at[1],
                ]
            });
            let behind = [
                middle[0],
                middle[1] + BEHIND * side[1] / length,
                middle[2] - BEHIND * side[0] / length,
            ];
            if (shape.solid)(behind) {
                add_images(surface, place, &quad);
            }
        }
    }
}

fn between(from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    [to[0] - from[0], to[1] - from[1]]
}

/// Adds what of a piece and its images lies within the repeat.
fn add_images(surface: &mut Surface, place: &Place, piece: &[(f64, [f64; 2])]) {
    let home = [0, 1].map(|axis| (piece[0].1[axis] / place.extent[axis]).floor());
    for row in [-1.0, 0.0, 1.0] {
        for column in [-1.0, 0.0, 1.0] {
            let away = [
                (column - home[0]) * place.extent[0],
                (row - home[1]) * place.extent[1],
            ];
            let mut cut: Vec<(f64, [f64; 2])> = piece
                .iter()
                .map(|&(depth, [y, z])| (depth, [y + away[0], z + away[1]]))
                .collect();
            for axis in 0..2 {
                cut = clipped(&cut, |at| at[axis]);
                cut = clipped(&cut, |at| place.extent[axis] - at[axis]);
            }
            if cut.len() > 2 {
                let corners: Vec<_> = cut
                    .iter()
                    .map(|&(depth, at)| place.point(depth, at))
                    .collect();
                surface.add(&corners);
            }
        }
    }
}

/// The part of a convex piece where `height` is positive (I. E. Sutherland, G. W. Hodgman, Comm. ACM 17 (1974) 32; from memory).
fn clipped(piece: &[(f64, [f64; 2])], height: impl Fn([f64; 2]) -> f64) -> Vec<(f64, [f64; 2])> {
    let mut kept = Vec::new();
    for (index, &(depth, at)) in piece.iter().enumerate() {
        let (next_depth, next) = piece[(index + 1) % piece.len()];
        let (here, there) = (height(at), height(next));
        if here >= 0.0 {
            kept.push((depth, at));
        }
        if (here > 0.0 && there < 0.0) || (here < 0.0 && there > 0.0) {
            let share = here / (here - there);
            kept.push((
                depth + share * (next_depth - depth),
                [0, 1].map(|axis| at[axis] + share * (next[axis] - at[axis])),
            ));
        }
    }
    kept
}

/// A face of the plate: the rectangle of the repeat less the openings, in pieces.
fn add_face(surface: &mut Surface, place: &Place, depth: f64, rings: &[Vec<[f64; 2]>]) {
    let [width, height] = place.extent;
    let mut openings = Vec::new();
    for ring in rings {
        let home = ring.first().map_or([0.0; 2], |first| {
            [0, 1].map(|axis| (first[axis] / place.extent[axis]).floor())
        });
        for row in [-1.0, 0.0, 1.0] {
            for column in [-1.0, 0.0, 1.0] {
                let away = [(column - home[0]) * width, (row - home[1]) * height];
                openings.push(polygon(
                    ring.iter().map(|[y, z]| [y + away[0], z + away[1]]),
                ));
            }
        }
    }
    let corners = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
    let rectangle = polygon(corners.into_iter());
    let face = rectangle.difference(&geo::unary_union(&openings));
    for strip in strips(&face) {
        surface.add(&strip.map(|at| place.point(depth, at)));
    }
}

fn polygon(points: impl Iterator<Item = [f64; 2]>) -> Polygon<f64> {
    let line: LineString<f64> = points.map(|[x, y]| Coord { x, y }).collect();
    Polygon::new(line, Vec::new())
}

/// An area as quadrilaterals between lines of equal y through all of its corners.
fn strips(area: &MultiPolygon<f64>) -> Vec<[[f64; 2]; 4]> {
    let mut sides: Vec<[[f64; 2]; 2]> = Vec::new();
    for part in area {
        for line in std::iter::once(part.exterior()).chain(part.interiors()) {
            for side in line.lines() {
                let (a, b) = ([side.start.x, side.start.y], [side.end.x, side.end.y]);
                sides.push(if a[0] <= b[0] { [a, b] } else { [b, a] });
            }
        }
    }
    let mut cuts: Vec<f64> = sides.iter().flatten().map(|corner| corner[0]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut found = Vec::new();
    for cut in cuts.windows(2) {
        let middle = 0.5 * (cut[0] + cut[1]);
        let height = |side: &[[f64; 2]; 2], y: f64| {
            let share = (y - side[0][0]) / (side[1][0] - side[0][0]);
            side[0][1] + share * (side[1][1] - side[0][1])
        };
        let mut across: Vec<&[[f64; 2]; 2]> = sides
            .iter()
            .filter(|side| side[0][0] < middle && middle < side[1][0])
            .collect();
        across.sort_by(|a, b| height(a, middle).total_cmp(&height(b, middle)));
        for pair in across.chunks_exact(2) {
            found.push([
                [cut[0], height(pair[0], cut[0])],
                [cut[1], height(pair[0], cut[1])],
                [cut[1], height(pair[1], cut[1])],
                [cut[0], height(pair[1], cut[0])],
            ]);
        }
    }
    found
}
