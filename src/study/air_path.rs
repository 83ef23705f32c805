//! What stands in the air's way besides the grilles, as the study gives it.

use crate::fabric::{BareFan, BenchError, Fabric, FabricLaw};
use crate::fan::{Supply, operating_points};
use crate::study::{Side, Study};

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

/// What a panel takes.
#[derive(Debug, Clone, PartialEq)]
pub enum PanelLoss {
    /// By a number, on its own area.
    Known(PathLoss),
    /// What the fabric of this name takes.
    Fabric(String),
    /// What the grille at this place in the study takes ahead of the fan, on the reference area.
    Grille(usize),
}

/// A part that every grille is used with and the bare fan goes without: a dust panel, a second grille.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Name, unique among the panels.
    pub name: String,
    /// What it takes.
    pub loss: PanelLoss,
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

impl Study {
    /// The law of a fabric; shares of the bare fan's flow count as readings with this fan on the rig, or in the PC case where there is no rig.
    ///
    /// # Errors
    /// [`BenchError`] if its readings make no law.
    pub fn fabric_law(&self, fabric: &Fabric) -> Result<FabricLaw, BenchError> {
        let place_loss = self
            .rig_loss_coefficient()
            .unwrap_or_else(|| self.place_loss_coefficient());
        let area = self.reference_area();
        let place = |flow: f64| place_loss * self.air.dynamic_pressure(flow / area);
        let band = self.fan.supply.band();
        let settled = band
            .as_ref()
            .and_then(|band| operating_points(&band.central, place).ok());
        let (Some(band), Some(settled)) = (band, settled) else {
            return fabric.law(&self.air, None);
        };
        let spare = |flow: f64| {
            let reaches = flow <= band.central.largest_flow();
            reaches.then(|| band.central.pressure(flow) - place(flow))
        };
        let bare = BareFan {
            flow: settled.main.flow,
            area,
            spare_pressure: &spare,
        };
        fabric.law(&self.air, Some(&bare))
    }

    /// The fabric of this name.
    pub fn fabric(&self, name: &str) -> Option<&Fabric> {
        self.fabrics.iter().find(|fabric| fabric.name == name)
    }
}

/// Discharge coefficient of a gap with sharp edges.
///
/// Source: textbook value of a sharp-edged orifice, 0.60 to 0.62 at high Reynolds numbers (quoted from memory).
pub(super) const DISCHARGE: f64 = 0.61;

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

    #[test]
    fn a_share_of_the_bare_fan_is_read_with_this_fan_on_this_rig() {
        let text = r#"
            format = 1
            study = { name = "share" }
            fan = { bore_mm = 135, hub_mm = 42, free_flow_m3_per_h = 120, shut_off_pressure_pa = 24 }
            place = { side = "intake", pc_case_k = 3, rig_k = 0.5 }
            [[fabric]]
            name = "cloth"
            readings = [{ percent_of_bare_fan = 60 }]
            [[grille]]
            name = "holes"
            thickness_mm = 3
            holes = { shape = "round", diameter_mm = 6, rib_mm = 1.2 }
        "#;
        let draft = crate::study::Draft::parse(text.as_bytes(), "study.toml").unwrap();
        let study = draft.resolve(&mut |_| Err("no files".to_owned())).unwrap();
        let law = study.fabric_law(&study.fabrics[0]).unwrap();
        let fan = study.fan.supply.band().unwrap().central;
        let area = study.reference_area();
        let rig = |flow: f64| 0.5 * study.air.dynamic_pressure(flow / area);
        let bare = operating_points(&fan, rig).unwrap().main.flow;
        let flow = 0.6 * bare;
        let left = fan.pressure(flow) - rig(flow);
        assert!((law.pressure_drop(flow / area) / left - 1.0).abs() < 1e-9);
    }
}
