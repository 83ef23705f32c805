//! `ventwright doubts STUDY`: every check of every run with its limit, and every warning, from the results folder alone.

use clap::{Args, ValueEnum};

use crate::cli::finished_runs::finished_runs;
use crate::cli::kept_study::{Kept, KeptArgs};
use crate::cli::{Failure, Outcome, Terminal};
use crate::report::doubts::{
    StudyDoubts, study_doubts, write_doubts_csv, write_doubts_json, write_doubts_screen,
};
use crate::result::StudyResult;

/// Arguments of `doubts`.
#[derive(Debug, Clone, Args)]
pub struct DoubtsArgs {
    /// Whose results.
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Output format
    #[arg(long, value_name = "WORD", default_value = "screen")]
    pub form: Form,
}

/// In what form something is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// A table for the terminal
    Screen,
    /// Comma-separated values
    Csv,
    /// JSON, for other programs
    Json,
}

/// Tells the doubts of a study.
pub(super) fn doubts(args: &DoubtsArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let folder = args.kept.folder()?;
    let kept = Kept::open(&folder)?;
    let kept = kept.map(|kept| kept.result);
    let found = finished_runs(&folder).map_err(Failure::Wrong)?;
    let are_ranked = |kept: &StudyResult| kept.grilles.iter().all(|grille| grille.rank.is_some());
    let is_whole = kept.as_ref().is_some_and(are_ranked) && found.damaged.is_empty();
    let unusable = found.damaged.into_iter().chain(found.outdated);
    let unusable = unusable.map(|run| (run.key, run.why)).collect();
    let doubts = study_doubts(kept, found.sound, unusable);
    let mut text = Vec::new();
    write(&doubts, args.form, terminal, &mut text).map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))?;
    Ok(if is_whole {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

fn write(
    doubts: &StudyDoubts,
    form: Form,
    terminal: &Terminal,
    text: &mut Vec<u8>,
) -> anyhow::Result<()> {
    match form {
        Form::Screen => {
            let (width, has_colour) = (terminal.width(), terminal.is_stdout_coloured());
            write_doubts_screen(doubts, width, has_colour, text)?;
        }
        Form::Csv => write_doubts_csv(doubts, text)?,
        Form::Json => write_doubts_json(doubts, text)?,
    }
    Ok(())
}
