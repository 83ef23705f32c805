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

    #[test]
    fn solid_turning_and_a_free_vortex_in_closed_form() {
        // u = W s: p(r) - p(R) = -rho W² (R² - r²)/2; area mean over a disc of radius R: -rho W² R²/4.
        let solid = |s: f64| 100.0 * s;
        let local = radial_pressure(1.2, [0.02, 0.05], &[], solid);
        assert!((local + 0.6 * 1e4 * (25e-4 - 4e-4)).abs() < 1e-9, "{local}");
        let mean = mean_suction(1.2, [0.0, 0.05], &[], solid);
        assert!((mean + 0.3 * 1e4 * 25e-4).abs() < 1e-9, "{mean}");
        // u = C/s: p(r) - p(R) = -rho C²/2 (1/r² - 1/R²).
        let free = radial_pressure(1.2, [0.02, 0.05], &[], |s| 0.1 / s);
        let by_hand = -0.6 * 0.01 * (2500.0 - 400.0);
        assert!((free / by_hand - 1.0).abs() < 1e-6, "{free} {by_hand}");
    }

    #[test]
    fn a_bend_at_a_break_costs_no_accuracy() {
        // A core of 0.0312345 m that turns as a solid, 2 m/s at its rim, in a free vortex: rho u²/2 within the core, and rho u²/2 (1 - (rc/R)²) outside.
        let core = 0.031_234_5_f64;
        let swirl = |s: f64| {
            if s < core {
                2.0 * s / core
            } else {
                2.0 * core / s
            }
        };
        let seen = radial_pressure(1.2, [0.0, 0.05], &[core, 0.07], swirl);
        let by_hand = -0.6 * 4.0 * (2.0 - (core / 0.05).powi(2));
        assert!((seen / by_hand - 1.0).abs() < 1e-7, "{seen} {by_hand}");
    }
}
