//! One grille of a result: what it is, what it gives, and how sure that is.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::{Contribution, Likely, Warning};
use crate::result::{FanViewResult, Quality, RunSummary, ZoneResult};
use crate::study::Study;

/// A grille of the study by its place and its name.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub struct GrilleName {
    /// Place in the study, counted from 0.
    pub id: usize,
    /// Name from the study.
    pub name: String,
}

impl GrilleName {
    /// Of the grille at this place of a study.
    pub fn of(study: &Study, id: usize) -> Self {
        Self {
            id,
            name: study.grilles[id].name.clone(),
        }
    }
}

/// One grille.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GrilleResult {
    /// Place in the study, counted from 0.
    pub id: usize,
    /// How deep it was solved; grilles differ with a time budget.
    pub quality: Quality,
    /// Place in the ranking: 1 and the number of grilles that it is behind; null without a valid number.
    #[schemars(range(min = 1))]
    pub rank: Option<u32>,
    /// Name from the study.
    pub name: String,
    /// What it is, in words with their units.
    pub description: String,
    /// Whether its openings turn but were solved as straight ones.
    pub is_turn_undecided: bool,
    /// Flow where the fan settles, per cent of that of the bare fan; null without a number or with a given flow. The common part of the fan-curve uncertainty does not count twice.
    pub flow_percent: Option<Likely>,
    /// Flow where the fan settles, m³/h; null without a number or with a given flow.
    pub flow_m3_per_h: Option<Likely>,
    /// The same in cubic feet per minute (CFM).
    pub flow_cfm: Option<Likely>,
    /// K where the fan settles, without unit, on the reference area.
    pub loss_coefficient: Option<Likely>,
    /// K by a handbook formula beside it, without unit; null outside the range of every formula.
    pub handbook_loss_coefficient: Option<HandbookLoss>,
    /// Pressure that the grille costs there, Pa.
    pub pressure_drop_pa: Option<Likely>,
    /// Mean air speed on the reference area there, m/s.
    pub face_velocity_m_per_s: Option<Likely>,
    /// Reynolds number in the holes there, on the hydraulic diameter, without unit.
    pub hole_reynolds_number: Option<f64>,
    /// Mean rise of the air's temperature, K, where a heat load was given.
    pub temperature_rise_k: Option<f64>,
    /// Further flows at which the fan could settle, m³/h.
    pub other_flows_m3_per_h: Vec<f64>,
    /// What the fan's swirl does to it; null on the intake side and where the swirl is not known.
    pub swirl: Option<GrilleSwirl>,
    /// What a hobby vane meter shows behind it; null where none was given.
    pub meter: Option<MeterShown>,
    /// The whole fan face with it; null where no fan views were solved.
    pub fan_view: Option<FanViewResult>,
    /// Open area of the whole bore, per cent of the reference area.
    #[schemars(range(min = 0))]
    pub hole_area_percent: f64,
    /// Open area of the patterned zone over its area, 0 to 1, without unit.
    #[schemars(range(min = 0, max = 1))]
    pub zone_free_area_ratio: f64,
    /// Effective hole width (hydraulic diameter), mm.
    #[schemars(range(min = 0))]
    pub hydraulic_diameter_mm: f64,
    /// Thickness, mm.
    #[schemars(range(min = 0))]
    pub thickness_mm: f64,
    /// Holes or slots, a count.
    pub hole_count: usize,
    /// Distance to moving parts that its openings ask for, mm, from the outside of the grille (ISO 13857:2019, table 4); null where a hand reaches through.
    pub finger_distance_mm: Option<f64>,
    /// Share of the pattern through which one sees straight along the axis, per cent.
    #[schemars(range(min = 0, max = 100))]
    pub see_through_percent: f64,
    /// How its openings turn; null where they are straight.
    pub turn: Option<OpeningTurn>,
    /// Parts of the half-width of its likely range, largest first.
    pub contributions: Vec<Contribution>,
    /// Its patterned zones, from the inside out.
    pub zones: Vec<ZoneResult>,
    /// Its solved runs.
    pub runs: Vec<RunSummary>,
    /// Doubts about it.
    pub warnings: Vec<Warning>,
}

impl GrilleResult {
    /// Takes away what was solved of it; what follows from its drawing stays.
    pub(super) fn forget_solved(&mut self, doubt: Warning) {
        *self = Self {
            rank: None,
            flow_percent: None,
            flow_m3_per_h: None,
            flow_cfm: None,
            loss_coefficient: None,
            handbook_loss_coefficient: None,
            pressure_drop_pa: None,
            face_velocity_m_per_s: None,
            hole_reynolds_number: None,
            temperature_rise_k: None,
            other_flows_m3_per_h: Vec::new(),
            swirl: None,
            meter: None,
            fan_view: None,
            contributions: Vec::new(),
            zones: Vec::new(),
            runs: Vec::new(),
            warnings: vec![doubt],
            ..self.clone()
        };
    }

    /// Its place and its name.
    pub fn named(&self) -> GrilleName {
        GrilleName {
            id: self.id,
            name: self.name.clone(),
        }
    }
}

/// K by a handbook formula.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HandbookLoss {
    /// K, without unit: on the reference area for a grille, on the speed in front of it for a zone.
    pub value: f64,
    /// Name of the formula.
    pub formula: String,
}

/// How the openings of a grille turn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OpeningTurn {
    /// Whether they lean about the fan's axis, by themselves or as a twisted pattern; else each twists about its own.
    pub is_lean: bool,
    /// The grille of the study that is the same but for the turn; null where there is none.
    pub straight_twin: Option<GrilleName>,
}

/// What the fan's swirl does to a grille on the exhaust side where the fan settles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GrilleSwirl {
    /// Three radii between hub and tip, mm.
    pub radii_mm: [f64; 3],
    /// Angles against the axis at which the air meets the grille there, degrees, positive with the fan's rotation.
    pub inflow_angles_deg: [f64; 3],
    /// Angles at which it leaves once it has mixed, degrees.
    pub outflow_angles_deg: [f64; 3],
    /// Static K of the holes, each where it stands, without unit, on the reference area.
    pub static_loss_coefficient: f64,
    /// What the lost suction of the turning core adds to it, without unit; both together are the K that is ranked.
    pub lost_suction_loss_coefficient: f64,
    /// K by the total pressure, flux mean, without unit: what the air itself loses, its swirl included.
    pub total_loss_coefficient: f64,
    /// Torque of the air on the grille, N m, positive with the fan's rotation.
    pub torque_n_m: f64,
}

/// What a hobby vane meter is expected to show: common practice without a source, a free wheel in the air that turns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MeterShown {
    /// True mean air speed along the axis through the wheel's circle, m/s.
    pub air_speed_m_per_s: f64,
    /// Least and largest reading, m/s; they differ where it is not known which way the wheel turns.
    pub reading_m_per_s: [f64; 2],
    /// The same in per cent of the reading behind the bare fan, each hand by itself; null where there is none.
    pub reading_percent_of_bare_fan: Option<[f64; 2]>,
    /// Whether the air that it is met by comes from the fan view; else from the rule that a stream mixes over the bore as it goes on.
    pub is_by_fan_view: bool,
}
