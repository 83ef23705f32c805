//! What a study found, as plain data: one tree that `run` fills, that stands in `ranking.json`, and that every report tells.
//!
//! The keys of the file and their order are the fields of these structs, their meaning is the doc comments, from which the schema is made.
//! Everything that may differ between two runs of the same study (times, what was reused) stands in the last field, [`ThisRun`].
//! Grilles know one another by their place in the study.

use std::collections::HashSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::{Likely, Warning};
use crate::units::OutputUnits;

mod air_path;
pub mod check;
mod fan_view;
mod grille;
mod pair;
mod run;
mod this_run;
mod view;
mod zone;

pub use crate::study::{Quality, Side};
pub use air_path::{AirPathOfGrille, AirPathResult, OnRig, PressureShare, WhatIf, WhatIfRow};
pub use fan_view::{BenchPoint, FanViewResult, FanViewSeen, JetSeen};
pub use grille::{GrilleName, GrilleResult, GrilleSwirl, HandbookLoss, MeterShown, OpeningTurn};
pub use pair::{DifferenceUnit, PairComparison, Separation};
pub use run::{ObliqueFlow, RunSummary};
pub use this_run::{BudgetResult, BudgetStep, RunTime, ThisRun, push_step};
pub use view::View;
pub use zone::{LossAtSpeed, ZoneResult};

/// Everything that is told of a study.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StudyResult {
    /// Name of the study.
    pub study: String,
    /// Version of the program that solved it.
    pub code_version: String,
    /// Quality setting; with a time budget the deepest that was allowed.
    pub quality: Quality,
    /// Whether the grilles sit where the air comes in or where it goes out.
    pub side: Side,
    /// The air.
    pub air: AirProperties,
    /// The area that every K and face velocity of a grille is based on.
    pub reference_area: ReferenceArea,
    /// Flow with the same fan and place, without grille, m³/h; null when a flow was given instead of a fan: then designs are ranked by pressure drop.
    pub bare_flow_m3_per_h: Option<Likely>,
    /// The flow that was given instead of a fan, m³/h; null with a fan.
    pub given_flow_m3_per_h: Option<f64>,
    /// What a hobby vane meter shows behind the bare fan; null where none was given, or the swirl is not known.
    pub bare_meter: Option<MeterShown>,
    /// The whole fan face without a grille; null where no fan views were solved.
    pub bare_fan_view: Option<FanViewResult>,
    /// Units in which screen and report tell flows and pressures first; keys of this file keep theirs.
    pub output_units: OutputUnits,
    /// Whether there are blades behind the openings: not where a vent is covered.
    pub has_blades: bool,
    /// Distance from the fan's blades to the grille, mm, where it was given.
    pub blade_gap_mm: Option<f64>,
    /// Heat load, W, where one was given.
    pub heat_load_w: Option<f64>,
    /// Mean rise of the air's temperature with the bare fan, K.
    pub bare_temperature_rise_k: Option<f64>,
    /// The grilles, best first; those without a valid number last, in study order.
    pub grilles: Vec<GrilleResult>,
    /// What the air goes through besides the grilles; null where the bare fan settles nowhere.
    pub air_path: Option<AirPathResult>,
    /// Every grille with every fabric; null without fabrics.
    pub what_if: Option<WhatIf>,
    /// Pairs of ranked grilles, best first: all of the first twenty places, further down neighbours, and each with the first.
    pub pairs: Vec<PairComparison>,
    /// Groups of grilles (their places in the study) of which none is behind another, best first; two that share no group are told apart.
    pub ties: Vec<Vec<usize>>,
    /// Doubts about the study as a whole.
    pub warnings: Vec<Warning>,
    /// What may differ between two runs of the same study.
    pub this_run: ThisRun,
}

/// The air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AirProperties {
    /// Density, kg/m³.
    #[schemars(range(min = 0))]
    pub density_kg_per_m3: f64,
    /// Kinematic viscosity, m²/s.
    #[schemars(range(min = 0))]
    pub kinematic_viscosity_m2_per_s: f64,
}

/// The area that every K and face velocity of a grille is based on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReferenceArea {
    /// Area, m².
    #[schemars(range(min = 0))]
    pub area_m2: f64,
    /// What that area is, in words: "bore 135 mm less hub 45 mm".
    pub words: String,
}

impl StudyResult {
    /// Whether a flow was given instead of a fan.
    pub fn is_flow_given(&self) -> bool {
        self.given_flow_m3_per_h.is_some()
    }

    /// The grille with this place in the study.
    pub fn grille(&self, id: usize) -> Option<&GrilleResult> {
        self.grilles.iter().find(|grille| grille.id == id)
    }

    /// Leaves out the numbers of a grille, for the reason that `doubt` gives. The others keep their places: nothing is ranked anew.
    pub fn leave_out(&mut self, id: usize, doubt: Warning) {
        let is_it = |named: &GrilleName| named.id == id;
        self.pairs
            .retain(|pair| !is_it(&pair.better) && !is_it(&pair.other));
        for tie in &mut self.ties {
            tie.retain(|other| *other != id);
        }
        self.ties.retain(|tie| tie.len() > 1);
        if let Some(path) = &mut self.air_path {
            path.grilles.retain(|grille| grille.id != id);
        }
        if let Some(what_if) = &mut self.what_if {
            what_if.leave_out(id);
        }
        if let Some(place) = self.grilles.iter().position(|grille| grille.id == id) {
            // Those without a number stand last.
            let mut grille = self.grilles.remove(place);
            grille.forget_solved(doubt);
            self.grilles.push(grille);
        }
    }

    /// The grilles that the one with this place in the study is neither behind nor ahead of, best first: those that share a group of ties with it.
    pub fn tied_with(&self, id: usize) -> impl Iterator<Item = &GrilleResult> {
        let groups = self.ties.iter().filter(|group| group.contains(&id));
        let tied: HashSet<usize> = groups.flatten().copied().collect();
        let others = self.grilles.iter().filter(move |other| other.id != id);
        others.filter(move |other| tied.contains(&other.id))
    }

    /// What a grille is ranked by, when it has a valid number: per cent of the bare fan's flow, or the pressure drop at a given flow.
    pub fn measure<'a>(&self, grille: &'a GrilleResult) -> Option<&'a Likely> {
        grille.rank?;
        if self.is_flow_given() {
            grille.pressure_drop_pa.as_ref()
        } else {
            grille.flow_percent.as_ref()
        }
    }
}
