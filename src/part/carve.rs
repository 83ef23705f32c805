//! Takes openings that meet each other or the edge of their zone out of a plate.

use boolmesh::compute_boolean;
use boolmesh::prelude::{Manifold, OpType};

use crate::grille::ZoneWalls;
use crate::part::cutters::{Cutter, OVERSHOOT, batches, beyond_faces};
use crate::part::mesh::{TriangleMesh, number};
use crate::part::shell::Shell;

/// The plate without the cutters, each cut off at the edge of its zone.
///
/// # Errors
/// In words: what the library could not do.
pub(super) fn carve(
    plate: TriangleMesh,
    cutters: Vec<Cutter>,
    zones: &[ZoneWalls],
) -> Result<TriangleMesh, String> {
    if cutters.is_empty() {
        return Ok(plate);
    }
    let mut body = manifold(&plate)?;
    for batch in batches(cutters) {
        let mut bodies = TriangleMesh::default();
        for cutter in &batch {
            append(&mut bodies, &Shell::within(&cutter.rings).close()?);
        }
        let mut tool = manifold(&bodies)?;
        if let Some(zone) = batch[0].zone {
            let walls = &zones[zone];
            let mut room = Shell::within(&beyond_faces(&walls.outer, 2.0 * OVERSHOOT));
            if let Some(inner) = &walls.inner {
                room.open(&beyond_faces(inner, 2.0 * OVERSHOOT));
            }
            tool = compute_boolean(&tool, &manifold(&room.close()?)?, OpType::Intersect)?;
        }
        if tool.nf > 0 {
            body = compute_boolean(&body, &tool, OpType::Subtract)?;
        }
    }
    Ok(triangles(&body))
}

fn append(mesh: &mut TriangleMesh, other: &TriangleMesh) {
    let first = number(mesh.corners.len());
    mesh.corners.extend_from_slice(&other.corners);
    let moved = other
        .triangles
        .iter()
        .map(|t| t.map(|corner| corner + first));
    mesh.triangles.extend(moved);
}

fn manifold(mesh: &TriangleMesh) -> Result<Manifold, String> {
    let places: Vec<f64> = mesh.corners.iter().flatten().copied().collect();
    let corners = mesh.triangles.iter().flatten();
    let corners: Vec<usize> = corners.map(|&corner| corner as usize).collect();
    Manifold::new(&places, &corners)
}

fn triangles(body: &Manifold) -> TriangleMesh {
    let tails: Vec<u32> = body.hs.iter().map(|half| number(half.tail)).collect();
    TriangleMesh {
        corners: body
            .ps
            .iter()
            .map(|place| [place.x, place.y, place.z])
            .collect(),
        triangles: tails.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect(),
    }
}
