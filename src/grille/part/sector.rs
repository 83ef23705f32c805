//! The walls of openings between radial bars, as many points at every level.

use std::f64::consts::TAU;

use crate::grille::Turn;
use crate::grille::bars::Bars;
use crate::grille::convex;
use crate::grille::part::WallRing;
use crate::grille::part::arcs;
use crate::grille::part::hole_rings::{Turning, whole};
use crate::grille::part::levels::{Level, Plate};
use crate::grille::room::Ring;

/// Halvings that find the tip between two bars.
const HALVINGS: u32 = 60;

/// Steps that the tip between two leaning bars needs for each of an arc's ends, by trial.
const TIP_STEPS: f64 = 2.0;

/// Least width and length of an opening, m.
const LEAST_OPENING: f64 = 5e-5;

/// A ring with bars in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct BarredRing {
    pub(super) ring: Ring,
    pub(super) bars: Bars,
    pub(super) turn: Turn,
}

/// What a bar bounds at one level.
struct Here {
    ring: Ring,
    bars: Bars,
    shift: f64,
    /// Angle of the bar that the opening follows.
    start: f64,
}

impl Here {
    /// Where the opening begins at a radius, radians.
    fn from(&self, radius: f64) -> f64 {
        self.start + edge(self.shift + 0.5 * self.bars.width, radius)
    }

    /// Where it ends.
    fn to(&self, radius: f64) -> f64 {
        self.start + self.bars.spacing() + edge(self.shift - 0.5 * self.bars.width, radius)
    }

    /// Radius within which all is solid: there bars touch, or a bar's side lies beside the axis.
    fn closed(&self) -> f64 {
        let beside = self.shift.abs() + 0.5 * self.bars.width;
        self.bars.closed_radius().max(beside)
    }

