//! Loss coefficients of perforated plates as handbooks give them: to set beside a solved K, never in place of it.
//!
//! All K are on the approach velocity (in front of the plate), for a plate in a straight duct with uniform flow.
//! Handbooks hold for high Reynolds numbers in the holes; fan grilles run at some 500 to 5000, where losses may differ by 10 to
//! 30 %.

/// Least Reynolds number in the hole for which the formulas of this module hold.
pub const LEAST_HOLE_REYNOLDS: f64 = 1e3;

/// Least ratio of thickness to hydraulic diameter of a thick plate.
pub const LEAST_THICKNESS_RATIO: f64 = 0.015;

/// Friction factor in the holes, dimensionless. Source: as [`THICK_PLATE_SOURCE`] has it.
pub const HOLE_FRICTION_FACTOR: f64 = 0.02;

/// Bracket of a sharp inlet edge in a thin plate, twice the root of the contraction loss of 0.5.
const THIN_SHARP_TAU: f64 = std::f64::consts::SQRT_2;

/// Name of the formula for thick plates, as outputs print it.
pub const THICK_PLATE_SOURCE: &str = "Idelchik, diagram 4-15 (thick perforated plate)";

/// Name of the formula for thin plates, as outputs print it.
pub const THIN_PLATE_SOURCE: &str = "Idelchik (thin perforated plate), unconfirmed";

/// Name of the formula for rounded holes, as outputs print it.
pub const ROUNDED_PLATE_SOURCE: &str = "Idelchik (rounded hole inlets), unconfirmed";

/// Name of the formula for bevelled holes, as outputs print it.
pub const BEVELLED_PLATE_SOURCE: &str = "Idelchik (bevelled hole inlets), unconfirmed";

/// A loss coefficient out of a handbook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandbookLoss {
    /// K on the approach velocity.
    pub loss_coefficient: f64,
    /// Name of the formula.
    pub source: &'static str,
    /// Whether the formula itself was read in a published text; if not, it is from memory.
    pub is_confirmed: bool,
}

/// K of a plate with sharp-edged holes; `None` outside the formula's range.
///
/// ```text
/// K = (0.5 (1-f)^0.75 + tau (1-f)^1.375 + (1-f)^2 + lambda l/d) / f^2
/// f: free-area ratio;  l/d: thickness over hydraulic diameter of the hole;  lambda: friction factor, 0.02
/// tau: see [`thickness_function`]
/// ```
///
/// # Validity
/// Reynolds number in the hole above 1000, l/d above 0.015, 0 < f < 1.
///
/// # References
/// I. E. Idelchik, Handbook of Hydraulic Resistance, 3rd ed., diagram 4-15, as an open Modelica library of pressure losses
/// gives it (function for thick-edged orifices).
///
/// # Examples
/// ```
/// let loss = ventwright::handbook::perforated_plate(0.5, 1.0, 3000.0).unwrap();
/// assert!((loss.loss_coefficient - 2.645).abs() < 0.001);
/// assert!(ventwright::handbook::perforated_plate(0.5, 1.0, 500.0).is_none());
/// ```
pub fn perforated_plate(
    free_area_ratio: f64,
    thickness_ratio: f64,
    hole_reynolds: f64,
) -> Option<HandbookLoss> {
    let is_covered = is_in_range(free_area_ratio, hole_reynolds)
        && thickness_ratio.is_finite()
        && thickness_ratio > LEAST_THICKNESS_RATIO;
    is_covered.then(|| HandbookLoss {
        loss_coefficient: plate_loss(
            free_area_ratio,
            0.5,
            thickness_function(thickness_ratio),
            HOLE_FRICTION_FACTOR * thickness_ratio,
        ),
        source: THICK_PLATE_SOURCE,
        is_confirmed: true,
    })
}

/// K of a thin plate (l/d up to 0.015) with sharp-edged holes; `None` outside the formula's range. From memory, unconfirmed.
///
/// ```text
/// K = (0.707 (1-f)^0.375 + 1 - f)^2 / f^2
/// ```
///
/// It is the formula of [`perforated_plate`] without friction and with tau = 1.414.
pub fn thin_perforated_plate(free_area_ratio: f64, hole_reynolds: f64) -> Option<HandbookLoss> {
    is_in_range(free_area_ratio, hole_reynolds).then(|| HandbookLoss {
        loss_coefficient: plate_loss(free_area_ratio, 0.5, THIN_SHARP_TAU, 0.0),
        source: THIN_PLATE_SOURCE,
        is_confirmed: false,
    })
}

