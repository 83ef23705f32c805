//! What a grille behind a fan costs: air that comes fast here and slow there, that turns, and whose turning core the bare fan profits from.

use crate::fan::FanExit;
use crate::ranking::GrilleLoss;
use crate::ranking::division::{FaceLoss, ZoneResistance, divide};

/// How often the zones' velocities are set by their K, and K by their swirl angle, until both stay.
const MOST_ROUNDS: usize = 60;

/// What the air behind the fan makes of a grille's loss. It is prepared before the operating point is looked for: nothing is solved in between.
///
/// The fan pays the area mean, over the annulus, of the pressure just ahead of the grille, less that of the bare fan at the same flow: static K of the holes, each where it stands,
/// and the suction of the turning core, as far as the grille takes the swirl away.
#[derive(Debug, Clone, PartialEq)]
pub struct Exhaust {
    /// The air that leaves the fan.
    pub exit: FanExit,
    /// What it does to each zone, in the order of the zones.
    pub zones: Vec<ZoneExhaust>,
    /// How far the lost suction may be off, as a part of it, at 95 %.
    pub suction_half_width: f64,
    /// The same grille in air that has not spread at all and in air that has spread evenly over the whole face: between which the truth lies.
    pub extremes: Option<Box<[GrilleLoss; 2]>>,
}

/// What the air behind the fan does to a zone, over how much it turns.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneExhaust {
    /// Step of the strength from point to point; the first is 0.
    ///
    /// ```text
    /// strength = C / (U r_m)     C: circulation;  U: velocity in front of the zone;  r_m: the radius within which half of the annulus lies
    /// ```
    pub step: f64,
    /// The points; beyond the last it counts.
    pub points: Vec<ExhaustPoint>,
}

/// What the air behind the fan does to a zone at one strength of the swirl.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExhaustPoint {
    /// Static K, area mean over the zone, over that of the zone's law.
    pub loss_factor: f64,
    /// Least static K, area mean over the zone: that of a plate in which the air loses nothing, `tan²(out) − tan²(in)`.
    pub least_loss: f64,
    /// Suction of the swirl that the zone takes away, over the dynamic pressure of the velocity in front of it; its share of the annulus is in it.
    pub lost_suction: f64,
}

impl ZoneExhaust {
    /// Between points in straight lines.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held between the first and the last point"
    )]
    fn at(&self, strength: f64) -> ExhaustPoint {
        let last = self.points.len().saturating_sub(1);
        let place = (strength / self.step).clamp(0.0, last as f64);
        let left = (place as usize).min(last.saturating_sub(1));
        let (a, b) = (self.points[left], self.points[(left + 1).min(last)]);
        let part = place - left as f64;
        ExhaustPoint {
            loss_factor: a.loss_factor + part * (b.loss_factor - a.loss_factor),
            least_loss: a.least_loss + part * (b.least_loss - a.least_loss),
            lost_suction: a.lost_suction + part * (b.lost_suction - a.lost_suction),
        }
    }
}

/// An exhaust as one solution sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct MovedExhaust<'a> {
    pub(super) exhaust: &'a Exhaust,
    /// By how much the circulation is more than believed.
    pub(super) circulation_factor: f64,
    /// By how much the lost suction is more than believed.
    pub(super) suction_factor: f64,
    /// Whether the zones lose nothing: the bound of what they may cost.
    pub(super) is_lossless: bool,
}

/// Least that K of a zone is taken for: at -1 the air would gain all of its speed's pressure.
const LEAST_LOSS: f64 = -0.95;

/// A face in the air behind a fan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ExhaustFace {
    /// Static K on the area through which the air leaves the fan, and the velocities in front of the zones.
    pub(super) face: FaceLoss,
    /// Lost suction, Pa.
    pub(super) lost_suction: f64,
    /// Circulation, m²/s; 0 where the swirl is not known.
    pub(super) circulation: f64,
}

