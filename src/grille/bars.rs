//! Openings between radial bars: of ring slots, or of a whole ring.
//!
//! A bar is a strip of constant width whose middle line runs from the axis outwards; the first one lies along y.

use std::f64::consts::{PI, TAU};

use crate::grille::convex;
use crate::grille::room::{Ring, arc};
use crate::grille::{BarPattern, CrossingHoles, Grille, Passage, Pattern, RingPattern, Turn, Zone};

/// Straight pieces of an arc per radian.
const PIECES_PER_RADIAN: f64 = 60.0;

/// Radial bars of equal width at equal angles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bars {
    pub(super) count: u32,
    pub(super) width: f64,
}

impl From<&BarPattern> for Bars {
    fn from(pattern: &BarPattern) -> Self {
        Self {
            count: pattern.bar_count,
            width: pattern.bar_width,
        }
    }
}

impl From<&RingPattern> for Bars {
    fn from(pattern: &RingPattern) -> Self {
        Self {
            count: pattern.bar_count,
            width: pattern.bar_width,
        }
    }
}

impl Bars {
    /// Angle from one bar to the next, radians.
    pub(super) fn spacing(&self) -> f64 {
        TAU / f64::from(self.count.max(1))
    }

    /// Radius up to which neighbouring bars touch, m: `(b / 2) / sin(pi / n)`.
    pub(super) fn closed_radius(&self) -> f64 {
        match self.count {
            0 => 0.0,
            1 | 2 => 0.5 * self.width,
            count => 0.5 * self.width / (PI / f64::from(count)).sin(),
        }
    }

    /// The part of a ring in which bars do not touch; `None` if they fill it.
    fn open_ring(&self, ring: Ring) -> Option<Ring> {
        let inner = ring.inner.max(self.closed_radius());
        (inner < ring.outer).then_some(Ring {
            inner,
            outer: ring.outer,
        })
    }

    /// Angle that one bar takes at a radius, radians.
    fn bar_angle(&self, radius: f64) -> f64 {
        2.0 * (0.5 * self.width / radius).min(1.0).asin()
    }

    /// Clear distance between neighbouring bars along the arc at a radius, m.
    pub(super) fn gap(&self, radius: f64) -> f64 {
        if self.count == 0 {
            return TAU * radius;
        }
        (radius * (self.spacing() - self.bar_angle(radius))).max(0.0)
    }

    /// Open area of a ring with these bars, m².
    ///
    /// ```text
    /// A = pi (R2² - R1²) - n (S(R2) - S(R1))
    /// S(R) = (b/2) sqrt(R² - b²/4) + R² asin(b / 2R)      half of the strip of width b inside a circle of radius R
    /// ```
    pub(super) fn open_area(&self, ring: Ring) -> f64 {
        if self.count == 0 {
            return ring.area();
        }
        let half = 0.5 * self.width;
        let strip = |radius: f64| {
            let sine = (half / radius).min(1.0);
            half * (radius * radius - half * half).max(0.0).sqrt() + radius * radius * sine.asin()
        };
        self.open_ring(ring).map_or(0.0, |open| {
            let bars = f64::from(self.count) * (strip(open.outer) - strip(open.inner));
            (open.area() - bars).max(0.0)
        })
    }

    /// Perimeter of all openings of a ring, m.
    pub(super) fn perimeter(&self, ring: Ring) -> f64 {
        if self.count == 0 {
            return TAU * (ring.inner + ring.outer);
        }
        let half = 0.5 * self.width;
        let side = |radius: f64| (radius * radius - half * half).max(0.0).sqrt();
        self.open_ring(ring).map_or(0.0, |open| {
            let arcs = self.gap(open.inner) + self.gap(open.outer);
            f64::from(self.count) * (arcs + 2.0 * (side(open.outer) - side(open.inner)))
        })
    }

    /// Number of openings of a ring.
    pub(super) fn opening_count(&self, ring: Ring) -> usize {
        if self.open_ring(ring).is_none() {
            return 0;
        }
        self.count.max(1) as usize
    }

