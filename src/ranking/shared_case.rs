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

#[cfg(test)]
mod tests {
    use super::*;

    /// Others with a straight curve from 20 Pa to 0.04 m³/s, two of them.
    fn pair(is_same_way: bool, in_their_way: f64) -> OtherFans {
        OtherFans {
            characteristic: Characteristic::of_two_numbers(0.04, 20.0, 0.0),
            count: 2,
            is_same_way,
            in_their_way,
        }
    }

    fn case(openings: f64, others: Vec<OtherFans>) -> SharedCase {
        SharedCase {
            fan_count: 3,
            openings,
            others,
        }
    }

    #[test]
    fn other_fans_hold_out_where_their_curve_says() {
        // 20 (1 - Q/0.04) = p: half the flow at 10 Pa, nothing from 20 Pa on, and never more than free flow.
        let free = pair(true, 0.0);
        assert!((free.flow(10.0) - 2.0 * 0.02).abs() < 1e-12);
        assert!((free.flow(0.0) - 2.0 * 0.04).abs() < 1e-12);
        assert!((free.flow(-5.0) - 2.0 * 0.04).abs() < 1e-12);
        assert!(free.flow(20.5).abs() < 1e-12);
        // With a grille of its own that takes 12 500 Q²: 20 - 500 Q - 12 500 Q² = 5 at Q = 0.02.
        assert!((pair(true, 12_500.0).flow(5.0) - 2.0 * 0.02).abs() < 1e-12);
    }

    #[test]
    fn of_several_flows_at_which_a_fan_holds_out_the_largest_counts() {
        // A dip at 0.01 m³/s below the hump at 0.02: 20 Pa are met on the way down to the dip, up the hump and behind it.
        let curve = crate::fan::FanCurve {
            flow: vec![0.0, 0.01, 0.02, 0.03],
            pressure: vec![30.0, 15.0, 25.0, 0.0],
        };
        let characteristic = Characteristic::through(&curve);
        let others = OtherFans {
            characteristic: characteristic.clone(),
            count: 1,
            ..pair(true, 0.0)
        };
        let flow = others.flow(20.0);
        assert!(flow > 0.02 && (characteristic.pressure(flow) - 20.0).abs() < 1e-6);
    }

    #[test]
    fn what_comes_in_goes_out_through_the_openings() {
        // Three fans of 0.02 m³/s alone: 2000 · 0.06² = 7.2 Pa.
        let alone = case(2000.0, Vec::new());
        assert!((alone.pressure(0.02) - 7.2).abs() < 1e-9);
        // Others that blow the same way make half their free flow at 10 Pa: 0.06 + 2 · 0.02 = 0.1 m³/s, so κ = 10 / 0.1².
        let with_others = case(1000.0, vec![pair(true, 0.0)]);
        assert!((with_others.pressure(0.02) - 10.0).abs() < 1e-9);
    }

    #[test]
    fn fans_that_blow_out_draw_air_in_through_the_openings() {
        // Two others take 2 · 0.03 = 0.06 m³/s out against 5 Pa; 3 · 0.01 come in through the fans, 0.03 through the openings: κ = 5 / 0.03².
        let sucked = case(5.0 / 9e-4, vec![pair(false, 0.0)]);
        assert!((sucked.pressure(0.01) + 5.0).abs() < 1e-9);
        // As much in as out: 3 · 0.08/3 against their free flow leaves nothing for the openings.
        assert!(sucked.pressure(0.08 / 3.0).abs() < 1e-6);
    }

    #[test]
    fn the_table_follows_the_balance_and_is_held_at_its_end() {
        let table = case(2000.0, Vec::new()).tabled(0.05);
        // 2000 (3 Q)²; between two of 1001 points a straight line lies above it by an eighth of 36 000 · 0.00005².
        for flow in [0.0, 0.012_345, 0.025, 0.049_99] {
            let expected = 18_000.0 * flow * flow;
            let seen = table.pressure(flow);
            assert!(
                seen > expected - 1e-9 && seen < expected + 1.2e-5,
                "{seen} {expected}"
            );
        }
        let end = table.pressure(0.05);
        assert!((end - 45.0).abs() < 1e-9 && (table.pressure(0.07) - end).abs() < 1e-12);
    }
}
