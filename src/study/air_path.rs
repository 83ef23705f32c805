//! What stands in the air's way besides the grilles, as the study gives it.

use crate::fan::Supply;
use crate::study::Side;

/// How much pressure something takes: by a loss coefficient, or by one measured point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PathLoss {
    /// K on an area that stands beside it.
    Coefficient(f64),
    /// One point; the pressure goes with the square of the flow.
    Point {
        /// Flow, m³/s, above zero.
        flow: f64,
        /// Pressure drop there, Pa.
        pressure: f64,
    },
}

impl PathLoss {
    /// b of `Δp = b U²`, Pa s²/m², with U on `area` (m²), in air of `density` (kg/m³).
    pub fn inertial(&self, area: f64, density: f64) -> f64 {
        match *self {
            Self::Coefficient(loss_coefficient) => 0.5 * density * loss_coefficient,
            Self::Point { flow, pressure } => pressure * (area / flow).powi(2),
        }
    }

    /// K on `area` (m²) in air of `density` (kg/m³).
    pub fn loss_coefficient(&self, area: f64, density: f64) -> f64 {
        match *self {
            Self::Coefficient(loss_coefficient) => loss_coefficient,
            Self::Point { .. } => 2.0 * self.inertial(area, density) / density,
        }
    }
}

/// A part that every grille is used with and the bare fan goes without: a dust panel, a second grille.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Name, unique among the panels.
    pub name: String,
    /// What it takes.
    pub loss: PathLoss,
    /// Area that the air of one fan goes through, m²; the reference area if it was not given.
    pub area: Option<f64>,
    /// Gap between it and the grille, m; zero lies on the holes. `None`: far away.
    pub gap: Option<f64>,
}

impl Panel {
    /// Whether it lies on the grille, so that the ribs close a part of it.
    pub fn is_pressed(&self) -> bool {
        self.gap == Some(0.0)
    }
}

/// Equal fans elsewhere in the same PC case.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherFans {
    /// Which way they blow.
    pub side: Side,
    /// How many there are.
    pub count: u32,
    /// What each delivers.
    pub supply: Supply,
    /// What stands in the way of each: grille, panel; a coefficient is on no area, and 0.
    pub in_their_way: PathLoss,
}

/// Discharge coefficient of a gap with sharp edges.
///
/// Source: textbook value of a sharp-edged orifice, 0.60 to 0.62 at high Reynolds numbers (quoted from memory).
const DISCHARGE: f64 = 0.61;

/// K of the PC case as one of several equal fans meets it, on that fan's reference area, with gaps beside the openings that K stands for.
///
/// Openings and gaps share one pressure, so their flows add; `count` fans send that many times as much air through both.
///
/// ```text
/// 1/√K = 1/√K_case + C A_gap/A     C: discharge coefficient (a gap takes K = 1/C² on its own area)
/// K of one fan = n² K
/// ```
///
/// An open bench (K = 0) stays one.
pub(super) fn shared_loss(case: f64, leak_area: f64, reference_area: f64, count: u32) -> f64 {
    let fans = f64::from(count);
    if case <= 0.0 || leak_area <= 0.0 {
        return fans * fans * case;
    }
    let conductance = case.sqrt().recip() + DISCHARGE * leak_area / reference_area;
    (fans / conductance).powi(2)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_1_SQRT_2;

    use super::*;

    #[test]
    fn a_gap_as_large_as_the_openings_halves_the_way() {
        // Openings whose K on the reference area is that of a sharp-edged opening of half of it.
        let (area, half) = (0.01, 0.005);
        let case = (area / (DISCHARGE * half)).powi(2);
        let both = shared_loss(case, half, area, 1);
        assert!((both / case - 0.25).abs() < 1e-12);
        assert!((shared_loss(case, half, area, 3) / both - 9.0).abs() < 1e-12);
        assert!(shared_loss(0.0, half, area, 3).abs() < 1e-12);
    }

    #[test]
    fn a_point_and_its_loss_coefficient_are_the_same() {
        let (area, density) = (0.0125, 1.2);
        let velocity = FRAC_1_SQRT_2;
        let point = PathLoss::Point {
            flow: velocity * area,
            pressure: 0.9,
        };
        // 0.5 · 1.2 · 0.5 = 0.3 Pa of dynamic pressure.
        assert!((point.loss_coefficient(area, density) - 3.0).abs() < 1e-12);
        assert!((point.inertial(area, density) - 1.8).abs() < 1e-12);
    }
}
