//! What pressure a fan makes at every flow: a smooth curve through its points.

use crate::fan::FanCurve;
use crate::likely::Warning;

/// A curve that would go on for less than this part of its flow ends without pressure already.
const NEGLIGIBLE_CONTINUATION: f64 = 1e-9;

/// Static pressure of a fan at every flow: cubic pieces between knots.
#[derive(Debug, Clone, PartialEq)]
pub struct Characteristic {
    /// Flows of the knots, m³/s, strictly rising, from 0.
    flow: Vec<f64>,
    /// Pressures at the knots, Pa.
    pressure: Vec<f64>,
    /// Slopes at the knots, Pa s/m³: behind each knot, and in front of the next.
    slope: Vec<(f64, f64)>,
    /// Flows between which the curve was given, m³/s; the rest is continued.
    given_range: (f64, f64),
}

impl Characteristic {
    /// A smooth curve through the points of a fan curve.
    ///
    /// Between two points it never leaves the range of their pressures (monotone piecewise cubic interpolation), so dips and
    /// humps of the points stay, and no new ones appear.
    /// Below the first point the pressure stays as it is there.
    /// Beyond the last point the curve goes on in a straight line down to no pressure, as steep as the curve ends or as the line
    /// through its last two points, whichever is steeper; if it ends flat or rising, it ends there.
    ///
    /// # Panics
    /// If the curve has fewer than two points: [`FanCurve::from_points`] and [`FanCurve::from_csv`] give none such.
    ///
    /// # References
    /// F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238: the condition of monotony.
    /// F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300: slope at inner points, a weighted harmonic mean.
    /// Ends: one-sided three-point formula, limited (as in C. Moler, Numerical Computing with MATLAB, 2004, section 3.6).
    pub fn through(curve: &FanCurve) -> Self {
        assert!(
            curve.flow.len() >= 2 && curve.flow.len() == curve.pressure.len(),
            "a fan curve has at least two points"
        );
        // Further points without pressure say nothing: the air ends at the first of them.
        let idle = curve
            .pressure
            .iter()
            .rev()
            .take_while(|p| **p <= 0.0)
            .count();
        let kept = (curve.flow.len() + 1 - idle.max(1)).max(2);
        let curve = FanCurve {
            flow: curve.flow[..kept].to_vec(),
            pressure: curve.pressure[..kept].to_vec(),
        };
        let given = (curve.flow[0], curve.flow[kept - 1]);
        let slopes = monotone_slopes(&curve.flow, &curve.pressure);
        let mut made = Self {
            flow: curve.flow.clone(),
            pressure: curve.pressure.clone(),
            slope: slopes.windows(2).map(|pair| (pair[0], pair[1])).collect(),
            given_range: given,
        };
        if given.0 > 0.0 {
            made.flow.insert(0, 0.0);
            made.pressure.insert(0, curve.pressure[0]);
            made.slope.insert(0, (0.0, 0.0));
        }
        made.continue_to_no_pressure(slopes[slopes.len() - 1]);
        made
    }

    /// A member of the family between a straight line and a parabola: see [`crate::fan::Supply::band`].
    ///
    /// ```text
    /// p / p0 = 1 - (1 - w) q - w q^2,    q = Q / Q0,    w: roundness, 0 straight, 1 parabola
    /// ```
    pub fn of_two_numbers(free_flow: f64, shut_off_pressure: f64, roundness: f64) -> Self {
        let slope = -shut_off_pressure / free_flow;
        Self {
            flow: vec![0.0, free_flow],
            pressure: vec![shut_off_pressure, 0.0],
            slope: vec![((1.0 - roundness) * slope, (1.0 + roundness) * slope)],
            given_range: (0.0, free_flow),
        }
    }

    /// Largest flow of the curve, m³/s: where the pressure is used up, or where the points end.
    pub fn largest_flow(&self) -> f64 {
        self.flow[self.flow.len() - 1]
    }

    /// Largest pressure at any knot, Pa. No point of the curve lies above it.
    pub fn largest_pressure(&self) -> f64 {
        self.pressure.iter().fold(0.0, |most: f64, &p| most.max(p))
    }

    /// Flows of the knots, m³/s, rising.
    pub fn knots(&self) -> &[f64] {
        &self.flow
    }

