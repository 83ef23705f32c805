//! `run --only KEY`: single runs, each a job of its own, so that several machines can share a study.

use std::path::Path;

use anyhow::anyhow;

use crate::cli::desk::{Desk, lost_files, stopped_in_words};
use crate::cli::progress::{Progress, Stage};
use crate::cli::progress_words::batch_in_words;
use crate::cli::{Failure, Outcome};
use crate::run::batch::finished::{Silent, look};
use crate::run::batch::solve;
use crate::run::conclusions::conclude::conclude;
use crate::run::planned::Run;
use crate::run::planning::plan::Plan;
use crate::store::StudyFolder;
use crate::study::Study;

/// Solves the runs of these keys and says that nothing is ranked.
pub(super) fn solve_only(
    keys: &[String],
    file: &Path,
    study: &Study,
    plan: &Plan,
    desk: &Desk<'_>,
) -> Result<Outcome, Failure> {
    let file = file.display();
    let Desk {
        folder,
        limits,
        terminal,
        stops,
    } = *desk;
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
    let progress = Progress::new(&runs, stage, limits.capacity.threads, terminal, stops);
    let batch = solve(&runs, folder, &limits, &progress);
    let elapsed = progress.end();
    if desk.is_interrupted() {
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
