//! A solved run as a result tells it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::{Likely, Warning, null_is_nan};
use crate::result::check::Check;
use crate::result::{FanViewSeen, View};

/// A solved run: one view of one zone of the grille at one air speed on one grid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunSummary {
    /// Name of its folder under runs/.
    pub key: String,
    /// Which flow model of the grille it is.
    pub view: View,
    /// Air speed in front of the patterned zone, m/s; of a fan view the mean in the bore.
    pub face_velocity_m_per_s: f64,
    /// Reynolds number in the hole on the hydraulic diameter, without unit; of a fan view that of the bore.
    pub hole_reynolds_number: f64,
    /// Computing cells across the hydraulic diameter or the slot, a count; of a fan view across the bore's radius.
    pub cells_across: f64,
    /// Static K of the patterned zone by momentum, without unit, on the velocity in front of it; the range is that in time alone.
    /// Of a fan view what the run waits for: the total pressure just ahead of the grille over that of the room, over the dynamic pressure in the bore.
    pub loss_coefficient: Likely,
    /// The same by the force on the solid, without unit; of a fan view the static K of the grille.
    #[serde(deserialize_with = "null_is_nan")]
    pub loss_coefficient_by_force: f64,
    /// What an angle of the air adds, of views that see it; null in others.
    pub oblique: Option<ObliqueFlow>,
    /// What a fan view shows; null in others.
    pub fan_view: Option<Box<FanViewSeen>>,
    /// Density rise across the plate in lattice units (3 K U² / 2), without unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub density_rise: f64,
    /// Why the run stopped, in words.
    pub stop_reason: String,
    /// Whether the number may enter the ranking.
    pub is_valid: bool,
    /// Steps in time, a count.
    pub step_count: u64,
    /// Computing cells, a count.
    pub cell_count: u64,
    /// Time on the clock, s: differs from run to run, and stands in [`ThisRun`](crate::result::ThisRun).
    #[serde(skip)]
    pub elapsed_s: f64,
    /// Whether the result was found on disk and reused; stands there too.
    #[serde(skip)]
    pub was_reused: bool,
    /// What it was checked for, kept in the files of the run alone; empty in runs of a version before there were checks.
    #[serde(skip)]
    pub checks: Vec<Check>,
    /// Doubts about this run.
    pub warnings: Vec<Warning>,
}

/// What air that comes in or goes out at an angle adds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ObliqueFlow {
    /// K by the total pressure, without unit, on the velocity in front of the patterned zone: static K + tan²(in) − tan²(out).
    #[serde(deserialize_with = "null_is_nan")]
    pub total_loss_coefficient: f64,
    /// Angle against the axis at which the air comes in, degrees, positive with the fan's rotation.
    #[serde(deserialize_with = "null_is_nan")]
    pub inflow_angle_deg: f64,
    /// Angle at which it goes out once it has mixed, degrees, positive with the fan's rotation.
    #[serde(deserialize_with = "null_is_nan")]
    pub outflow_angle_deg: f64,
    /// The same across that direction, along the radius, degrees.
    #[serde(deserialize_with = "null_is_nan")]
    pub outflow_cross_angle_deg: f64,
    /// Mean force on the plate with the fan's rotation and across it, over area and dynamic pressure of the speed ahead of it, without unit.
    pub side_force_coefficients: [f64; 2],
    /// Mean couple of the air on a hole about its axis, the right hand along the flow, over area, dynamic pressure and hydraulic diameter, without unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub torque_coefficient: f64,
}
