//! `ventwright compare SEALED READINGS`: bench readings against what was predicted.

use std::path::PathBuf;

use anyhow::{Context, anyhow};
use clap::Args;

use crate::cli::doubts::Form;
use crate::cli::plain_file::plain_bytes;
use crate::cli::seal::opened;
use crate::cli::{Failure, Outcome, Terminal};
use crate::report::rig_comparison::{
    write_compared_csv, write_compared_json, write_compared_screen,
};
use crate::rig::ReadingFault;
use crate::rig::compare::compare as compared;
use crate::rig::readings::{LONGEST_TEXT, read_readings};

/// Arguments of `compare`.
#[derive(Debug, Clone, Args)]
pub struct CompareArgs {
    /// The sealed prediction
    #[arg(value_name = "SEALED")]
    pub sealed: PathBuf,
    /// The readings: CSV with the columns design, value and unit (m3/h, CFM, l/s, m/s, ft/min or %); order or time, remount, fan speed, room temperature and place of the meter help (the table of ventwright plan has them)
    #[arg(value_name = "READINGS")]
    pub readings: PathBuf,
    /// Form of the output
    #[arg(long, value_name = "WORD", default_value = "screen")]
    pub form: Form,
}

/// Holds readings against a prediction.
pub(super) fn compare(args: &CompareArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let sealed = opened(&args.sealed)?;
    let bytes = plain_bytes(&args.readings, LONGEST_TEXT as u64)
        .with_context(|| format!("reading {}", args.readings.display()))
        .map_err(Failure::Wrong)?;
    let told = |faults: Vec<ReadingFault>| {
        let name = args.readings.display();
        let lines: Vec<String> = faults
            .iter()
            .map(|fault| format!("{name}: {fault}"))
            .collect();
        Failure::Wrong(anyhow!("{}", lines.join("\n")))
    };
    let readings = read_readings(&bytes).map_err(told)?;
    let found = compared(&sealed.content, &readings).map_err(told)?;
    let mut text = Vec::new();
    let (width, has_colour) = (terminal.width(), terminal.is_stdout_coloured());
    let written: anyhow::Result<()> = match args.form {
        Form::Screen => write_compared_screen(&found, &sealed.hash, width, has_colour, &mut text)
            .map_err(Into::into),
        Form::Csv => write_compared_csv(&found, &mut text).map_err(Into::into),
        Form::Json => write_compared_json(&found, &sealed.hash, &mut text).map_err(Into::into),
    };
    written.map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))?;
    Ok(Outcome::Done)
}
