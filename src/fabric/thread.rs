//! Threads: from denier to a diameter, from a bundle of filaments to a width.

use std::f64::consts::PI;

/// Length of thread that weighs as many grams as it has denier, m. Definition of the unit.
pub const DENIER_LENGTH: f64 = 9000.0;

/// Density of nylon, kg/m³ (textbook value, from memory).
pub const NYLON_DENSITY: f64 = 1140.0;

/// Density of stainless steel, kg/m³ (textbook value, from memory).
pub const STEEL_DENSITY: f64 = 7900.0;

/// Density of the plastic of perforated sheets (polyvinyl chloride), kg/m³ (textbook value, from memory).
pub const SHEET_DENSITY: f64 = 1380.0;

/// Share of a yarn's cross-section that its filaments fill where it lies free (estimate; 0.906 is the densest packing of circles).
pub const YARN_PACKING: f64 = 0.6;

/// Mass per length, kg/m, of a thread of so many denier.
pub fn linear_density(denier: f64) -> f64 {
    denier / 1000.0 / DENIER_LENGTH
}

/// Diameter of a round filament, m.
///
/// ```text
/// d = sqrt(4 D / (9e6 pi rho))      D: denier, g per 9000 m;  rho: density of the material, kg/m^3
/// ```
///
/// # Examples
/// ```
/// let diameter = ventwright::fabric::filament_diameter(15.0, ventwright::fabric::NYLON_DENSITY);
/// assert!((diameter * 1e6 - 43.1).abs() < 0.05);
/// ```
pub fn filament_diameter(denier: f64, density: f64) -> f64 {
    (4.0 * linear_density(denier) / (PI * density)).sqrt()
}

/// Width of a yarn of equal filaments, m: one filament's diameter, or that of a round bundle which they fill by [`YARN_PACKING`].
///
/// ```text
/// w = d_f sqrt(n / 0.6)      n: filaments;  d_f: diameter of one
/// ```
///
/// # Validity
/// A yarn that lies free.
/// Flattened against a grille or in a loop it is wider, pulled taut it is narrower: one reason why a law for yarn from this is a guess.
pub fn yarn_width(denier: f64, filament_count: u32, density: f64) -> f64 {
    let count = f64::from(filament_count.max(1));
    let filament = filament_diameter(denier / count, density);
    if filament_count > 1 {
        filament * (count / YARN_PACKING).sqrt()
    } else {
        filament
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bundle_is_wider_than_one_filament_of_its_mass() {
        let one = yarn_width(20.0, 1, NYLON_DENSITY);
        let seven = yarn_width(20.0, 7, NYLON_DENSITY);
        assert!((one - filament_diameter(20.0, NYLON_DENSITY)).abs() < 1e-15);
        // The same cross-section, filled by 60 %.
        assert!((seven / one - YARN_PACKING.sqrt().recip()).abs() < 1e-12);
    }
}
