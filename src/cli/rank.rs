//! `ventwright rank FILE`: ranks from the runs that are finished, wherever they were solved.

use std::path::{Path, PathBuf};

use anyhow::anyhow;
use clap::Args;

use crate::cli::busy::Busy;
use crate::cli::details::DetailArgs;
use crate::cli::finished_runs::finished_runs;
use crate::cli::first_screen::{Asked, show};
use crate::cli::kept_study::stored_study;
use crate::cli::planned::{planned, too_large};
use crate::cli::progress_words::{lost_in_words, ranking_in_words};
use crate::cli::report::write_report;
use crate::cli::results::{open, write_ranking};
use crate::cli::{Failure, Outcome, StudyArgs, StudyOnDisk, Terminal};
use crate::run::batch::finished::{Finder, Silent, look};
use crate::run::batch::schedule::Capacity;
use crate::run::budget::Night;
use crate::run::conclusions::conclude::conclude;
use crate::run::planned::Run;
use crate::run::planning::plan::Plan;
use crate::store::{RESULTS_FOLDER, STUDY_FILE, StoreError, StudyFolder};
use crate::study::Study;

/// What nothing is solved on.
const NO_RUNS: Capacity = Capacity {
    threads: 1,
    memory_bytes: 0,
};

/// Arguments of `rank`.
#[derive(Debug, Clone, Args)]
pub struct RankArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder that holds the results of all studies
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
    /// What follows the first screen.
    #[command(flatten)]
    pub details: DetailArgs,
}

impl RankArgs {
    /// The folder of results that was given in place of the study, where a copy of the study lies in it.
    fn given_folder(&self) -> Option<PathBuf> {
        let given = &self.study.file;
        if !given.is_dir() {
            return None;
        }
        // From within, a folder is called `.`, which tells no name.
        let is_named = given.file_name().is_some();
        let whole = (!is_named).then(|| given.canonicalize().ok()).flatten();
        Some(whole.unwrap_or_else(|| given.clone()))
    }
}

/// That the results of a study lie where they are looked for: a folder that was renamed would be taken for an empty one.
fn held_by(given: &Path, results: &Path, study: &Study) -> Result<(), Failure> {
    let own = StudyFolder::named(results, &study.name);
    if own.path() == given {
        return Ok(());
    }
    let name = own.path().file_name().unwrap_or_default();
    Err(Failure::Wrong(anyhow!(
        "{} holds results of the study \"{}\", whose folder is called {}: give it that name again",
        given.display(),
        study.name,
        name.display()
    )))
}

