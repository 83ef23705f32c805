//! Triangles that fill a flat face with holes.

use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

/// A corner of a face with its number in the mesh.
struct Corner {
    place: Point2<f64>,
    number: u32,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.place
    }
}

/// Fills what lies inside an odd number of closed lines, as triangles that turn counter-clockwise.
///
/// Each line is a list of numbered points, none twice.
///
/// # Errors
/// In words: lines that touch or cross, or points that are no numbers.
pub(super) fn filled(lines: &[Vec<(u32, [f64; 2])>]) -> Result<Vec<[u32; 3]>, String> {
    let (mut corners, mut sides) = (Vec::new(), Vec::new());
    for line in lines {
        let first = corners.len();
        let count = line.len();
        corners.extend(line.iter().map(|&(number, [x, y])| Corner {
            place: Point2::new(x, y),
            number,
        }));
        sides.extend((0..count).map(|index| [first + index, first + (index + 1) % count]));
    }
    let wanted = corners.len();
    let mut crossings = 0;
    let mesh =
        ConstrainedDelaunayTriangulation::<Corner>::try_bulk_load_cdt(corners, sides, |_| {
            crossings += 1;
        })
        .map_err(|error| error.to_string())?;
    if crossings > 0 || mesh.num_vertices() != wanted {
        return Err("outlines touch or cross each other on a face".to_owned());
    }
    // From outside in: whoever steps over a line changes sides.
    let mut is_inside = vec![None; mesh.num_all_faces()];
    let mut edge_of = vec![(mesh.outer_face().fix(), false)];
    is_inside[mesh.outer_face().index()] = Some(false);
    while let Some((face, inside)) = edge_of.pop() {
        let face = mesh.face(face);
        let edges: Vec<_> = match face.as_inner() {
            Some(inner) => inner.adjacent_edges().to_vec(),
            None => mesh.convex_hull().collect(),
        };
        for edge in edges {
            let other = if edge.face() == face {
                edge.rev().face()
            } else {
                edge.face()
            };
            if is_inside[other.index()].is_none() {
                let here = inside != edge.is_constraint_edge();
                is_inside[other.index()] = Some(here);
                edge_of.push((other.fix(), here));
            }
        }
    }
    let inside = mesh
        .inner_faces()
        .filter(|face| is_inside[face.fix().index()] == Some(true));
    Ok(inside
        .map(|face| face.vertices().map(|corner| corner.data().number))
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_is_filled_and_its_hole_is_not() {
        let square = |half: f64, first: u32| {
            let corners = [[-half, -half], [half, -half], [half, half], [-half, half]];
            (first..).zip(corners).collect::<Vec<_>>()
        };
        let lines = [square(2.0, 0), square(1.0, 4)];
        let places: Vec<[f64; 2]> = lines.iter().flatten().map(|corner| corner.1).collect();
        let triangles = filled(&lines).unwrap();
        let area = |[a, b, c]: &[u32; 3]| {
            let [a, b, c] = [a, b, c].map(|number| places[*number as usize]);
            0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]))
        };
        let areas: Vec<f64> = triangles.iter().map(area).collect();
        assert!(areas.iter().all(|area| *area > 0.0), "{areas:?}");
        assert!((areas.iter().sum::<f64>() - 12.0).abs() < 1e-12);
        assert!(filled(&[square(1.0, 0), square(1.0, 4)]).is_err());
    }
}