/// K of a plate whose holes have rounded inlets; `None` outside the formula's range. From memory, unconfirmed.
///
/// ```text
/// K = (sqrt(z) (1-f)^0.375 + 1 - f)^2 / f^2,   z = 0.03 + 0.47 10^(-7.7 r/d)
/// ```
///
/// `radius_ratio` is r/d: radius of the edge over hydraulic diameter.
pub fn rounded_perforated_plate(
    free_area_ratio: f64,
    radius_ratio: f64,
    hole_reynolds: f64,
) -> Option<HandbookLoss> {
    let edge_loss = 0.03 + 0.47 * 10_f64.powf(-7.7 * radius_ratio);
    edged_plate(
        free_area_ratio,
        radius_ratio,
        hole_reynolds,
        edge_loss,
        ROUNDED_PLATE_SOURCE,
    )
}

/// K of a plate whose holes have inlets bevelled by 40 to 60° on the side that meets the air; `None` outside the formula's range.
/// From memory, unconfirmed.
///
/// ```text
/// K = (sqrt(z) (1-f)^0.375 + 1 - f)^2 / f^2,   z = 0.13 + 0.34 10^(-(3.4 l/d + 88.4 (l/d)^2.3))
/// ```
///
/// `bevel_ratio` is l/d: depth of the bevel over hydraulic diameter.
pub fn bevelled_perforated_plate(
    free_area_ratio: f64,
    bevel_ratio: f64,
    hole_reynolds: f64,
) -> Option<HandbookLoss> {
    let exponent = 3.4 * bevel_ratio + 88.4 * bevel_ratio.powf(2.3);
    let edge_loss = 0.13 + 0.34 * 10_f64.powf(-exponent);
    edged_plate(
        free_area_ratio,
        bevel_ratio,
        hole_reynolds,
        edge_loss,
        BEVELLED_PLATE_SOURCE,
    )
}

/// How much of the contraction's pressure the jet gives back in a thick plate: 1.35 (thin) to 0 (thick).
///
/// ```text
/// tau = (2.4 - l/d) 10^(-phi),   phi = 0.25 + 0.535 (l/d)^8 / (0.05 + (l/d)^8)
/// ```
///
/// Beyond l/d = 2.4 it is zero.
/// In the denominator a version with the 7th power exists; it follows the older printed table better. This one, with the 8th power, is the one that was read. The two differ by at most 4.5 % in K
/// (most at l/d 1.6).
pub fn thickness_function(thickness_ratio: f64) -> f64 {
    let eighth = thickness_ratio.powi(8);
    let phi = 0.25 + 0.535 * eighth / (0.05 + eighth);
    (2.4 - thickness_ratio).max(0.0) * 10_f64.powf(-phi)
}

fn is_in_range(free_area_ratio: f64, hole_reynolds: f64) -> bool {
    free_area_ratio > 0.0 && free_area_ratio < 1.0 && hole_reynolds > LEAST_HOLE_REYNOLDS
}

/// Contraction, recovery, expansion and friction, on the approach velocity.
fn plate_loss(free_area_ratio: f64, edge_loss: f64, tau: f64, friction: f64) -> f64 {
    let solid = 1.0 - free_area_ratio;
    (edge_loss * solid.powf(0.75) + tau * solid.powf(1.375) + solid * solid + friction)
        / (free_area_ratio * free_area_ratio)
}

