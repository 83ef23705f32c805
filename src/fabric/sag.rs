//! How far a panel of fabric bows towards the blades.

/// Pull on the edge of a panel that is merely smooth, N/m: 1 g on every millimetre of edge, which is 100 g on 10 cm (estimate).
pub const SMOOTH_TENSION: f64 = 10.0;

/// Pull on the edge of a panel that hangs nearly slack, N/m (estimate).
pub const SLACK_TENSION: f64 = 1.0;

/// Bow in the middle of a round panel, m, under an even pressure.
///
/// ```text
/// s = p D^2 / (16 T)      p: pressure over the panel, Pa;  D: its diameter, m;  T: pull on its edge, N/m
/// ```
///
/// # Validity
/// A thin membrane with a pull that is the same everywhere and does not change with the bow; s well below D. A fabric that
/// stiffens as it stretches bows less.
///
/// # References
/// Young and Laplace: p = 2 T / R for a spherical cap of radius R, whose height is D² / (8 R).
pub fn bow(pressure: f64, diameter: f64, tension: f64) -> f64 {
    pressure * diameter * diameter / (16.0 * tension)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bow_is_the_cap_of_the_sphere_that_pressure_and_pull_make() {
        // 20 Pa and 5 N/m: a sphere of radius 0.5 m; over 0.1 m across its cap is 0.5 - sqrt(0.25 - 0.0025) = 2.506 mm high.
        assert!((bow(20.0, 0.1, 5.0) - 2.506e-3).abs() < 1e-5);
    }
}
