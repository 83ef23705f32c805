//! Radial equilibrium: what pressure holds turning air on its circles.

/// Stations of Simpson's rule on each stretch between two breaks.
const PIECES: u32 = 64;

/// Static pressure less that at the outer radius, Pa, of air that turns about the axis.
///
/// ```text
/// dp/dr = rho u_theta^2 / r,    p(r) - p(R) = -∫_r^R rho u_theta^2 / s ds
/// ```
///
/// `breaks` are radii at which `swirl` (m/s at a radius in m) bends.
pub fn radial_pressure(
    density: f64,
    [radius, outer]: [f64; 2],
    breaks: &[f64],
    swirl: impl Fn(f64) -> f64,
) -> f64 {
    -integral([radius, outer], breaks, |s| pull(density, s, swirl(s)))
}

/// The same, area mean between two radii, Pa: not above zero.
///
/// ```text
/// <p> = 2/(R^2 - h^2) ∫_h^R p r dr = -1/(R^2 - h^2) ∫_h^R rho u_theta^2 / s (s^2 - h^2) ds    (the order of the two integrals exchanged)
/// ```
pub fn mean_suction(
    density: f64,
    [inner, outer]: [f64; 2],
    breaks: &[f64],
    swirl: impl Fn(f64) -> f64,
) -> f64 {
    let weighted = |s: f64| pull(density, s, swirl(s)) * (s * s - inner * inner);
    -integral([inner, outer], breaks, weighted) / (outer * outer - inner * inner)
}

/// Density times (swirl velocity)² over radius, Pa/m; 0 on the axis, where nothing turns.
fn pull(density: f64, radius: f64, swirl: f64) -> f64 {
    if radius > 0.0 {
        density * swirl * swirl / radius
    } else {
        0.0
    }
}

/// Integral by Simpson's rule on each stretch between the breaks.
fn integral([from, to]: [f64; 2], breaks: &[f64], value: impl Fn(f64) -> f64) -> f64 {
    let mut ends = vec![from, to];
    ends.extend(breaks.iter().filter(|at| from < **at && **at < to));
    ends.sort_by(f64::total_cmp);
    let mut sum = 0.0;
    for pair in ends.windows(2) {
        let step = (pair[1] - pair[0]) / f64::from(PIECES);
        for piece in 0..PIECES {
            let left = pair[0] + step * f64::from(piece);
            let (middle, right) = (left + 0.5 * step, left + step);
            sum += step / 6.0 * (value(left) + 4.0 * value(middle) + value(right));
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_is_the_mean_of_the_pressure() {
        let swirl = |r: f64| 3.0 * r + 0.02 / r;
        let (inner, outer) = (0.02, 0.06);
        let local = |r: f64| radial_pressure(1.2, [r, outer], &[], swirl);
        let slow =
            integral([inner, outer], &[], |r| 2.0 * r * local(r)) / (outer * outer - inner * inner);
        let mean = mean_suction(1.2, [inner, outer], &[], swirl);
        assert!((mean / slow - 1.0).abs() < 1e-6, "{mean} {slow}");
    }

    #[test]
    fn still_air_does_not_suck() {
        assert!(mean_suction(1.2, [0.0, 0.06], &[], |_| 0.0).abs() < 1e-15);
    }
}
