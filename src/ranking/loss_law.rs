//! How the loss coefficient of a patterned zone depends on the speed of the air: a curve through two or three solved points.

use crate::likely::{HALF_WIDTH_95, Warning};

/// How far beyond the solved velocities a law may be used: 20 % of the velocity.
pub const EXTRAPOLATION_LIMIT: f64 = 0.2;

/// Rise of K from the lowest to the highest solved velocity, as a part of K, from which it is doubted: below it grid and lattice velocity, which differ from point to point, may be behind it. Judgement.
const DOUBTED_RISE: f64 = 0.02;

/// A solved point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossPoint {
    /// Velocity in front of the patterned zone, m/s.
    pub velocity: f64,
    /// K on that velocity.
    pub loss_coefficient: f64,
    /// Standard uncertainty of K from the fluctuation in time alone: what each point has of its own.
    pub standard_uncertainty: f64,
}

/// Loss coefficient over velocity: `K(U) = a/U + b`.
///
/// ```text
/// K: pressure loss over 0.5 rho U^2;  U: velocity in front of the patterned zone, m/s;  a >= 0, m/s: friction;  b >= 0: inertia
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct LossLaw {
    /// a, m/s.
    pub viscous: f64,
    /// b, dimensionless.
    pub inertial: f64,
    /// Variances of a and b, and their covariance: `[var(a), cov(a, b), var(b)]`.
    pub covariance: [f64; 3],
    /// Lowest and highest solved velocity, m/s.
    pub velocity_range: (f64, f64),
    /// Doubts about the fit.
    pub warnings: Vec<Warning>,
}

/// Why no law can be fitted.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LossLawError {
    /// There is no point.
    #[error("no solved point to fit K over the air speed")]
    NoPoints,
    /// A point with a velocity or K that is not above zero, or an uncertainty below zero; or something that is no number.
    #[error(
        "point {number} (velocity {velocity} m/s, K {loss_coefficient}) cannot be used to fit K over the air speed"
    )]
    Unusable {
        /// Number of the point, from 1.
        number: usize,
        /// Its velocity, m/s.
        velocity: f64,
        /// Its K.
        loss_coefficient: f64,
    },
}

impl LossLaw {
    /// A K that does not depend on the speed, with its standard uncertainty.
    pub fn constant(loss_coefficient: f64, standard_uncertainty: f64) -> Self {
        Self {
            viscous: 0.0,
            inertial: loss_coefficient,
            covariance: [0.0, 0.0, standard_uncertainty * standard_uncertainty],
            velocity_range: (0.0, f64::INFINITY),
            warnings: Vec::new(),
        }
    }

