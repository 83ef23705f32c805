//! Finds the results folder of a study and reads what lies in it.

use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::Args;

use crate::cli::plain_file::plain_text;
use crate::cli::{Failure, StudyArgs};
use crate::report::ranking_json::{RankingFileError, read_ranking};
use crate::result::StudyResult;
use crate::store::{RANKING_FILE, RESULTS_FOLDER, folder_name};

/// Largest ranking that is read, bytes.
const LARGEST_RANKING_BYTES: u64 = 256 << 20;

/// Arguments of every command that works on finished results.
#[derive(Debug, Clone, Args)]
pub struct KeptArgs {
    /// The study file, or the folder of its results
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,
    /// Folder that holds the results of all studies
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
}

impl KeptArgs {
    /// The folder of the results; it is there.
    ///
    /// # Errors
    /// [`Failure::Wrong`] when there is none, [`Failure::Study`] when a study file was named that is wrong.
    pub fn folder(&self) -> Result<PathBuf, Failure> {
        if self.study.is_dir() {
            return Ok(self.study.clone());
        }
        let args = StudyArgs {
            file: self.study.clone(),
            quality: None,
            threads: None,
            memory: None,
            tolerance: None,
            hours: None,
            ready_by: None,
        };
        let study = args.read()?.study;
        let folder = self.results.join(folder_name(&study.name));
        if folder.is_dir() {
            return Ok(folder);
        }
        let what = self.study.display();
        Err(Failure::Wrong(anyhow!(
            "there are no results of this study in {}; run it first: ventwright run {what}",
            folder.display()
        )))
    }
}

/// The ranking in a results folder; `None` where there is none.
///
/// # Errors
/// [`Failure::Wrong`] when it cannot be read.
pub(super) fn ranking(folder: &Path) -> Result<Option<StudyResult>, Failure> {
    let path = folder.join(RANKING_FILE);
    if !path.exists() {
        return Ok(None);
    }
    let text = plain_text(&path, LARGEST_RANKING_BYTES)
        .with_context(|| format!("reading {}", path.display()))
        .map_err(Failure::Wrong)?;
    let kept = read_ranking(&text).map_err(|error| {
        let remedy = match error {
            RankingFileError::Version { .. } => {
                let folder = folder.display();
                format!("; `ventwright rank {folder}` makes it anew from the finished runs")
            }
            _ => String::new(),
        };
        Failure::Wrong(anyhow!("reading {}: {error}{remedy}", path.display()))
    })?;
    Ok(Some(kept))
}