/// A thin plate with softened edges: the square of contraction and expansion together.
fn edged_plate(
    free_area_ratio: f64,
    edge_ratio: f64,
    hole_reynolds: f64,
    edge_loss: f64,
    source: &'static str,
) -> Option<HandbookLoss> {
    (is_in_range(free_area_ratio, hole_reynolds) && edge_ratio >= 0.0).then(|| HandbookLoss {
        loss_coefficient: plate_loss(free_area_ratio, edge_loss, 2.0 * edge_loss.sqrt(), 0.0),
        source,
        is_confirmed: false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_their_ranges_formulas_give_nothing() {
        assert!(perforated_plate(0.5, 0.8, 1000.0).is_none());
        assert!(perforated_plate(0.5, 0.015, 2000.0).is_none());
        assert!(perforated_plate(0.0, 0.8, 2000.0).is_none());
        assert!(perforated_plate(1.0, 0.8, 2000.0).is_none());
        assert!(perforated_plate(f64::NAN, 0.8, 2000.0).is_none());
        assert!(perforated_plate(0.5, f64::NAN, 2000.0).is_none());
        assert!(thin_perforated_plate(0.5, f64::NAN).is_none());
        assert!(rounded_perforated_plate(0.5, -0.1, 2000.0).is_none());
    }

    #[test]
    fn less_open_and_thinner_plates_cost_more() {
        let loss = |f, t| perforated_plate(f, t, 3000.0).unwrap().loss_coefficient;
        assert!(loss(0.4, 1.0) > loss(0.5, 1.0));
        assert!(loss(0.5, 0.5) > loss(0.5, 1.0));
        assert!(thin_perforated_plate(0.5, 3000.0).unwrap().loss_coefficient > loss(0.5, 0.5));
    }

    #[test]
    fn a_thick_plate_by_hand() {
        // f = 0.36, l/d = 0.8:
        // phi = 0.25 + 0.535 · 0.16777/0.21777 = 0.66216, tau = 1.6 · 10^-0.66216 = 0.34830;
        // 0.5 · 0.64^0.75 + 0.34830 · 0.64^1.375 + 0.64² + 0.02 · 0.8 = 0.35777 + 0.18856 + 0.40960 + 0.01600 = 0.97193, over 0.1296.
        assert!((thickness_function(0.8) - 0.348_30).abs() < 1e-5);
        let loss = perforated_plate(0.36, 0.8, 3000.0).unwrap();
        assert!((loss.loss_coefficient - 7.4995).abs() < 1e-3, "{loss:?}");
        assert!(loss.is_confirmed);
    }

    #[test]
    fn the_thickness_function_runs_from_a_thin_plate_to_nothing() {
        // 2.4 · 10^-0.25 where there is no thickness; 1.4 · 10^-(0.25 + 0.535/1.05) at l/d = 1.
        assert!((thickness_function(0.0) - 1.349_62).abs() < 1e-5);
        assert!((thickness_function(1.0) - 0.243_56).abs() < 1e-5);
        assert!(thickness_function(2.4).abs() < 1e-12 && thickness_function(5.0).abs() < 1e-12);
    }

    #[test]
    fn softened_edges_by_hand() {
        let is = |loss: Option<HandbookLoss>, expected: f64, source: &str| {
            let loss = loss.unwrap();
            let seen = loss.loss_coefficient;
            assert!((seen / expected - 1.0).abs() < 1e-5, "{seen} {expected}");
            assert!(loss.source == source && !loss.is_confirmed);
        };
        // f = 0.5: (√z · 0.5^0.375 + 0.5)² / 0.25. Without a bevel z = 0.13 + 0.34; at a tenth of the hole
        // z = 0.13 + 0.34 · 10^-(0.34 + 88.4 · 10^-2.3) = 0.13 + 0.34 · 10^-0.78305 = 0.18603; a deep one leaves 0.13.
        let bevelled = |ratio| bevelled_perforated_plate(0.5, ratio, 2000.0);
        is(bevelled(0.0), 4.232_428, BEVELLED_PLATE_SOURCE);
        is(bevelled(0.1), 2.772_811, BEVELLED_PLATE_SOURCE);
        let deep = (0.13_f64.sqrt() * 0.5_f64.powf(0.375) + 0.5).powi(2) / 0.25;
        is(bevelled(1.0), deep, BEVELLED_PLATE_SOURCE);
        // f = 0.4, rounded by a tenth of the hole: z = 0.03 + 0.47 · 10^-0.77 = 0.10982.
        let rounded = rounded_perforated_plate(0.4, 0.1, 2000.0);
        is(rounded, 4.770_037, ROUNDED_PLATE_SOURCE);
        // Without a radius an edge is sharp, and the two formulas for thin plates are one.
        let sharp = thin_perforated_plate(0.4, 2000.0).unwrap();
        let rounded = rounded_perforated_plate(0.4, 0.0, 2000.0);
        is(rounded, sharp.loss_coefficient, ROUNDED_PLATE_SOURCE);
    }

    #[test]
    fn softened_edges_have_the_range_of_sharp_ones() {
        for formula in [bevelled_perforated_plate, rounded_perforated_plate] {
            assert!(formula(0.5, 0.1, 1000.0).is_none());
            assert!(formula(0.0, 0.1, 2000.0).is_none());
            assert!(formula(1.0, 0.1, 2000.0).is_none());
            assert!(formula(0.5, -0.1, 2000.0).is_none());
            assert!(formula(0.5, f64::NAN, 2000.0).is_none());
        }
    }
}
