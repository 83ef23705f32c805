//! Fields of finished runs, read back from a results folder.

use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};

use crate::checksum;
use crate::cli::plain_file::{plain_bytes, plain_text};
use crate::report::run_files::{RunRecord, read_run};
use crate::store::RUN_FILE;
use crate::vtk::{KeptImage, read_image};

/// Largest file of fields that is read, bytes.
const LARGEST: u64 = 2 << 30;

/// Largest `run.json` that is read, bytes.
pub(super) const LARGEST_RUN_FILE: u64 = 16 << 20;

/// The folder of a run within a results folder; `None` for what is no key. A key names a folder there and nothing else.
pub(super) fn run_folder(folder: &Path, key: &str) -> Option<PathBuf> {
    let is_key = !key.is_empty() && !key.contains(['/', '\\']) && !key.starts_with('.');
    is_key.then(|| folder.join("runs").join(key))
}

/// The mean fields of a finished run as far as they are `wanted`, with what the run says of itself.
///
/// # Errors
/// What is missing or damaged, with the path.
pub(super) fn kept_run(
    folder: &Path,
    key: &str,
    wanted: &[&str],
) -> anyhow::Result<(RunRecord, KeptImage)> {
    let run = run_folder(folder, key).ok_or_else(|| anyhow!("{key:?} is not the key of a run"))?;
    let path = run.join(RUN_FILE);
    let reading = |path: &Path| format!("reading {}", path.display());
    let text = plain_text(&path, LARGEST_RUN_FILE).with_context(|| reading(&path))?;
    let record = read_run(&text).with_context(|| reading(&path))?;
    let checksum = record.files.get("mean.vti").map(String::as_str);
    let image = kept_image(&run.join("mean.vti"), wanted, checksum)?;
    Ok((record, image))
}

/// The arrays of a file of fields as far as they are `wanted`; its checksum where there is one.
///
/// # Errors
/// What is missing or damaged, with the path.
pub(super) fn kept_image(
    path: &Path,
    wanted: &[&str],
    checksum: Option<&str>,
) -> anyhow::Result<KeptImage> {
    let reading = || format!("reading {}", path.display());
    let bytes = plain_bytes(path, LARGEST).with_context(reading)?;
    if checksum.is_some_and(|checksum| checksum != checksum::of_bytes(&[&bytes])) {
        return Err(checksum::Damage).with_context(reading);
    }
    read_image(&bytes, wanted).with_context(reading)
}
