//! The level of K from the repeat view, its curve over the air speed from a flat view.

use crate::likely::HALF_WIDTH_95;
use crate::ranking::LossLaw;

/// Half-width, as a part of K, of the curve over the air speed that a flat view gives. Judgement: the flat view misses the level by some 10 %, its
/// curve far less; a quarter of what K changes over the solved air speeds is left as doubt, and never less than this.
const LEAST_CURVE_BAND: f64 = 0.02;

/// Share of the change of K over the solved air speeds that is left as doubt.
const DOUBTED_SHARE: f64 = 0.25;

/// K from the repeat view at one air speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Level {
    /// Velocity in front of the zone, m/s.
    pub(super) velocity: f64,
    /// K there.
    pub(super) loss_coefficient: f64,
    /// Half-width (95 %) of it from the fluctuation in time.
    pub(super) half_width: f64,
}

/// The law of the flat view moved so that it passes through the level.
///
/// ```text
/// K(U) = K0 (a/U + b) / s     s = a/U0 + b
/// a' = K0 a/s, b' = K0 b/s: b' = K0 - a'/U0, so what is left of the covariance of a and b is
///    var(a') = (K0/s^2)^2 (b^2 var(a) - 2 a b cov(a, b) + a^2 var(b)), cov(a', b') = -var(a')/U0, var(b') = var(a')/U0^2
/// and the fluctuation of the level moves both by the same share.
/// ```
pub(super) fn levelled(flat: &LossLaw, level: Level) -> LossLaw {
    let (a, b) = (flat.viscous, flat.inertial);
    let s = flat.loss_coefficient(level.velocity);
    let factor = level.loss_coefficient / s;
    let [var_a, cov, var_b] = flat.covariance;
    let curve = (factor / s).powi(2) * (b * b * var_a - 2.0 * a * b * cov + a * a * var_b);
    let curve = curve.max(0.0);
    let share = (level.half_width / HALF_WIDTH_95 / level.loss_coefficient).powi(2);
    let (viscous, inertial) = (factor * a, factor * b);
    LossLaw {
        viscous,
        inertial,
        covariance: [
            curve + share * viscous * viscous,
            -curve / level.velocity + share * viscous * inertial,
            curve / level.velocity.powi(2) + share * inertial * inertial,
        ],
        velocity_range: flat.velocity_range,
        warnings: flat.warnings.clone(),
    }
}

/// Half-width, as a part of K, of the curve over the air speed.
pub(super) fn curve_band(flat: &LossLaw) -> f64 {
    let (low, high) = flat.velocity_range;
    let change = flat.loss_coefficient(low) / flat.loss_coefficient(high) - 1.0;
    (DOUBTED_SHARE * change.abs()).max(LEAST_CURVE_BAND)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ranking::LossPoint;

    fn flat() -> LossLaw {
        let points =
            [(0.7, 2.4), (1.0, 2.1), (1.35, 1.9)].map(|(velocity, loss_coefficient)| LossPoint {
                velocity,
                loss_coefficient,
                standard_uncertainty: 0.01,
            });
        LossLaw::fit(&points).unwrap()
    }

    #[test]
    fn the_law_passes_through_the_level_and_keeps_its_curve() {
        let flat = flat();
        assert!(flat.viscous > 0.1, "the flat law has a curve");
        let level = Level {
            velocity: 1.0,
            loss_coefficient: 2.6,
            half_width: 0.05,
        };
        let law = levelled(&flat, level);
        assert!((law.loss_coefficient(1.0) - 2.6).abs() < 1e-12);
        for velocity in [0.7, 1.35] {
            let curve = |law: &LossLaw| law.loss_coefficient(velocity) / law.loss_coefficient(1.0);
            assert!((curve(&law) - curve(&flat)).abs() < 1e-12);
        }
        // At the level only its own fluctuation is left; away from it the curve adds.
        let at = |velocity: f64| HALF_WIDTH_95 * law.standard_uncertainty(velocity);
        assert!((at(1.0) - 0.05).abs() < 1e-9, "{}", at(1.0));
        assert!(at(0.7) / law.loss_coefficient(0.7) > 0.05 / 2.6);
    }

    #[test]
    fn a_curve_that_rises_steeply_is_doubted_more() {
        assert!((curve_band(&LossLaw::constant(2.0, 0.1)) - LEAST_CURVE_BAND).abs() < 1e-12);
        assert!(curve_band(&flat()) > 0.03);
    }

    /// K = 0.6/U + 1.5 over 1 to 2 m/s, with a covariance in round numbers.
    fn round_numbers() -> LossLaw {
        LossLaw {
            viscous: 0.6,
            inertial: 1.5,
            covariance: [0.04, -0.01, 0.01],
            velocity_range: (1.0, 2.0),
            warnings: Vec::new(),
        }
    }

    #[test]
    fn the_covariance_of_the_moved_law_by_hand() {
        // At 2 m/s the flat K is 1.8; moved to 3.6 both coefficients double: 1.2 and 3.
        // (K0/s²)² = (3.6/3.24)² = 1.234568, times 1.5² · 0.04 + 2 · 0.6 · 1.5 · 0.01 + 0.6² · 0.01 = 0.1116: 0.137778 for the curve.
        // The level is known to a tenth (one standard uncertainty): 0.01 of each square.
        let level = Level {
            velocity: 2.0,
            loss_coefficient: 3.6,
            half_width: 0.36 * HALF_WIDTH_95,
        };
        let law = levelled(&round_numbers(), level);
        assert!((law.viscous - 1.2).abs() < 1e-12 && (law.inertial - 3.0).abs() < 1e-12);
        let expected = [
            0.137_778 + 0.01 * 1.44,
            -0.137_778 / 2.0 + 0.01 * 3.6,
            0.137_778 / 4.0 + 0.01 * 9.0,
        ];
        for (seen, expected) in law.covariance.iter().zip(expected) {
            assert!((seen - expected).abs() < 1e-6, "{:?}", law.covariance);
        }
    }

    #[test]
    fn a_quarter_of_the_change_over_the_solved_speeds_is_doubted() {
        // 2.1 at 1 m/s over 1.8 at 2 m/s: a sixth more.
        assert!((curve_band(&round_numbers()) - 0.25 / 6.0).abs() < 1e-12);
    }
}
