//! What a finished study left behind, read back from `ranking.json`: as much of it as later commands need.
//!
//! Fields that are missing are taken as not given, so that a file of an older format is read as far as it goes.

use serde::Deserialize;

use crate::likely::Likely;

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
    /// Area that face velocity and K are based on.
    pub reference_area: KeptArea,
    /// Flow of the bare fan.
    pub bare_flow_m3_per_h: Option<KeptRange>,
    /// The flow that was given instead of a fan.
    pub given_flow_m3_per_h: Option<f64>,
    /// What a meter shows behind the bare fan.
    pub bare_meter: Option<KeptMeter>,
    /// The grilles, best first.
    pub grilles: Vec<KeptGrille>,
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
    /// Flow in per cent of the bare fan.
    pub flow_percent: Option<KeptRange>,
    /// Flow, m³/h.
    pub flow_m3_per_h: Option<KeptRange>,
    /// Pressure drop, Pa.
    pub pressure_drop_pa: Option<KeptRange>,
    /// What a meter shows behind it.
    pub meter: Option<KeptMeter>,
    /// Names of those from which it cannot be told apart.
    #[serde(default)]
    pub tied_with: Vec<String>,
    /// Its runs.
    #[serde(default)]
    pub runs: Vec<KeptRun>,
    /// Its fan view.
    pub fan_view: Option<KeptRun>,
    /// Doubts about it.
    #[serde(default)]
    pub warnings: Vec<KeptWarning>,
}

/// A run of a grille.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptRun {
    /// Name of its folder.
    pub key: String,
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
