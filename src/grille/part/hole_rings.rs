//! The wall of a hole: its outline at every level, with as many points at each.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::grille::part::WallRing;
use crate::grille::part::arcs;
use crate::grille::part::levels::{Level, Plate};
use crate::grille::turning::PlacedHole;
use crate::grille::{HolePattern, Outline, Turn, convex};

/// How walls that turn are divided.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turning {
    /// Steps from face to face.
    pub(super) steps: usize,
    /// Pieces of the longest straight side.
    pub(super) side_pieces: usize,
    /// By how much outlines are stretched about the axis of the turning, because straight lines from one to the next narrow what they enclose.
    pub(super) stretch: f64,
}

impl Turning {
    /// A turn by `angle` (radians) of outlines that reach to `radius` and have a side of this length, within `tolerance`; lengths in m.
    pub(super) fn new(
        angle: f64,
        radius: f64,
        longest: f64,
        thickness: f64,
        tolerance: f64,
    ) -> Self {
        // A wall that turns is a saddle between straight lines: two triangles are off by a quarter of length times angle.
        let saddle = longest * angle / (4.0 * tolerance);
        let bend = angle * (radius / (8.0 * tolerance)).sqrt();
        let square = (saddle * thickness / longest.max(thickness)).sqrt();
        let steps = whole(bend.max(square));
        // After the stretch two thirds of the bend are left.
        let rest = 1.0 - (bend / steps as f64).powi(2) * 2.0 / 3.0;
        let step = angle / steps as f64;
        Self {
            steps,
            side_pieces: whole(saddle / steps as f64 / rest.max(1.0 / 3.0)),
            stretch: 1.0 / (1.0 - (1.0 - step.cos()) / 3.0).sqrt(),
        }
    }
}

/// The outlines of a pattern's holes from face to face, about a hole's own axis.
#[derive(Debug)]
pub(super) struct HoleRings<'a> {
    pattern: &'a HolePattern,
    thickness: f64,
    radius: f64,
    /// Points of the core, and where each moves as the outline widens.
    points: Vec<([f64; 2], [f64; 2])>,
    /// Steps of the turning from face to face.
    pub(super) turning_steps: usize,
    /// Whether the outline is seen to turn: a round one is not.
    is_turning: bool,
    /// By how much the outline is stretched, because straight lines between turned outlines would narrow the hole.
    stretch: f64,
}

impl<'a> HoleRings<'a> {
    /// Outlines of holes whose `edge` widens them and which lie within `reach` of the fan axis; m.
    pub(super) fn new(pattern: &'a HolePattern, plate: &Plate, edge: f64, reach: f64) -> Self {
        let (thickness, tolerance) = (plate.thickness, plate.tolerance);
        let outline = moved(&pattern.shape.outline(), plate.offset);
        let longest = longest_side(&outline.core);
        let radius = outline.farthest() + edge;
        let (angle, radius) = match pattern.turn {
            Turn::Twist { angle, .. } if pattern.shape.turning_period() > 0.0 => {
                (angle.abs(), radius)
            }
            Turn::PatternTwist { angle } => (angle.abs(), reach + radius),
            _ => (0.0, radius),
        };
        // Arcs have half of the tolerance; what turns has the rest, or all where there are none.
        let arcs_tolerance = 0.5 * tolerance;
        let has_arcs = outline.radius + edge > 0.0;
        let turning = if has_arcs { 0.5 * tolerance } else { tolerance };
        let turning = Turning::new(angle, radius, longest, thickness, turning);
        Self {
            pattern,
            thickness,
            radius: outline.radius,
            points: template(&outline, edge, turning.side_pieces, arcs_tolerance),
            turning_steps: turning.steps,
            is_turning: angle > 0.0,
            stretch: turning.stretch,
        }
    }

