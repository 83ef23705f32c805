//! The study file: text in, a complete [`Study`] in SI units out, or every fault at once.
//!
//! Three types, three jobs.
//! A tree keeps raw values with their places; [`Draft`] holds it, and flags of the command line overwrite it.
//! [`Draft::resolve`] applies the defaults and checks everything.
//! A [`Study`] has passed: the solver never sees an option that means "default".
//! Nothing here opens a file: fan curves come through a function that the caller gives.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::air::Air;
use crate::fabric::Fabric;
use crate::fan::Fan;
use crate::grille::{Grille, GrilleGeometry, Printer};
use crate::meter::Meter;
use crate::units::OutputUnits;

mod air_path;
mod air_table;
mod bars_table;
mod caution;
mod checked;
mod describe;
mod diagnostics;
mod draft;
mod edge_table;
mod exit_table;
mod fabric_bench_table;
mod fabric_fault;
mod fabric_table;
mod fan_speed;
mod fan_table;
mod fan_view_table;
mod fault;
mod grille_table;
mod hint;
mod holes_table;
mod key;
mod knit_table;
mod known;
mod loss_table;
mod mesh_table;
mod meter_table;
mod name;
mod other_fans_table;
mod output_units;
mod panel_table;
mod pattern_table;
mod place;
mod place_table;
mod printer_table;
mod resolve;
mod run_table;
mod series_keys;
mod series_table;
mod smoke_table;
mod study_keys;
mod supply_table;
mod table;
mod tree;
mod turn_table;
mod twin;
mod vent_table;
mod word_key;
mod write;
mod zone_lines;
mod zone_table;

pub use air_path::{OtherFans, Panel, PanelLoss, PathLoss};
pub use caution::{
    bars_against_blades, finger_distance_mm, grille_cautions, grille_finger_distance_mm,
    panel_cautions, study_cautions, unused_swirl, vent_cautions,
};
pub use describe::{describe, describe_fabric, describe_pattern, pattern_turn};
pub use draft::{Draft, LARGEST_FILE_BYTES, too_large};
pub use fabric_fault::FabricFault;
pub use fan_view_table::{BehindGrille, FanView};
pub use fault::{FaultKind, StudyFault};
pub use name::name_trouble;
pub use place::FaultPlace;
pub use run_table::{Quality, RunSettings, Threads, TimeBudget};
pub use smoke_table::{FilmView, Rake, Smoke, USUAL_THREADS};
pub use vent_table::Vent;
pub use zone_lines::{straight_of, zone_lines};

/// Version of the study file's format that this program reads and writes.
pub const FORMAT: u32 = 1;

/// A commented study to start from, under a name of one line.
pub fn starter(name: &str) -> String {
    let quoted = toml::Value::String(name.to_owned()).to_string();
    include_str!("starter.toml").replacen("\"NAME\"", &quoted, 1)
}

/// Everything that a batch needs to know: complete, in SI units, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// Name of the study.
    pub name: String,
    /// Whatever the maker wanted to remember; may be empty.
    pub notes: String,
    /// The units in which the maker thinks: those of the study's own figures, unless it says otherwise.
    pub output_units: OutputUnits,
    /// The air that the fan moves.
    pub air: Air,
    /// The fan, or the flow that stands in for it.
    pub fan: Fan,
    /// The rectangular opening that the grilles cover, where they do not sit on the fan's bore.
    pub vent: Option<Vent>,
    /// Where the fan sits.
    pub place: Place,
    /// A hobby meter behind the grille, when one was given.
    pub meter: Option<Meter>,
    /// The printer, when one was described.
    pub printer: Option<Printer>,
    /// Fans elsewhere in the same PC case.
    pub other_fans: Vec<OtherFans>,
    /// What every grille is used with and the bare fan goes without, in the order of the file.
    pub panels: Vec<Panel>,
    /// Fabrics and meshes that may stand before a grille; their names differ.
    pub fabrics: Vec<Fabric>,
    /// How the whole fan face is looked at; `None` where it is not.
    pub fan_view: Option<FanView>,
    /// What films of the air with smoke in it show, where they are asked for.
    pub smoke: Smoke,
    /// The grilles, those of the series after the others; their names differ.
    pub grilles: Vec<Grille>,
    /// What follows from the drawing of each of them, in the same order: two hundred drawings take a while, so they are made once.
    pub geometries: Vec<GrilleGeometry>,
    /// How deep, how fast, how many threads.
    pub run: RunSettings,
}

