//! How the air that leaves a fan meets the zones of a grille: ring by ring, as fast and as turned as it is there.

use crate::fan::FanExit;
use crate::grille::ZoneFlow;
use crate::ranking::{ExhaustPoint, ZoneExhaust};
use crate::run::swirl::zone_loss_curves::{ZoneLossCurves, equal_rings};

/// Rings of equal area over a zone.
const RINGS: u32 = 24;

/// Rings over what of the annulus lies beside the zones.
const BESIDE: u32 = 8;

/// Strengths of the swirl for which a zone is tabled: up to 4, that is 76 degrees.
const STRENGTH_STEP: f64 = 0.04;
const STRENGTHS: u32 = 101;

/// Step of the tangent over which the slope of the outflow's curve is taken.
const SLOPE_STEP: f64 = 0.1;

/// Least part of a zone that carries air, for zones wholly in the hub's wake.
const LEAST_SHARE: f64 = 1e-3;

/// The air of a fan over a zone, prepared once; the flow and its circulation come later.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::run) struct ZoneStream {
    rings: Vec<Ring>,
    beside: Vec<Beside>,
    curves: ZoneLossCurves,
    median_radius: f64,
}

/// A ring of the zone.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ring {
    radius: f64,
    /// Axial velocity over that in front of the zone.
    relative_velocity: f64,
    /// Swirl velocity over circulation, 1/m.
    swirl: f64,
    /// What a swirl velocity there counts for in the mean suction of the annulus.
    pull: f64,
    curve: usize,
}

/// A ring of the annulus beside the zone: behind it the swirl of the zone's nearest ring goes on as a free vortex.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Beside {
    swirl: f64,
    pull: f64,
    nearest: usize,
    /// Radius of the nearest ring over that of this one.
    ratio: f64,
}

/// A ring of a zone at a strength of the swirl; velocities over that in front of the zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct MetRing {
    /// Radius, m.
    pub(super) radius: f64,
    /// Axial velocity.
    pub(super) axial: f64,
    /// Swirl velocity ahead of the grille.
    pub(super) swirl_in: f64,
    /// Swirl velocity behind it.
    pub(super) swirl_out: f64,
    /// Static K over that of the zone's law, on the ring's own axial velocity.
    pub(in crate::run) loss_factor: f64,
}

/// What a few rings of a zone do to the air at one strength of the swirl, as a fan view takes it; tangents on the velocity in front of the zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::run) struct FaceRing {
    /// Static K over that of the zone's law, on the ring's own axial velocity.
    pub(in crate::run) loss_factor: f64,
    /// Share of the swirl's tangent that is left behind the zone.
    pub(in crate::run) kept_tangent: f64,
    /// What is added to it.
    pub(in crate::run) outflow_tangent: f64,
}

/// Radii between which air of the fan meets a zone, m; `None` for a zone wholly in the hub's wake.
fn covered(exit: &FanExit, flow: &ZoneFlow) -> Option<[f64; 2]> {
    let (from, to) = (
        flow.inner_radius.max(exit.air_from()),
        flow.outer_radius.min(exit.tip_radius()),
    );
    (to > from * (1.0 + 1e-6)).then_some([from, to])
}

/// Part of a zone's area that the fan's air meets.
pub(in crate::run) fn covered_share(exit: &FanExit, flow: &ZoneFlow) -> f64 {
    let ring = |[from, to]: [f64; 2]| to * to - from * from;
    let whole = ring([flow.inner_radius, flow.outer_radius]);
    covered(exit, flow).map_or(LEAST_SHARE, |met| (ring(met) / whole).max(LEAST_SHARE))
}

/// The radius within which half of what the air meets of a zone lies, m.
pub(in crate::run) fn zone_median_radius(exit: &FanExit, flow: &ZoneFlow) -> f64 {
    let [from, to] = covered(exit, flow).unwrap_or([flow.inner_radius, flow.outer_radius]);
    (0.5 * (from * from + to * to)).sqrt()
}

/// The air of a fan over all zones of a grille, from the inside out.
pub(in crate::run) fn zone_streams(
    exit: &FanExit,
    zones: &[(&ZoneFlow, &ZoneLossCurves)],
) -> Vec<ZoneStream> {
    let met: Vec<Option<[f64; 2]>> = zones.iter().map(|zone| covered(exit, zone.0)).collect();
    let bound = |a: f64, b: f64| 0.5 * (a + b);
    (0..zones.len())
        .map(|number| {
            let own = met[number];
            // What lies between two zones belongs to the nearer one.
            let before = met[..number].iter().rev().flatten().next();
            let after = met[number + 1..].iter().flatten().next();
            let span = own.map(|[from, to]| {
                [
                    before.map_or(exit.hub_radius().min(from), |zone| bound(zone[1], from)),
                    after.map_or(exit.tip_radius(), |zone| bound(to, zone[0])),
                ]
            });
            ZoneStream::of(exit, zones[number].0, zones[number].1, own, span)
        })
        .collect()
}

