//! `run --only KEY`: single runs, each a job of its own, so that several machines can share a study.

use std::path::Path;
use std::sync::atomic::Ordering;

use anyhow::anyhow;

use crate::cli::progress::{Progress, Stage};
use crate::cli::progress_words::batch_in_words;
use crate::cli::run::{lost_files, stopped_in_words};
use crate::cli::signals::Signals;
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use crate::run::batch::{BatchLimits, solve};
use crate::run::conclude::conclude;
use crate::run::finished::{Finder, look};
use crate::run::plan::Plan;
use crate::run::planned::Run;
use crate::store::{StoreError, StudyFolder};
use crate::study::Study;

/// Solves the runs of these keys and says that nothing is ranked.
pub(super) fn solve_only(
    (keys, asked): (&[String], &StudyArgs),
    study: &Study,
    plan: &Plan,
    folder: &StudyFolder,
    limits: &BatchLimits,
    (terminal, signals): (&Terminal, &Signals),
) -> Result<Outcome, Failure> {
    let file = asked.file.display();
    let is_in = |runs: &[Run], key: &String| runs.iter().any(|run| run.key == *key);
    let (mut runs, mut stage) = (plan.runs.clone(), Stage::Ranking);
    if !keys.iter().all(|key| is_in(&plan.runs, key)) {
        // Fan views are known only when the ranking is.
        let views = fan_views(study, plan, folder);
        if keys.iter().all(|key| is_in(&views, key)) {
            (runs, stage) = (Vec::new(), Stage::FanViews);
        }
        runs.extend(views);
    }
    if let Some(unknown) = keys.iter().find(|key| !is_in(&runs, key)) {
        return Err(Failure::Wrong(anyhow!(
            "no run of this study has the key {unknown}; `ventwright runs {file}` with the same flags lists them"
        )));
    }
    runs.retain(|run| keys.contains(&run.key));
    let progress = Progress::new(
        &runs,
        stage,
        limits.capacity.threads,
        terminal,
        signals.count,
    );
    let batch = solve(&runs, folder, limits, &progress);
    let elapsed = progress.end();
    if signals.count.load(Ordering::Relaxed) > 0 {
        terminal.note(&stopped_in_words(&runs, &batch.summaries, folder));
        return Ok(Outcome::Interrupted);
    }
    terminal.note(&batch_in_words(&batch.summaries, elapsed));
    terminal.note(&format!(
        "nothing was ranked: `ventwright rank {file}` with the same flags ranks all finished runs"
    ));
    if batch.has_lost_files {
        return Err(lost_files());
    }
    let mut summaries = batch.summaries.iter();
    let is_valid = summaries.all(|summary| summary.as_ref().is_some_and(|s| s.is_valid));
    Ok(if is_valid {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// The fan views of a study; none before the runs of its ranking are all there.
pub(super) fn fan_views(study: &Study, plan: &Plan, folder: &StudyFolder) -> Vec<Run> {
    let summaries = look(&plan.runs, folder, &Silent);
    if summaries.iter().any(Option::is_none) {
        return Vec::new();
    }
    conclude(study, plan, &summaries, env!("CARGO_PKG_VERSION"), 0.0)
        .faces
        .runs
}

/// Looks and says nothing: whoever looks next tells what is wrong.
struct Silent;

impl Finder for Silent {
    fn set_aside(&self, _run: &Run, _why: &str) {}

    fn misses(&self, _run: &Run, _file: &Path) {}

    fn failed(&self, _run: &Run, _error: &StoreError) {}
}
