//! What the air does behind a grille on the exhaust side where the fan settles: angles, both K, the torque on the grille, and what a meter shows.

use std::f64::consts::PI;

use crate::fan::FanExit;
use crate::meter::{Meter, MeterReading, angular_momentum, mixed_share, solid_turning};
use crate::ranking::{RankedGrille, ZoneLoss};
use crate::result::{GrilleSwirl, MeterShown};
use crate::run::swirl::exhaust::{MetRing, ZoneStream};

/// The rings of all zones at one operating point, from the inside out; velocities in m/s.
pub(in crate::run) struct Behind<'a> {
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
    pub(in crate::run) fn of(
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
    pub(in crate::run) fn swirl(
        &self,
        ranked: &RankedGrille,
        reference_velocity: f64,
    ) -> GrilleSwirl {
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
    pub(in crate::run) fn reading(&self, meter: &Meter) -> MeterReading {
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
pub(in crate::run) fn bare_reading(
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

/// Least reading behind the bare fan, over the air speed there, by which others are measured: below it a wheel hardly turns, and per cents say nothing.
const LEAST_BARE_READING: f64 = 0.3;

/// A reading as the outputs tell it, beside that of the bare fan.
pub(in crate::run) fn shown(
    reading: &MeterReading,
    bare: Option<&MeterReading>,
    is_by_fan_view: bool,
) -> MeterShown {
    let (low, high) = reading.range();
    let is_measure =
        |bare: &&MeterReading| bare.range().0 > LEAST_BARE_READING * bare.air_speed.abs();
    let percent = bare.filter(is_measure).map(|bare| {
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
        reading_percent_of_bare_fan: percent,
        is_by_fan_view,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::{ExitProfile, SwirlSource};
    use crate::grille::{Edge, FlowKind, OpeningShape, Turn, ZoneFlow};
    use crate::likely::Likely;
    use crate::ranking::{LossLaw, RankedSwirl};
    use crate::run::swirl::exhaust::zone_streams;
    use crate::run::swirl::zone_loss_curves::{KnownSwirl, ZoneLossCurves};

    #[test]
    fn taking_all_swirl_away_costs_its_angular_momentum_and_its_head() {
        // Closed forms for a free vortex in an even stream: torque rho C Q; head of the swirl, flux mean, C^2 2 ln(R/h) / (R^2 - h^2).
        let (hub, tip, circulation, density) = (0.02, 0.058, 0.06, 1.2);
        let exit = FanExit::new(
            density,
            hub,
            tip,
            &ExitProfile::Uniform,
            SwirlSource::Unknown,
        );
        let flow = ZoneFlow {
            shape: OpeningShape::Hexagon,
            kind: FlowKind::Hole,
            free_area_ratio: 0.5,
            hydraulic_diameter: 0.005,
            thickness: 0.004,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            turn: Turn::Straight,
            inner_radius: hub,
            outer_radius: tip,
            zone_area: exit.area(),
            open_area: 0.5 * exit.area(),
        };
        let known = KnownSwirl {
            inflow: 0.5,
            outflow: Some(0.0),
            is_tabled: true,
            is_turned: true,
        };
        let curves = ZoneLossCurves::of(&flow, known);
        let streams = zone_streams(&exit, &[(&flow, &curves)]);
        let zone = ZoneLoss {
            area: exit.area(),
            law: LossLaw::constant(4.0, 0.0),
            bands: Vec::new(),
        };
        let velocity = 2.0;
        let ranked = RankedGrille {
            index: 0,
            rank: 1,
            tied_with: Vec::new(),
            flow: Likely::exact(velocity * exit.area()),
            flow_percent: None,
            pressure_drop: Likely::exact(10.0),
            place_pressure: 0.0,
            parts_pressure_drop: Likely::exact(0.0),
            face_velocity: Likely::exact(velocity),
            loss_coefficient: Likely::exact(4.5),
            zone_velocities: vec![velocity],
            swirl: Some(RankedSwirl {
                circulation,
                lost_suction: 0.3,
            }),
            temperature_rise: None,
            other_flows: Vec::new(),
            speed_ratio_for_bare_flow: None,
            contributions: Vec::new(),
            warnings: Vec::new(),
        };
        let behind = Behind::of(&exit, &[zone], &streams, &ranked);
        let seen = behind.swirl(&ranked, velocity);
        let torque = density * circulation * velocity * exit.area();
        assert!((seen.torque_n_m / torque - 1.0).abs() < 1e-3);
        let square: f64 = tip * tip - hub * hub;
        let head = circulation * circulation * 2.0 * (tip / hub).ln() / square;
        let total = 4.2 + head / (velocity * velocity);
        assert!((seen.total_loss_coefficient / total - 1.0).abs() < 0.002);
        assert!(
            seen.outflow_angles_deg
                .iter()
                .all(|angle| angle.abs() < 1e-9)
        );
        let middle = (circulation / exit.median_radius() / velocity).atan();
        assert!((seen.inflow_angles_deg[1] - middle.to_degrees()).abs() < 0.5);
    }

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
        let told = shown(&straight, Some(&straight), false);
        assert_eq!(told.reading_percent_of_bare_fan, Some([100.0, 100.0]));
        // A wheel that the swirl brings to rest is no measure for others.
        let stalled = bare_reading(&meter(0.05), &exit, 0.02, 0.2);
        let told = shown(&straight, Some(&stalled), false);
        assert_eq!(told.reading_percent_of_bare_fan, None);
        // Nor is one in the middle of a hub's wake, where the air comes back.
        let backwards = MeterReading {
            air_speed: -0.2,
            with_and_against: [0.0; 2],
        };
        let told = shown(&straight, Some(&backwards), true);
        assert_eq!(told.reading_percent_of_bare_fan, None);
    }
}
