//! The files of one run: `run.json`, which also says that the run is finished, `history.csv`, and `swirl.csv` of a run in three dimensions.

use std::collections::BTreeMap;
use std::io::Write;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::checksum;
use crate::report::contradiction::contradiction;
use crate::report::{Contribution, Likely, Warning};
use crate::result::check::{Check, CheckKind};
use crate::result::{FanViewSeen, ObliqueFlow, RunSummary, View};

/// Version of `run.json`.
pub const RUN_FORMAT: u32 = 3;

/// The version before checksums, which is still read.
const WITHOUT_CHECKSUM: u32 = 2;

/// What goes into `run.json`.
#[derive(Debug, Clone, PartialEq)]
pub struct RunRecord {
    /// Version of the program that solved it.
    pub code_version: String,
    /// Seed of the random numbers.
    pub seed: u64,
    /// Everything that determines the result: what the key was made from.
    pub inputs: Value,
    /// What came out.
    pub summary: RunSummary,
    /// Parts of the half-width of the interval of K, per cent of K, largest first.
    pub contributions: Vec<Contribution>,
    /// Averaging time, s, after the start-up was cut off.
    pub averaging_time_s: f64,
    /// Start-up that was cut off, s.
    pub start_up_time_s: f64,
    /// Checksums of the other files of the run, by their names.
    pub files: BTreeMap<String, String>,
}

/// A row of `history.csv`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HistoryRow {
    /// Time since the start, s.
    pub time_s: f64,
    /// K by momentum at that time.
    pub loss_coefficient: f64,
    /// K by the force on the solid at that time.
    pub loss_coefficient_by_force: f64,
    /// Mean over the domain of density ÷ density of resting air − 1.
    pub mean_density_error: f64,
}