impl ZoneStream {
    fn of(
        exit: &FanExit,
        flow: &ZoneFlow,
        curves: &ZoneLossCurves,
        met: Option<[f64; 2]>,
        span: Option<[f64; 2]>,
    ) -> Self {
        let [from, to] = met.unwrap_or([flow.inner_radius, flow.outer_radius]);
        let radii = equal_rings([from, to], RINGS);
        let relative: Vec<f64> = radii.iter().map(|r| exit.relative_velocity(*r)).collect();
        let mean = relative.iter().sum::<f64>() / f64::from(RINGS);
        let square = (to * to - from * from) / f64::from(RINGS);
        let rings = radii.iter().zip(&relative);
        let rings = rings.map(|(&radius, &relative)| Ring {
            radius,
            relative_velocity: if mean > 0.0 { relative / mean } else { 1.0 },
            swirl: exit.swirl_velocity(1.0, radius),
            pull: pull(exit, radius, square),
            curve: curves.nearest(radius),
        });
        let mut beside = Vec::new();
        if let (Some([low, high]), Some(_)) = (span, met) {
            let last = radii.len() - 1;
            for ([a, b], nearest) in [([low, from], 0), ([to, high], last)] {
                if b <= a {
                    continue;
                }
                let square = (b * b - a * a) / f64::from(BESIDE);
                let outside = equal_rings([a, b], BESIDE).into_iter();
                beside.extend(outside.map(|radius| Beside {
                    swirl: exit.swirl_velocity(1.0, radius),
                    pull: pull(exit, radius, square),
                    nearest,
                    ratio: radii[nearest] / radius,
                }));
            }
        }
        Self {
            rings: rings.collect(),
            beside,
            curves: curves.clone(),
            median_radius: exit.median_radius(),
        }
    }

    /// The rings at a circulation (m²/s) and a velocity in front of the zone (m/s).
    pub(super) fn met(&self, circulation: f64, velocity: f64) -> Vec<MetRing> {
        let per_velocity = circulation / velocity;
        let ring = |ring: &Ring| {
            let swirl_in = per_velocity * ring.swirl;
            let axial = ring.relative_velocity;
            // Air that hardly moves along the axis is met at the steepest angle of the curve.
            let tangent = swirl_in / axial.max(1e-3);
            let curve = self.curves.curve(ring.curve);
            MetRing {
                radius: ring.radius,
                axial,
                swirl_in,
                swirl_out: axial * curve.outflow(tangent),
                loss_factor: curve.loss(tangent) / self.curves.level,
            }
        };
        self.rings.iter().map(ring).collect()
    }

    /// The same in this many parts of equal area from the inside out, each with the tangent to the curve of its outflow: air that comes a little steeper than expected leaves as the curve says.
    pub(in crate::run) fn face_rings(
        &self,
        circulation: f64,
        velocity: f64,
        count: usize,
    ) -> Vec<FaceRing> {
        let met = self.met(circulation, velocity);
        let size = met.len().div_ceil(count.max(1)).max(1);
        let ring = |(met, own): (&[MetRing], &[Ring])| {
            let sum = |of: &dyn Fn(&MetRing) -> f64| met.iter().map(of).sum::<f64>();
            let square = sum(&|ring| ring.axial * ring.axial).max(1e-12);
            let tangent_in = sum(&|ring| ring.axial * ring.swirl_in) / square;
            let tangent_out = sum(&|ring| ring.axial * ring.swirl_out) / square;
            let curve = self.curves.curve(own[own.len() / 2].curve);
            let (low, high) = (
                (tangent_in - SLOPE_STEP).max(0.0),
                tangent_in.max(0.0) + SLOPE_STEP,
            );
            let kept = (curve.outflow(high) - curve.outflow(low)) / (high - low);
            let kept_tangent = kept.clamp(0.0, 1.0);
            FaceRing {
                loss_factor: sum(&|ring| ring.loss_factor * ring.axial * ring.axial) / square,
                kept_tangent,
                outflow_tangent: tangent_out - kept_tangent * tangent_in,
            }
        };
        met.chunks(size)
            .zip(self.rings.chunks(size))
            .map(ring)
            .collect()
    }