/// Ranks a study from what is finished.
pub(super) fn rank(args: &RankArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let mut args = args.clone();
    let given = args.given_folder();
    let mut results = args.results.clone();
    if let Some(given) = &given {
        stored_study(given).map_err(Failure::Wrong)?;
        args.study.file = given.join(STUDY_FILE);
        results = given.parent().map_or(results, Path::to_path_buf);
    }
    let on_disk = Busy::during(terminal, "reading the study", || args.study.read())?;
    let study = &on_disk.study;
    if let Some(given) = &given {
        held_by(given, &results, study)?;
    }
    let looker = Looker { terminal };
    let (folder, plan) = open_as_found(&on_disk, &results, &looker)?;
    let summaries = look(&plan.runs, &folder, &looker);
    tell_missing(&plan.runs, &summaries, "", terminal);
    let version = env!("CARGO_PKG_VERSION");
    let concluded = Busy::during(terminal, &ranking_in_words(study), || {
        conclude(study, &plan, &summaries, version, 0.0)
    });
    let mut result = concluded.result;
    if summaries.iter().all(Option::is_some) {
        let views = look(&concluded.faces.runs, &folder, &looker);
        tell_missing(
            &concluded.faces.runs,
            &views,
            " of the whole fan face",
            terminal,
        );
        concluded.faces.enter(study, &views, &mut result);
    }
    let written = Busy::during(terminal, "writing ranking and report", || {
        write_ranking(&folder, &result).and_then(|()| write_report(folder.path()).map(drop))
    });
    let asked = Asked {
        study: &args.study,
        results: &results,
        details: &args.details,
    };
    show(study, asked, &folder, &result, terminal)?;
    written?;
    // One that is no part of this ranking may have been, as deep as it was solved.
    let found = finished_runs(folder.path()).map_err(Failure::Wrong)?;
    for run in found.damaged.iter().chain(&found.outdated) {
        terminal.complaint(&format!("not used: {}", run.in_words()));
    }
    let all_ranked = result.grilles.iter().all(|grille| grille.rank.is_some());
    Ok(if all_ranked && found.damaged.is_empty() {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// Opens the results folder of a study and plans its runs: those of the quality asked for where they are all there, else each grille as deep as its runs are.
pub(super) fn open_as_found(
    on_disk: &StudyOnDisk,
    results: &Path,
    looker: &Looker<'_>,
) -> Result<(StudyFolder, Plan), Failure> {
    let study = &on_disk.study;
    let terminal = looker.terminal;
    // What is wrong is told before a folder is made.
    let whole = match study.run.budget {
        Some(_) => None,
        None => Some(Busy::during(terminal, "planning its runs", || {
            planned(on_disk)
        })?),
    };
    let folder = open(results, study)?;
    let is_there = |plan: &Plan| {
        look(&plan.runs, &folder, &Silent)
            .iter()
            .all(Option::is_some)
    };
    let plan = match whole {
        Some(whole) if is_there(&whole) => whole,
        None => as_deep_as_found(on_disk, &folder, terminal)?,
        Some(whole) => {
            let found = as_deep_as_found(on_disk, &folder, terminal)?;
            let is_of_use = look(&found.runs, &folder, &Silent)
                .iter()
                .any(Option::is_some);
            if is_of_use && found.runs.len() < whole.runs.len() {
                let summaries = look(&whole.runs, &folder, &Silent);
                tell_missing(&whole.runs, &summaries, "", looker.terminal);
            }
            if is_of_use { found } else { whole }
        }
    };
    Ok((folder, plan))
}

/// Each grille as deep as its runs are there.
fn as_deep_as_found(
    on_disk: &StudyOnDisk,
    folder: &StudyFolder,
    terminal: &Terminal,
) -> Result<Plan, Failure> {
    let _busy = Busy::with(terminal, "looking how deep each grille is solved");
    let mut night = Night::begin(&on_disk.study, NO_RUNS);
    night.take_what_is_there(&|runs| look(runs, folder, &Silent).iter().all(Option::is_some));
    night.plan().map_err(|grilles| too_large(on_disk, grilles))
}

/// Says which runs are missing, each in a line.
fn tell_missing<T>(runs: &[Run], found: &[Option<T>], of_what: &str, terminal: &Terminal) {
    let missing = runs.iter().zip(found).filter(|(_, found)| found.is_none());
    let missing: Vec<&Run> = missing.map(|(run, _)| run).collect();
    if missing.is_empty() {
        return;
    }
    terminal.note(&format!(
        "{} of {} runs{of_what} are missing; `rank` solves nothing:",
        missing.len(),
        runs.len()
    ));
    for run in missing {
        terminal.note(&format!(
            "  {}: {} at {:.2} m/s ({})",
            run.grille,
            run.view(),
            run.face_velocity,
            run.key
        ));
    }
}

/// Tells what is wrong with finished runs that are not used.
pub(super) struct Looker<'a> {
    pub(super) terminal: &'a Terminal,
}

impl Finder for Looker<'_> {
    fn set_aside(&self, run: &Run, why: &str) {
        let line = format!("{}: not used, because {why}", run.grille);
        self.terminal.note(&line);
    }

    fn damaged(&self, run: &Run, why: &str, _took: Option<f64>) {
        self.set_aside(run, why);
    }

    fn misses(&self, run: &Run, file: &Path) {
        let line = lost_in_words(run, file);
        self.terminal.note(&line);
    }

    fn failed(&self, run: &Run, error: &StoreError) {
        self.terminal.complaint(&format!("{}: {error}", run.grille));
    }
}