/// Why a `run.json` cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RunFileError {
    /// It is no `run.json`: damaged, or written by something else.
    #[error("this is no run file: {0}")]
    Content(#[from] serde_json::Error),
    /// It is not as it was written.
    #[error(transparent)]
    Damage(#[from] checksum::Damage),
    /// Its numbers contradict each other.
    #[error("its numbers contradict each other: {0}")]
    Contradiction(String),
    /// It has another version.
    #[error("the run file has format version {found}, this program reads {RUN_FORMAT}")]
    Version {
        /// Version of the file.
        found: u32,
    },
}

impl RunFileError {
    /// Whether the file is damaged, and not just of another version.
    pub fn is_damage(&self) -> bool {
        !matches!(self, Self::Version { .. })
    }
}

/// The format of `run.json`.
#[derive(Serialize, Deserialize)]
struct RunFile {
    format: String,
    format_version: u32,
    key: String,
    code_version: String,
    seed: u64,
    inputs: Value,
    view: View,
    face_velocity_m_per_s: f64,
    hole_reynolds_number: f64,
    cells_across: f64,
    cell_count: u64,
    step_count: u64,
    start_up_time_s: f64,
    averaging_time_s: f64,
    is_valid: bool,
    stop_reason: String,
    // A run that blew up has no finite K; JSON writes that as null.
    loss_coefficient: Option<f64>,
    loss_coefficient_low: Option<f64>,
    loss_coefficient_high: Option<f64>,
    loss_coefficient_by_force: Option<f64>,
    oblique: Option<ObliqueFlow>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fan_view: Option<Box<FanViewSeen>>,
    book_keeping_difference_percent: Option<f64>,
    density_rise: Option<f64>,
    contributions: Vec<Contribution>,
    // Files of the first days have none.
    #[serde(default)]
    checks: Vec<Checked>,
    warnings: Vec<Warning>,
    elapsed_s: f64,
    #[serde(default)]
    files: BTreeMap<String, String>,
    #[serde(default)]
    blake3: String,
}

#[derive(Serialize, Deserialize)]
struct Checked {
    code: String,
    value: Option<f64>,
    limit: Option<f64>,
    unit: String,
    is_passed: bool,
}

/// Writes `run.json`.
///
/// # Errors
/// What `out` reports.
pub fn write_run(record: &RunRecord, mut out: impl Write) -> Result<(), serde_json::Error> {
    let summary = &record.summary;
    let k = summary.loss_coefficient;
    let difference = 100.0 * (summary.loss_coefficient_by_force / k.value - 1.0);
    let finite = |value: f64| value.is_finite().then_some(value);
    let mut file = RunFile {
        format: "ventwright run".to_owned(),
        format_version: RUN_FORMAT,
        key: summary.key.clone(),
        code_version: record.code_version.clone(),
        seed: record.seed,
        inputs: record.inputs.clone(),
        view: summary.view,
        face_velocity_m_per_s: summary.face_velocity_m_per_s,
        hole_reynolds_number: summary.hole_reynolds_number,
        cells_across: summary.cells_across,
        cell_count: summary.cell_count,
        step_count: summary.step_count,
        start_up_time_s: record.start_up_time_s,
        averaging_time_s: record.averaging_time_s,
        is_valid: summary.is_valid,
        stop_reason: summary.stop_reason.clone(),
        loss_coefficient: finite(k.value),
        loss_coefficient_low: finite(k.low),
        loss_coefficient_high: finite(k.high),
        loss_coefficient_by_force: finite(summary.loss_coefficient_by_force),
        oblique: summary.oblique,
        fan_view: summary.fan_view.clone(),
        // The two numbers of a fan view are different things.
        book_keeping_difference_percent: finite(difference).filter(|_| summary.fan_view.is_none()),
        density_rise: finite(summary.density_rise),
        contributions: record.contributions.clone(),
        checks: summary.checks.iter().map(checked).collect(),
        warnings: summary.warnings.clone(),
        elapsed_s: summary.elapsed_s,
        files: record.files.clone(),
        blake3: String::new(),
    };
    file.blake3 = checksum::of_json(&serde_json::to_value(&file)?);
    serde_json::to_writer_pretty(&mut out, &file)?;
    out.write_all(b"\n").map_err(serde_json::Error::io)
}

fn checked(check: &Check) -> Checked {
    let finite = |value: f64| value.is_finite().then_some(value);
    Checked {
        code: check.kind.code().to_owned(),
        value: finite(check.value),
        limit: finite(check.limit),
        unit: check.kind.unit().to_owned(),
        is_passed: check.is_passed(),
    }
}

/// Reads a `run.json` back, to reuse the run; its summary says that it was reused.
///
/// # Errors
/// [`RunFileError::Version`] when it has another version, any other when it is no run file or damaged.
pub fn read_run(text: &str) -> Result<RunRecord, RunFileError> {
    // The version first: a file of another version may lack fields, and that is what has to be said.
    #[derive(Deserialize)]
    struct Version {
        format_version: u32,
    }
    let value: Value = serde_json::from_str(text)?;
    let found = Version::deserialize(&value)?.format_version;
    // One with a checksum is checked whatever it calls itself.
    if found == RUN_FORMAT || value.get(checksum::KEY).is_some() {
        checksum::check_json(&value)?;
    }
    if found != RUN_FORMAT && found != WITHOUT_CHECKSUM {
        return Err(RunFileError::Version { found });
    }
    let record = record(RunFile::deserialize(value)?);
    match contradiction(&record, found == RUN_FORMAT) {
        None => Ok(record),
        Some(what) => Err(RunFileError::Contradiction(what)),
    }
}

fn record(file: RunFile) -> RunRecord {
    let number = |value: Option<f64>| value.unwrap_or(f64::NAN);
    let checks = file.checks.into_iter().filter_map(|check| {
        let kind = CheckKind::of_code(&check.code)?;
        Some(Check::new(kind, number(check.value), number(check.limit)))
    });
    RunRecord {
        code_version: file.code_version,
        seed: file.seed,
        inputs: file.inputs,
        summary: RunSummary {
            key: file.key,
            view: file.view,
            face_velocity_m_per_s: file.face_velocity_m_per_s,
            hole_reynolds_number: file.hole_reynolds_number,
            cells_across: file.cells_across,
            loss_coefficient: Likely {
                value: number(file.loss_coefficient),
                low: number(file.loss_coefficient_low),
                high: number(file.loss_coefficient_high),
            },
            loss_coefficient_by_force: number(file.loss_coefficient_by_force),
            oblique: file.oblique,
            fan_view: file.fan_view,
            density_rise: number(file.density_rise),
            stop_reason: file.stop_reason,
            is_valid: file.is_valid,
            step_count: file.step_count,
            cell_count: file.cell_count,
            elapsed_s: file.elapsed_s,
            was_reused: true,
            checks: checks.collect(),
            warnings: file.warnings,
        },
        contributions: file.contributions,
        averaging_time_s: file.averaging_time_s,
        start_up_time_s: file.start_up_time_s,
        files: file.files,
    }
}

/// A row of `swirl.csv`: a plane across the flow, mean over the holes and their hands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SwirlRow {
    /// Distance behind the face that the air meets first, mm.
    pub x_mm: f64,
    /// Swirl number of the mean flow about the axes of the holes, on half the hydraulic diameter.
    pub swirl_number: f64,
    /// Helicity density of the mean flow over (speed ahead of the plate)² ÷ hydraulic diameter.
    pub helicity: f64,
}

/// Writes `history.csv`.
///
/// # Errors
/// What `out` reports.
pub fn write_history(rows: &[HistoryRow], out: impl Write) -> Result<(), csv::Error> {
    let names = [
        "time_s",
        "loss_coefficient",
        "loss_coefficient_by_force",
        "mean_density_error",
    ];
    write_rows(names, rows, out)
}

/// Writes `swirl.csv`.
///
/// # Errors
/// What `out` reports.
pub fn write_swirl(rows: &[SwirlRow], out: impl Write) -> Result<(), csv::Error> {
    write_rows(["x_mm", "swirl_number", "helicity"], rows, out)
}

/// Names first, so that they are there without a row too.
fn write_rows<const N: usize>(
    names: [&str; N],
    rows: &[impl Serialize],
    out: impl Write,
) -> Result<(), csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .has_headers(false)
        .from_writer(out);
    writer.write_record(names)?;
    for row in rows {
        writer.serialize(row)?;
    }
    writer.flush()?;
    Ok(())
}
