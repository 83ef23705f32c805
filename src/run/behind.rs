//! What the air does behind a grille on the exhaust side where the fan settles: angles, both K, the torque on the grille, and what a meter shows.

use std::f64::consts::PI;

use crate::fan::FanExit;
use crate::meter::{Meter, MeterReading, angular_momentum, mixed_share, solid_turning};
use crate::ranking::{RankedGrille, ZoneLoss};
use crate::report::{GrilleSwirl, MeterShown};
use crate::run::exhaust::{MetRing, ZoneStream};

/// The rings of all zones at one operating point, from the inside out; velocities in m/s.
pub(super) struct Behind<'a> {
    exit: &'a FanExit,
    flow: f64,
    rings: Vec<SolvedRing>,
}

/// A ring of the face.
struct SolvedRing {
    /// Area, m².
    area: f64,
    /// Radius (m), and velocities, m/s.
    met: MetRing,
}

impl<'a> Behind<'a> {
    /// Puts the zones of a ranked grille together.
    pub(super) fn of(
        exit: &'a FanExit,
        zones: &[ZoneLoss],
        streams: &[ZoneStream],
        ranked: &RankedGrille,
    ) -> Self {
        let circulation = ranked.swirl.map_or(0.0, |swirl| swirl.circulation);
        let mut rings = Vec::new();
        let parts = zones.iter().zip(streams).zip(&ranked.zone_velocities);
        for ((zone, stream), &velocity) in parts {
            let met = stream.met(circulation, velocity);
            let area = zone.area / met.len() as f64;
            rings.extend(met.into_iter().map(|ring| SolvedRing {
                area,
                met: MetRing {
                    axial: velocity * ring.axial,
                    swirl_in: velocity * ring.swirl_in,
                    swirl_out: velocity * ring.swirl_out,
                    ..ring
                },
            }));
        }
        Self {
            exit,
            flow: ranked.flow.value,
            rings,
        }
    }

    /// Angles, both K and torque. `reference_velocity`: flow over the reference area, m/s.
    ///
    /// ```text
    /// K_total = K_static + ∫ u_x (u_in^2 - u_out^2) dA / (Q U^2)      u_in, u_out: swirl velocity ahead of and behind the grille
    /// torque  = ∫ rho u_x (u_in - u_out) r dA
    /// ```
    pub(super) fn swirl(&self, ranked: &RankedGrille, reference_velocity: f64) -> GrilleSwirl {
        let lost_suction = ranked.swirl.map_or(0.0, |swirl| swirl.lost_suction);
        let fixed = ranked.loss_coefficient.value - lost_suction;
        let sum = |of: &dyn Fn(&MetRing) -> f64| -> f64 {
            let rings = self.rings.iter();
            rings.map(|ring| ring.area * of(&ring.met)).sum()
        };
        let heads = sum(&|ring| ring.axial * (ring.swirl_in.powi(2) - ring.swirl_out.powi(2)));
        let momentum = sum(&|ring| ring.axial * (ring.swirl_in - ring.swirl_out) * ring.radius);
        let radii = self.exit.three_radii();
        let angles = |of: &dyn Fn(&MetRing) -> f64| {
            radii.map(|radius| {
                self.nearest(radius).map_or(0.0, |ring| {
                    (of(ring) / ring.axial.max(1e-9)).atan().to_degrees()
                })
            })
        };
        GrilleSwirl {
            radii_mm: radii.map(|radius| 1e3 * radius),
            inflow_angles_deg: angles(&|ring| ring.swirl_in),
            outflow_angles_deg: angles(&|ring| ring.swirl_out),
            static_loss_coefficient: fixed,
            lost_suction_loss_coefficient: lost_suction,
            total_loss_coefficient: fixed + heads / (self.flow * reference_velocity.powi(2)),
            torque_n_m: self.exit.density() * momentum,
        }
    }

