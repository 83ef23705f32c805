//! The finished runs of a results folder, each read and checked.

use std::fs;
use std::path::Path;

use anyhow::Context;

use crate::cli::kept_fields::LARGEST_RUN_FILE;
use crate::cli::plain_file::plain_text;
use crate::report::run_files::read_run;
use crate::result::RunSummary;
use crate::run::planned::is_key_of;
use crate::store::RUN_FILE;

/// What lies in the folder of runs.
pub(super) struct FinishedRuns {
    /// Those that can be used.
    pub(super) sound: Vec<RunSummary>,
    /// Those that are not as they were written.
    pub(super) damaged: Vec<UnusableRun>,
    /// Those of another version of the program, whole as far as it can tell.
    pub(super) outdated: Vec<UnusableRun>,
}

/// A run whose files cannot be used.
pub(super) struct UnusableRun {
    /// Name of its folder.
    pub(super) key: String,
    /// What is wrong with it.
    pub(super) why: String,
}

impl UnusableRun {
    /// Which run it is and what is wrong.
    pub(super) fn in_words(&self) -> String {
        format!("run {}: {}", self.key, self.why)
    }
}

/// Every finished run of a results folder.
///
/// # Errors
/// That the folder of runs cannot be listed.
pub(super) fn finished_runs(folder: &Path) -> anyhow::Result<FinishedRuns> {
    let path = folder.join("runs");
    let (mut sound, mut damaged, mut outdated) = (Vec::new(), Vec::new(), Vec::new());
    let entries = fs::read_dir(&path).with_context(|| format!("reading {}", path.display()))?;
    for entry in entries {
        let entry = entry.with_context(|| format!("reading {}", path.display()))?;
        let key = entry.file_name().to_string_lossy().into_owned();
        let file = entry.path().join(RUN_FILE);
        if !file.exists() {
            // Not begun, broken off, or under way.
            continue;
        }
        match read(&file, &key) {
            // A grille may have been renamed since: its runs are known by the folder.
            Ok(summary) => sound.push(RunSummary { key, ..summary }),
            Err(Unread::Outdated(why)) => outdated.push(UnusableRun { key, why }),
            Err(Unread::Damaged(why)) => damaged.push(UnusableRun { key, why }),
        }
    }
    damaged.sort_by(|a, b| a.key.cmp(&b.key));
    outdated.sort_by(|a, b| a.key.cmp(&b.key));
    Ok(FinishedRuns {
        sound,
        damaged,
        outdated,
    })
}

enum Unread {
    Damaged(String),
    Outdated(String),
}

fn read(file: &Path, key: &str) -> Result<RunSummary, Unread> {
    let text =
        plain_text(file, LARGEST_RUN_FILE).map_err(|why| Unread::Damaged(why.to_string()))?;
    let record = read_run(&text).map_err(|error| {
        let why = error.to_string();
        if error.is_damage() {
            Unread::Damaged(why)
        } else {
            Unread::Outdated(why)
        }
    })?;
    if is_key_of(key, &record.inputs) {
        Ok(record.summary)
    } else {
        Err(Unread::Damaged(
            "its inputs do not match its name".to_owned(),
        ))
    }
}
