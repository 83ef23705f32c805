//! What the air goes through besides the grilles, and what would be with each fabric.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::likely::Likely;
use crate::result::GrilleName;

/// What the air goes through besides the grilles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AirPathResult {
    /// Equal fans side by side, each with a grille, a count.
    pub fan_count: u32,
    /// Names of the panels that every grille is used with.
    pub panels: Vec<String>,
    /// Each ranked grille, best first.
    pub grilles: Vec<AirPathOfGrille>,
    /// Whether other fans work in the same PC case.
    pub has_other_fans: bool,
    /// Pressure in the PC case over that of the room with the bare fan, Pa.
    pub bare_case_pressure_pa: Option<f64>,
    /// Flow of the bare fan on the rig, m³/h; null where none was given.
    pub bare_on_rig_m3_per_h: Option<Likely>,
}

/// A grille's whole path.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AirPathOfGrille {
    /// Place of the grille in the study, counted from 0.
    pub id: usize,
    /// Name of the grille.
    pub name: String,
    /// What each thing takes of the fan's pressure where the fan settles, the grille first.
    pub shares: Vec<PressureShare>,
    /// Pressure in the PC case over that of the room, Pa.
    pub case_pressure_pa: f64,
    /// How many times as fast the fan would have to turn to move what the bare fan moves (fan laws), without unit; null above 3 and without a fan.
    pub speed_ratio_for_bare_flow: Option<f64>,
    /// The same grille on the rig; null where none was given.
    pub on_rig: Option<OnRig>,
}

/// What one thing in the air's way takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PressureShare {
    /// "grille", a panel's name or "PC case".
    pub what: String,
    /// Whether it is a panel.
    pub is_panel: bool,
    /// Pressure drop, Pa.
    pub pressure_pa: f64,
}

/// A grille on the rig.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OnRig {
    /// Place among the grilles there.
    pub rank: u32,
    /// Flow, m³/h.
    pub flow_m3_per_h: Likely,
    /// Flow, per cent of that of the bare fan on the same rig.
    pub flow_percent: Option<Likely>,
}

/// Every grille with every fabric.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WhatIf {
    /// Combinations, best first; those with a fabric that may not be ranked last.
    pub rows: Vec<WhatIfRow>,
    /// Groups of places in rows, counted from 0, of which none is behind another.
    pub ties: Vec<Vec<usize>>,
}

/// One grille with one fabric.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WhatIfRow {
    /// The grille.
    pub grille: GrilleName,
    /// Name of the fabric.
    pub fabric: String,
    /// Whether the fabric lies on the holes; otherwise it stands apart, over the fan's own area.
    pub lies_on_holes: bool,
    /// 1 and the number of combinations that are clearly better; null where the fabric may not be ranked.
    #[schemars(range(min = 1))]
    pub rank: Option<u32>,
    /// Flow, m³/h.
    pub flow_m3_per_h: Likely,
    /// Flow, per cent of that of the bare fan; null when a flow was given.
    pub flow_percent: Option<Likely>,
    /// Pressure drop of the grille, Pa.
    pub grille_pressure_pa: f64,
    /// Pressure drop of the fabric and of all panels, Pa.
    pub fabric_pressure_pa: Likely,
}

impl WhatIf {
    /// Leaves out the combinations of a grille (its place in the study); the others keep their places.
    pub(super) fn leave_out(&mut self, grille: usize) {
        let is_kept: Vec<bool> = self
            .rows
            .iter()
            .map(|row| row.grille.id != grille)
            .collect();
        let new_place = |place: &usize| is_kept[..*place].iter().filter(|kept| **kept).count();
        for tie in &mut self.ties {
            tie.retain(|&place| is_kept.get(place) == Some(&true));
            *tie = tie.iter().map(new_place).collect();
        }
        self.ties.retain(|tie| tie.len() > 1);
        self.rows.retain(|row| row.grille.id != grille);
    }

    /// The grilles, best first, each once.
    pub fn grilles(&self) -> Vec<&GrilleName> {
        let mut grilles: Vec<&GrilleName> = Vec::new();
        for row in &self.rows {
            if !grilles.iter().any(|known| known.id == row.grille.id) {
                grilles.push(&row.grille);
            }
        }
        grilles
    }

    /// Names of the fabrics, best first, each once.
    pub fn fabrics(&self) -> Vec<&str> {
        let mut fabrics: Vec<&str> = Vec::new();
        for row in &self.rows {
            if !fabrics.contains(&row.fabric.as_str()) {
                fabrics.push(&row.fabric);
            }
        }
        fabrics
    }

    /// A grille (its place in the study) with a fabric in one of its seats, and whether no other grille is ahead of it there.
    pub fn cell(
        &self,
        grille: usize,
        (fabric, lies_on_holes): (&str, bool),
    ) -> Option<(&WhatIfRow, bool)> {
        let is_column =
            |row: &WhatIfRow| row.fabric == fabric && row.lies_on_holes == lies_on_holes;
        let mut rows = self.rows.iter().enumerate();
        let (place, row) = rows.find(|(_, row)| row.grille.id == grille && is_column(row))?;
        let best = self.rows.iter().position(is_column)?;
        let mut ties = self.ties.iter();
        let is_tied = ties.any(|group| group.contains(&best) && group.contains(&place));
        Some((row, row.rank.is_some() && (best == place || is_tied)))
    }
}

impl WhatIfRow {
    /// Pressure drop of grille, fabric and panels together, Pa.
    pub fn total_pressure_pa(&self) -> Likely {
        let fabric = self.fabric_pressure_pa;
        fabric.map(|pressure| pressure + self.grille_pressure_pa)
    }
}