impl Study {
    /// The area on which every K and face velocity is based, m².
    pub fn reference_area(&self) -> f64 {
        let disc = |diameter: f64| std::f64::consts::FRAC_PI_4 * diameter * diameter;
        match self.place.reference_area {
            ReferenceArea::Bore => disc(self.fan.bore_diameter),
            ReferenceArea::Annulus => disc(self.fan.bore_diameter) - disc(self.fan.hub_diameter),
            ReferenceArea::Vent => self.vent.map_or(0.0, |vent| vent.width * vent.height),
        }
    }

    /// Whether the grilles meet the air as it leaves the fan; else it comes evenly and straight on.
    pub fn is_behind_fan(&self) -> bool {
        self.place.side == Side::Exhaust && self.vent.is_none()
    }

    /// The fan view that a film of the whole fan face is made from where the study wants none for its numbers; `None` where there can be none.
    pub fn usual_fan_view(&self) -> Option<FanView> {
        (self.is_behind_fan() && !matches!(self.fan.supply, crate::fan::Supply::GivenFlow(_)))
            .then(|| FanView::at(self.place.blade_gap))
    }

    /// What that area is, in words: `bore 135 mm less hub 42 mm`, `vent 80 x 40 mm`.
    pub fn reference_area_in_words(&self) -> String {
        let millimetres = |metres: f64| (metres * 1e7).round() / 1e4;
        let bore = millimetres(self.fan.bore_diameter);
        match self.place.reference_area {
            ReferenceArea::Bore => format!("bore {bore} mm"),
            ReferenceArea::Annulus => {
                format!(
                    "bore {bore} mm less hub {} mm",
                    millimetres(self.fan.hub_diameter)
                )
            }
            ReferenceArea::Vent => self.vent.map_or_else(String::new, |vent| {
                format!(
                    "vent {} x {} mm",
                    millimetres(vent.width),
                    millimetres(vent.height)
                )
            }),
        }
    }

    /// K of the PC case on the reference area as this fan meets it: fans beside it send their air the same way, gaps let some of it out elsewhere. Fans of [`Study::other_fans`] are not in it.
    pub fn place_loss_coefficient(&self) -> f64 {
        self.shared_loss(self.place.fan_count)
    }

    /// K of the PC case's openings and gaps on the reference area and the flow through them.
    pub fn openings_loss_coefficient(&self) -> f64 {
        self.shared_loss(1)
    }

    fn shared_loss(&self, fan_count: u32) -> f64 {
        let (area, place) = (self.reference_area(), &self.place);
        let case = place.pc_case.loss_coefficient(area, self.air.density);
        air_path::shared_loss(case, place.leak_area, area, fan_count)
    }

    /// K of the rig on the reference area, when one was given.
    pub fn rig_loss_coefficient(&self) -> Option<f64> {
        let rig = self.place.rig?;
        Some(rig.loss_coefficient(self.reference_area(), self.air.density))
    }

    /// The same study at another quality, with the tolerance that goes with it where none was given.
    #[must_use]
    pub fn at(&self, quality: Quality) -> Self {
        Self {
            run: self.run.at(quality),
            ..self.clone()
        }
    }

    /// The resolved copy: the same study as a study file in which every default is written out.
    ///
    /// Reading it gives an equal [`Study`] back; series stand in it as the grilles that they make, fan curves as points.
    pub fn to_toml(&self) -> String {
        write::to_toml(self)
    }
}

/// Where the fan and its grille sit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Whether the air goes into the PC case or out of it.
    pub side: Side,
    /// The area on which every K is based.
    pub reference_area: ReferenceArea,
    /// What the rest of the PC case takes, on the reference area and the flow of all its fans.
    pub pc_case: PathLoss,
    /// What the rig takes on which the grilles are measured, on the reference area, when it was given.
    pub rig: Option<PathLoss>,
    /// Equal fans, each with a grille, side by side in the same PC case.
    pub fan_count: u32,
    /// Area of gaps beside the openings that the PC case's loss stands for, m².
    pub leak_area: f64,
    /// Heat that this air carries away, W, when it was given.
    pub heat_load: Option<f64>,
    /// Distance from the fan's blades to the grille, m, when it was given.
    pub blade_gap: Option<f64>,
}

/// Which way the air goes through the grille.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Into the PC case: the grille stands ahead of the fan, its front meets the air first.
    Intake,
    /// Out of the PC case: the grille stands behind the fan, its back meets the air first.
    Exhaust,
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        })
    }
}

/// The area on which every K and face velocity is based.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferenceArea {
    /// The bore less the hub.
    Annulus,
    /// The whole bore.
    Bore,
    /// The whole vent, where there is one instead of a bore.
    Vent,
}

impl fmt::Display for ReferenceArea {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Annulus => "annulus",
            Self::Bore => "bore",
            Self::Vent => "vent",
        })
    }
}
