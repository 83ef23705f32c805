//! `ventwright run FILE`: solves the flow through every grille and ranks them.

use std::path::PathBuf;
use std::sync::atomic::Ordering;

use anyhow::anyhow;
use clap::Args;

use crate::cli::fan_views::add_fan_views;
use crate::cli::first_screen::{RESULTS, show};
use crate::cli::gentle::be_gentle;
use crate::cli::only::solve_only;
use crate::cli::planned::{planned, threads};
use crate::cli::progress::{Progress, Stage, batch_in_words};
use crate::cli::results::{open, write_ranking};
use crate::cli::signals::Signals;
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use crate::run::batch::{BatchLimits, solve};
use crate::run::conclude::conclude;
use crate::run::planned::Run;
use crate::store::StudyFolder;
use crate::study::Study;

/// Arguments of `run`.
#[derive(Debug, Clone, Args)]
pub struct RunArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder under which the results of every study are kept; several programs may share it
    #[arg(long, value_name = "FOLDER", default_value = RESULTS)]
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
}

/// Runs a study.
pub(super) fn run(args: &RunArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let on_disk = args.study.read()?;
    let plan = planned(&on_disk)?;
    let study = on_disk.study;
    let folder = open(&args.results, &study)?;
    let threads = threads(&study);
    if args.gentle {
        be_gentle(terminal);
    }
    let signals = Signals::listen().map_err(Failure::Broken)?;
    let limits = batch_limits(&study, threads, args.fresh);
    if !args.only.is_empty() {
        let asked = (args.only.as_slice(), &args.study);
        return solve_only(asked, &study, &plan, &folder, &limits, (terminal, &signals));
    }
    let progress = Progress::new(&plan.runs, Stage::Ranking, threads, terminal, signals.count);
    let batch = solve(&plan.runs, &folder, &limits, &progress);
    let elapsed = progress.end();
    if signals.count.load(Ordering::Relaxed) > 0 {
        terminal.note(&stopped_in_words(&plan.runs, &batch.summaries, &folder));
        return Ok(Outcome::Interrupted);
    }
    terminal.note(&batch_in_words(&batch.summaries, elapsed));
    let concluded = conclude(
        &study,
        &plan,
        &batch.summaries,
        env!("CARGO_PKG_VERSION"),
        elapsed,
    );
    let mut result = concluded.result;
    // Before the fan views, which may be stopped. A full disk must not keep the answer of a long night from the screen.
    let mut written = write_ranking(&folder, &result);
    let seen = add_fan_views(
        &study,
        &concluded.faces,
        &folder,
        &limits,
        (terminal, signals.count),
        &mut result,
    );
    if seen.is_interrupted {
        written?;
        return Ok(Outcome::Interrupted);
    }
    if !concluded.faces.runs.is_empty() {
        written = write_ranking(&folder, &result);
    }
    let asked = (&args.study, args.results.as_path());
    show(&study, asked, &folder, &result, terminal)?;
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

fn batch_limits(study: &Study, threads: usize, is_fresh: bool) -> BatchLimits {
    BatchLimits {
        run_seconds: study.run.time_limit_per_run.as_secs_f64(),
        batch_seconds: study.run.time_limit.as_secs_f64(),
        threads,
        is_fresh,
        checkpoint_seconds: study.run.checkpoint_interval.as_secs_f64(),
    }
}

/// That some files of runs are missing; which ones has been told.
pub(super) fn lost_files() -> Failure {
    Failure::Broken(anyhow!("some files could not be written, see above"))
}

/// What a stopped batch leaves, in one line.
pub(super) fn stopped_in_words<T>(
    runs: &[Run],
    summaries: &[Option<T>],
    folder: &StudyFolder,
) -> String {
    let done = summaries.iter().flatten().count();
    let is_half = |run: &&Run| folder.checkpoint(&run.key).is_file();
    let half = match runs.iter().filter(is_half).count() {
        0 => String::new(),
        count => format!(", {count} half done"),
    };
    format!(
        "stopped: {done} of {} runs are finished{half} and kept in {}; run the same command again to go on",
        runs.len(),
        folder.path().display()
    )
}
