//! Openings as bodies that are taken out of the plate, in batches that do not meet.

use crate::grille::WallRing;

/// How far a cutter reaches beyond each face, m, so that no two faces lie in one plane.
pub(super) const OVERSHOOT: f64 = 1e-3;

/// An opening as a body.
#[derive(Debug, Clone)]
pub(super) struct Cutter {
    /// Its wall, beyond both faces.
    pub(super) rings: Vec<WallRing>,
    /// Zone whose edge cuts it off.
    pub(super) zone: Option<usize>,
    /// Least and largest y and z, m.
    low: [f64; 2],
    high: [f64; 2],
}

impl Cutter {
    /// The body of an opening, cut off at the edge of a zone or not.
    pub(super) fn new(rings: &[WallRing], zone: Option<usize>) -> Self {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for point in rings.iter().flat_map(|ring| &ring.points) {
            for axis in 0..2 {
                low[axis] = low[axis].min(point[axis]);
                high[axis] = high[axis].max(point[axis]);
            }
        }
        Self {
            rings: beyond_faces(rings, OVERSHOOT),
            zone,
            low,
            high,
        }
    }

    fn may_meet(&self, other: &Self) -> bool {
        (0..2).all(|axis| self.low[axis] <= other.high[axis] && other.low[axis] <= self.high[axis])
    }
}

/// A wall that goes straight on beyond both faces.
pub(super) fn beyond_faces(rings: &[WallRing], overshoot: f64) -> Vec<WallRing> {
    let moved = |ring: &WallRing, way: f64| WallRing {
        depth: ring.depth + way,
        points: ring.points.clone(),
    };
    let mut walls = Vec::with_capacity(rings.len() + 2);
    walls.extend(rings.first().map(|ring| moved(ring, -overshoot)));
    walls.extend_from_slice(rings);
    walls.extend(rings.last().map(|ring| moved(ring, overshoot)));
    walls
}

/// Sorts cutters into batches of one zone each in which no two meet.
pub(super) fn batches(mut cutters: Vec<Cutter>) -> Vec<Vec<Cutter>> {
    cutters.sort_by(|a, b| {
        (a.zone, a.low[0])
            .partial_cmp(&(b.zone, b.low[0]))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let mut batches: Vec<Vec<Cutter>> = Vec::new();
    for cutter in cutters {
        let has_room = |batch: &&mut Vec<Cutter>| {
            batch[0].zone == cutter.zone && !batch.iter().any(|other| other.may_meet(&cutter))
        };
        match batches.iter_mut().find(has_room) {
            Some(batch) => batch.push(cutter),
            None => batches.push(vec![cutter]),
        }
    }
    batches
}
