//! Outlines of all openings in their places, for pictures and export.

use crate::grille::bars::Bars;
use crate::grille::convex;
use crate::grille::placement::{self, Placement};
use crate::grille::room::{Ring, Room};
use crate::grille::{CrossingHoles, Grille, HolePattern, Pattern, RingPattern, Turn, Zone};

impl Grille {
    /// Outlines of all openings on the front face: corners (y, z) in m, not closed, within 0.1 % of the hole's size from the true curve.
    ///
    /// Openings are counter-clockwise. Where one surrounds solid (a ring slot without bars, a hole cut by a small centre disc) the inner
    /// outline follows, clockwise: fill by the even-odd rule, or add signed areas. Rounded and chamfered edges are left out. Empty for a
    /// grille that [`Grille::resolve`] refuses outright.
    pub fn outlines(&self) -> Vec<Vec<[f64; 2]>> {
        self.outlines_at_depth(0.0)
    }

    /// Outlines of all openings at a depth fraction, from 0 at the front face to 1 at the back face; see [`Grille::outlines`].
    ///
    /// A depth outside of that range counts as the nearer face. Turned holes that merge overlap.
    pub fn outlines_at_depth(&self, depth: f64) -> Vec<Vec<[f64; 2]>> {
        if !self.faults().is_empty() {
            return Vec::new();
        }
        let depth = if depth.is_nan() {
            0.0
        } else {
            depth.clamp(0.0, 1.0)
        };
        self.zones
            .iter()
            .flat_map(|zone| self.zone_outlines(zone, depth))
            .collect()
    }

    fn zone_outlines(&self, zone: &Zone, depth: f64) -> Vec<Vec<[f64; 2]>> {
        let room = self.room(zone);
        match &zone.pattern {
            Pattern::Holes(pattern) => self
                .placement(pattern, room)
                .map(|placement| hole_outlines(pattern, &placement, room, self.thickness, depth))
                .unwrap_or_default(),
            Pattern::Rings(pattern) => ring_outlines(
                pattern,
                self.ring(zone),
                self.crossing_holes,
                self.thickness,
                depth,
            ),
            Pattern::Bars(pattern) => bar_outlines(
                Bars::from(pattern),
                pattern.turn,
                self.ring(zone),
                self.thickness,
                depth,
            ),
        }
    }

    /// The holes of a pattern in their places; `None` if the layout does not suit the shape or there would be too many.
    pub(super) fn placement(&self, pattern: &HolePattern, room: Room) -> Option<Placement> {
        let repeat = pattern.repeat()?;
        let expected = placement::expected_count(&repeat, &pattern.shape.outline(), room);
        (expected <= placement::MAX_HOLE_COUNT as f64)
            .then(|| placement::place(pattern, &repeat, room, self.thickness, self.crossing_holes))
    }
}

fn hole_outlines(
    pattern: &HolePattern,
    placement: &Placement,
    room: Room,
    thickness: f64,
    depth: f64,
) -> Vec<Vec<[f64; 2]>> {
    let outline = pattern.shape.outline();
    let drawn = outline.points();
    let mut outlines = Vec::with_capacity(placement.count());
    for hole in &placement.whole {
        let (centre, angle) = pattern.turn.pose(hole, thickness, depth);
        let points = drawn
            .iter()
            .map(|&point| convex::add(centre, convex::rotate(point, angle)));
        outlines.push(points.collect());
    }
    for hole in &placement.cut {
        let (centre, angle) = pattern.turn.pose(hole, thickness, depth);
        outlines.extend(placement::cut(
            &outline.posed(centre, angle),
            centre,
            &outline,
            room,
        ));
    }
    outlines
}

fn ring_outlines(
    pattern: &RingPattern,
    room: Ring,
    crossing: CrossingHoles,
    thickness: f64,
    depth: f64,
) -> Vec<Vec<[f64; 2]>> {
    let (shift, angle) = Bars::pose(pattern.turn, thickness, depth);
    pattern
        .slots(room, crossing)
        .into_iter()
        .flat_map(|slot| Bars::from(pattern).outlines(slot, shift, angle))
        .collect()
}

fn bar_outlines(
    bars: Bars,
    turn: Turn,
    room: Ring,
    thickness: f64,
    depth: f64,
) -> Vec<Vec<[f64; 2]>> {
    let (shift, angle) = Bars::pose(turn, thickness, depth);
    bars.outlines(room, shift, angle)
}
