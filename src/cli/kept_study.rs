//! Finds the results folder of a study and reads what lies in it.

use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::Args;

use crate::checksum;
use crate::cli::finished_runs::finished_runs;
use crate::cli::lost_runs::lost_runs;
use crate::cli::plain_file::plain_text;
use crate::cli::{Failure, StudyArgs};
use crate::likely::Warning;
use crate::report::ranking_json::{RankingFileError, read_ranking};
use crate::result::{GrilleName, GrilleResult, RunSummary, StudyResult};
use crate::store::{RANKING_FILE, RESULTS_FOLDER, STUDY_FILE, folder_name};
use crate::study::{Draft, Study};
use crate::text::BARE_FAN;

/// Largest stored study that is read, bytes.
const LARGEST_STUDY_BYTES: u64 = 64 << 20;

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
        let study = StudyArgs::plain(&self.study).read()?.study;
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

/// The ranking of a results folder, without the grilles whose runs were found damaged since.
pub(super) struct Kept {
    pub(super) result: StudyResult,
    /// What is damaged and left out, a sentence each.
    pub(super) damaged: Vec<String>,
    /// That runs are no longer there; their numbers still stand in the ranking.
    pub(super) missing: Option<String>,
}

impl Kept {
    /// `None` where there is no ranking.
    ///
    /// # Errors
    /// [`Failure::Wrong`] when it cannot be read.
    pub(super) fn open(folder: &Path) -> Result<Option<Self>, Failure> {
        let Some(mut result) = ranking(folder)? else {
            return Ok(None);
        };
        let mut damaged = Vec::new();
        // Whoever took all runs away to save space still has the ranking.
        let found = finished_runs(folder).map_or_else(|_| Vec::new(), |found| found.damaged);
        let missing = lost_runs(folder, &result);
        for run in found {
            let is_it = |solved: &RunSummary| solved.key == run.key;
            let hit = result
                .grilles
                .iter()
                .filter(|grille| grille.runs.iter().any(is_it));
            let hit: Vec<GrilleName> = hit.map(GrilleResult::named).collect();
            let words = run.in_words();
            for grille in &hit {
                damaged.push(format!("{} is left out: {words}", grille.name));
                result.leave_out(grille.id, run_damaged(&words));
            }
            let mut views = Vec::new();
            for grille in &mut result.grilles {
                let Some(view) = &mut grille.fan_view else {
                    continue;
                };
                if view.rings.as_ref().is_some_and(is_it) {
                    view.rings = None;
                    views.push(format!("{} with rings", grille.name));
                }
                if is_it(&view.run) {
                    grille.fan_view = None;
                    views.push(grille.name.clone());
                }
            }
            if result
                .bare_fan_view
                .as_ref()
                .is_some_and(|view| is_it(&view.run))
            {
                views.push(BARE_FAN.to_owned());
                result.bare_fan_view = None;
            }
            for name in &views {
                damaged.push(format!("the fan view of {name} is left out: {words}"));
            }
            if hit.is_empty() && views.is_empty() {
                damaged.push(words);
            }
        }
        Ok(Some(Self {
            result,
            damaged,
            missing,
        }))
    }
}

/// The doubt about a grille of which a run was found damaged.
fn run_damaged(words: &str) -> Warning {
    Warning {
        code: "run-damaged".into(),
        message: words.to_owned(),
        advice: "`ventwright run` solves it again and keeps the damaged files".to_owned(),
    }
}

/// The study that a results folder holds, as it was understood, with its text.
///
/// # Errors
/// That it is not there, not as it was written, or no study.
pub(super) fn stored_study(folder: &Path) -> anyhow::Result<(Study, String)> {
    let path = folder.join(STUDY_FILE);
    let read = || -> anyhow::Result<(Study, String)> {
        let text = plain_text(&path, LARGEST_STUDY_BYTES)?;
        let text = checksum::below_line(&text)?;
        let draft = Draft::parse(text.as_bytes(), STUDY_FILE)?;
        // The copy names no other file.
        let study = draft.resolve(&mut |_| Err("it names another file".to_owned()));
        let study = study.map_err(|faults| {
            let first = faults.first().map_or_else(String::new, ToString::to_string);
            anyhow!("{first}")
        })?;
        Ok((study, text.to_owned()))
    };
    read().with_context(|| format!("reading {}", path.display()))
}
