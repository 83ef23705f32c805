//! `ventwright doubts STUDY`: every check of every run with its limit, and every warning, from the results folder alone.

use std::fs;
use std::path::Path;

use anyhow::Context;
use clap::{Args, ValueEnum};

use crate::cli::kept_fields::LARGEST_RUN_FILE;
use crate::cli::kept_study::{KeptArgs, ranking};
use crate::cli::plain_file::plain_text;
use crate::cli::{Failure, Outcome, Terminal};
use crate::report::doubts::{
    StudyDoubts, study_doubts, write_doubts_csv, write_doubts_json, write_doubts_screen,
};
use crate::report::run_files::read_run;
use crate::result::RunSummary;
use crate::store::RUN_FILE;

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
    let kept = ranking(&folder)?;
    let is_whole = kept
        .as_ref()
        .is_some_and(|kept| kept.grilles.iter().all(|grille| grille.rank.is_some()));
    let (summaries, unreadable) = runs(&folder).map_err(Failure::Wrong)?;
    let doubts = study_doubts(kept, summaries, unreadable);
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

/// Key and what is wrong.
type Unreadable = (String, String);

/// Every finished run of a folder, and those that cannot be read.
fn runs(folder: &Path) -> anyhow::Result<(Vec<RunSummary>, Vec<Unreadable>)> {
    let path = folder.join("runs");
    let (mut summaries, mut unreadable) = (Vec::new(), Vec::new());
    let entries = fs::read_dir(&path).with_context(|| format!("reading {}", path.display()))?;
    for entry in entries {
        let entry = entry.with_context(|| format!("reading {}", path.display()))?;
        let key = entry.file_name().to_string_lossy().into_owned();
        let file = entry.path().join(RUN_FILE);
        if !file.exists() {
            // Not begun, broken off, or under way.
            continue;
        }
        let text = plain_text(&file, LARGEST_RUN_FILE).map_err(|why| why.to_string());
        match text.and_then(|text| read_run(&text).map_err(|error| error.to_string())) {
            // A grille may have been renamed since: its runs are known by the folder.
            Ok(record) => summaries.push(RunSummary {
                key,
                ..record.summary
            }),
            Err(why) => unreadable.push((key, why)),
        }
    }
    unreadable.sort();
    Ok((summaries, unreadable))
}