    /// Static pressure, Pa, at a flow in m³/s; outside of the curve that of its end.
    pub fn pressure(&self, flow: f64) -> f64 {
        let flow = flow.clamp(0.0, self.largest_flow());
        let (left, width, at) = self.piece(flow);
        let (first, second) = self.slope[left];
        let rise = self.pressure[left + 1] - self.pressure[left];
        // Hermite's cubic, in the form that is exact at both ends.
        let (near, far) = (at, 1.0 - at);
        let bend = far * (first * width - rise) - near * (second * width - rise);
        self.pressure[left] * far + self.pressure[left + 1] * near + near * far * bend
    }

    /// Slope of the curve, Pa s/m³, at a flow in m³/s.
    pub fn slope(&self, flow: f64) -> f64 {
        let flow = flow.clamp(0.0, self.largest_flow());
        let (left, width, at) = self.piece(flow);
        let (first, second) = self.slope[left];
        let rise = self.pressure[left + 1] - self.pressure[left];
        let (near, far) = (at, 1.0 - at);
        let bend = far * (first * width - rise) - near * (second * width - rise);
        let bend_slope = -(first * width - rise) - (second * width - rise);
        (rise + (far - near) * bend + near * far * bend_slope) / width
    }

    /// The same curve drawn on in a straight line up to `flow` (m³/s), to pressures below zero: other fans blow air through this one. Unchanged if it reaches as far already.
    ///
    /// # Validity
    /// A rough guess: a fan that air is blown through works as a brake, and how hard is not on its data sheet.
    #[must_use]
    pub fn drawn_on_to(mut self, flow: f64) -> Self {
        let last = self.flow.len() - 1;
        let width = flow - self.flow[last];
        let mean = self.largest_pressure() / self.largest_flow();
        // At least as steep as the curve is in the mean, so that one that ends flat is drawn on downwards too.
        let slope = self.slope[last - 1].1.min(-mean);
        if width > 0.0 {
            self.flow.push(flow);
            self.pressure.push(self.pressure[last] + slope * width);
            self.slope.push((slope, slope));
        }
        self
    }

    /// A warning if the curve was not given at this flow but continued.
    pub fn continued_warning(&self, flow: f64) -> Option<Warning> {
        let (first, last) = self.given_range;
        let (side, end) = if flow < first {
            ("below its first", first)
        } else if flow > last * (1.0 + 1e-12) {
            ("beyond its last", last)
        } else {
            return None;
        };
        Some(Warning {
            code: "fan-curve-continued".into(),
            message: format!(
                "the fan settles at {:.1} m³/h, where its curve was continued {side} point at {:.1} m³/h",
                flow * crate::units::CUBIC_METRES_PER_HOUR,
                end * crate::units::CUBIC_METRES_PER_HOUR
            ),
            advice: "add points to the fan curve up to free flow and down to shut-off".to_owned(),
        })
    }

    /// Index of the piece that holds `flow`, its width, and where in it the flow lies, 0 to 1.
    fn piece(&self, flow: f64) -> (usize, f64, f64) {
        let above = self.flow.partition_point(|&knot| knot <= flow);
        let left = above.clamp(1, self.flow.len() - 1) - 1;
        let width = self.flow[left + 1] - self.flow[left];
        (left, width, (flow - self.flow[left]) / width)
    }

    /// Adds the straight end, if the curve falls towards it.
    fn continue_to_no_pressure(&mut self, end_slope: f64) {
        let last = self.flow.len() - 1;
        let secant = (self.pressure[last] - self.pressure[last - 1])
            / (self.flow[last] - self.flow[last - 1]);
        let slope = end_slope.min(secant);
        if self.pressure[last] > 0.0 && slope < 0.0 {
            let end = self.flow[last] - self.pressure[last] / slope;
            if end <= self.flow[last] * (1.0 + NEGLIGIBLE_CONTINUATION) {
                self.pressure[last] = 0.0; // a rest of rounding, such as of a change of units
                return;
            }
            self.flow.push(end);
            self.pressure.push(0.0);
            self.slope.push((slope, slope));
        }
    }
}

