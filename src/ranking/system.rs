//! One grille in front of one fan: everything that is asked for, solved at the operating point.

use crate::fan::{Characteristic, NoOperatingPoint, OperatingPoints, operating_points};
use crate::ranking::division::{ZoneResistance, divide};
use crate::ranking::exhaust::MovedExhaust;
use crate::ranking::parts::InSeries;
use crate::ranking::shared_case::PlaceCurve;

/// Largest ratio of speeds for which fan laws are asked: beyond it a fan is another fan.
const MOST_SPEED_RATIO: f64 = 3.0;

/// What drives the air, in one member of the fan's band.
#[derive(Debug, Clone, Copy)]
pub(super) enum Drive<'a> {
    /// A fan.
    Fan(&'a Characteristic),
    /// A given flow, m³/s.
    Flow(f64),
}

/// The air's way without the grille.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way<'a> {
    /// Air density, kg/m³.
    pub(super) density: f64,
    /// Reference area, m².
    pub(super) reference_area: f64,
    /// K of the PC case on the reference area.
    pub(super) place_loss: f64,
    /// What the PC case takes where other fans work in it, instead of that K.
    pub(super) shared: Option<&'a PlaceCurve>,
}

/// A grille as one solution sees it.
#[derive(Debug, Clone)]
pub(super) struct Plate<'a> {
    /// Zones side by side.
    pub(super) zones: Vec<ZoneResistance>,
    /// What the change of area adds to K on the area of [`Way::stream_area`], beyond momentum.
    pub(super) area_change: f64,
    /// What the air goes through before or after the grille.
    pub(super) series: InSeries,
    /// What the air behind a fan adds.
    pub(super) exhaust: Option<MovedExhaust<'a>>,
}

impl Plate<'_> {
    /// The grille alone: nothing on its holes, nothing before or after it.
    fn alone(&self) -> Self {
        let zones = self.zones.iter().map(|zone| zone.uncovered());
        Self {
            zones: zones.collect(),
            series: InSeries::default(),
            ..self.clone()
        }
    }
}

/// A grille at one flow.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Face {
    /// K on the reference area, lost suction included.
    pub(super) loss_coefficient: f64,
    /// Velocity in front of each zone, m/s.
    pub(super) zone_velocities: Vec<f64>,
    /// Behind a fan: circulation (m²/s), and the part of K that is lost suction.
    pub(super) swirl: Option<(f64, f64)>,
}

/// What is asked for. Every number carries an interval later, so they are handled together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Answer {
    /// m³/s.
    pub(super) flow: f64,
    /// Per cent of the bare fan's flow; 100 when a flow was given.
    pub(super) flow_percent: f64,
    /// Pa, of the grille alone.
    pub(super) pressure_drop: f64,
    /// K of the grille on the reference area.
    pub(super) loss_coefficient: f64,
    /// Pa, of everything else that the bare fan goes without: on the grille, before and after it.
    pub(super) parts_pressure_drop: f64,
}

impl Answer {
    /// Every number of two answers put together by `join`.
    pub(super) fn joined(self, other: Self, join: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            flow: join(self.flow, other.flow),
            flow_percent: join(self.flow_percent, other.flow_percent),
            pressure_drop: join(self.pressure_drop, other.pressure_drop),
            loss_coefficient: join(self.loss_coefficient, other.loss_coefficient),
            parts_pressure_drop: join(self.parts_pressure_drop, other.parts_pressure_drop),
        }
    }
}

