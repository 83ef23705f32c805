//! How K and outflow of a whole zone change with the angle of the air, whatever the fan: the curve of its holes, from what was solved of them.

use crate::grille::{Turn, ZoneFlow};
use crate::run::swirl::swirl_loss_curve::SwirlLossCurve;

/// Curves over a zone where the lean grows with the radius.
const CURVES: u32 = 8;

/// What is known of the swirl through a zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::run) struct KnownSwirl {
    /// Tangent of the inflow at which the zone's K was solved.
    pub(in crate::run) inflow: f64,
    /// Tangent of the outflow there, where it was solved.
    pub(in crate::run) outflow: Option<f64>,
    /// Whether a table tells how K changes with the angle.
    pub(in crate::run) is_tabled: bool,
    /// Whether the K is that of the holes as they turn; else that of straight ones.
    pub(in crate::run) is_turned: bool,
}

/// How K and outflow of a zone change with the angle of the air.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::run) struct ZoneLossCurves {
    /// What is known of it.
    pub(in crate::run) known: KnownSwirl,
    /// K of the zone's law over that of straight holes met straight on.
    pub(super) level: f64,
    /// Radius (m) and curve, from the inside out; one for the whole zone where all holes lean alike.
    by_radius: Vec<(f64, SwirlLossCurve)>,
}

impl ZoneLossCurves {
    /// The curves of a zone.
    pub(in crate::run) fn of(flow: &ZoneFlow, known: KnownSwirl) -> Self {
        let mean = flow.mean_radius();
        if !known.is_tabled {
            return Self {
                known,
                level: 1.0,
                by_radius: vec![(mean, SwirlLossCurve::unknown())],
            };
        }
        let phi = flow.free_area_ratio;
        let lean_at = |radius: f64| {
            if known.is_turned {
                lean(flow, radius)
            } else {
                0.0
            }
        };
        let is_straight = lean_at(mean) == 0.0;
        let solved = SwirlLossCurve::tabled(phi, lean_at(mean));
        let level = solved.loss(known.inflow);
        // Other leans are moved by as much as the solved one.
        let outflow = known.outflow;
        let shift = outflow.map(|outflow| outflow - solved.outflow(known.inflow));
        let moved = |curve: SwirlLossCurve| match shift {
            Some(shift) => {
                let goal = curve.outflow(known.inflow) + shift;
                curve.through(known.inflow, goal, is_straight)
            }
            None => curve,
        };
        let by_radius = if known.is_turned && matches!(flow.turn, Turn::PatternTwist { .. }) {
            let radii = equal_rings([flow.inner_radius, flow.outer_radius], CURVES);
            radii
                .into_iter()
                .map(|radius| (radius, moved(SwirlLossCurve::tabled(phi, lean_at(radius)))))
                .collect()
        } else {
            vec![(mean, moved(solved))]
        };
        Self {
            known,
            level,
            by_radius,
        }
    }

    /// Which curve is nearest to a radius, m.
    pub(super) fn nearest(&self, radius: f64) -> usize {
        let distance = |curve: usize| (self.by_radius[curve].0 - radius).abs();
        let all = 0..self.by_radius.len();
        all.min_by(|&a, &b| distance(a).total_cmp(&distance(b)))
            .unwrap_or(0)
    }

    /// A curve by its number.
    pub(super) fn curve(&self, number: usize) -> &SwirlLossCurve {
        &self.by_radius[number].1
    }
}

/// Lean of the holes at a radius, radians.
fn lean(flow: &ZoneFlow, radius: f64) -> f64 {
    match flow.turn {
        Turn::Straight | Turn::Twist { .. } => 0.0,
        Turn::Lean { angle } => angle,
        Turn::PatternTwist { angle } => (radius * angle / flow.thickness).atan(),
    }
}

/// Radii of rings of equal area, each halved by its radius.
pub(super) fn equal_rings([from, to]: [f64; 2], count: u32) -> Vec<f64> {
    let (inner, outer) = (from * from, to * to);
    (0..count)
        .map(|ring| (f64::from(ring) + 0.5) / f64::from(count))
        .map(|part| (inner + part * (outer - inner)).sqrt())
        .collect()
}
