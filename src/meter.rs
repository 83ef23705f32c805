//! What a hobby vane meter (anemometer) shows in air that turns.
//!
//! Common practice, no source: the relation below is derived here from a free wheel, and is no calibration of any meter.
//!
//! ```text
//! A wheel without friction turns so fast that the air does not push its blades: seen from a blade, air and blade run in line.
//!    w r - u_phi = u_x tan(b)      w: angular speed;  u_x, u_phi: the air along the wheel's axis and around it, positive as the wheel turns
//!                                  b: angle between blade and axis
//! In straight air of speed u that is w r = u tan(b), by which the meter was set. In turning air it shows, mean over the wheel's area,
//!    reading = < u_x + u_phi / tan(b) >
//! ```
//!
//! So a wheel that turns with the swirl shows too much, one that turns against it too little.

use std::f64::consts::{PI, TAU};

/// Rings and spokes by which the mean over the wheel is taken.
const RINGS: u32 = 40;
const SPOKES: u32 = 72;

/// Angle between blade and axis where it is not known, degrees. Judgement.
pub const BLADE_ANGLE_DEG: f64 = 45.0;

/// A vane meter behind a grille.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// Diameter of the wheel, m.
    pub head_diameter: f64,
    /// Distance of its axis from the fan's, m.
    pub position: f64,
    /// Distance behind the outside of the grille, m.
    pub distance: f64,
    /// Angle between its blades and its axis, radians.
    pub blade_angle: f64,
    /// Which way it turns; `None` when that is not known.
    pub hand: Option<WheelHand>,
}

/// Which way a wheel turns in straight air, beside the fan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WheelHand {
    /// As the fan does.
    With,
    /// Against the fan.
    Against,
}

/// What a meter is expected to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeterReading {
    /// Mean air speed along the axis through the wheel's circle, m/s: what a perfect meter would show there.
    pub air_speed: f64,
    /// Reading, m/s, of a wheel that turns with the fan, and against it; equal when the hand is known. Not below zero.
    pub with_and_against: [f64; 2],
}

impl MeterReading {
    /// The lower and the higher of the two readings, m/s.
    pub fn range(&self) -> (f64, f64) {
        let [a, b] = self.with_and_against;
        (a.min(b), a.max(b))
    }
}

impl Meter {
    /// The expected reading in air that moves along the fan's axis by `axial` and around it by `swirl`, both m/s at a radius in m.
    pub fn reading(&self, axial: impl Fn(f64) -> f64, swirl: impl Fn(f64) -> f64) -> MeterReading {
        let wheel = 0.5 * self.head_diameter;
        let (mut along, mut around, mut area) = (0.0, 0.0, 0.0);
        for ring in 0..RINGS {
            let arm = wheel * (f64::from(ring) + 0.5) / f64::from(RINGS);
            for spoke in 0..SPOKES {
                let angle = TAU * (f64::from(spoke) + 0.5) / f64::from(SPOKES);
                let x = self.position + arm * angle.cos();
                let radius = x.hypot(arm * angle.sin());
                // What of the swirl about the fan's axis runs around the wheel's own.
                let share = (arm + self.position * angle.cos()) / radius.max(1e-9);
                along += arm * axial(radius);
                around += arm * swirl(radius) * share;
                area += arm;
            }
        }
        let (air_speed, around) = (along / area, around / area);
        let bias = around / self.blade_angle.tan();
        let with = (air_speed + bias).max(0.0);
        let against = (air_speed - bias).max(0.0);
        MeterReading {
            air_speed,
            with_and_against: match self.hand {
                None => [with, against],
                Some(WheelHand::With) => [with; 2],
                Some(WheelHand::Against) => [against; 2],
            },
        }
    }

    /// Flow that runs back through the wheel's circle over that which runs forward, of air that moves along the fan's axis by `axial`, m/s at a radius in m; infinite where nothing runs forward.
    pub fn back_flow_share(&self, axial: impl Fn(f64) -> f64) -> f64 {
        let back = self.reading(|radius| (-axial(radius)).max(0.0), |_| 0.0);
        let forward = self.reading(|radius| axial(radius).max(0.0), |_| 0.0);
        back.air_speed / forward.air_speed
    }
}

/// How much of a stream has mixed over the whole bore at a distance behind it: nothing at the fan, two thirds after one diameter of the bore.
///
/// ```text
/// 1 - exp(-x / D)
/// ```
///
/// Judgement: the wake of a hub and a ring-shaped jet close within a diameter or two.
pub fn mixed_share(distance: f64, bore_diameter: f64) -> f64 {
    1.0 - (-distance / bore_diameter).exp()
}

/// Angular speed, rad/s, of air that turns as a solid over a bore and carries this flux of angular momentum (N m) in an even stream (flow in m³/s).
///
/// ```text
/// L = rho Q W R^2 / 2
/// ```
pub fn solid_turning(angular_momentum: f64, density: f64, flow: f64, bore_diameter: f64) -> f64 {
    let radius = 0.5 * bore_diameter;
    2.0 * angular_momentum / (density * flow * radius * radius)
}