impl Way<'_> {
    /// ½ρU², Pa, at a flow in m³/s, on the reference area.
    pub(super) fn dynamic_pressure(&self, flow: f64) -> f64 {
        let velocity = flow / self.reference_area;
        0.5 * self.density * velocity * velocity
    }

    /// Pressure, Pa, that the PC case takes of one fan at its flow, m³/s; below zero where other fans blow air through it.
    pub(super) fn place_pressure(&self, flow: f64) -> f64 {
        match self.shared {
            Some(curve) => curve.pressure(flow),
            None => self.place_loss * self.dynamic_pressure(flow),
        }
    }

    /// Where a fan settles with the PC case alone.
    pub(super) fn bare(&self, fan: &Characteristic) -> Result<OperatingPoints, NoOperatingPoint> {
        operating_points(fan, |flow| self.place_pressure(flow))
    }

    /// Where a fan settles with a grille.
    pub(super) fn with_plate(
        &self,
        fan: &Characteristic,
        plate: &Plate<'_>,
    ) -> Result<OperatingPoints, NoOperatingPoint> {
        operating_points(fan, |flow| {
            self.place_pressure(flow) + self.plate_pressure(plate, flow, Some(fan.pressure(flow)))
        })
    }

    /// Everything that is asked for. Where the fan could settle at several flows, the one nearest to `near` counts, or the main
    /// one without it.
    pub(super) fn answer(
        &self,
        drive: Drive<'_>,
        plate: &Plate<'_>,
        near: Option<f64>,
    ) -> Result<Answer, NoOperatingPoint> {
        let (flow, flow_percent) = match drive {
            Drive::Flow(flow) => (flow, 100.0),
            Drive::Fan(fan) => {
                let points = self.with_plate(fan, plate)?;
                let point = near.map_or(points.main, |flow| points.nearest(flow));
                let bare = self.bare(fan)?.main.flow;
                (point.flow, 100.0 * point.flow / bare)
            }
        };
        let fan_pressure = drive.pressure(flow);
        let alone = self.face(&plate.alone(), flow, fan_pressure);
        let pressure_drop = alone.loss_coefficient * self.dynamic_pressure(flow);
        let with_parts = self.plate_pressure(plate, flow, fan_pressure);
        Ok(Answer {
            flow,
            flow_percent,
            pressure_drop,
            loss_coefficient: alone.loss_coefficient,
            parts_pressure_drop: with_parts - pressure_drop,
        })
    }

    /// Pressure drop, Pa, of a grille and its parts at a flow in m³/s and the fan's pressure there.
    pub(super) fn plate_pressure(
        &self,
        plate: &Plate<'_>,
        flow: f64,
        fan_pressure: Option<f64>,
    ) -> f64 {
        if flow <= 0.0 {
            return 0.0;
        }
        let face = self.face(plate, flow, fan_pressure);
        face.loss_coefficient * self.dynamic_pressure(flow) + plate.series.pressure_drop(flow)
    }

    /// How many times as fast a fan would have to turn to move `flow` (m³/s) through a grille: its pressure grows with the square of its speed, at a flow that grows with it (fan laws). `None` beyond
    /// [`MOST_SPEED_RATIO`].
    pub(super) fn speed_ratio(
        &self,
        fan: &Characteristic,
        plate: &Plate<'_>,
        flow: f64,
    ) -> Option<f64> {
        let place = self.place_pressure(flow);
        let spare = |ratio: f64| {
            let pressure = ratio * ratio * fan.pressure(flow / ratio);
            pressure - place - self.plate_pressure(plate, flow, Some(pressure))
        };
        let (mut low, mut high) = (1.0, MOST_SPEED_RATIO);
        if spare(low) >= 0.0 {
            return Some(low);
        }
        if spare(high) < 0.0 {
            return None;
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if spare(middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }

    /// A grille at a flow (m³/s, above zero) and the fan's pressure there (Pa).
    pub(super) fn face(&self, plate: &Plate<'_>, flow: f64, fan_pressure: Option<f64>) -> Face {
        let Some(exhaust) = &plate.exhaust else {
            let face = divide(&plate.zones, flow, self.reference_area);
            return Face {
                loss_coefficient: face.loss_coefficient + plate.area_change,
                zone_velocities: face.zone_velocities,
                swirl: None,
            };
        };
        let met = exhaust.face(&plate.zones, flow, fan_pressure);
        let on_reference = (self.reference_area / self.stream_area(plate)).powi(2);
        let lost_suction = met.lost_suction / self.dynamic_pressure(flow);
        Face {
            loss_coefficient: on_reference * (met.face.loss_coefficient + plate.area_change)
                + lost_suction,
            zone_velocities: met.face.zone_velocities,
            swirl: Some((met.circulation, lost_suction)),
        }
    }

    /// Area on which the air comes, m²: behind a fan that through which it leaves, else the reference area.
    pub(super) fn stream_area(&self, plate: &Plate<'_>) -> f64 {
        let behind_fan = plate.exhaust.as_ref();
        behind_fan.map_or(self.reference_area, |exhaust| exhaust.exhaust.exit.area())
    }
}

impl Drive<'_> {
    /// Static pressure of the fan at a flow; `None` where only a flow is given.
    pub(super) fn pressure(&self, flow: f64) -> Option<f64> {
        match self {
            Self::Fan(fan) => Some(fan.pressure(flow)),
            Self::Flow(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::fan::{ExitProfile, FanExit, SwirlSource};
    use crate::ranking::exhaust::{Exhaust, ExhaustPoint, ZoneExhaust};

    fn zone(area: f64, viscous: f64, inertial: f64) -> ZoneResistance {
        ZoneResistance {
            area,
            viscous,
            inertial,
            cover_viscous: 0.0,
            cover_inertial: 0.0,
        }
    }

    fn plate(inertial: f64) -> Plate<'static> {
        Plate {
            zones: vec![zone(0.01, 0.0, inertial)],
            area_change: 0.0,
            series: InSeries::default(),
            exhaust: None,
        }
    }

    fn way(place_loss: f64) -> Way<'static> {
        Way {
            density: 1.25,
            reference_area: 0.01,
            place_loss,
            shared: None,
        }
    }

    /// A straight fan, 20 Pa to 0.04 m³/s.
    fn straight() -> Characteristic {
        Characteristic::of_two_numbers(0.04, 20.0, 0.0)
    }

    #[test]
    fn pressures_of_case_plate_and_parts_by_hand() {
        // 0.02 m³/s through 0.01 m²: 0.5 · 1.25 · 2² = 2.5 Pa.
        let way = way(0.8);
        assert!((way.dynamic_pressure(0.02) - 2.5).abs() < 1e-12);
        assert!((way.place_pressure(0.02) - 2.0).abs() < 1e-12);
        let plate = Plate {
            area_change: 0.4,
            series: InSeries {
                viscous: 50.0,
                inertial: 5000.0,
            },
            ..plate(3.0)
        };
        // 3.4 · 2.5 + (50 + 5000 · 0.02) · 0.02 = 8.5 + 3.
        assert!((way.plate_pressure(&plate, 0.02, None) - 11.5).abs() < 1e-12);
        assert!(way.plate_pressure(&plate, 0.0, None).abs() < 1e-15);
        let answer = way.answer(Drive::Flow(0.02), &plate, None).unwrap();
        assert!((answer.pressure_drop - 8.5).abs() < 1e-12);
        assert!((answer.parts_pressure_drop - 3.0).abs() < 1e-12);
        assert!((answer.loss_coefficient - 3.4).abs() < 1e-12);
        assert!((answer.flow_percent - 100.0).abs() < 1e-12);
    }

    #[test]
    fn a_straight_fan_settles_where_a_square_says() {
        // 20 (1 - q) = k q² with q = Q/0.04, k = 10 K: K = 1 for the case alone, 3 with the plate.
        let settled = |k: f64| (-20.0 + (400.0 + 80.0 * k).sqrt()) / (2.0 * k);
        let fan = straight();
        let way = way(1.0);
        let answer = way.answer(Drive::Fan(&fan), &plate(2.0), None).unwrap();
        let (bare, with_plate) = (settled(10.0), settled(30.0));
        assert!((answer.flow - 0.04 * with_plate).abs() < 1e-12);
        assert!((answer.flow_percent - 100.0 * with_plate / bare).abs() < 1e-9);
        assert!((answer.pressure_drop - 20.0 * with_plate * with_plate).abs() < 1e-9);
    }

    #[test]
    fn a_fan_that_turns_faster_by_the_fan_laws() {
        // To move its free flow through a plate that takes c · 20 Pa there, n² 20 (1 - 1/n) = c · 20: n = (1 + √(1 + 4c))/2. At free flow K takes 10 K Pa.
        let fan = straight();
        let ratio = |inertial: f64| way(0.0).speed_ratio(&fan, &plate(inertial), 0.04);
        assert!((ratio(4.0).unwrap() - 2.0).abs() < 1e-9);
        assert!((ratio(1.5).unwrap() - 0.5 * (1.0 + 2.0)).abs() < 1e-9);
        assert!((ratio(0.0).unwrap() - 1.0).abs() < 1e-12);
        // c = 6 is three times as fast, and more than that is another fan.
        assert!(ratio(11.9).is_some() && ratio(12.1).is_none());
        // Against a case that takes half of it the plate's part is the other half.
        let shared = way(2.0).speed_ratio(&fan, &plate(2.0), 0.04);
        assert!((shared.unwrap() - 2.0).abs() < 1e-9);
    }

    #[test]
    fn only_a_fan_has_a_pressure() {
        let fan = straight();
        let pressure = Drive::Fan(&fan).pressure(0.01).unwrap();
        assert!((pressure - 15.0).abs() < 1e-12);
        assert_eq!(Drive::Flow(0.01).pressure(0.01), None);
    }

    #[test]
    fn behind_a_fan_the_loss_on_the_reference_area_by_hand() {
        // The tangent 0.5 at the median radius is the strength 0.5: the third point. The air leaves through half of the reference area.
        let radius = 0.002_f64.sqrt();
        let source = SwirlSource::Given {
            tangent: 0.5,
            radius,
        };
        let exit = FanExit::new(1.25, 0.02, 0.06, &ExitProfile::Uniform, source);
        let area = exit.area();
        let point = |loss_factor: f64, lost_suction: f64| ExhaustPoint {
            loss_factor,
            least_loss: 0.0,
            lost_suction,
        };
        let exhaust = Exhaust {
            exit,
            zones: vec![ZoneExhaust {
                step: 0.25,
                points: vec![
                    point(1.0, 0.0),
                    point(1.1, 0.02),
                    point(1.3, 0.06),
                    point(1.6, 0.1),
                ],
            }],
            suction_half_width: 0.2,
            extremes: None,
        };
        let plate = Plate {
            zones: vec![zone(area, 0.6, 1.8)],
            area_change: 0.05,
            series: InSeries::default(),
            exhaust: Some(MovedExhaust {
                exhaust: &exhaust,
                circulation_factor: 1.0,
                suction_factor: 1.0,
                is_lossless: false,
            }),
        };
        let way = Way {
            reference_area: 2.0 * area,
            ..way(0.0)
        };
        assert!((way.stream_area(&plate) - area).abs() < 1e-15);
        // At 3 m/s 1.3 (0.6/3 + 1.8) + 0.05 = 2.65, the lost suction 0.06; both on half the velocity.
        let face = way.face(&plate, 3.0 * area, None);
        assert!((face.loss_coefficient - 4.0 * (2.65 + 0.06)).abs() < 1e-9);
        let (circulation, lost_suction) = face.swirl.unwrap();
        assert!((circulation - 0.5 * radius * 3.0).abs() < 1e-12);
        assert!((lost_suction - 0.24).abs() < 1e-9);
        assert!((face.zone_velocities[0] - 3.0).abs() < 1e-9);
    }
}
