//! What a study found, as plain data, and the formats in which it is told.
//!
//! `run` fills a [`StudyResult`]; each file of this folder writes one format of it into an `impl io::Write`.
//! Nothing here opens a file, prints, or has ever seen a running case.

use serde::{Deserialize, Serialize};

use crate::report::check::Check;
use crate::report::pairs::PairTold;
use crate::result::{Quality, Side, View};
use crate::units::ToldUnits;

pub use crate::likely::{Contribution, Likely, Warning};
pub use air_path::{AirPathOfGrille, AirPathResult, OnRig, PressureShare};
pub use bar::BarScale;
pub use budget::{BudgetStep, BudgetTold, push_step};
pub use doubt::biggest_doubt;
pub use duration::duration_in_words;
pub use fan_view::{BenchPoint, FanViewSeen, FanViewTold, JetSeen};
pub use page::harmless;
pub use reasons::why;
pub use table::compact;
pub use tie_letters::letters_of;
pub use what_if::{WhatIf, WhatIfRow};
pub use zone::{LossAtSpeed, ZoneTold};

mod air_path;
mod bar;
mod bench_notes;
pub mod bench_told;
mod bench_verdict;
mod budget;
mod budget_lines;
pub mod cautions;
pub mod check;
pub mod details;
mod doubt;
pub mod doubts;
mod duration;
mod fan_view;
mod fan_view_lines;
mod fingers;
pub mod kept;
mod kept_parts;
mod meter_lines;
mod oblique;
mod page;
pub mod pairs;
pub mod plan_sheet;
pub mod profile_lines;
pub mod ranking_csv;
pub mod ranking_json;
mod reasons;
pub mod run_files;
pub mod screen;
mod table;
mod tie_letters;
pub mod verdict;
mod warming;
mod warning_texts;
mod what_if;
mod words;
mod zone;

/// Everything that the outputs tell of a study.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StudyResult {
    /// Version of this format.
    pub format: u32,
    /// Name of the study.
    pub study: String,
    /// Version of the program.
    pub code_version: String,
    /// Quality setting; with a time budget the deepest that was allowed.
    pub quality: Quality,
    /// Whether the grilles sit on the intake or the exhaust side.
    pub side: Side,
    /// Air density, kg/m³.
    pub air_density_kg_per_m3: f64,
    /// Kinematic viscosity of the air, m²/s.
    pub kinematic_viscosity_m2_per_s: f64,
    /// Area on which every K and face velocity is based, m².
    pub reference_area_m2: f64,
    /// What that area is, in words: "bore 135 mm less hub 45 mm".
    pub reference_area_words: String,
    /// Flow with the same fan and place, without grille. `None` when a flow was given instead of a fan: then
    /// designs are ranked by pressure drop.
    pub bare_flow_m3_per_h: Option<Likely>,
    /// The flow that was given instead of a fan.
    pub given_flow_m3_per_h: Option<f64>,
    /// What a meter shows behind the bare fan, when one was given and the swirl is known.
    pub bare_meter: Option<MeterShown>,
    /// The fan view of the bare fan, when fan views were solved.
    pub bare_fan_view: Option<FanViewTold>,
    /// Units in which flows and pressures are told first.
    pub told_units: ToldUnits,
    /// Whether there are blades behind the openings: not where a vent is covered.
    pub has_blades: bool,
    /// Distance from the fan's blades to the grille, mm, when it was given.
    pub blade_gap_mm: Option<f64>,
    /// Heat load, W, when one was given.
    pub heat_load_w: Option<f64>,
    /// Mean air temperature rise with the bare fan, K.
    pub bare_temperature_rise_k: Option<f64>,
    /// How a time budget was spent, when one was given.
    pub budget: Option<BudgetTold>,
    /// The grilles, best first; those without a valid number last, in study order.
    pub grilles: Vec<GrilleResult>,
    /// What the air goes through besides the grilles; `None` where the bare fan settles nowhere.
    pub air_path: Option<AirPathResult>,
    /// Each grille with each fabric of the study; `None` without fabrics.
    pub what_if: Option<WhatIf>,
    /// Every pair of ranked grilles, best first.
    pub pairs: Vec<PairTold>,
    /// Groups of names of which none is behind another, best first.
    pub ties: Vec<Vec<String>>,
    /// Doubts about the study as a whole.
    pub warnings: Vec<Warning>,
    /// Wall-clock time spent, s (not compared between runs).
    pub elapsed_s: f64,
}

