//! A PC case with fans on both sides: its pressure follows from the balance of all that comes in and goes out.

use crate::fan::Characteristic;

/// Points of the table of a shared case over the flow.
const POINTS: usize = 1000;

/// Largest flow of the table, over the free flow of the fan itself: other fans may push air through it.
pub(super) const REACH: f64 = 2.0;

/// Steps of each bisection.
const HALVINGS: usize = 48;

/// Flows of another fan that are tried from its free flow downwards, so that a dip in its curve is seen.
const SCAN: u32 = 64;

/// A PC case whose openings let air in or out by its pressure, with other fans in its walls.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedCase {
    /// Equal fans, each with a grille, of which the ranked one is the first.
    pub fan_count: u32,
    /// Pressure that its openings and gaps take, `Δp = κ Q²`, Pa s²/m⁶; above zero.
    pub openings: f64,
    /// The other fans.
    pub others: Vec<OtherFans>,
}

/// Equal fans elsewhere in the same PC case.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherFans {
    /// Their curve.
    pub characteristic: Characteristic,
    /// How many there are.
    pub count: u32,
    /// Whether they blow the same way as the ranked fan: in beside an intake fan, out beside an exhaust fan.
    pub is_same_way: bool,
    /// Pressure that what stands in their way takes, `Δp = κ Q²` of one of them, Pa s²/m⁶.
    pub in_their_way: f64,
}

impl OtherFans {
    /// Flow of all of them, m³/s, against this pressure (Pa): the largest at which one holds out. A fan never runs backwards here, nor beyond its free flow.
    fn flow(&self, against: f64) -> f64 {
        let most = self.characteristic.largest_flow();
        let excess = |flow: f64| {
            self.characteristic.pressure(flow) - self.in_their_way * flow * flow - against
        };
        let step = most / f64::from(SCAN);
        let held = (0..=SCAN)
            .rev()
            .find(|&index| excess(step * f64::from(index)) >= 0.0);
        let Some(held) = held else {
            return 0.0;
        };
        let (mut low, mut high) = (step * f64::from(held), step * f64::from(held + 1));
        if held == SCAN {
            high = low;
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if excess(middle) >= 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::from(self.count) * low
    }
}

impl SharedCase {
    /// Pressure that a fan works against at each flow, as a table up to `largest_flow` (m³/s).
    ///
    /// ```text
    /// n Q + Σ Q_same(p) - Σ Q_other(-p) = sign(p) √(|p|/κ)     p: pressure against the ranked fan and those that blow its way
    /// ```
    ///
    /// Source: conservation of mass for a case in which the pressure is the same everywhere.
    pub(super) fn tabled(&self, largest_flow: f64) -> PlaceCurve {
        let step = largest_flow / POINTS as f64;
        let pressures = (0..=POINTS).map(|index| self.pressure(step * index as f64));
        PlaceCurve {
            step,
            pressures: pressures.collect(),
        }
    }

    /// What comes in the ranked fan's way less what leaves through openings, m³/s: falls with the pressure.
    fn surplus(&self, own: f64, pressure: f64) -> f64 {
        let others: f64 = self
            .others
            .iter()
            .map(|fans| {
                if fans.is_same_way {
                    fans.flow(pressure)
                } else {
                    -fans.flow(-pressure)
                }
            })
            .sum();
        own + others - pressure.signum() * (pressure.abs() / self.openings).sqrt()
    }

    fn pressure(&self, flow: f64) -> f64 {
        let own = f64::from(self.fan_count) * flow;
        // No fan can do more than its free flow, so neither can the openings.
        let free = |fans: &OtherFans| f64::from(fans.count) * fans.characteristic.largest_flow();
        let most = own + self.others.iter().map(free).sum::<f64>();
        let (mut low, mut high) = (-self.openings * most * most, self.openings * most * most);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.surplus(own, middle) > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}

/// Pressure over the flow of one fan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlaceCurve {
    step: f64,
    pressures: Vec<f64>,
}

impl PlaceCurve {
    /// Pa at a flow in m³/s; beyond the table as at its end.
    pub(super) fn pressure(&self, flow: f64) -> f64 {
        let last = self.pressures.len() - 1;
        let place = (flow / self.step).clamp(0.0, last as f64);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in the table"
        )]
        let left = (place as usize).min(last - 1);
        let part = place - left as f64;
        self.pressures[left] + part * (self.pressures[left + 1] - self.pressures[left])
    }
}