/// Flux of angular momentum of a stream, N m.
///
/// ```text
/// L = ∫ rho u_x u_theta r 2 pi r dr
/// ```
pub fn angular_momentum(
    density: f64,
    outer: f64,
    axial: impl Fn(f64) -> f64,
    swirl: impl Fn(f64) -> f64,
) -> f64 {
    let pieces = 400;
    let step = outer / f64::from(pieces);
    let ring = |piece: i32| {
        let r = step * (f64::from(piece) + 0.5);
        axial(r) * swirl(r) * r * r
    };
    2.0 * PI * density * step * (0..pieces).map(ring).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(position: f64, hand: Option<WheelHand>) -> Meter {
        Meter {
            head_diameter: 0.066,
            position,
            distance: 0.05,
            blade_angle: 45_f64.to_radians(),
            hand,
        }
    }

    #[test]
    fn straight_air_is_shown_as_it_is() {
        let seen = meter(0.02, None).reading(|_| 2.5, |_| 0.0);
        assert!((seen.air_speed - 2.5).abs() < 1e-12);
        assert!(
            seen.with_and_against
                .iter()
                .all(|shown| (shown - 2.5).abs() < 1e-12)
        );
    }

    #[test]
    fn solid_turning_biases_by_two_thirds_of_the_rim_wherever_the_head_stands() {
        // Closed form: the mean of W r over a disc of radius a is 2/3 W a, and in solid turning the axis does not matter.
        for position in [0.0, 0.03] {
            let seen = meter(position, None).reading(|_| 3.0, |r| 10.0 * r);
            let bias = 2.0 / 3.0 * 10.0 * 0.033;
            assert!((seen.with_and_against[0] - 3.0 - bias).abs() < 1e-3 * bias);
            assert!((seen.with_and_against[1] - 3.0 + bias).abs() < 1e-3 * bias);
        }
    }

    #[test]
    fn blades_near_the_axis_are_driven_most_by_air_that_turns() {
        // Half an equilateral triangle: blades at 60 degrees to the axis see 1/√3 of what blades at 45 see of the turning, those at 30 degrees √3 times as much.
        let bias = |degrees: f64| {
            let meter = Meter {
                blade_angle: degrees.to_radians(),
                ..meter(0.0, None)
            };
            meter.reading(|_| 3.0, |r| 10.0 * r).with_and_against[0] - 3.0
        };
        let straight = bias(45.0);
        assert!((bias(60.0) / straight - 1.0 / 3_f64.sqrt()).abs() < 1e-9);
        assert!((bias(30.0) / straight - 3_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_free_vortex_beside_the_head_has_no_say() {
        // Closed form: a circle that does not hold the axis of a free vortex has no circulation.
        let seen = meter(0.06, None).reading(|_| 3.0, |r| 0.1 / r);
        assert!((seen.with_and_against[0] - 3.0).abs() < 0.01);
        let around_it = meter(0.0, None).reading(|_| 3.0, |r| 0.1 / r);
        // Mean of C/r over a disc: 2 C / a.
        let bias = 2.0 * 0.1 / 0.033;
        assert!((around_it.with_and_against[0] - 3.0 - bias).abs() < 0.01 * bias);
    }

    #[test]
    fn air_that_runs_back_takes_its_part_of_the_wheel() {
        // Closed forms: a core of 22 mm in a wheel of 33 mm on the axis; a core that ends where the wheel begins.
        let core = |radius: f64| if radius < 0.022 { -0.5 } else { 3.0 };
        let share = meter(0.0, None).back_flow_share(core);
        let area = (22.0_f64 / 33.0).powi(2);
        let expected = 0.5 * area / (3.0 * (1.0 - area));
        assert!((share / expected - 1.0).abs() < 0.1, "{share} {expected}");
        assert!(meter(0.056, None).back_flow_share(core).abs() < 1e-12);
    }

    #[test]
    fn a_known_hand_leaves_one_reading_and_none_is_negative() {
        let seen = meter(0.0, Some(WheelHand::Against)).reading(|_| 1.0, |r| 200.0 * r);
        assert_eq!(seen.range(), (0.0, 0.0));
        let seen = meter(0.0, Some(WheelHand::With)).reading(|_| 1.0, |r| 20.0 * r);
        assert!(seen.range().0 > 1.3 && (seen.range().0 - seen.range().1).abs() < 1e-12);
    }

    #[test]
    fn solid_turning_carries_the_angular_momentum_that_it_was_made_from() {
        let (flow, bore) = (0.03, 0.12);
        let speed = flow / (PI * 0.06 * 0.06);
        let turning = solid_turning(2e-4, 1.2, flow, bore);
        let carried = angular_momentum(1.2, 0.06, |_| speed, |r| turning * r);
        assert!((carried / 2e-4 - 1.0).abs() < 1e-4);
        assert!(mixed_share(0.0, bore).abs() < 1e-12 && mixed_share(1.0, bore) < 1.0);
    }
}
