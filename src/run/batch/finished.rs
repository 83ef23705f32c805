//! Finished runs: which of them stand for a planned one, and which another program finished meanwhile.

use std::path::Path;

use serde_json::Value;

use crate::report::run_files::{RunRecord, read_run};
use crate::result::RunSummary;
use crate::run::planned::Run;
use crate::store::{RUN_FILE, StoreError, StudyFolder};

/// Is told what is wrong with what lies in a folder. What an implementation leaves out is not told.
pub trait Finder {
    /// A finished run that could have been used cannot be: `why` names its file and what is wrong with it.
    fn set_aside(&self, _run: &Run, _why: &str) {}
    /// A finished run is damaged: `why` names its file and what is wrong with it; `took` is how long it took, s, where that can still be read.
    fn damaged(&self, _run: &Run, _why: &str, _took: Option<f64>) {}
    /// A finished run, which is used, has lost one of its other files.
    fn misses(&self, _run: &Run, _file: &Path) {}
    /// Something could not be read or written; the others go on.
    fn failed(&self, _run: &Run, _error: &StoreError) {}
}

/// Tells nobody.
#[derive(Debug, Clone, Copy)]
pub struct Silent;

impl Finder for Silent {}

/// What lies finished in `folder`, run by run, valid or not; nothing is solved.
pub fn look(runs: &[Run], folder: &StudyFolder, finder: &dyn Finder) -> Vec<Option<RunSummary>> {
    let of = |run: &Run| {
        let keys = folder.folders_like(&run.key).into_iter();
        let found = keys.filter_map(|key| lying(folder, key, run, finder));
        // A valid one before one that is not; among equals the first.
        let found: Vec<RunSummary> = found.collect();
        let valid = found.iter().position(|summary| summary.is_valid);
        let found = found.into_iter().nth(valid.unwrap_or(0))?;
        tell_missing(folder, run, &found, finder);
        Some(found)
    };
    runs.iter().map(of).collect()
}

/// Why a `run.json` cannot be used.
enum Unusable {
    Damaged(String),
    OtherVersion(String),
}

/// A record that is whole and belongs to a run.
fn read_whole_run(text: &str, run: &Run) -> Result<RunRecord, Unusable> {
    let record = read_run(text).map_err(|error| {
        let why = error.to_string();
        if error.is_damage() {
            Unusable::Damaged(why)
        } else {
            Unusable::OtherVersion(why)
        }
    })?;
    if run.is_that_of(&record.inputs) {
        Ok(record)
    } else {
        Err(Unusable::Damaged(
            "its inputs do not match its name".to_owned(),
        ))
    }
}

/// How long a damaged run had taken, s, where that can still be read.
fn time_taken(text: &str) -> Option<f64> {
    let file: Value = serde_json::from_str(text).ok()?;
    file.get("elapsed_s")?.as_f64()
}

/// The text of a `run.json` that was there before and is not to be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Before(String);

impl Before {
    /// Whether it is a damaged file of this run.
    pub(super) fn is_damaged(&self, run: &Run) -> bool {
        matches!(read_whole_run(&self.0, run), Err(Unusable::Damaged(_)))
    }
}

/// The summary of a finished run with these inputs and no wider tolerance, wherever it lies; otherwise what lay in its own folder.
pub(super) fn find_before(
    folder: &StudyFolder,
    run: &Run,
    is_fresh: bool,
    finder: &dyn Finder,
) -> (Option<RunSummary>, Option<Before>) {
    if !is_fresh {
        let mut keys = folder.folders_like(&run.key).into_iter();
        if let Some(summary) = keys.find_map(|key| reusable(folder, key, run, finder)) {
            tell_missing(folder, run, &summary, finder);
            return (Some(summary), None);
        }
    }
    let before = folder.find_finished(&run.key).ok().flatten();
    (None, before.map(Before))
}

/// What another program made of a run since `before` was read, valid or not.
pub(super) fn solved_since(
    folder: &StudyFolder,
    run: &Run,
    before: Option<&Before>,
) -> Option<RunSummary> {
    let text = folder.find_finished(&run.key).ok().flatten()?;
    if before.is_some_and(|before| before.0 == text) {
        return None;
    }
    let record = read_run(&text).ok()?;
    let is_ours = run.is_that_of(&record.inputs) && run.is_steady_enough(&record.inputs);
    is_ours.then(|| summary(run.key.clone(), record))
}

/// Tells which of its files a finished run has lost: the number is good without them.
fn tell_missing(folder: &StudyFolder, run: &Run, found: &RunSummary, finder: &dyn Finder) {
    for path in folder.missing_files(&found.key, run.subject.view().file_names()) {
        finder.misses(run, &path);
    }
}

fn summary(key: String, record: RunRecord) -> RunSummary {
    RunSummary {
        key,
        ..record.summary
    }
}

/// The same, if its number is valid: a run that did not settle may settle this time.
fn reusable(
    folder: &StudyFolder,
    key: String,
    run: &Run,
    finder: &dyn Finder,
) -> Option<RunSummary> {
    lying(folder, key, run, finder).filter(|summary| summary.is_valid)
}

/// The summary of the run in the folder `key`, if it is finished and what `run` would be.
fn lying(folder: &StudyFolder, key: String, run: &Run, finder: &dyn Finder) -> Option<RunSummary> {
    let text = match folder.find_finished(&key) {
        Ok(text) => text?,
        Err(error) => {
            finder.failed(run, &error);
            return None;
        }
    };
    let set_aside = |why: &str| {
        let path = folder.run_file(&key, RUN_FILE);
        finder.set_aside(run, &format!("{}: {why}", path.display()));
    };
    let record = match read_whole_run(&text, run) {
        Ok(record) => record,
        Err(Unusable::Damaged(why)) => {
            let path = folder.run_file(&key, RUN_FILE);
            finder.damaged(
                run,
                &format!("{}: {why}", path.display()),
                time_taken(&text),
            );
            return None;
        }
        Err(Unusable::OtherVersion(why)) => {
            set_aside(&why);
            return None;
        }
    };
    if !run.is_steady_enough(&record.inputs) {
        set_aside("it was stopped at a wider tolerance than is asked for now");
        return None;
    }
    Some(summary(key, record))
}
