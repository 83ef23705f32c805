//! `speed_rpm` and `running_rpm`: at which speed the fan's figures hold, and at which it runs.

use crate::fan::Supply;
use crate::study::diagnostics::Diagnostics;
use crate::study::fan_table::has_given_flow;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Unit};
use crate::study::table::Table;
use crate::units::CUBIC_METRES_PER_HOUR;

pub(super) const SPEED: Key = Key::number("speed_rpm", Unit::RPM, 10.0, 100_000.0)
    .hint("give the speed in rpm at which the curve was measured");
pub(super) const RUNNING: Key = Key::number("running_rpm", Unit::RPM, 10.0, 100_000.0)
    .hint("give the speed in rpm at which the fan runs in your PC case");

/// Largest ratio between the speed at which a fan runs and that at which its figures hold: beyond it fan laws are a guess.
pub(super) const MOST_SPEED_RATIO: f64 = 3.0;

/// Speeds in revolutions per minute.
pub(super) struct Speeds {
    /// At which the figures hold, if known.
    given: Option<f64>,
    /// At which the fan runs, if it is another one.
    running: Option<f64>,
}

/// Checks both speeds. `None` only after a fault.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, fan: &Table<'_>) -> Option<Speeds> {
    let given = fan
        .number_if_there(diagnostics, &SPEED)
        .map(|speed| speed.written);
    if fan.has(&SPEED) {
        given?;
    }
    let Some(span) = fan.span_of(&RUNNING) else {
        let running = None;
        return Some(Speeds { given, running });
    };
    for (is_absent, needed) in [
        (given.is_none(), SPEED.name),
        (has_given_flow(fan), "a fan curve"),
    ] {
        if is_absent {
            let key = RUNNING.name;
            diagnostics.report(&span, FaultKind::MeansNothing { key, needed });
        }
    }
    let running = fan.number(diagnostics, &RUNNING)?.written;
    if let Some(given) = given
        && !(given / MOST_SPEED_RATIO..=given * MOST_SPEED_RATIO).contains(&running)
    {
        diagnostics.report(&span, FaultKind::SpeedFarOff { running, given });
        return None;
    }
    Some(Speeds {
        given,
        running: Some(running),
    })
}

impl Speeds {
    /// Speed at which the fan runs, 1/s.
    pub(super) fn per_second(&self) -> Option<f64> {
        self.running.or(self.given).map(|speed| speed / 60.0)
    }

    /// What the fan delivers at the speed at which it runs: flow goes with the speed, pressure with its square (fan laws, for the same fan and density).
    ///
    /// # References
    /// Textbook similarity laws of fans (quoted from memory).
    pub(super) fn apply(&self, supply: Supply) -> Supply {
        let (Some(given), Some(running)) = (self.given, self.running) else {
            return supply;
        };
        let ratio = running / given;
        // Such that a number in m³/h gives it exactly: the resolved copy then reads back bit by bit.
        let flow = |flow: f64| (flow * ratio * CUBIC_METRES_PER_HOUR) / CUBIC_METRES_PER_HOUR;
        match supply {
            Supply::Curve(curve) => {
                let mut scaled = curve.at_speed_ratio(ratio);
                for (scaled, given) in scaled.flow.iter_mut().zip(&curve.flow) {
                    *scaled = flow(*given);
                }
                Supply::Curve(scaled)
            }
            Supply::TwoNumbers {
                free_flow,
                shut_off_pressure,
            } => Supply::TwoNumbers {
                free_flow: flow(free_flow),
                shut_off_pressure: ratio * ratio * shut_off_pressure,
            },
            Supply::GivenFlow(flow) => Supply::GivenFlow(flow),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_speed_is_half_the_flow_and_a_quarter_of_the_pressure() {
        let speeds = Speeds {
            given: Some(1500.0),
            running: Some(750.0),
        };
        let supply = Supply::TwoNumbers {
            free_flow: 0.04,
            shut_off_pressure: 32.0,
        };
        let Supply::TwoNumbers {
            free_flow,
            shut_off_pressure,
        } = speeds.apply(supply)
        else {
            panic!("the kind stays");
        };
        assert!((free_flow - 0.02).abs() < 1e-15);
        assert!((shut_off_pressure - 8.0).abs() < 1e-15);
        assert_eq!(speeds.per_second(), Some(12.5));
    }
}