    /// Outlines of the openings of a ring, the bars moved sideways by `shift` and turned by `angle` about the axis. Without bars: the
    /// outer circle and, clockwise, the inner one.
    pub(super) fn outlines(&self, ring: Ring, shift: f64, angle: f64) -> Vec<Vec<[f64; 2]>> {
        let pieces = |from: f64, to: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "an arc is at most one turn"
            )]
            let pieces = ((to - from).abs() * PIECES_PER_RADIAN)
                .ceil()
                .clamp(1.0, 400.0) as u32;
            pieces
        };
        if self.count == 0 {
            let last = TAU * (1.0 - 1.0 / 360.0);
            let mut circles = vec![arc(ring.outer, 0.0, last, 359)];
            if ring.inner > 0.0 {
                circles.push(arc(ring.inner, 0.0, -last, 359));
            }
            return circles;
        }
        let Some(open) = self.open_ring(ring) else {
            return Vec::new();
        };
        let edge = |offset: f64, radius: f64| (offset / radius).clamp(-1.0, 1.0).asin();
        let half = 0.5 * self.width;
        (0..self.count)
            .map(|bar| {
                let start = angle + self.spacing() * f64::from(bar);
                let from = |radius: f64| start + edge(shift + half, radius);
                let to = |radius: f64| {
                    (start + self.spacing() + edge(shift - half, radius)).max(from(radius))
                };
                let mut outline = arc(
                    open.outer,
                    from(open.outer),
                    to(open.outer),
                    pieces(from(open.outer), to(open.outer)),
                );
                if open.inner > 0.0 && to(open.inner) > from(open.inner) + 1e-9 {
                    outline.extend(arc(
                        open.inner,
                        to(open.inner),
                        from(open.inner),
                        pieces(from(open.inner), to(open.inner)),
                    ));
                } else {
                    outline.push(convex::polar(open.inner, from(open.inner)));
                }
                outline
            })
            .collect()
    }

    /// Sideways shift of the bars, m, and angle about the axis at a depth fraction, with the drawing at mid-depth.
    pub(super) fn pose(turn: Turn, thickness: f64, depth: f64) -> (f64, f64) {
        let share = depth - 0.5;
        match turn {
            Turn::Lean { angle } => (thickness * share * angle.tan(), 0.0),
            Turn::PatternTwist { angle } => (0.0, angle * share),
            Turn::Straight | Turn::Twist { .. } => (0.0, 0.0),
        }
    }

    /// What passes between the bars of a whole ring.
    ///
    /// The circle touches both bars and the outer edge. A square is at most as wide as the circle inside it, so that is the bound given.
    pub(super) fn passage(&self, ring: Ring) -> Passage {
        let by_ring = ring.outer - ring.inner;
        let circle = if self.count < 2 {
            by_ring
        } else {
            let sine = (PI / f64::from(self.count)).sin();
            let centre = (ring.outer + 0.5 * self.width) / (1.0 + sine);
            (2.0 * (ring.outer - centre)).clamp(0.0, by_ring)
        };
        let chord = 2.0 * ring.outer * (0.5 * self.spacing()).min(0.5 * PI).sin() - self.width;
        Passage {
            circle,
            square: circle,
            slot: if self.count < 2 {
                by_ring
            } else {
                chord.max(circle)
            },
            enclosing_square: None,
            enclosing_circle: None,
        }
    }
}

impl Grille {
    /// Ring slots of one of its zones from the inside out, each from radius to radius, m; none if the zone has no rings.
    pub fn ring_slots(&self, zone: &Zone) -> Vec<[f64; 2]> {
        let Pattern::Rings(pattern) = &zone.pattern else {
            return Vec::new();
        };
        let slots = pattern.slots(self.ring(zone), self.crossing_holes);
        let ends = slots.into_iter().rev().map(|slot| [slot.inner, slot.outer]);
        ends.collect()
    }
}

impl RingPattern {
    /// The slots in a ring, from the outside in: the outermost one follows the border, what is left over stays solid in the middle (or
    /// is one narrower slot if crossing holes are clipped).
    pub(super) fn slots(&self, ring: Ring, crossing: CrossingHoles) -> Vec<Ring> {
        let pitch = self.slot_width + self.rib;
        let tolerance = 1e-9 * ring.outer;
        let mut slots = Vec::new();
        let mut index = 0.0;
        loop {
            let outer = ring.outer - index * pitch;
            if outer <= ring.inner + tolerance {
                return slots;
            }
            let inner = outer - self.slot_width;
            if inner >= ring.inner - tolerance {
                slots.push(Ring {
                    inner: inner.max(ring.inner),
                    outer,
                });
            } else {
                if crossing == CrossingHoles::Clip {
                    slots.push(Ring {
                        inner: ring.inner,
                        outer,
                    });
                }
                return slots;
            }
            index += 1.0;
        }
    }

    /// What passes through a ring slot: as wide as the slot, unless bars stand closer.
    pub(super) fn passage(&self, outer_radius: f64) -> Passage {
        let bars = Bars::from(self);
        let gap = if self.bar_count == 0 {
            f64::INFINITY
        } else {
            bars.gap(outer_radius)
        };
        let width = self.slot_width.min(gap);
        Passage {
            circle: width,
            square: width,
            slot: width,
            enclosing_square: None,
            enclosing_circle: None,
        }
    }
}
