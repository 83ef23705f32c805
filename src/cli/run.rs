//! `ventwright run FILE`: solves the flow through every grille and ranks them.

use std::path::PathBuf;

use clap::Args;

use crate::cli::busy::Busy;
use crate::cli::desk::{Batch, Desk, lost_files, stopped_in_words};
use crate::cli::details::DetailArgs;
use crate::cli::fan_views::add_fan_views;
use crate::cli::first_screen::{Asked, show};
use crate::cli::gentle::be_gentle;
use crate::cli::machine::threads;
use crate::cli::machine::{capacity, within};
use crate::cli::night::solve_within;
use crate::cli::only::solve_only;
use crate::cli::planned::planned;
use crate::cli::progress::{Progress, Stage};
use crate::cli::progress_words::{batch_in_words, ranking_in_words};
use crate::cli::report::write_report;
use crate::cli::results::{open, write_ranking};
use crate::cli::signals::Signals;
use crate::cli::{Failure, Outcome, ProgressForm, StudyArgs, Terminal};
use crate::run::batch::schedule::Capacity;
use crate::run::batch::{BatchLimits, solve};
use crate::run::budget::for_fan_views;
use crate::run::conclusions::conclude::conclude;
use crate::run::planning::plan::Plan;
use crate::store::RESULTS_FOLDER;
use crate::study::Study;

/// Arguments of `run`.
#[derive(Debug, Clone, Args)]
pub struct RunArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder under which the results of every study are kept; several programs may share it
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
    /// Solve finished runs again instead of reusing them, and half ones from the start
    #[arg(long)]
    pub fresh: bool,
    /// Solve just this run (may be given several times) and rank nothing; `ventwright runs FILE` lists the keys
    #[arg(long, value_name = "KEY")]
    pub only: Vec<String>,
    /// Let other programs go first (low priority)
    #[arg(long)]
    pub gentle: bool,
    /// What follows the first screen.
    #[command(flatten)]
    pub details: DetailArgs,
    /// How progress is told on stderr
    #[arg(long, value_enum, value_name = "FORM", default_value_t)]
    pub progress: ProgressForm,
}

/// Runs a study.
pub(super) fn run(args: &RunArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let mut on_disk = Busy::during(terminal, "reading the study", || args.study.read())?;
    // What the outputs tell is the study as it was written, whatever this machine has free.
    let written = on_disk.study.clone();
    let capacity = capacity(&written, threads(&written));
    on_disk.study = within(&written, capacity);
    let study = &on_disk.study;
    let at_once = match study.run.budget {
        Some(_) if args.only.is_empty() => None,
        _ => Some(Busy::during(terminal, "planning its runs", || {
            planned(&on_disk)
        })?),
    };
    let folder = open(&args.results, &written)?;
    if args.gentle {
        be_gentle(terminal);
    }
    let signals = Signals::listen().map_err(Failure::Broken)?;
    let limits = batch_limits(study, capacity, args.fresh);
    let desk = Desk {
        folder: &folder,
        limits,
        terminal,
        stops: signals.count,
    };
    if let (Some(plan), false) = (&at_once, args.only.is_empty()) {
        return solve_only(&args.only, &args.study.file, study, plan, &desk);
    }
    let batch = match (at_once, study.run.budget) {
        (None, Some(budget)) => solve_within(&on_disk, budget, &desk)?,
        (plan, _) => solve_at_once(plan.map_or_else(|| planned(&on_disk), Ok)?, &desk),
    };
    if desk.is_interrupted() {
        terminal.note(&stopped_in_words(
            &batch.plan.runs,
            &batch.summaries,
            &folder,
        ));
        return Ok(Outcome::Interrupted);
    }
    conclude_and_show(args, &written, batch, &desk)
}

/// Solves all runs of a plan.
fn solve_at_once(plan: Plan, desk: &Desk<'_>) -> Batch {
    let limits = &desk.limits;
    let progress = Progress::new(
        &plan.runs,
        Stage::Ranking,
        limits.capacity.threads,
        desk.terminal,
        desk.stops,
    );
    let batch = solve(&plan.runs, desk.folder, limits, &progress);
    let elapsed = progress.end();
    if !desk.is_interrupted() {
        let words = batch_in_words(&batch.summaries, elapsed);
        desk.terminal.note(&words);
    }
    Batch {
        plan,
        summaries: batch.summaries,
        elapsed,
        has_lost_files: batch.has_lost_files,
        budget: None,
    }
}

/// Ranks, lets the fan views follow, and writes and shows what came out.
fn conclude_and_show(
    args: &RunArgs,
    study: &Study,
    batch: Batch,
    desk: &Desk<'_>,
) -> Result<Outcome, Failure> {
    let version = env!("CARGO_PKG_VERSION");
    let (ranked, summaries) = (for_fan_views(study), &batch.summaries);
    let concluded = Busy::during(desk.terminal, &ranking_in_words(study), || {
        conclude(&ranked, &batch.plan, summaries, version, batch.elapsed)
    });
    let mut result = concluded.result;
    result.quality = study.run.quality;
    result.this_run.budget = batch.budget;
    let (folder, terminal) = (desk.folder, desk.terminal);
    // Before the fan views, which may be stopped. A full disk must not keep the answer of a long night from the screen.
    let mut written = write_ranking(folder, &result);
    let mut views_desk = *desk;
    if let Some(budget) = &result.this_run.budget {
        views_desk.limits.batch_seconds = budget.given_s;
    }
    let seen = add_fan_views(study, &concluded.faces, &views_desk, &mut result);
    if seen.is_interrupted {
        written?;
        return Ok(Outcome::Interrupted);
    }
    if !concluded.faces.runs.is_empty() {
        written = write_ranking(folder, &result);
    }
    let written = written.and_then(|()| {
        Busy::during(terminal, "writing the report", || {
            write_report(folder.path()).map(drop)
        })
    });
    let asked = Asked {
        study: &args.study,
        results: &args.results,
        details: &args.details,
    };
    show(study, asked, folder, &result, terminal)?;
    written?;
    if batch.has_lost_files || seen.has_lost_files {
        return Err(lost_files());
    }
    let all_ranked = result.grilles.iter().all(|grille| grille.rank.is_some());
    Ok(if all_ranked {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

fn batch_limits(study: &Study, capacity: Capacity, is_fresh: bool) -> BatchLimits {
    BatchLimits {
        run_seconds: study.run.time_limit_per_run.as_secs_f64(),
        batch_seconds: study.run.time_limit.as_secs_f64(),
        capacity,
        is_fresh,
        checkpoint_seconds: study.run.checkpoint_interval.as_secs_f64(),
    }
}
