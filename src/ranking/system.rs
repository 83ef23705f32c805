//! One grille in front of one fan: everything that is asked for, solved at the operating point.

use crate::fan::{Characteristic, NoOperatingPoint, OperatingPoints, operating_points};
use crate::ranking::division::{ZoneResistance, divide};

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
pub(super) struct Way {
    /// Air density, kg/m³.
    pub(super) density: f64,
    /// Reference area, m².
    pub(super) reference_area: f64,
    /// K of the PC case on the reference area.
    pub(super) place_loss: f64,
}

/// A grille as one solution sees it.
#[derive(Debug, Clone)]
pub(super) struct Plate {
    /// Zones side by side.
    pub(super) zones: Vec<ZoneResistance>,
    /// What the change of area adds to K on the reference area, beyond momentum.
    pub(super) area_change: f64,
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
}

impl Answer {
    /// Every number of two answers put together by `join`.
    pub(super) fn joined(self, other: Self, join: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            flow: join(self.flow, other.flow),
            flow_percent: join(self.flow_percent, other.flow_percent),
            pressure_drop: join(self.pressure_drop, other.pressure_drop),
            loss_coefficient: join(self.loss_coefficient, other.loss_coefficient),
        }
    }
}

impl Way {
    /// ½ρU², Pa, at a flow in m³/s, on the reference area.
    fn dynamic_pressure(&self, flow: f64) -> f64 {
        let velocity = flow / self.reference_area;
        0.5 * self.density * velocity * velocity
    }

    /// Where a fan settles with the PC case alone.
    pub(super) fn bare(&self, fan: &Characteristic) -> Result<OperatingPoints, NoOperatingPoint> {
        operating_points(fan, |flow| self.place_loss * self.dynamic_pressure(flow))
    }

    /// Where a fan settles with a grille.
    pub(super) fn with_plate(
        &self,
        fan: &Characteristic,
        plate: &Plate,
    ) -> Result<OperatingPoints, NoOperatingPoint> {
        operating_points(fan, |flow| {
            (self.place_loss + self.plate_loss(plate, flow)) * self.dynamic_pressure(flow)
        })
    }

    /// Everything that is asked for. Where the fan could settle at several flows, the one nearest to `near` counts, or the main
    /// one without it.
    pub(super) fn answer(
        &self,
        drive: Drive<'_>,
        plate: &Plate,
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
        let loss_coefficient = self.plate_loss(plate, flow);
        Ok(Answer {
            flow,
            flow_percent,
            pressure_drop: loss_coefficient * self.dynamic_pressure(flow),
            loss_coefficient,
        })
    }

    /// K of a grille on the reference area at a flow in m³/s. The pressure at no flow is asked for too, where K times U² is zero.
    fn plate_loss(&self, plate: &Plate, flow: f64) -> f64 {
        if flow <= 0.0 {
            return 0.0;
        }
        divide(&plate.zones, flow, self.reference_area).loss_coefficient + plate.area_change
    }
}
