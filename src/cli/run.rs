//! `ventwright run FILE`: solves the flow through every grille and ranks them.

use anyhow::anyhow;
use clap::Args;

use crate::cli::{Failure, Outcome, StudyArgs, Terminal};

/// Arguments of `run`.
#[derive(Debug, Clone, Args)]
pub struct RunArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
}

/// Runs a study.
pub(super) fn run(args: &RunArgs, _terminal: &Terminal) -> Result<Outcome, Failure> {
    args.study.read()?;
    Err(Failure::Broken(anyhow!("not in this build")))
}
