//! What the fan view shows: where the air goes behind the whole fan face. An axisymmetric flow has no vortex stretching, so all of it is a trend.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::null_is_nan;
use crate::result::RunSummary;

/// What was read off a solved view of the whole fan face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FanViewSeen {
    /// Width of the jet at some distances; those beyond the view are missing.
    pub jet: Vec<JetSeen>,
    /// Length of the back-flow on the axis behind the grille, mm; 0 where there is none.
    #[schemars(range(min = 0))]
    #[serde(deserialize_with = "null_is_nan")]
    pub hub_wake_mm: f64,
    /// Whether it reaches the end of the view, so that it is longer than that.
    pub is_hub_wake_beyond_view: bool,
    /// Swirl number just ahead of the grille, without unit: flux of angular momentum over that of axial momentum and the bore's radius.
    #[serde(deserialize_with = "null_is_nan")]
    pub swirl_number_in: f64,
    /// The same just behind it, without unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub swirl_number_out: f64,
    /// Distance of the bench plane behind the outside of the grille, mm: the meter's, where one is given.
    pub bench_distance_mm: f64,
    /// Angle of the air against the axis that is left there, degrees, momentum mean; null beyond the view.
    pub bench_swirl_angle_deg: Option<f64>,
    /// Turbulence there, flux mean, per cent of the mean speed in the bore; null beyond the view.
    pub bench_turbulence_percent: Option<f64>,
    /// Static pressure just ahead of the grille over that of the room, area mean over the annulus between hub and bore, where the blades push, over the dynamic pressure of the mean speed in the bore, without unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub pressure_ahead: f64,
    /// Root mean square of the swing of the total pressure just ahead of the grille about its mean, per cent, once the start is over; null where the run was too short to tell.
    pub total_pressure_swing_percent: Option<f64>,
    /// Static K of the grille by pressure and momentum flux, without unit, on the mean speed in the bore.
    #[serde(deserialize_with = "null_is_nan")]
    pub static_loss_coefficient: f64,
    /// The same by the axial force on the grille, without unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub static_loss_coefficient_by_force: f64,
    /// Total K, without unit: what the air itself loses.
    #[serde(deserialize_with = "null_is_nan")]
    pub total_loss_coefficient: f64,
    /// Mean velocity over the radius in the bench plane; empty beyond the view.
    pub bench_profile: Vec<BenchPoint>,
}

/// Width of the jet at a plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JetSeen {
    /// Distance behind the grille, bore diameters.
    pub distance_diameters: f64,
    /// Outermost radius at which the axial velocity is half of the largest, mm.
    #[serde(deserialize_with = "null_is_nan")]
    pub half_width_mm: f64,
    /// Angle by which that radius has grown since just behind the grille, degrees.
    #[serde(deserialize_with = "null_is_nan")]
    pub splay_angle_deg: f64,
}

/// A point of the velocity profile in the bench plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchPoint {
    /// Distance from the axis, mm.
    pub radius_mm: f64,
    /// Axial velocity, m/s.
    #[serde(deserialize_with = "null_is_nan")]
    pub axial_m_per_s: f64,
    /// Swirl velocity, m/s, positive with the fan's rotation.
    #[serde(deserialize_with = "null_is_nan")]
    pub swirl_m_per_s: f64,
}

/// The whole fan face behind a grille, or behind the bare fan, solved as an axisymmetric flow: a trend, which changes no flow, K or place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FanViewResult {
    /// The run.
    pub run: RunSummary,
    /// What the fan pays for the grille by this view, K without unit, on the reference area: pressure ahead of it less that of the bare fan at equal flow, to be set beside the K that is ranked.
    /// Null for the bare fan, and where one of the two has no numbers.
    pub paid_loss_coefficient: Option<f64>,
    /// The run of a picture with rings in the place of holes, or with the real ribs of a ring grille; null where there is none.
    pub rings: Option<RunSummary>,
}

impl FanViewResult {
    /// What it shows, if its run is worth anything.
    pub fn seen(&self) -> Option<&FanViewSeen> {
        let seen = self.run.fan_view.as_ref();
        seen.filter(|_| self.run.is_valid).map(Box::as_ref)
    }
}