/// One grille in the ranking.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrilleResult {
    /// Name from the study.
    pub name: String,
    /// What it is, in words: "hexagons 5.0 mm across flats, rib 1.2 mm, staggered, 4.0 mm thick".
    pub description: String,
    /// How deep it was solved; grilles differ with a time budget.
    pub quality: Quality,
    /// Place in the ranking: 1 and the number of grilles that it is behind. `None` without a valid number.
    pub rank: Option<u32>,
    /// Open area of the whole bore, per cent of the reference area.
    pub hole_area_percent: f64,
    /// Free-area ratio of the patterned zone, 0 to 1.
    pub zone_free_area_ratio: f64,
    /// Effective hole width (hydraulic diameter), mm.
    pub hydraulic_diameter_mm: f64,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Number of holes (or slots).
    pub hole_count: usize,
    /// Distance to moving parts that its openings ask for, mm, measured from the outside of the grille (ISO 13857:2019, table 4); `None` where a hand reaches through.
    pub finger_distance_mm: Option<f64>,
    /// Share of the pattern through which one sees straight along the axis, per cent.
    pub see_through_percent: f64,
    /// How its openings turn, where they do.
    pub turn: Option<TurnTold>,
    /// Mean speed on the reference area at the operating point, m/s.
    pub face_velocity_m_per_s: Option<Likely>,
    /// Reynolds number in the holes at the operating point, on the hydraulic diameter.
    pub hole_reynolds_number: Option<f64>,
    /// K on the reference area at the operating point.
    pub loss_coefficient: Option<Likely>,
    /// K by a handbook formula beside it, with the name of the formula; `None` outside the formula's range.
    pub handbook_loss_coefficient: Option<(f64, String)>,
    /// Pressure drop of the grille at the operating point, Pa.
    pub pressure_drop_pa: Option<Likely>,
    /// Flow at the operating point, m³/h.
    pub flow_m3_per_h: Option<Likely>,
    /// Flow in per cent of the bare fan. The common part of the fan-curve uncertainty does not count twice.
    pub flow_percent: Option<Likely>,
    /// Mean air temperature rise, K, when a heat load was given.
    pub temperature_rise_k: Option<f64>,
    /// Further points at which the fan could settle, m³/h.
    pub other_flows_m3_per_h: Vec<f64>,
    /// What the fan's swirl does to it, on the exhaust side where the swirl is known.
    pub swirl: Option<GrilleSwirl>,
    /// What a meter shows behind it, when one was given and the swirl is known.
    pub meter: Option<MeterShown>,
    /// The whole fan face where the fan settles with this grille, when fan views were solved.
    pub fan_view: Option<FanViewTold>,
    /// Parts of the half-width of the interval, largest first: name in plain words, half-width in per cent of the flow
    /// (of the pressure drop when the flow was given).
    pub contributions: Vec<Contribution>,
    /// Names of the grilles that it is neither behind nor ahead of.
    pub tied_with: Vec<String>,
    /// Its patterned zones, from the inside out.
    pub zones: Vec<ZoneTold>,
    /// Solved points K(U).
    pub runs: Vec<RunSummary>,
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// How the openings of a grille turn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TurnTold {
    /// Whether they lean about the fan's axis, by themselves or as a twisted pattern; else each twists about its own axis.
    pub is_lean: bool,
    /// The grille of the study that is the same but for the turn.
    pub straight_twin: Option<String>,
}