/// Slopes at the points of a monotone piecewise cubic interpolation.
fn monotone_slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let width: Vec<f64> = x.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let secant: Vec<f64> = y
        .windows(2)
        .zip(&width)
        .map(|(pair, width)| (pair[1] - pair[0]) / width)
        .collect();
    if secant.len() == 1 {
        return vec![secant[0]; 2];
    }
    let last = secant.len() - 1;
    let mut slopes = vec![end_slope(width[0], width[1], secant[0], secant[1])];
    for index in 1..=last {
        let (before, after) = (secant[index - 1], secant[index]);
        slopes.push(if before * after <= 0.0 {
            0.0
        } else {
            let first = 2.0 * width[index] + width[index - 1];
            let second = width[index] + 2.0 * width[index - 1];
            (first + second) / (first / before + second / after)
        });
    }
    slopes.push(end_slope(
        width[last],
        width[last - 1],
        secant[last],
        secant[last - 1],
    ));
    slopes
}

/// Slope at an end: three-point formula, held to the sign and to three times the secant of the end's own piece.
fn end_slope(width: f64, next_width: f64, secant: f64, next_secant: f64) -> f64 {
    let slope = ((2.0 * width + next_width) * secant - width * next_secant) / (width + next_width);
    if slope * secant <= 0.0 {
        0.0
    } else if secant * next_secant <= 0.0 && slope.abs() > 3.0 * secant.abs() {
        3.0 * secant
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(flow: &[f64], pressure: &[f64]) -> Characteristic {
        Characteristic::through(&FanCurve {
            flow: flow.to_vec(),
            pressure: pressure.to_vec(),
        })
    }

    #[test]
    fn two_points_make_a_straight_line() {
        let line = curve(&[0.0, 0.04], &[20.0, 0.0]);
        assert!((line.pressure(0.01) - 15.0).abs() < 1e-12);
        assert!((line.slope(0.03) + 500.0).abs() < 1e-9);
    }

    #[test]
    fn slope_is_the_derivative_of_pressure() {
        let bumpy = curve(
            &[0.0, 0.01, 0.02, 0.03, 0.05],
            &[20.0, 14.0, 15.0, 11.0, 0.0],
        );
        for step in 1..100 {
            let flow = 0.0005 * f64::from(step) + 1e-5;
            let numeric = (bumpy.pressure(flow + 1e-7) - bumpy.pressure(flow - 1e-7)) / 2e-7;
            assert!((bumpy.slope(flow) - numeric).abs() < 1e-2, "{flow}");
        }
    }

    #[test]
    fn a_curve_that_ends_above_no_pressure_is_continued_with_a_warning() {
        let short = curve(&[0.0, 0.01, 0.02], &[20.0, 15.0, 10.0]);
        assert!((short.largest_flow() - 0.04).abs() < 1e-12);
        assert!((short.pressure(0.03) - 5.0).abs() < 1e-9);
        assert!(short.continued_warning(0.02).is_none());
        assert_eq!(
            short.continued_warning(0.03).unwrap().code,
            "fan-curve-continued"
        );
    }

    #[test]
    fn a_curve_that_ends_rising_is_not_continued() {
        let rising = curve(&[0.0, 0.01, 0.02], &[20.0, 10.0, 12.0]);
        assert!((rising.largest_flow() - 0.02).abs() < 1e-15);
    }

    #[test]
    fn a_rest_of_rounding_at_the_end_is_no_pressure() {
        let rest = curve(&[0.0, 0.02, 0.04], &[20.0, 12.0, 1e-15]);
        assert!((rest.largest_flow() - 0.04).abs() < 1e-15);
        assert!(rest.pressure(0.04).abs() < 1e-15);
    }

    #[test]
    fn further_points_without_pressure_are_left_out() {
        let idle = curve(&[0.0, 0.02, 0.03, 0.04], &[10.0, 0.0, 0.0, 0.0]);
        assert!((idle.largest_flow() - 0.02).abs() < 1e-15);
    }

    #[test]
    fn a_curve_that_begins_late_is_held_level_with_a_warning() {
        let late = curve(&[0.01, 0.02], &[12.0, 0.0]);
        assert!((late.pressure(0.004) - 12.0).abs() < 1e-12);
        assert!(late.continued_warning(0.004).is_some());
    }

    #[test]
    fn members_of_the_two_number_family_are_exact() {
        for roundness in [0.0, 0.5, 1.0] {
            let member = Characteristic::of_two_numbers(0.05, 30.0, roundness);
            for step in 0..=20 {
                let q = f64::from(step) / 20.0;
                let exact = 30.0 * (1.0 - (1.0 - roundness) * q - roundness * q * q);
                assert!((member.pressure(0.05 * q) - exact).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_curve_is_drawn_on_as_steep_as_it_ends_or_is_in_the_mean() {
        // A straight fan, 20 Pa to 0.04 m³/s, goes on to -10 Pa at 0.06.
        let straight = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        let drawn = straight.clone().drawn_on_to(0.06);
        assert!((drawn.largest_flow() - 0.06).abs() < 1e-15);
        assert!((drawn.pressure(0.06) + 10.0).abs() < 1e-9);
        assert!((drawn.pressure(0.05) + 5.0).abs() < 1e-9);
        assert!((drawn.pressure(0.03) - 5.0).abs() < 1e-9);
        // A parabola ends twice as steep as it is in the mean: -20 Pa.
        let parabola = Characteristic::of_two_numbers(0.04, 20.0, 1.0).drawn_on_to(0.06);
        assert!((parabola.pressure(0.06) + 20.0).abs() < 1e-9);
        // One that runs out flat is drawn on by its mean.
        let flat = Characteristic::of_two_numbers(0.04, 20.0, -1.0).drawn_on_to(0.06);
        assert!((flat.pressure(0.06) + 10.0).abs() < 1e-9);
        // What reaches as far already stays as it is.
        assert_eq!(straight.clone().drawn_on_to(0.04), straight);
        assert_eq!(straight.clone().drawn_on_to(0.03), straight);
    }

    #[test]
    fn slopes_at_the_points_by_hand() {
        // Pieces of 1 and 3 with secants -4 and -1: inner slope (w1 + w2) / (w1/-4 + w2/-1), w1 = 2 · 3 + 1 = 7, w2 = 3 + 2 · 1 = 5 (Fritsch and Butland): -12/6.75.
        // Ends by three points: ((2 · 1 + 3)(-4) - 1 · (-1)) / 4 = -4.75 and ((2 · 3 + 1)(-1) - 3 · (-4)) / 4 = 1.25, of the other sign than the secant, so 0.
        let slopes = monotone_slopes(&[0.0, 1.0, 4.0], &[8.0, 4.0, 1.0]);
        let expected = [-4.75, -12.0 / 6.75, 0.0];
        for (slope, expected) in slopes.iter().zip(expected) {
            assert!((slope - expected).abs() < 1e-12, "{slopes:?}");
        }
        // Three pieces of unlike width on a straight line have its slope everywhere.
        let line = monotone_slopes(&[0.0, 1.0, 4.0, 6.0], &[9.0, 8.0, 5.0, 3.0]);
        assert!(line.iter().all(|slope| (slope + 1.0).abs() < 1e-12));
        // A dip and a hump are level.
        let wavy = monotone_slopes(&[0.0, 1.0, 2.0, 3.0], &[9.0, 4.0, 6.0, 0.0]);
        assert!(wavy[1].abs() < 1e-12 && wavy[2].abs() < 1e-12);
    }

    #[test]
    fn the_slope_at_an_end_is_held_to_three_secants_before_a_turn() {
        // Equal pieces: (3 s - n) / 2. With s = -1 and n = 4 that is -3.5, more than three times the secant; with n = 2 it is -2.5.
        assert!((end_slope(1.0, 1.0, -1.0, 4.0) + 3.0).abs() < 1e-12);
        assert!((end_slope(1.0, 1.0, -1.0, 2.0) + 2.5).abs() < 1e-12);
        // Pieces of 1 and 3: (5 s - n) / 4; a parabola through the three points has that slope.
        assert!((end_slope(1.0, 3.0, -2.0, -1.0) + 2.25).abs() < 1e-12);
        // Steep without a turn is kept.
        assert!((end_slope(1.0, 1.0, -10.0, -1.0) + 14.5).abs() < 1e-12);
    }

    #[test]
    fn a_curve_that_ends_steep_is_continued_as_steep() {
        // 20, 19 and 12 Pa at 0, 0.01 and 0.02 m³/s: the end falls by (3 · 700 - 100) / 2 = 1000 Pa s/m³, the last two points by 700. So 12 Pa last for another 0.012 m³/s.
        let steep = curve(&[0.0, 0.01, 0.02], &[20.0, 19.0, 12.0]);
        assert!((steep.largest_flow() - 0.032).abs() < 1e-12);
        // 20, 12 and 11 Pa: the end itself would be level, so the fall between the last two points counts, 100 Pa s/m³: 11 Pa last for another 0.11 m³/s.
        let gentle = curve(&[0.0, 0.01, 0.02], &[20.0, 12.0, 11.0]);
        assert!((gentle.largest_flow() - 0.13).abs() < 1e-12);
    }
}