    /// The law through solved points by weighted least squares, each point weighted by 1 over its variance.
    ///
    /// If a is not distinguishable from zero (below 1.96 standard uncertainties), the law is constant: the weighted mean.
    /// If b comes out negative, it is set to zero and a is fitted alone.
    /// Where the points scatter more than their uncertainties say, the covariance is raised by chi² over the degrees of freedom.
    ///
    /// # Errors
    /// [`LossLawError`] without points, or for the first that is unusable.
    ///
    /// # References
    /// P. R. Bevington, D. K. Robinson, Data Reduction and Error Analysis for the Physical Sciences, 3rd ed., 2003, sections
    /// 6.3 and 6.4: weighted straight line (here over 1/U) and its covariance. R. T. Birge, Phys. Rev. 40 (1932) 207: scatter
    /// beyond the stated uncertainties. (From memory.)
    pub fn fit(points: &[LossPoint]) -> Result<Self, LossLawError> {
        for (index, point) in points.iter().enumerate() {
            let values = [point.velocity, point.loss_coefficient];
            let is_usable = values.iter().all(|value| value.is_finite() && *value > 0.0)
                && point.standard_uncertainty.is_finite()
                && point.standard_uncertainty >= 0.0;
            if !is_usable {
                return Err(LossLawError::Unusable {
                    number: index + 1,
                    velocity: point.velocity,
                    loss_coefficient: point.loss_coefficient,
                });
            }
        }
        if points.is_empty() {
            return Err(LossLawError::NoPoints);
        }
        let sums = Sums::of(points);
        let velocity_range = points
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |range, point| {
                (range.0.min(point.velocity), range.1.max(point.velocity))
            });
        let mut law = sums.mean(points);
        law.velocity_range = velocity_range;
        if let Some(line) = sums.line(points) {
            let deviation = HALF_WIDTH_95 * line.covariance[0].sqrt();
            if line.viscous > deviation {
                law = if line.inertial >= 0.0 {
                    line
                } else {
                    sums.friction_alone(points)
                };
                law.velocity_range = velocity_range;
            } else if line.viscous < -deviation && line.rise(velocity_range) > DOUBTED_RISE {
                law.warnings.push(Warning {
                    code: "loss-rises-with-speed".into(),
                    message:
                        "K rises with the air speed, which is not expected; a constant K is used"
                            .to_owned(),
                    advice: "run the grille again at a higher quality setting".to_owned(),
                });
            }
        }
        Ok(law)
    }

    /// Rise of K over a range of velocities, as a part of K at its lower end.
    fn rise(&self, (low, high): (f64, f64)) -> f64 {
        self.loss_coefficient(high) / self.loss_coefficient(low) - 1.0
    }

    /// K at a velocity in m/s.
    pub fn loss_coefficient(&self, velocity: f64) -> f64 {
        self.viscous / velocity + self.inertial
    }

    /// Standard uncertainty of K at a velocity in m/s, from the covariance of the fit.
    pub fn standard_uncertainty(&self, velocity: f64) -> f64 {
        let [viscous, both, inertial] = self.covariance;
        let inverse = 1.0 / velocity;
        (viscous * inverse * inverse + 2.0 * both * inverse + inertial)
            .max(0.0)
            .sqrt()
    }

    /// Whether a velocity lies within the solved ones, or no more than [`EXTRAPOLATION_LIMIT`] beyond.
    pub fn is_supported(&self, velocity: f64) -> bool {
        let (low, high) = self.velocity_range;
        velocity >= low * (1.0 - EXTRAPOLATION_LIMIT)
            && velocity <= high * (1.0 + EXTRAPOLATION_LIMIT)
    }

    /// Two independent changes of (a, b), one standard uncertainty each, that together make up the covariance.
    pub(super) fn deviations(&self) -> [(f64, f64); 2] {
        let [viscous, both, inertial] = self.covariance;
        if viscous <= 0.0 {
            return [(0.0, inertial.max(0.0).sqrt()), (0.0, 0.0)];
        }
        let root = viscous.sqrt();
        let rest = (inertial - both * both / viscous).max(0.0).sqrt();
        [(root, both / root), (0.0, rest)]
    }
}

/// Weighted sums over points, with x = 1/U and y = K.
struct Sums {
    weight: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
}

impl Sums {
    fn of(points: &[LossPoint]) -> Self {
        let mut sums = Self {
            weight: 0.0,
            x: 0.0,
            y: 0.0,
            xx: 0.0,
            xy: 0.0,
        };
        for point in points {
            let (weight, x, y) = (weight(point), 1.0 / point.velocity, point.loss_coefficient);
            sums.weight += weight;
            sums.x += weight * x;
            sums.y += weight * y;
            sums.xx += weight * x * x;
            sums.xy += weight * x * y;
        }
        sums
    }

    /// The weighted mean.
    fn mean(&self, points: &[LossPoint]) -> LossLaw {
        law(
            points,
            0.0,
            self.y / self.weight,
            [0.0, 0.0, 1.0 / self.weight],
            1,
        )
    }

    /// The straight line over 1/U; `None` when all velocities are equal.
    fn line(&self, points: &[LossPoint]) -> Option<LossLaw> {
        let determinant = self.weight * self.xx - self.x * self.x;
        if determinant <= 1e-12 * self.weight * self.xx {
            return None;
        }
        let viscous = (self.weight * self.xy - self.x * self.y) / determinant;
        let inertial = (self.xx * self.y - self.x * self.xy) / determinant;
        let covariance = [
            self.weight / determinant,
            -self.x / determinant,
            self.xx / determinant,
        ];
        Some(law(points, viscous, inertial, covariance, 2))
    }

    /// The line through the origin of 1/U.
    fn friction_alone(&self, points: &[LossPoint]) -> LossLaw {
        law(points, self.xy / self.xx, 0.0, [1.0 / self.xx, 0.0, 0.0], 1)
    }
}

/// 1 over the variance of a point; a point said to be exact counts as good to a millionth.
fn weight(point: &LossPoint) -> f64 {
    let least = 1e-6 * point.loss_coefficient;
    point.standard_uncertainty.max(least).powi(-2)
}

