//! A patterned zone of a grille, and what it costs over the speed of the air.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::Likely;
use crate::result::HandbookLoss;

/// A patterned zone of a grille; every K in it stands on the air speed in front of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZoneResult {
    /// Where it begins, mm across; 0 for one that begins in the middle.
    #[schemars(range(min = 0))]
    pub inner_diameter_mm: f64,
    /// Where it ends, mm across.
    #[schemars(range(min = 0))]
    pub outer_diameter_mm: f64,
    /// Open area of its pattern over its area, 0 to 1, without unit.
    #[schemars(range(min = 0, max = 1))]
    pub free_area_ratio: f64,
    /// Effective width (hydraulic diameter) of its holes, mm.
    #[schemars(range(min = 0))]
    pub hydraulic_diameter_mm: f64,
    /// Air speed in front of it where the fan settles, m/s.
    pub face_velocity_m_per_s: Option<f64>,
    /// Its area as the views count it, solid ribs included, m²; null without a law.
    pub area_m2: Option<f64>,
    /// K by a handbook formula, without unit; null outside the range of every formula.
    pub handbook_loss_coefficient: Option<HandbookLoss>,
    /// K over the air speed, as far as the solved points reach and a fifth beyond, for air that comes straight; empty without a law.
    pub loss_curve: Vec<LossAtSpeed>,
    /// Keys of its solved runs.
    pub runs: Vec<String>,
}

/// A point of K over the air speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LossAtSpeed {
    /// Air speed in front of the zone, m/s.
    pub face_velocity_m_per_s: f64,
    /// Static K at that speed, without unit.
    pub loss_coefficient: Likely,
}
