//! The distribution of the range of several normal numbers over their common standard deviation.

use std::sync::LazyLock;

use statrs::function::gamma::ln_gamma;

use super::normal;

/// Steps of the integral over the normal density to each side, and their width in standard deviations: errors below 1e-9.
const STEPS: i32 = 27;
const STEP: f64 = 0.25;

/// Points of the integral over the estimated standard deviation, and its reach in multiples of `1 / √ν`.
const DEVIATION_POINTS: u32 = 160;
const DEVIATION_REACH: f64 = 6.0;

/// Nodes of the integral over the normal density: where, weight, share of the distribution below.
static NODES: LazyLock<Vec<[f64; 3]>> = LazyLock::new(|| {
    let weight = |z: f64| STEP * (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt();
    let nodes = (-STEPS..=STEPS).map(|step| STEP * f64::from(step));
    nodes.map(|z| [z, weight(z), normal(z)]).collect()
});

/// Probability that the range of `count` independent normal numbers, over a standard deviation estimated with so many degrees of freedom, is larger than `q` (not negative).
///
/// ```text
/// P(range < w) = k ∫ φ(z) [Φ(z) − Φ(z − w)]^(k−1) dz;   over an estimate s:  ∫ f(s) P(range < q s) ds
/// ```
///
/// # Validity
/// At least one degree of freedom; infinity stands for a known standard deviation. Fewer than two numbers have no range: 1 at `q` = 0, else 0.
///
/// # References
/// H. O. Hartley, "The range in random samples", Biometrika 32 (1942) 334-348 (quoted from memory). Checked against `scipy.stats.studentized_range`.
pub fn studentized_range_sf(q: f64, count: usize, degrees_of_freedom: f64) -> f64 {
    if q <= 0.0 {
        return 1.0;
    }
    if count < 2 || q.is_infinite() {
        return 0.0;
    }
    if degrees_of_freedom > 1e5 {
        return (1.0 - range_below(q, count)).clamp(0.0, 1.0);
    }
    let nu = degrees_of_freedom.max(1.0);
    // Density of s = √(χ²/ν), by Simpson's rule as far as it counts.
    let constant = (0.5 * nu).ln() * 0.5 * nu - ln_gamma(0.5 * nu) + std::f64::consts::LN_2;
    let density = |s: f64| (constant + (nu - 1.0) * s.ln() - 0.5 * nu * s * s).exp();
    let reach = DEVIATION_REACH / nu.sqrt();
    let (low, high) = ((1.0 - reach).max(1e-9), 1.0 + reach);
    let above = |s: f64| density(s) * (1.0 - range_below(q * s, count));
    simpson(low, high, DEVIATION_POINTS, above).clamp(0.0, 1.0)
}

/// Probability that the range of `count` normal numbers of standard deviation 1 is smaller than `width`.
fn range_below(width: f64, count: usize) -> f64 {
    let others = i32::try_from(count - 1).unwrap_or(i32::MAX);
    // The trapezium rule is exact to rounding for such bells.
    let at = |[z, weight, below]: &[f64; 3]| weight * (below - normal(z - width)).powi(others);
    count as f64 * NODES.iter().map(at).sum::<f64>()
}

/// Simpson's rule over an even number of parts.
fn simpson(low: f64, high: f64, parts: u32, of: impl Fn(f64) -> f64) -> f64 {
    let step = (high - low) / f64::from(parts);
    let inner: f64 = (1..parts)
        .map(|part| {
            let weight = if part % 2 == 1 { 4.0 } else { 2.0 };
            weight * of(low + step * f64::from(part))
        })
        .sum();
    (of(low) + inner + of(high)) * step / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_numbers_are_the_normal_distribution_and_students() {
        // |x1 − x2| / √2 is normal; with one degree of freedom it is Cauchy's.
        for z in [0.5, 1.0, 1.959_963_984_540_054, 3.0] {
            let q = z * std::f64::consts::SQRT_2;
            let two_sided = 2.0 * (1.0 - normal(z));
            assert!((studentized_range_sf(q, 2, f64::INFINITY) - two_sided).abs() < 1e-9);
            let cauchy = 1.0 - 2.0 / std::f64::consts::PI * z.atan();
            assert!((studentized_range_sf(q, 2, 1.0) - cauchy).abs() < 1e-5);
        }
    }

    #[test]
    fn it_falls_with_the_range_and_rises_with_the_count() {
        let mut before = 1.0;
        for step in 1..60 {
            let here = studentized_range_sf(0.1 * f64::from(step), 8, 20.0);
            assert!(here < before);
            before = here;
        }
        assert!(studentized_range_sf(3.0, 40, 20.0) > studentized_range_sf(3.0, 8, 20.0));
    }
}
