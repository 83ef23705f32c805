//! The part of a face that a pattern may take: a ring about the fan axis, or a rectangle.

use std::f64::consts::{PI, TAU};

use geo::{Coord, LineString, Polygon};

use crate::grille::Outline;
use crate::grille::convex;

/// Straight pieces of an arc at which a hole is cut off.
const ARC_PIECES: u32 = 64;

/// The ring between two radii, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub(super) inner: f64,
    pub(super) outer: f64,
}

/// The room of a pattern of holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Room {
    /// A ring of the face.
    Ring(Ring),
    /// A rectangle about the middle of the face, from -half to +half along y and z, m.
    Rectangle { half: [f64; 2] },
}

/// How an outline in its place lies to a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fit {
    Inside,
    Crosses,
    Outside,
}

impl Ring {
    /// Area, m².
    pub(super) fn area(&self) -> f64 {
        PI * (self.outer * self.outer - self.inner * self.inner)
    }

    fn fit(&self, outline: &Outline) -> Fit {
        let tolerance = 1e-9 * self.outer;
        let (nearest, farthest) = (outline.nearest(), outline.farthest());
        if farthest <= self.outer + tolerance
            && (self.inner <= 0.0 || nearest >= self.inner - tolerance)
        {
            Fit::Inside
        } else if nearest >= self.outer || farthest <= self.inner {
            Fit::Outside
        } else {
            Fit::Crosses
        }
    }

    /// The part of the ring around a hole of this reach whose centre lies at (`radius`, `angle`).
    fn nearby(self, radius: f64, angle: f64, reach: f64) -> Polygon<f64> {
        let reach = 1.01 * reach;
        if radius <= 1.5 * reach {
            let turn = |radius: f64| arc(radius, 0.0, TAU * (1.0 - 1.0 / 720.0), 719);
            let inner = if self.inner > 0.0 {
                vec![line(&turn(self.inner))]
            } else {
                Vec::new()
            };
            return Polygon::new(line(&turn(self.outer)), inner);
        }
        let half = (reach / radius).asin() * 1.05;
        // Beyond the hole an arc may lie anywhere; its pieces bulge inwards, so leave room outside.
        let outer = self.outer.min(1.1 * (radius + reach));
        let inner = self.inner.max(0.9 * (radius - reach));
        let mut sector = arc(outer, angle - half, angle + half, ARC_PIECES);
        sector.extend(arc(inner, angle + half, angle - half, ARC_PIECES));
        Polygon::new(line(&sector), Vec::new())
    }
}

impl Room {
    /// Area, m².
    pub(super) fn area(&self) -> f64 {
        match self {
            Self::Ring(ring) => ring.area(),
            Self::Rectangle { half } => 4.0 * half[0] * half[1],
        }
    }

    /// Where it begins, as a distance from the middle of the face, m.
    pub(super) fn inner(&self) -> f64 {
        match self {
            Self::Ring(ring) => ring.inner,
            Self::Rectangle { .. } => 0.0,
        }
    }

    /// Its farthest point from the middle of the face, m.
    pub(super) fn outer(&self) -> f64 {
        match self {
            Self::Ring(ring) => ring.outer,
            Self::Rectangle { half } => convex::length(*half),
        }
    }

    /// Half of its extent along y and z, m.
    pub(super) fn half(&self) -> [f64; 2] {
        match self {
            Self::Ring(ring) => [ring.outer; 2],
            Self::Rectangle { half } => *half,
        }
    }

    /// Area in which the centres of holes of this reach may lie, at most, m².
    pub(super) fn area_of_centres(&self, reach: f64) -> f64 {
        match self {
            Self::Ring(ring) => PI * (ring.outer + reach).powi(2),
            Self::Rectangle { half } => 4.0 * (half[0] + reach) * (half[1] + reach),
        }
    }

    /// Half of the row at `z` on which a centre may lie at most `reach` outside of the room, m.
    pub(super) fn half_row(&self, z: f64, reach: f64) -> f64 {
        match self {
            Self::Ring(ring) => {
                let far = ring.outer + reach;
                (far * far - z * z).max(0.0).sqrt()
            }
            Self::Rectangle { half } => half[0] + reach,
        }
    }

    /// Whether a circle of this radius about `centre` reaches into the room; a rectangle counts with its corners squared.
    pub(super) fn is_reached(&self, centre: [f64; 2], reach: f64) -> bool {
        match self {
            Self::Ring(ring) => {
                let radius = convex::length(centre);
                radius - reach < ring.outer && radius + reach > ring.inner
            }
            Self::Rectangle { half } => {
                centre[0].abs() - reach < half[0] && centre[1].abs() - reach < half[1]
            }
        }
    }

    /// Whether a place lies in the room widened by this much to all sides, m.
    pub(super) fn is_within(&self, place: [f64; 2], wider: f64) -> bool {
        match self {
            Self::Ring(ring) => {
                let radius = convex::length(place);
                radius < ring.outer + wider && (ring.inner <= 0.0 || radius > ring.inner - wider)
            }
            Self::Rectangle { half } => {
                place[0].abs() < half[0] + wider && place[1].abs() < half[1] + wider
            }
        }
    }

    /// How an outline in its place lies to this room.
    pub(super) fn fit(&self, outline: &Outline) -> Fit {
        let half = match self {
            Self::Ring(ring) => return ring.fit(outline),
            Self::Rectangle { half } => half,
        };
        let tolerance = 1e-9 * self.outer();
        let mut fit = Fit::Inside;
        for (axis, half) in half.iter().enumerate() {
            let along = outline.core.iter().map(|corner| corner[axis]);
            let high = along.clone().fold(f64::NEG_INFINITY, f64::max) + outline.radius;
            let low = along.fold(f64::INFINITY, f64::min) - outline.radius;
            if low >= *half || high <= -half {
                return Fit::Outside;
            }
            if high > half + tolerance || low < -half - tolerance {
                fit = Fit::Crosses;
            }
        }
        fit
    }

    /// The part of the room around a hole of this reach about `centre`.
    pub(super) fn nearby(&self, centre: [f64; 2], reach: f64) -> Polygon<f64> {
        match self {
            Self::Ring(ring) => {
                ring.nearby(convex::length(centre), convex::direction(centre), reach)
            }
            Self::Rectangle { half: [y, z] } => {
                let corners = [[-y, -z], [*y, -z], [*y, *z], [-y, *z]];
                Polygon::new(line(&corners), Vec::new())
            }
        }
    }
}

/// Points on an arc.
pub(super) fn arc(radius: f64, from: f64, to: f64, pieces: u32) -> Vec<[f64; 2]> {
    (0..=pieces)
        .map(|piece| {
            convex::polar(
                radius,
                from + (to - from) * f64::from(piece) / f64::from(pieces),
            )
        })
        .collect()
}

/// A line for the polygon library.
pub(super) fn line(points: &[[f64; 2]]) -> LineString<f64> {
    points
        .iter()
        .map(|point| Coord {
            x: point[0],
            y: point[1],
        })
        .collect()
}
