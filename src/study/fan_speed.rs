//! `speed_rpm` and `running_rpm`: at which speed the fan's figures hold, and at which it runs.

use crate::fan::Supply;
use crate::study::fault::FaultKind;
use crate::study::file::FanTable;
use crate::study::findings::Findings;
use crate::study::limits;
use crate::units::CUBIC_METRES_PER_HOUR;

/// Speeds in revolutions per minute.
pub(super) struct Speeds {
    /// At which the figures hold, if known.
    given: Option<f64>,
    /// At which the fan runs, if it is another one.
    running: Option<f64>,
}

/// Checks both speeds. `None` only after a fault.
pub(super) fn resolve(findings: &mut Findings<'_>, fan: &FanTable) -> Option<Speeds> {
    let given = match &fan.speed_rpm {
        Some(speed) => Some(findings.number("speed_rpm", speed, &limits::SPEED_RPM)?),
        None => None,
    };
    let Some(written) = &fan.running_rpm else {
        let running = None;
        return Some(Speeds { given, running });
    };
    let has_flow = fan.given_flow_m3_per_h.is_some() || fan.given_flow_cfm.is_some();
    for (is_absent, needed) in [(given.is_none(), "speed_rpm"), (has_flow, "a fan curve")] {
        if is_absent {
            let key = "running_rpm";
            findings.report(&written.span(), FaultKind::MeansNothing { key, needed });
        }
    }
    let running = findings.number("running_rpm", written, &limits::RUNNING_RPM)?;
    if let Some(given) = given
        && !(given / limits::MOST_SPEED_RATIO..=given * limits::MOST_SPEED_RATIO).contains(&running)
    {
        let kind = FaultKind::SpeedFarOff { running, given };
        findings.report(&written.span(), kind);
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
