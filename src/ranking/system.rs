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
