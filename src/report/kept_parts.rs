//! Parts of a kept ranking that only the report reads: runs, air path, swirl, fan view, pairs.

use serde::Deserialize;

use crate::comparison::Relation;
use crate::report::kept::{KeptRange, KeptWarning, as_far_as_it_goes};

/// A run of a grille.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptRun {
    /// Name of its folder.
    pub key: String,
    /// `hole view`, `slice view`, `repeat view`.
    #[serde(default)]
    pub view: String,
    /// Velocity in front of the patterned zone, m/s.
    pub face_velocity_m_per_s: Option<f64>,
    /// Reynolds number in the hole.
    pub hole_reynolds_number: Option<f64>,
    /// Cells across the hole.
    pub cells_across: Option<f64>,
    /// Static K of the patterned zone on the velocity in front of it; `None` where the run gave no number.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub loss_coefficient: Option<KeptRange>,
    /// Why it stopped.
    #[serde(default)]
    pub stop_reason: String,
    /// Whether the number may enter the ranking.
    #[serde(default)]
    pub is_valid: bool,
    /// Doubts.
    #[serde(default)]
    pub warnings: Vec<KeptWarning>,
}

/// A patterned zone of a grille; every K in it stands on the speed in front of it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptZone {
    /// Where it begins, mm across.
    pub inner_diameter_mm: f64,
    /// Where it ends, mm across.
    pub outer_diameter_mm: f64,
    /// Speed of the air in front of it where the fan settles, m/s.
    pub face_velocity_m_per_s: Option<f64>,
    /// Its area as the views count it, m².
    pub area_m2: Option<f64>,
    /// K by a handbook formula.
    pub handbook_loss_coefficient: Option<KeptHandbook>,
    /// K over the speed.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub loss_curve: Vec<KeptLossAtSpeed>,
    /// Keys of its runs.
    #[serde(default)]
    pub runs: Vec<String>,
}

/// A point of K over the air speed.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct KeptLossAtSpeed {
    /// Speed in front of the zone, m/s.
    pub face_velocity_m_per_s: f64,
    /// Static K on that speed.
    pub loss_coefficient: KeptRange,
}

/// Every grille with every fabric.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptWhatIf {
    /// Combinations, best first.
    pub rows: Vec<KeptWhatIfRow>,
    /// Groups of places in `rows` of which none is behind another.
    #[serde(default)]
    pub ties: Vec<Vec<usize>>,
}

/// One grille with one fabric.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptWhatIfRow {
    /// The grille's name.
    pub grille: String,
    /// The fabric's name.
    pub fabric: String,
    /// Whether the fabric lies on the holes; otherwise it stands apart.
    #[serde(default)]
    pub lies_on_holes: bool,
    /// Place among the combinations; `None` where the fabric may not be ranked.
    pub rank: Option<u32>,
    /// Flow in per cent of the bare fan; `None` when a flow was given.
    pub flow_percent: Option<KeptRange>,
    /// Pressure drop of the grille, Pa.
    pub grille_pressure_pa: f64,
    /// Pressure drop of the fabric and of all panels, Pa.
    pub fabric_pressure_pa: KeptRange,
}

/// K by a handbook formula.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptHandbook {
    /// K on the reference area.
    pub value: f64,
    /// Name of the formula.
    #[serde(default)]
    pub formula: String,
}

/// What the fan's swirl does to a grille.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptSwirl {
    /// Three radii between hub and tip, mm.
    pub radii_mm: [f64; 3],
    /// Angles at which the air meets the grille there, degrees.
    pub inflow_angles_deg: [f64; 3],
    /// Angles at which it leaves, degrees.
    pub outflow_angles_deg: [f64; 3],
}

/// The whole fan face with a grille.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptFanView {
    /// Name of its folder.
    pub key: String,
    /// Whether its numbers are worth anything.
    #[serde(default)]
    pub is_valid: bool,
    /// Width of the jet at some distances.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub jet: Vec<KeptJet>,
    /// Length of the back-flow on the axis, mm.
    pub hub_wake_mm: Option<f64>,
    /// Whether it is longer than the view.
    pub is_hub_wake_beyond_view: Option<bool>,
    /// Swirl number just ahead of the grille.
    pub swirl_number_in: Option<f64>,
    /// Swirl number just behind it.
    pub swirl_number_out: Option<f64>,
    /// Distance of the bench plane behind the grille, mm.
    pub bench_distance_mm: Option<f64>,
    /// Angle of the air that is left there, degrees.
    pub bench_swirl_angle_deg: Option<f64>,
    /// Turbulence there, per cent.
    pub bench_turbulence_percent: Option<f64>,
}

/// Width of the jet at a plane.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct KeptJet {
    /// Distance behind the grille, bore diameters.
    pub distance_diameters: f64,
    /// Angle by which it has spread, degrees.
    pub splay_angle_deg: f64,
}

/// What the air goes through besides the grilles.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptAirPath {
    /// Equal fans side by side.
    #[serde(default)]
    pub fan_count: u32,
    /// Whether other fans work in the same PC case.
    #[serde(default)]
    pub has_other_fans: bool,
    /// Each ranked grille.
    pub grilles: Vec<KeptPath>,
}

/// A grille's whole path.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptPath {
    /// Name.
    pub name: String,
    /// What each thing takes of the fan's pressure.
    pub shares: Vec<KeptShare>,
    /// How many times as fast the fan would have to turn to move what the bare fan moves.
    pub speed_ratio_for_bare_flow: Option<f64>,
}

/// What one thing in the air's way takes.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptShare {
    /// "grille", a panel's name or "PC case".
    pub what: String,
    /// Pa.
    pub pressure_pa: f64,
}

/// Two ranked grilles.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptPair {
    /// The one that stands higher.
    pub better: String,
    /// The one that stands lower.
    pub other: String,
    /// How sure it is that the first is ahead, with the number of grilles allowed for.
    pub sureness: f64,
    /// How the two stand to one another.
    pub relation: Relation,
}
