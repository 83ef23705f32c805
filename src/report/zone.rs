//! A patterned zone of a grille, and what it costs over the speed of the air.

use serde::Serialize;

use crate::likely::Likely;

/// A patterned zone of a grille.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZoneTold {
    /// Where it begins, mm across; 0 for one that begins in the middle.
    pub inner_diameter_mm: f64,
    /// Where it ends, mm across.
    pub outer_diameter_mm: f64,
    /// Free-area ratio of its pattern, 0 to 1.
    pub free_area_ratio: f64,
    /// Effective width (hydraulic diameter) of its holes, mm.
    pub hydraulic_diameter_mm: f64,
    /// Speed of the air in front of it where the fan settles, m/s.
    pub face_velocity_m_per_s: Option<f64>,
    /// Its area as the views count it, solid ribs included, m²; `None` without a law.
    pub area_m2: Option<f64>,
    /// K by a handbook formula on the speed in front of it, with the name of the formula; `None` outside the range of every formula.
    pub handbook_loss_coefficient: Option<(f64, String)>,
    /// K over the speed, as far as the solved points reach and a fifth beyond; empty without a law. For air that comes straight.
    pub loss_curve: Vec<LossAtSpeed>,
    /// Keys of its solved runs.
    pub runs: Vec<String>,
}

/// A point of K over the air speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LossAtSpeed {
    /// Speed of the air in front of the zone, m/s.
    pub face_velocity_m_per_s: f64,
    /// Static K on that speed.
    pub loss_coefficient: Likely,
}