/// A law whose covariance is raised where the points scatter more than they should.
fn law(
    points: &[LossPoint],
    viscous: f64,
    inertial: f64,
    covariance: [f64; 3],
    parameters: usize,
) -> LossLaw {
    let freedom = points.len().saturating_sub(parameters);
    let chi_squared: f64 = points
        .iter()
        .map(|point| {
            let miss = point.loss_coefficient - viscous / point.velocity - inertial;
            weight(point) * miss * miss
        })
        .sum();
    let scatter = if freedom == 0 {
        1.0
    } else {
        (chi_squared / freedom as f64).max(1.0)
    };
    LossLaw {
        viscous,
        inertial,
        covariance: covariance.map(|element| element * scatter),
        velocity_range: (0.0, f64::INFINITY),
        warnings: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(values: &[(f64, f64, f64)]) -> Vec<LossPoint> {
        values
            .iter()
            .map(
                |&(velocity, loss_coefficient, standard_uncertainty)| LossPoint {
                    velocity,
                    loss_coefficient,
                    standard_uncertainty,
                },
            )
            .collect()
    }

    #[test]
    fn points_on_a_law_give_that_law() {
        let on_law: Vec<(f64, f64, f64)> = [1.0, 2.0, 3.0]
            .iter()
            .map(|u| (*u, 0.6 / u + 1.5, 0.01))
            .collect();
        let law = LossLaw::fit(&points(&on_law)).unwrap();
        assert!((law.viscous - 0.6).abs() < 1e-12);
        assert!((law.inertial - 1.5).abs() < 1e-12);
        assert!(law.is_supported(0.81) && !law.is_supported(0.79));
        assert!(law.is_supported(3.59) && !law.is_supported(3.61));
    }

    #[test]
    fn two_points_keep_their_own_uncertainties() {
        let law = LossLaw::fit(&points(&[(1.0, 2.1, 0.01), (2.0, 1.8, 0.02)])).unwrap();
        assert!((law.loss_coefficient(1.0) - 2.1).abs() < 1e-12);
        assert!((law.standard_uncertainty(1.0) - 0.01).abs() < 1e-9);
        assert!((law.standard_uncertainty(2.0) - 0.02).abs() < 1e-9);
        let [first, second] = law.deviations();
        let at_two = (first.0 / 2.0 + first.1).hypot(second.0 / 2.0 + second.1);
        assert!((at_two - 0.02).abs() < 1e-9);
    }

    #[test]
    fn a_slope_within_the_noise_is_taken_as_constant() {
        let law = LossLaw::fit(&points(&[(1.0, 2.03, 0.03), (2.0, 2.0, 0.03)])).unwrap();
        assert!(law.viscous.abs() < 1e-15);
        assert!((law.inertial - 2.015).abs() < 1e-12);
        assert!((law.standard_uncertainty(1.5) - 0.03 / 2.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_loss_that_rises_with_speed_is_constant_and_doubted() {
        let law = LossLaw::fit(&points(&[(1.0, 2.0, 0.01), (2.0, 2.3, 0.01)])).unwrap();
        assert!(law.viscous.abs() < 1e-15);
        assert_eq!(law.warnings[0].code, "loss-rises-with-speed");
        // The two lie 0.3 apart, so the mean cannot be known to 0.007.
        assert!(law.standard_uncertainty(1.5) > 0.14);
    }

    #[test]
    fn a_rise_of_one_per_cent_is_no_doubt_however_steady_the_points_are() {
        let law = LossLaw::fit(&points(&[(1.0, 2.0, 1e-4), (2.0, 2.02, 1e-4)])).unwrap();
        assert!(law.warnings.is_empty());
        assert!((law.inertial - 2.01).abs() < 1e-12);
    }

    #[test]
    fn creeping_flow_leaves_no_negative_inertia() {
        let law = LossLaw::fit(&points(&[(0.1, 10.0, 0.01), (0.2, 4.9, 0.01)])).unwrap();
        assert!(law.inertial.abs() < 1e-15);
        assert!(law.viscous > 0.9 && law.viscous < 1.0);
    }

    #[test]
    fn one_point_and_exact_points_are_usable_and_nonsense_is_not() {
        assert!((LossLaw::fit(&points(&[(2.0, 1.4, 0.0)])).unwrap().inertial - 1.4).abs() < 1e-12);
        assert_eq!(LossLaw::fit(&[]), Err(LossLawError::NoPoints));
        for bad in [(0.0, 1.0, 0.1), (1.0, f64::NAN, 0.1), (1.0, 1.0, -0.1)] {
            assert!(LossLaw::fit(&points(&[bad])).is_err());
        }
    }
}
