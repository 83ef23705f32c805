//! Two coefficients, neither of them negative, through readings of pressure over air speed.

/// Viscous and inertial coefficient by least squares of the relative differences, both 0 or more.
///
/// ```text
/// minimise  sum ((a v + b v^2 - p) / p)^2      v: air speed, m/s;  p: pressure drop, Pa
/// ```
///
/// Relative differences, so that the readings at low speed count as much as those at high speed.
/// Every speed and pressure must be above 0; two speeds or more must differ for the split to mean anything, at one speed all is inertial.
pub(super) fn coefficients(points: &[(f64, f64)]) -> (f64, f64) {
    let (mut aa, mut ab, mut bb, mut ya, mut yb) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (velocity, pressure) in points {
        let viscous = velocity / pressure;
        let inertial = velocity * viscous;
        aa += viscous * viscous;
        ab += viscous * inertial;
        bb += inertial * inertial;
        ya += viscous;
        yb += inertial;
    }
    let determinant = aa * bb - ab * ab;
    if determinant <= 1e-12 * aa * bb {
        return (0.0, yb / bb);
    }
    let a = (ya * bb - yb * ab) / determinant;
    let b = (yb * aa - ya * ab) / determinant;
    if a < 0.0 {
        (0.0, yb / bb)
    } else if b < 0.0 {
        (ya / aa, 0.0)
    } else {
        (a, b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neither_coefficient_is_negative() {
        // Falls off from a line, so a free fit would bend the other way; and rises faster than a square.
        let (a, b) = coefficients(&[(1.0, 1.0), (2.0, 1.8), (3.0, 2.4)]);
        assert!(a > 0.0 && b.abs() <= 0.0);
        let (a, b) = coefficients(&[(1.0, 1.0), (2.0, 5.0), (3.0, 14.0)]);
        assert!(a.abs() <= 0.0 && b > 0.0);
    }

    #[test]
    fn one_speed_is_taken_as_inertial() {
        let (a, b) = coefficients(&[(2.0, 8.0), (2.0, 8.0)]);
        assert!(a.abs() <= 0.0 && (b - 2.0).abs() < 1e-12);
    }
}