    /// What a meter shows behind the grille.
    pub(super) fn reading(&self, meter: &Meter) -> MeterReading {
        let first = self.rings.first().map_or(0.0, |ring| ring.met.radius);
        let last = self.rings.last().map_or(0.0, |ring| ring.met.radius);
        let axial = |radius: f64| {
            if radius < self.exit.air_from() || radius > self.exit.tip_radius() {
                return 0.0;
            }
            self.nearest(radius).map_or(0.0, |ring| ring.axial)
        };
        let swirl = |radius: f64| {
            let Some(ring) = self.nearest(radius) else {
                return 0.0;
            };
            // Inside the innermost ring the air turns as a solid, outside the outermost as a free vortex.
            if radius < first {
                ring.swirl_out * radius / first
            } else if radius > last {
                ring.swirl_out * last / radius
            } else {
                ring.swirl_out
            }
        };
        mixed_reading(meter, self.exit, self.flow, axial, swirl)
    }

    fn nearest(&self, radius: f64) -> Option<&MetRing> {
        let distance = |ring: &MetRing| (ring.radius - radius).abs();
        let rings = self.rings.iter().map(|ring| &ring.met);
        rings.min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }
}

/// What a meter shows behind the bare fan at a flow (m³/s) and circulation (m²/s).
pub(super) fn bare_reading(
    meter: &Meter,
    exit: &FanExit,
    flow: f64,
    circulation: f64,
) -> MeterReading {
    let mean = flow / exit.area();
    mixed_reading(
        meter,
        exit,
        flow,
        |radius| mean * exit.relative_velocity(radius),
        |radius| exit.swirl_velocity(circulation, radius),
    )
}

/// A meter in a stream that has mixed over the bore as far as its distance lets it; flow and angular momentum stay.
fn mixed_reading(
    meter: &Meter,
    exit: &FanExit,
    flow: f64,
    axial: impl Fn(f64) -> f64,
    swirl: impl Fn(f64) -> f64,
) -> MeterReading {
    let tip = exit.tip_radius();
    let carried = angular_momentum(exit.density(), tip, &axial, &swirl);
    let turning = solid_turning(carried, exit.density(), flow, 2.0 * tip);
    let mean = flow / (PI * tip * tip);
    let mixed = mixed_share(meter.distance, 2.0 * tip);
    let within = |radius: f64| if radius <= tip { 1.0 } else { 0.0 };
    meter.reading(
        |radius| (1.0 - mixed) * axial(radius) + mixed * mean * within(radius),
        |radius| (1.0 - mixed) * swirl(radius) + mixed * turning * radius * within(radius),
    )
}

/// A reading as the outputs tell it, beside that of the bare fan.
pub(super) fn shown(reading: &MeterReading, bare: Option<&MeterReading>) -> MeterShown {
    let (low, high) = reading.range();
    let percent = bare.map(|bare| {
        let of = |hand: usize| {
            let whole = bare.with_and_against[hand];
            100.0 * reading.with_and_against[hand] / whole
        };
        let (a, b) = (of(0), of(1));
        [a.min(b), a.max(b)]
    });
    MeterShown {
        air_speed_m_per_s: reading.air_speed,
        reading_m_per_s: [low, high],
        reading_percent_of_bare_fan: percent.filter(|range| range.iter().all(|p| p.is_finite())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::{ExitProfile, SwirlSource};

    #[test]
    fn mixing_keeps_flow_and_angular_momentum() {
        let exit = FanExit::new(
            1.2,
            0.02,
            0.058,
            &ExitProfile::Outboard,
            SwirlSource::Unknown,
        );
        // A wheel as large as the bore on its axis sees all of the flow, mixed or not.
        let meter = |distance: f64| Meter {
            head_diameter: 0.116,
            position: 0.0,
            distance,
            blade_angle: 0.8,
            hand: None,
        };
        let mean = 0.02 / (PI * 0.058 * 0.058);
        for distance in [0.0, 0.05, 5.0] {
            let seen = bare_reading(&meter(distance), &exit, 0.02, 0.05);
            assert!((seen.air_speed / mean - 1.0).abs() < 0.02, "{distance}");
            assert!(seen.with_and_against[0] > seen.with_and_against[1]);
        }
        let straight = bare_reading(&meter(0.05), &exit, 0.02, 0.0);
        let told = shown(&straight, Some(&straight));
        assert_eq!(told.reading_percent_of_bare_fan, Some([100.0, 100.0]));
    }
}
