//! What a finished study left behind, read back from `ranking.json`: as much of it as later commands need.
//!
//! Fields that are missing are taken as not given, so that a file of an older format is read as far as it goes.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

use crate::likely::{Contribution, Likely};
use crate::units::{FlowUnit, PressureUnit};

pub use crate::report::kept_parts::{
    KeptAirPath, KeptFanView, KeptHandbook, KeptJet, KeptLossAtSpeed, KeptPair, KeptPath, KeptRun,
    KeptShare, KeptSwirl, KeptWhatIf, KeptWhatIfRow, KeptZone,
};

/// A ranking as it was kept.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptRanking {
    /// What the file says it is; `ventwright ranking`.
    format: String,
    /// Name of the study.
    pub study: String,
    /// Version of the program that solved it.
    #[serde(default)]
    pub code_version: String,
    /// `quick`, `standard` or `overnight`.
    #[serde(default)]
    pub quality: String,
    /// `intake` or `exhaust`.
    #[serde(default)]
    pub side: String,
    /// The answer in one sentence, without the full stop.
    #[serde(default)]
    pub answer: String,
    /// Why the first of the ranking leads.
    #[serde(default)]
    pub why: Option<String>,
    /// Unit in which flows are told first.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub flow_unit: FlowUnit,
    /// Unit in which pressures are told first.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub pressure_unit: PressureUnit,
    /// What it must not be read without, in whole sentences; may be empty.
    #[serde(default)]
    pub reservation: String,
    /// Area that face velocity and K are based on.
    pub reference_area: KeptArea,
    /// Flow of the bare fan.
    pub bare_flow_m3_per_h: Option<KeptRange>,
    /// The flow that was given instead of a fan.
    pub given_flow_m3_per_h: Option<f64>,
    /// What a meter shows behind the bare fan.
    pub bare_meter: Option<KeptMeter>,
    /// The fan view of the bare fan.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub bare_fan_view: Option<KeptFanView>,
    /// Heat load, W.
    pub heat_load_w: Option<f64>,
    /// Mean air temperature rise with the bare fan, K.
    pub bare_temperature_rise_k: Option<f64>,
    /// The grilles, best first.
    pub grilles: Vec<KeptGrille>,
    /// What the air goes through besides the grilles.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub air_path: Option<KeptAirPath>,
    /// Each grille with each fabric.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub what_if: Option<KeptWhatIf>,
    /// Pairs of ranked grilles.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub pairs: Vec<KeptPair>,
    /// Groups of names of which none is behind another.
    #[serde(default)]
    pub ties: Vec<Vec<String>>,
    /// Doubts about the study as a whole.
    #[serde(default)]
    pub warnings: Vec<KeptWarning>,
}

/// An area and what it is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptArea {
    /// m².
    pub area_m2: f64,
    /// In words.
    #[serde(default)]
    pub words: String,
}

/// A value with its likely range.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct KeptRange {
    /// Best estimate.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl From<KeptRange> for Likely {
    fn from(range: KeptRange) -> Self {
        let KeptRange { value, low, high } = range;
        Self { value, low, high }
    }
}

/// What a meter is expected to show.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct KeptMeter {
    /// True mean air speed through its wheel, m/s.
    pub air_speed_m_per_s: f64,
    /// Least and largest reading, m/s.
    pub reading_m_per_s: [f64; 2],
    /// The same in per cent of the reading behind the bare fan.
    pub reading_percent_of_bare_fan: Option<[f64; 2]>,
}

