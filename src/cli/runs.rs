//! `ventwright runs FILE`: one line per run, for people and for programs that hand out work.

use std::path::PathBuf;

use clap::Args;

use crate::cli::only::fan_views;
use crate::cli::planned::planned;
use crate::cli::rank::Looker;
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use crate::result::RunSummary;
use crate::run::batch::finished::look;
use crate::run::batch::forecast::expected_seconds;
use crate::run::planned::{PROGRAM_BYTES, Run};
use crate::store::{RESULTS_FOLDER, StudyFolder};

/// Arguments of `runs`.
#[derive(Debug, Clone, Args)]
pub struct RunsArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder that holds the results of all studies
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
    /// Print only the keys
    #[arg(long)]
    pub keys: bool,
}

/// Lists the runs of a study with their state.
pub(super) fn runs(args: &RunsArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let on_disk = args.study.read()?;
    let plan = planned(&on_disk)?;
    if on_disk.study.run.budget.is_some() {
        terminal.note(&format!(
            "these are the runs at {}, the deepest quality; within its time budget `ventwright run` chooses the quality of each grille",
            on_disk.study.run.quality
        ));
    }
    let folder = StudyFolder::named(&args.results, &on_disk.study.name);
    let views = fan_views(&on_disk.study, &plan, &folder);
    let runs = [plan.runs, views].concat();
    let text = if args.keys {
        let keys: Vec<&str> = runs.iter().map(|run| run.key.as_str()).collect();
        keys.join("\n") + "\n"
    } else {
        table(&runs, &folder, terminal)
    };
    terminal.result(&text)?;
    Ok(Outcome::Done)
}

/// Columns with tabs between them, names of the columns first.
fn table(runs: &[Run], folder: &StudyFolder, terminal: &Terminal) -> String {
    let found = look(runs, folder, &Looker { terminal });
    let head = "key\tgrille\tview\tface_velocity_m_per_s\texpected_s\tmemory_mb\tstate".to_owned();
    let line = |(run, found): (&Run, Option<RunSummary>)| {
        let state = match found {
            Some(summary) if summary.is_valid => "finished",
            Some(_) => "invalid",
            None if folder.checkpoint(&run.key).is_file() => "half",
            None => "missing",
        };
        format!(
            "{}\t{}\t{}\t{:.3}\t{:.1}\t{:.1}\t{state}",
            run.key,
            in_a_column(&run.grille),
            run.view(),
            run.face_velocity,
            expected_seconds(run),
            (run.peak_bytes() + PROGRAM_BYTES) as f64 / 1e6,
        )
    };
    let lines = runs.iter().zip(found).map(line);
    let text: Vec<String> = std::iter::once(head).chain(lines).collect();
    text.join("\n") + "\n"
}

/// A name without what separates columns and lines.
fn in_a_column(name: &str) -> String {
    name.replace(char::is_control, " ")
}
