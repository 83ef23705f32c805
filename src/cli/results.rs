//! The results folder of a study: opened, and given its ranking.

use std::io::{self, ErrorKind};
use std::path::Path;
use std::time::{Duration, SystemTime};

use anyhow::anyhow;

use crate::checksum;
use crate::cli::Failure;
use crate::report::ranking_csv::write_ranking_csv;
use crate::report::ranking_json::{schema, write_ranking_json};
use crate::result::StudyResult;
use crate::store::{Claim, Lock, RANKING_FILE, STUDY_FILE, StoreError, StudyFolder, write_whole};
use crate::study::Study;

/// Age from which on a half-written file is nobody's.
const LEFTOVER_AGE: Duration = Duration::from_secs(600);

/// How long another program may take for the files of the study.
const PATIENCE: Duration = Duration::from_secs(10);

/// How often it is looked whether it is done.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

/// Opens the folder of a study, sweeps it and leaves the study in it.
pub(super) fn open(results: &Path, study: &Study) -> Result<StudyFolder, Failure> {
    let folder = StudyFolder::open(results, &study.name).map_err(|error| broken(&error))?;
    let text = study.to_toml();
    let held = hold(&folder);
    // Nobody writes on one file for as long as this: what is older was left by a program that was killed.
    if let Some(before) = SystemTime::now().checked_sub(LEFTOVER_AGE) {
        folder.sweep(before);
    }
    if let Some(held) = &held {
        folder.sweep_study(held);
    }
    write_whole(&folder.file(STUDY_FILE), |out| {
        out.write_all(checksum::with_line(&text).as_bytes())
    })
    .map_err(|error| broken(&error))?;
    Ok(folder)
}

/// Keeps other programs from the files of the study for a moment. Who cannot be waited for does no harm: files appear whole or not at all.
fn hold(folder: &StudyFolder) -> Option<Lock> {
    for _ in 0..PATIENCE.as_millis() / LOOK_AGAIN.as_millis() {
        match folder.claim() {
            Claim::Ours(held) => return Some(held),
            Claim::Taken => std::thread::sleep(LOOK_AGAIN),
        }
    }
    None
}

/// The words of a store error hold those of its causes: they are not to be told twice.
pub(super) fn broken(error: &StoreError) -> Failure {
    unwritten(error, "--results")
}

/// The same where another flag chooses the folder. What to do is said where writing is not permitted.
pub(super) fn unwritten(error: &StoreError, flag: &str) -> Failure {
    let source = match error {
        StoreError::MakeFolder { source, .. } | StoreError::Write { source, .. } => Some(source),
        _ => None,
    };
    let remedy = source.map_or_else(String::new, |source| remedy(source, flag));
    Failure::Broken(anyhow!("{error}{remedy}"))
}

/// What to do where a file cannot be written, to follow the words of the error.
pub(super) fn remedy(error: &io::Error, flag: &str) -> String {
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => format!(
            "; writing there is not permitted: choose another folder with {flag}, or change the rights of this one"
        ),
        _ => String::new(),
    }
}

/// Writes `ranking.csv`, `ranking.json` and what stands in the latter (`ranking.schema.json`).
pub(super) fn write_ranking(folder: &StudyFolder, result: &StudyResult) -> Result<(), Failure> {
    let _held = hold(folder);
    write_whole(&folder.file("ranking.csv"), |out| {
        write_ranking_csv(result, out)
    })
    .and_then(|()| {
        write_whole(&folder.file(RANKING_FILE), |out| {
            write_ranking_json(result, out)
        })
    })
    .and_then(|()| {
        write_whole(&folder.file("ranking.schema.json"), |out| {
            out.write_all(schema().as_bytes())
        })
    })
    .map_err(|error| broken(&error))
}