    /// The least radius at which there is room between the bars.
    fn tip(&self) -> f64 {
        let (mut low, mut high) = (self.ring.inner.max(self.closed()), self.ring.outer);
        if self.to(low) >= self.from(low) {
            return low;
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.to(middle) >= self.from(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }
}

/// Angle of a line past the axis at this distance, where it crosses a circle.
fn edge(offset: f64, radius: f64) -> f64 {
    (offset / radius).clamp(-1.0, 1.0).asin()
}

impl BarredRing {
    /// The walls of all openings between the bars, with their levels; none where bars fill the ring.
    pub(super) fn walls(&self, plate: &Plate, widest: f64) -> Vec<Vec<WallRing>> {
        if !self.is_open_throughout(plate.thickness) {
            return Vec::new();
        }
        // Half for the arcs, half for the turning.
        let tolerance = 0.5 * plate.tolerance;
        let length = self.ring.outer - self.ring.inner;
        let (angle, slide) = match self.turn {
            Turn::PatternTwist { angle } => (angle.abs(), 0.0),
            Turn::Lean { angle } => (0.0, (plate.thickness * angle.tan()).abs()),
            Turn::Straight | Turn::Twist { .. } => (0.0, 0.0),
        };
        let turning = Turning::new(angle, self.ring.outer, length, plate.thickness, tolerance);
        // Ends of arcs slide along their circle, and the tip between two bars along a curve that is bent more.
        let nearest = self.ring.inner.max(self.bars.closed_radius()).max(1e-3);
        let sliding = TIP_STEPS * slide / (8.0 * nearest * tolerance).sqrt();
        let steps = turning.steps.max(whole(sliding));
        let levels = plate.levels(steps, widest);
        let sweep = self.bars.spacing();
        let arc_pieces = [self.ring.outer, self.ring.inner]
            .map(|radius| arcs::piece_count(radius, sweep, tolerance));
        (0..self.bars.count)
            .map(|bar| {
                let ring = |level: &Level| WallRing {
                    depth: level.depth,
                    points: self.points(bar, plate, level, arc_pieces, &turning),
                };
                levels.iter().map(ring).collect()
            })
            .collect()
    }

    /// Whether the bars leave room at every depth: near the axis leaning ones may close a slot on its way, which then is none.
    pub(super) fn is_open_throughout(&self, thickness: f64) -> bool {
        [0.0, 0.5, 1.0].into_iter().all(|depth| {
            let (shift, _) = Bars::pose(self.turn, thickness, depth);
            let here = Here {
                ring: self.ring,
                bars: self.bars,
                shift,
                start: 0.0,
            };
            let outer = self.ring.outer;
            let width = (here.to(outer) - here.from(outer)) * outer;
            here.closed() < outer - LEAST_OPENING
                && width > LEAST_OPENING
                && here.tip() < outer - LEAST_OPENING
        })
    }

    fn points(
        &self,
        bar: u32,
        plate: &Plate,
        level: &Level,
        [outer_pieces, inner_pieces]: [usize; 2],
        turning: &Turning,
    ) -> Vec<[f64; 2]> {
        let (shift, angle) = Bars::pose(self.turn, plate.thickness, level.depth / plate.thickness);
        let opening = level.opening + plate.offset;
        let here = Here {
            ring: self.widened(opening),
            bars: self.thinned(opening),
            shift,
            start: angle + self.bars.spacing() * f64::from(bar),
        };
        let outer = here.ring.outer;
        let inner = here.tip();
        let arc = |radius: f64, from: f64, to: f64, pieces: usize| {
            let sweep = to - from;
            let unit = if sweep.abs() > 1e-9 {
                arcs::unit_arc(from, sweep, pieces)
            } else {
                vec![convex::polar(1.0, from); pieces + 1]
            };
            unit.into_iter()
                .map(move |point| convex::scale(point, radius))
        };
        let (from, to) = (here.from(outer), here.to(outer));
        let mut points: Vec<[f64; 2]> = arc(outer, from, to, outer_pieces).collect();
        let inner_arc: Vec<[f64; 2]> =
            arc(inner, here.to(inner), here.from(inner), inner_pieces).collect();
        side(&mut points, inner_arc[0], turning.side_pieces);
        let (last, rest) = (inner_arc[inner_pieces], &inner_arc[..inner_pieces]);
        points.extend_from_slice(rest);
        points.push(last);
        let first = points[0];
        side(&mut points, first, turning.side_pieces);
        for point in &mut points {
            *point = convex::scale(*point, turning.stretch);
        }
        points
    }

    fn widened(&self, opening: f64) -> Ring {
        Ring {
            inner: (self.ring.inner - opening).max(0.0),
            outer: self.ring.outer + opening,
        }
    }

    fn thinned(&self, opening: f64) -> Bars {
        Bars {
            width: (self.bars.width - 2.0 * opening).max(0.0),
            ..self.bars
        }
    }

    /// Whether a place is open where an edge widens the opening by this much, at a depth fraction; m.
    pub(super) fn is_open(
        &self,
        thickness: f64,
        depth: f64,
        opening: f64,
        place: [f64; 2],
    ) -> bool {
        let (shift, angle) = Bars::pose(self.turn, thickness, depth);
        let radius = convex::length(place);
        let ring = self.widened(opening);
        let here = Here {
            ring,
            bars: self.thinned(opening),
            shift,
            start: 0.0,
        };
        if radius <= here.tip() || radius >= ring.outer {
            return false;
        }
        let spacing = here.bars.spacing();
        let direction = convex::direction(place) - angle;
        let from = here.from(radius);
        let beyond = (direction - from).rem_euclid(spacing.min(TAU));
        beyond > 0.0 && beyond < here.to(radius) - from
    }
}

/// Points on the straight way from the last point to the next, both left out.
fn side(points: &mut Vec<[f64; 2]>, next: [f64; 2], pieces: usize) {
    let last = points[points.len() - 1];
    for piece in 1..pieces {
        let way = convex::scale(convex::subtract(next, last), piece as f64 / pieces as f64);
        points.push(convex::add(last, way));
    }
}
