//! What is believed of a fan's curve, and between which bounds.

use crate::fan::{Characteristic, Supply};

/// Roundness of the members that stand for the band, besides the believed one.
const MEMBERS: [f64; 4] = [0.0, 0.25, 0.75, 1.0];

/// A fan's curve as it is believed to be, and others that it may have (95 %).
#[derive(Debug, Clone, PartialEq)]
pub struct FanBand {
    /// The curve that is believed in.
    pub central: Characteristic,
    /// Other curves of the band, from one end to the other, ends included; none when the curve itself was given.
    /// Those within are there because what is asked for need not be largest at an end: the flow in per cent of the bare fan
    /// is not, in a tight PC case.
    pub members: Vec<Characteristic>,
}

impl Supply {
    /// The fan's curve and its band; `None` when a flow was given instead of a fan.
    ///
    /// A curve that was given point by point is taken as it stands.
    /// The two numbers on the box leave the shape open. It is taken from this family:
    ///
    /// ```text
    /// p / p0 = 1 - (1 - w) Q/Q0 - w (Q/Q0)^2     w = 0: straight line;  w = 1: parabola;  believed: w = 0.5
    /// ```
    ///
    /// # Validity
    /// The family is an assumption, not a measurement: axial fans between free flow and stall lie in it as a rule (from
    /// memory). A dip where the blades stall, usually between 30 and 60 % of free flow, may lie below it.
    /// Makers' two numbers neither of them occur in use, and tend to flatter.
    pub fn band(&self) -> Option<FanBand> {
        match self {
            Self::Curve(curve) => Some(FanBand {
                central: Characteristic::through(curve),
                members: Vec::new(),
            }),
            Self::TwoNumbers {
                free_flow,
                shut_off_pressure,
            } => {
                let member = |roundness| {
                    Characteristic::of_two_numbers(*free_flow, *shut_off_pressure, roundness)
                };
                Some(FanBand {
                    central: member(0.5),
                    members: MEMBERS.map(member).to_vec(),
                })
            }
            Self::GivenFlow(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_believed_member_lies_between_the_ends() {
        let supply = Supply::TwoNumbers {
            free_flow: 0.03,
            shut_off_pressure: 18.0,
        };
        let band = supply.band().unwrap();
        let (straight, parabola) = (&band.members[0], &band.members[3]);
        for step in 1..20 {
            let flow = 0.0015 * f64::from(step);
            assert!(straight.pressure(flow) < band.central.pressure(flow));
            assert!(band.central.pressure(flow) < parabola.pressure(flow));
        }
    }

    #[test]
    fn a_given_flow_has_no_curve() {
        assert!(Supply::GivenFlow(0.02).band().is_none());
    }
}
