//! `ventwright check FILE`: what follows from a study, without running anything.

use clap::Args;

use crate::cli::busy::Busy;
use crate::cli::check_details::CheckDetailArgs;
use crate::cli::check_report;
use crate::cli::checked::CheckedGrille;
use crate::cli::expectation::expect;
use crate::cli::foreseen::RunPlan;
use crate::cli::{Failure, Outcome, StudyArgs, StudyOnDisk, Terminal};

/// Arguments of `check`.
#[derive(Debug, Clone, Args)]
pub struct CheckArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Print the study as understood, with every default written out, and nothing else
    #[arg(long)]
    pub resolved: bool,
    /// What is shown.
    #[command(flatten)]
    pub details: CheckDetailArgs,
}

/// Reads a study, resolves every grille and prints what follows.
///
/// `plan_runs` foresees the runs, or finds that they cannot be (see [`crate::study::Draft::too_many_cells`]).
pub(super) fn check(
    args: &CheckArgs,
    terminal: &Terminal,
    plan_runs: &dyn Fn(&StudyOnDisk) -> Result<Option<RunPlan>, Failure>,
) -> Result<Outcome, Failure> {
    let on_disk = Busy::during(terminal, "reading the study", || args.study.read())?;
    let plan = Busy::during(terminal, "planning its runs", || plan_runs(&on_disk))?;
    let study = on_disk.study;
    if args.resolved {
        terminal.result(&study.to_toml())?;
        return Ok(Outcome::Done);
    }
    let mut grilles = Vec::with_capacity(study.grilles.len());
    for (grille, geometry) in study.grilles.iter().zip(&study.geometries) {
        grilles.push(CheckedGrille {
            grille,
            expectation: expect(&study, grille, geometry),
            geometry,
        });
    }
    let shown = args.details.shown(grilles.len());
    let report = check_report::check_report(&study, &grilles, plan.as_ref(), &shown);
    terminal.result(&report)?;
    Ok(Outcome::Done)
}