impl MovedExhaust<'_> {
    /// The face at a flow (m³/s, above zero) and the fan's static pressure there (Pa).
    ///
    /// K of each zone depends on the angle of its swirl, the angle on the velocity in front of it, and that on K of all zones: the three are brought together by repetition.
    pub(super) fn face(
        &self,
        zones: &[ZoneResistance],
        flow: f64,
        fan_pressure: Option<f64>,
    ) -> ExhaustFace {
        let exit = &self.exhaust.exit;
        let believed = exit.circulation(flow, fan_pressure).unwrap_or(0.0);
        let circulation = self.circulation_factor * believed;
        let area: f64 = zones.iter().map(|zone| zone.area).sum();
        let mut velocities = vec![flow / area; zones.len()];
        let strength = |velocity: f64| circulation / (velocity * exit.median_radius());
        let mut face = None;
        for _ in 0..MOST_ROUNDS {
            let met: Vec<ZoneResistance> = zones
                .iter()
                .zip(&self.exhaust.zones)
                .zip(&velocities)
                .map(|((zone, curve), velocity)| {
                    let point = curve.at(strength(*velocity));
                    if self.is_lossless {
                        return zone.with_own_law(0.0, point.least_loss.max(LEAST_LOSS));
                    }
                    let factor = point.loss_factor;
                    ZoneResistance {
                        viscous: factor * zone.viscous,
                        inertial: factor * zone.inertial,
                        ..*zone
                    }
                })
                .collect();
            let divided = divide(&met, flow, exit.area());
            let pairs = divided.zone_velocities.iter().zip(&velocities);
            let moved = pairs.map(|(new, old)| (new / old - 1.0).abs());
            let is_settled = moved.fold(0.0, f64::max) < 1e-13;
            velocities.clone_from(&divided.zone_velocities);
            face = Some(divided);
            if is_settled {
                break;
            }
        }
        let lost: f64 = velocities
            .iter()
            .zip(&self.exhaust.zones)
            .map(|(velocity, curve)| {
                let dynamic = 0.5 * exit.density() * velocity * velocity;
                dynamic * curve.at(strength(*velocity)).lost_suction
            })
            .sum();
        ExhaustFace {
            face: face.unwrap_or(FaceLoss {
                loss_coefficient: f64::NAN,
                zone_velocities: velocities,
            }),
            lost_suction: self.suction_factor * lost,
            circulation,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::{ExitProfile, SwirlSource};

    fn exhaust(zone_count: usize) -> Exhaust {
        let source = SwirlSource::Given {
            tangent: 0.5,
            radius: 0.05,
        };
        let point = |i: i32| ExhaustPoint {
            loss_factor: 1.0 + 0.1 * f64::from(i),
            least_loss: 0.0,
            lost_suction: 0.02 * f64::from(i),
        };
        Exhaust {
            exit: FanExit::new(1.2, 0.02, 0.06, &ExitProfile::Uniform, source),
            zones: vec![
                ZoneExhaust {
                    step: 0.2,
                    points: (0..10).map(point).collect(),
                };
                zone_count
            ],
            suction_half_width: 0.2,
            extremes: None,
        }
    }

    fn zone(area: f64, inertial: f64) -> ZoneResistance {
        ZoneResistance {
            area,
            viscous: 0.1,
            inertial,
            cover_viscous: 0.0,
            cover_inertial: 0.0,
        }
    }

    #[test]
    fn two_halves_are_as_good_as_the_whole() {
        let (one, two) = (exhaust(1), exhaust(2));
        let moved = |exhaust| MovedExhaust {
            exhaust,
            circulation_factor: 1.0,
            suction_factor: 1.0,
            is_lossless: false,
        };
        let area = one.exit.area();
        let whole = moved(&one).face(&[zone(area, 2.0)], 0.03, None);
        let halves = [zone(0.5 * area, 2.0), zone(0.5 * area, 2.0)];
        let halved = moved(&two).face(&halves, 0.03, None);
        let (a, b) = (whole.face.loss_coefficient, halved.face.loss_coefficient);
        assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
        assert!((halved.lost_suction / whole.lost_suction - 2.0).abs() < 1e-9);
    }

    #[test]
    fn the_angle_of_a_zone_and_its_velocity_agree() {
        let exhaust = exhaust(2);
        let moved = MovedExhaust {
            exhaust: &exhaust,
            circulation_factor: 1.0,
            suction_factor: 1.0,
            is_lossless: false,
        };
        let area = exhaust.exit.area();
        let zones = [zone(0.4 * area, 0.8), zone(0.6 * area, 4.0)];
        let face = moved.face(&zones, 0.03, None);
        let heads: Vec<f64> = zones
            .iter()
            .zip(&face.face.zone_velocities)
            .map(|(zone, velocity)| {
                let strength = face.circulation / (velocity * exhaust.exit.median_radius());
                let factor = exhaust.zones[0].at(strength).loss_factor;
                let loss = factor * (zone.viscous / velocity + zone.inertial);
                (1.0 + loss) * velocity * velocity
            })
            .collect();
        assert!((heads[0] / heads[1] - 1.0).abs() < 1e-9, "{heads:?}");
    }

    #[test]
    fn between_points_the_air_is_read_in_straight_lines_and_beyond_the_last_as_there() {
        // Factors 1.0, 1.1, ... and suctions 0, 0.02, ... at strengths 0, 0.2, ..., 1.8.
        let curve = &exhaust(1).zones[0];
        for (strength, factor, suction) in [
            (0.0, 1.0, 0.0),
            (0.3, 1.15, 0.03),
            (1.8, 1.9, 0.18),
            (5.0, 1.9, 0.18),
        ] {
            let point = curve.at(strength);
            assert!((point.loss_factor - factor).abs() < 1e-12, "{strength}");
            assert!((point.lost_suction - suction).abs() < 1e-12, "{strength}");
        }
    }

    #[test]
    fn one_zone_behind_the_fan_by_hand() {
        // The swirl's tangent is 0.5 at 0.05 m: at the median radius √(0.002) m it is 0.5 · 0.05/√0.002, the strength at any flow.
        let exhaust = exhaust(1);
        let strength = 0.5 * 0.05 / 0.002_f64.sqrt();
        let moved = MovedExhaust {
            exhaust: &exhaust,
            circulation_factor: 1.2,
            suction_factor: 1.5,
            is_lossless: false,
        };
        let area = exhaust.exit.area();
        let seen = moved.face(&[zone(area, 2.0)], 3.0 * area, None);
        let point = 1.2 * strength / 0.2;
        let loss = (1.0 + 0.1 * point) * (0.1 / 3.0 + 2.0);
        assert!((seen.face.loss_coefficient / loss - 1.0).abs() < 1e-12);
        // 0.5 · 1.2 · 3² = 5.4 Pa.
        assert!((seen.lost_suction / (1.5 * 5.4 * 0.02 * point) - 1.0).abs() < 1e-12);
        let circulation = 1.2 * 3.0 * 0.5 * 0.05;
        assert!((seen.circulation / circulation - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_zone_that_loses_nothing_costs_its_least_and_never_gains_all() {
        let mut exhaust = exhaust(1);
        let area = exhaust.exit.area();
        let mut least = |least_loss: f64| {
            for point in &mut exhaust.zones[0].points {
                point.least_loss = least_loss;
            }
            let moved = MovedExhaust {
                exhaust: &exhaust,
                circulation_factor: 1.0,
                suction_factor: 1.0,
                is_lossless: true,
            };
            let seen = moved.face(&[zone(area, 2.0)], 0.03, None);
            seen.face.loss_coefficient
        };
        assert!((least(-0.3) + 0.3).abs() < 1e-9);
        assert!((least(-2.0) + 0.95).abs() < 1e-9);
    }
}