    /// The wall of a hole in its place.
    pub(super) fn wall(&self, hole: &PlacedHole, levels: &[Level]) -> Vec<WallRing> {
        let ring = |level: &Level| {
            let share = level.depth / self.thickness;
            let (centre, angle) = self.pattern.turn.pose(hole, self.thickness, share);
            let angle = if self.is_turning { angle } else { hole.angle };
            let (sine, cosine) = angle.sin_cos();
            let offset = self.radius + level.opening;
            // About the axis of the turning: the hole's own, or the fan's.
            let centre = match self.pattern.turn {
                Turn::PatternTwist { .. } => convex::scale(centre, self.stretch),
                _ => centre,
            };
            let place = |(base, normal): &([f64; 2], [f64; 2])| {
                let y = self.stretch * (base[0] + offset * normal[0]);
                let z = self.stretch * (base[1] + offset * normal[1]);
                [
                    centre[0] + y * cosine - z * sine,
                    centre[1] + y * sine + z * cosine,
                ]
            };
            WallRing {
                depth: level.depth,
                points: self.points.iter().map(place).collect(),
            }
        };
        levels.iter().map(ring).collect()
    }
}

/// An outline with its wall moved outwards, or inwards as far as its radius and then its core allow.
fn moved(outline: &Outline, offset: f64) -> Outline {
    let radius = outline.radius + offset;
    if radius >= 0.0 {
        return Outline {
            core: outline.core.clone(),
            radius,
        };
    }
    // Sides of a sharp core come inwards, each corner along the sum of their normals.
    let core = &outline.core;
    let count = core.len();
    let normal = |from: [f64; 2], to: [f64; 2]| {
        let along = convex::subtract(to, from);
        convex::scale(
            [along[1], -along[0]],
            1.0 / convex::length(along).max(1e-12),
        )
    };
    let corner = |index: usize| {
        let here = core[index];
        let before = normal(core[(index + count - 1) % count], here);
        let after = normal(here, core[(index + 1) % count]);
        let way = convex::scale(
            convex::add(before, after),
            radius / (1.0 + convex::dot(before, after)).max(1e-6),
        );
        convex::add(here, way)
    };
    Outline {
        core: if count > 2 {
            (0..count).map(corner).collect()
        } else {
            core.clone()
        },
        radius: 0.0,
    }
}

/// Points of a core with the directions in which an outline around it moves as it widens: an arc at each corner, `pieces` on each side.
///
/// Of sharp corners all points of an arc are one, as long as no edge widens the hole.
fn template(
    outline: &Outline,
    edge: f64,
    pieces: usize,
    tolerance: f64,
) -> Vec<([f64; 2], [f64; 2])> {
    let core = &outline.core;
    let widest = outline.radius + edge;
    let count = core.len();
    if count == 1 {
        let circle = arcs::circle(1.0, arcs::piece_count(widest, TAU, tolerance).max(8));
        return circle.into_iter().map(|normal| (core[0], normal)).collect();
    }
    let mut points = Vec::new();
    for (index, &corner) in core.iter().enumerate() {
        let before = core[(index + count - 1) % count];
        let after = core[(index + 1) % count];
        let incoming = convex::direction(convex::subtract(corner, before)) - FRAC_PI_2;
        let outgoing = convex::direction(convex::subtract(after, corner)) - FRAC_PI_2;
        let sweep = if count == 2 {
            PI
        } else {
            (outgoing - incoming).rem_euclid(TAU)
        };
        if widest > 0.0 {
            let arc = arcs::unit_arc(incoming, sweep, arcs::piece_count(widest, sweep, tolerance));
            points.extend(arc.into_iter().map(|normal| (corner, normal)));
        } else {
            points.push((corner, [0.0, 0.0]));
        }
        let normal = if widest > 0.0 {
            convex::polar(1.0, incoming + sweep)
        } else {
            [0.0, 0.0]
        };
        for piece in 1..pieces {
            let share = piece as f64 / pieces as f64;
            let along = convex::scale(convex::subtract(after, corner), share);
            points.push((convex::add(corner, along), normal));
        }
    }
    points
}

/// Length of the longest side of a core, m.
fn longest_side(core: &[[f64; 2]]) -> f64 {
    let next = core.iter().cycle().skip(1);
    core.iter()
        .zip(next)
        .map(|(a, b)| convex::length(convex::subtract(*b, *a)))
        .fold(0.0, f64::max)
}

/// The next whole number above, at least one.
pub(super) fn whole(value: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to a small positive number"
    )]
    let whole = (value - 1e-9).ceil().clamp(1.0, 1e4) as usize;
    whole
}