/// A grille of a kept ranking.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptGrille {
    /// Place; `None` without a valid number.
    pub rank: Option<u32>,
    /// Name.
    pub name: String,
    /// What it is.
    #[serde(default)]
    pub description: String,
    /// How deep it was solved.
    #[serde(default)]
    pub quality: String,
    /// Flow in per cent of the bare fan.
    pub flow_percent: Option<KeptRange>,
    /// Flow, m³/h.
    pub flow_m3_per_h: Option<KeptRange>,
    /// Pressure drop, Pa.
    pub pressure_drop_pa: Option<KeptRange>,
    /// K on the reference area where the fan settles.
    pub loss_coefficient: Option<KeptRange>,
    /// K by a handbook formula.
    pub handbook_loss_coefficient: Option<KeptHandbook>,
    /// Reynolds number in the holes.
    pub hole_reynolds_number: Option<f64>,
    /// Mean air temperature rise, K.
    pub temperature_rise_k: Option<f64>,
    /// What the fan's swirl does to it.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub swirl: Option<KeptSwirl>,
    /// Open area of the whole bore, per cent of the reference area.
    pub hole_area_percent: Option<f64>,
    /// Effective hole width, mm.
    pub hydraulic_diameter_mm: Option<f64>,
    /// Thickness, mm.
    pub thickness_mm: Option<f64>,
    /// Number of holes.
    pub hole_count: Option<u64>,
    /// Distance to moving parts that its openings ask for, mm; `None` where a hand reaches through.
    pub finger_distance_mm: Option<f64>,
    /// Parts of its likely range.
    #[serde(default)]
    pub contributions: Vec<KeptContribution>,
    /// What a meter shows behind it.
    pub meter: Option<KeptMeter>,
    /// Names of those that it is neither behind nor ahead of.
    #[serde(default)]
    pub tied_with: Vec<String>,
    /// Its patterned zones.
    #[serde(default, deserialize_with = "as_far_as_it_goes")]
    pub zones: Vec<KeptZone>,
    /// Its runs.
    #[serde(default)]
    pub runs: Vec<KeptRun>,
    /// Its fan view.
    pub fan_view: Option<KeptFanView>,
    /// Doubts about it.
    #[serde(default)]
    pub warnings: Vec<KeptWarning>,
}

/// A part of an interval.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptContribution {
    /// Plain words.
    pub source: String,
    /// Half-width at 95 %, per cent.
    pub half_width_percent: f64,
}

impl From<&KeptContribution> for Contribution {
    fn from(kept: &KeptContribution) -> Self {
        Self {
            source: kept.source.clone(),
            half_width_percent: kept.half_width_percent,
        }
    }
}

impl KeptGrille {
    /// What it is ranked by, when it has a valid number: per cent of the bare fan's flow, or the pressure drop at a given flow.
    pub fn measure(&self, is_flow_given: bool) -> Option<Likely> {
        self.rank?;
        let measure = if is_flow_given {
            self.pressure_drop_pa
        } else {
            self.flow_percent
        };
        measure.map(Likely::from)
    }
}

/// What is missing, of another shape or not finite (`null`) counts as not given.
pub(super) fn as_far_as_it_goes<'de, D, T>(deserializer: D) -> Result<T, D::Error>
where
    D: Deserializer<'de>,
    T: DeserializeOwned + Default,
{
    let value = serde_json::Value::deserialize(deserializer)?;
    Ok(serde_json::from_value(value).unwrap_or_default())
}

/// A doubt as it was kept.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct KeptWarning {
    /// Fixed short code.
    pub code: String,
    /// What is doubtful.
    pub message: String,
    /// What to do.
    pub advice: String,
}

/// Why a `ranking.json` cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum KeptError {
    /// It is no ranking, or damaged.
    #[error("this is no ranking: {0}")]
    Content(#[from] serde_json::Error),
    /// It says that it is something else.
    #[error("this is no ranking: it calls itself `{found}`")]
    Format {
        /// What it says.
        found: String,
    },
}

/// Reads a `ranking.json`.
///
/// # Errors
/// [`KeptError::Content`] for what is no JSON or lacks a name, an area or grilles, [`KeptError::Format`] for another kind of file.
pub fn read_ranking(text: &str) -> Result<KeptRanking, KeptError> {
    let kept: KeptRanking = serde_json::from_str(text)?;
    if kept.format != "ventwright ranking" {
        return Err(KeptError::Format { found: kept.format });
    }
    Ok(kept)
}