    /// What the air does to the zone, over the strength of its swirl.
    pub(in crate::run) fn tabled(&self) -> ZoneExhaust {
        let points = (0..STRENGTHS).map(|step| self.point(STRENGTH_STEP * f64::from(step)));
        ZoneExhaust {
            step: STRENGTH_STEP,
            points: points.collect(),
        }
    }

    /// By what factor the swirl of this strength changes K, apart from the uneven air.
    pub(in crate::run) fn swirl_factor(&self, strength: f64) -> f64 {
        let even: f64 = self
            .rings
            .iter()
            .map(|ring| ring.relative_velocity.powi(2))
            .sum();
        self.point(strength).loss_factor * f64::from(RINGS) / even
    }

    fn point(&self, strength: f64) -> ExhaustPoint {
        let met = self.met(strength * self.median_radius, 1.0);
        let loss: f64 = met
            .iter()
            .map(|ring| ring.loss_factor * ring.axial * ring.axial)
            .sum();
        // Total pressure is never gained: static K of a ring is at least what its swirl gains.
        let least: f64 = met
            .iter()
            .map(|ring| ring.swirl_out.powi(2) - ring.swirl_in.powi(2))
            .sum();
        let own = met
            .iter()
            .zip(&self.rings)
            .map(|(met, ring)| ring.pull * (met.swirl_in.powi(2) - met.swirl_out.powi(2)));
        let beside = self.beside.iter().map(|beside| {
            let before = strength * self.median_radius * beside.swirl;
            let behind = met[beside.nearest].swirl_out * beside.ratio;
            beside.pull * (before * before - behind * behind)
        });
        ExhaustPoint {
            loss_factor: loss / f64::from(RINGS),
            least_loss: least / f64::from(RINGS),
            lost_suction: own.sum::<f64>() + beside.sum::<f64>(),
        }
    }
}