/// What the fan's swirl does to a grille on the exhaust side where the fan settles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GrilleSwirl {
    /// Three radii between hub and tip, mm.
    pub radii_mm: [f64; 3],
    /// Angles against the axis at which the air meets the grille there, degrees, positive = with the fan's rotation.
    pub inflow_angles_deg: [f64; 3],
    /// Angles at which it leaves, once it has mixed, degrees.
    pub outflow_angles_deg: [f64; 3],
    /// Static K of the holes on the reference area, each where it stands.
    pub static_loss_coefficient: f64,
    /// What the lost suction of the turning core adds to it; both together are the K that is ranked.
    pub lost_suction_loss_coefficient: f64,
    /// K by the total pressure, flux mean: what the air itself loses, its swirl included.
    pub total_loss_coefficient: f64,
    /// Torque of the air on the grille, N m, positive = with the fan's rotation.
    pub torque_n_m: f64,
}

/// What a hobby vane meter is expected to show. Common practice without a source: a free wheel in the air that turns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeterShown {
    /// True mean air speed along the axis through the wheel's circle, m/s.
    pub air_speed_m_per_s: f64,
    /// Least and largest reading, m/s; they differ where it is not known which way the wheel turns.
    pub reading_m_per_s: [f64; 2],
    /// The same in per cent of the reading behind the bare fan, each hand by itself.
    pub reading_percent_of_bare_fan: Option<[f64; 2]>,
    /// Whether the air that it is met by comes from the fan view; else from the rule that a stream mixes over the bore as it goes on.
    pub is_by_fan_view: bool,
}

/// One solved run: one view of one grille at one face velocity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunSummary {
    /// Key of the folder under `runs/`.
    pub key: String,
    /// Which flow model of the grille it is.
    pub view: View,
    /// Velocity in front of the patterned zone, m/s.
    pub face_velocity_m_per_s: f64,
    /// Reynolds number in the hole, on the hydraulic diameter.
    pub hole_reynolds_number: f64,
    /// Cells per hydraulic diameter (hole view, repeat view) or per slot (slice view).
    pub cells_across: f64,
    /// Static K of the patterned zone by momentum, on the velocity in front of it.
    pub loss_coefficient: Likely,
    /// The same by the force on the solid.
    pub loss_coefficient_by_force: f64,
    /// What air that comes in or goes out at an angle adds, of views that see it (repeat view).
    pub oblique: Option<ObliqueFlow>,
    /// What a fan view shows. Its `face_velocity_m_per_s` is the mean speed in the bore, its Reynolds number that of the bore, its cells are per bore radius; its `loss_coefficient` is the total
    /// pressure just ahead of the grille over that of the room and the dynamic pressure (what the run waits for), that by force the static K of the grille.
    pub fan_view: Option<Box<FanViewSeen>>,
    /// Density rise across the plate in lattice units, 3 K U² / 2.
    pub density_rise: f64,
    /// Why the run stopped, in words.
    pub stop_reason: String,
    /// Whether the number may enter the ranking.
    pub is_valid: bool,
    /// Steps.
    pub step_count: u64,
    /// Cells.
    pub cell_count: u64,
    /// Wall-clock time, s (not compared between runs).
    pub elapsed_s: f64,
    /// Whether the result was found on disk and reused.
    pub was_reused: bool,
    /// What it was checked for; empty in runs of a version before there were checks.
    pub checks: Vec<Check>,
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// Angles of the air ahead of and behind a zone, and K by the total pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ObliqueFlow {
    /// K by the total pressure: static K + tan²(in) − tan²(out).
    pub total_loss_coefficient: f64,
    /// Angle against the axis at which the air comes in, degrees, positive = with the fan's rotation.
    pub inflow_angle_deg: f64,
    /// Angle at which it goes out once it has mixed, degrees, positive = with the fan's rotation.
    pub outflow_angle_deg: f64,
    /// The same across that direction (along the radius), degrees.
    pub outflow_cross_angle_deg: f64,
    /// Mean force on the plate with the fan's rotation and across it, over the area and the dynamic pressure of the speed ahead of it.
    pub side_force_coefficients: [f64; 2],
    /// Mean couple of the air on a hole about its axis, the right hand along the flow, over area, dynamic pressure and hydraulic diameter.
    pub torque_coefficient: f64,
}