/// Share of a ring, `square` = the difference of its squared radii, in the mean suction over the annulus.
///
/// ```text
/// -<p> = 0.5 rho sum u_theta^2 (1 - h^2/r^2) d(r^2) / (R^2 - h^2)
/// ```
fn pull(exit: &FanExit, radius: f64, square: f64) -> f64 {
    let (hub, tip) = (exit.hub_radius(), exit.tip_radius());
    (1.0 - (hub / radius).powi(2)).max(0.0) * square / (tip * tip - hub * hub)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::{ExitProfile, SwirlSource};
    use crate::grille::{Edge, FlowKind, OpeningShape, Turn};
    use crate::run::swirl::zone_loss_curves::KnownSwirl;

    fn exit(profile: &ExitProfile) -> FanExit {
        FanExit::new(1.2, 0.35, 1.0, profile, SwirlSource::Unknown)
    }

    fn flow(inner_radius: f64, outer_radius: f64, turn: Turn) -> ZoneFlow {
        ZoneFlow {
            shape: OpeningShape::Hexagon,
            kind: FlowKind::Hole,
            free_area_ratio: 0.5,
            hydraulic_diameter: 0.005,
            thickness: 0.004,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            turn,
            inner_radius,
            outer_radius,
            zone_area: 1.0,
            open_area: 0.5,
        }
    }

    const TABLED: KnownSwirl = KnownSwirl {
        inflow: 0.0,
        outflow: None,
        is_tabled: true,
        is_turned: true,
    };

    fn stream(exit: &FanExit, flow: &ZoneFlow, known: KnownSwirl) -> ZoneStream {
        let curves = ZoneLossCurves::of(flow, known);
        zone_streams(exit, &[(flow, &curves)]).remove(0)
    }

    #[test]
    fn a_grille_that_takes_all_swirl_away_costs_the_whole_suction() {
        // Closed form: a free vortex of hub ratio 0.35 sucks 0.2275 of the dynamic pressure at 30 degrees at 0.7 R.
        let exit = exit(&ExitProfile::Uniform);
        let known = KnownSwirl {
            inflow: 0.5,
            outflow: Some(0.0),
            ..TABLED
        };
        for (inner, outer) in [(0.0, 1.0), (0.35, 1.0), (0.1, 0.96)] {
            let flow = flow(inner, outer, Turn::Straight);
            let stream = stream(&exit, &flow, known);
            let circulation = 0.7 * 30_f64.to_radians().tan();
            let point = stream.point(circulation / exit.median_radius());
            assert!(
                (point.lost_suction / 0.2275 - 1.0).abs() < 0.01,
                "{point:?}"
            );
        }
    }

    #[test]
    fn two_zones_lose_what_one_does() {
        let exit = exit(&ExitProfile::Outboard);
        let whole = flow(0.0, 0.97, Turn::Straight);
        let (inside, outside) = (
            flow(0.0, 0.6, Turn::Straight),
            flow(0.62, 0.97, Turn::Straight),
        );
        let one = stream(&exit, &whole, TABLED);
        let curves = [&inside, &outside].map(|flow| ZoneLossCurves::of(flow, TABLED));
        let two = zone_streams(&exit, &[(&inside, &curves[0]), (&outside, &curves[1])]);
        // At the velocities that the even zones have with the fan's own profile.
        let circulation = 0.4;
        let mean = |flow: &ZoneFlow| {
            let rings = equal_rings(covered(&exit, flow).unwrap(), RINGS);
            rings
                .iter()
                .map(|r| exit.relative_velocity(*r))
                .sum::<f64>()
                / f64::from(RINGS)
        };
        let lost = |stream: &ZoneStream, flow: &ZoneFlow| {
            let velocity = mean(flow);
            let point = stream.point(circulation / exit.median_radius() / velocity);
            point.lost_suction * velocity * velocity
        };
        let (one, two) = (
            lost(&one, &whole),
            lost(&two[0], &inside) + lost(&two[1], &outside),
        );
        assert!((one / two - 1.0).abs() < 0.01, "{one} {two}");
    }

    #[test]
    fn the_hub_covers_what_lies_behind_it() {
        let exit = exit(&ExitProfile::Uniform);
        let share = covered_share(&exit, &flow(0.0, 1.0, Turn::Straight));
        assert!((share - (1.0 - 0.35 * 0.35)).abs() < 1e-12);
        assert!(covered_share(&exit, &flow(0.0, 0.3, Turn::Straight)) < 0.01);
        let evenly = exit.spread_evenly();
        assert!((covered_share(&evenly, &flow(0.0, 0.3, Turn::Straight)) - 1.0).abs() < 1e-12);
        // A zone that no air meets takes none of the suction, and does not divide by nothing.
        let hidden = flow(0.0, 0.3, Turn::Straight);
        let point = stream(&exit, &hidden, TABLED).point(0.5);
        assert!(point.lost_suction.abs() < 1e-12 && point.loss_factor.is_finite());
    }

    #[test]
    fn without_swirl_and_in_even_air_the_law_stays_as_it_is() {
        let exit = exit(&ExitProfile::Uniform);
        for turn in [
            Turn::Straight,
            Turn::Lean {
                angle: 15_f64.to_radians(),
            },
        ] {
            let point = stream(&exit, &flow(0.0, 1.0, turn), TABLED).point(0.0);
            assert!((point.loss_factor - 1.0).abs() < 1e-12);
        }
        let uneven = FanExit::new(1.2, 0.35, 1.0, &ExitProfile::Outboard, SwirlSource::Unknown);
        let straight = flow(0.0, 1.0, Turn::Straight);
        let stream = stream(&uneven, &straight, TABLED);
        let factor = stream.point(0.0).loss_factor;
        assert!(factor > 1.01 && factor < 1.1, "{factor}");
        assert!((stream.swirl_factor(0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_swirl_costs_straight_holes_more_and_co_leaned_ones_keep_the_suction() {
        let exit = exit(&ExitProfile::Uniform);
        let of = |turn: Turn| {
            let flow = flow(0.35, 1.0, turn);
            stream(&exit, &flow, TABLED)
        };
        let straight = of(Turn::Straight);
        let leaned = of(Turn::Lean {
            angle: 15_f64.to_radians(),
        });
        for step in 1..20 {
            let (weak, strong) = (0.05 * f64::from(step - 1), 0.05 * f64::from(step));
            let (a, b) = (straight.point(weak), straight.point(strong));
            assert!(b.loss_factor > a.loss_factor && b.lost_suction > a.lost_suction);
            assert!(leaned.point(strong).lost_suction < b.lost_suction);
        }
    }

    #[test]
    fn a_pattern_twist_leans_more_outboard() {
        let exit = exit(&ExitProfile::Uniform);
        let twisted = flow(0.35, 1.0, Turn::PatternTwist { angle: 0.001 });
        let stream = stream(&exit, &twisted, TABLED);
        let met = stream.met(0.3, 1.0);
        let swirl_kept = |ring: &MetRing| ring.swirl_out / ring.swirl_in;
        assert!(swirl_kept(&met[23]) > swirl_kept(&met[0]));
    }
}
