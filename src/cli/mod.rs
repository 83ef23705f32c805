//! The command line: arguments, files, what goes to which stream, exit codes; one file per command.
//!
//! Results go to stdout, everything else to stderr.
//! Exit codes: 0 done, 1 no valid number for some grille, 2 wrong arguments or study, 130 interrupted.

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

mod busy;
mod check;
mod check_details;
mod check_fabric;
mod check_grille;
mod check_path;
mod check_plan;
mod check_report;
mod check_screen;
mod check_swirl;
mod check_table;
mod checked;
mod clock;
mod compare;
mod desk;
mod details;
mod doubts;
mod expectation;
mod export;
mod fan_views;
mod film_files;
mod finished_runs;
mod first_screen;
mod foreseen;
mod gentle;
mod help;
mod kept_fields;
mod kept_study;
mod lost_runs;
mod machine;
mod new;
mod night;
mod only;
mod pictures;
mod plain_file;
mod plan;
mod planned;
mod profiles;
mod progress;
mod progress_events;
mod progress_screen;
mod progress_words;
mod pulse;
mod rank;
mod report;
mod results;
mod run;
mod runs;
mod seal;
mod side_by_side;
mod signals;
mod smoke;
mod smoke_desk;
mod study_file;
mod terminal;
mod work_clock;

pub use check::CheckArgs;
pub use check_details::{CheckDetailArgs, CheckPart};
pub use compare::CompareArgs;
pub use details::{DetailArgs, DetailName};
pub use doubts::{DoubtsArgs, Form};
pub use export::{ExportArgs, PartFormat};
pub use foreseen::{BudgetForeseen, Disk, FilmsForeseen, PlannedRun, RunPlan};
pub use kept_study::KeptArgs;
pub use new::NewArgs;
pub use pictures::{PictureView, PicturesArgs, Shown};
pub use plan::PlanArgs;
pub use progress_events::ProgressForm;
pub use rank::RankArgs;
pub use report::ReportArgs;
pub use run::RunArgs;
pub use runs::RunsArgs;
pub use seal::SealArgs;
pub use smoke::SmokeArgs;
pub use study_file::{StudyArgs, StudyOnDisk};
pub use terminal::Terminal;

use crate::study::StudyFault;

/// Ranks 3D-printed fan grilles and vent plates by airflow, before you print
#[derive(Debug, Parser)]
#[command(name = "ventwright", version, after_help = AFTER_HELP)]
struct Args {
    #[command(subcommand)]
    command: Command,
    /// Print nothing but results and errors
    #[arg(long, short, global = true)]
    quiet: bool,
}

const AFTER_HELP: &str = "\
To start: `ventwright new NAME`, edit the file, `ventwright run NAME.toml`.
`ventwright COMMAND --help` explains a command.
Exit codes: 0 done, 1 no valid number for some grille, 2 wrong arguments or
study, 130 interrupted.
A planning aid, not a safety assessment.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented study to start from
    New(NewArgs),
    /// Show what follows from a study, without solving anything
    ///
    /// Behind a fan that includes the lean that suits its swirl; at the end, what `run` would do, how long it takes, and how much memory and disk it needs.
    Check(CheckArgs),
    /// Solve the flow through every grille and rank them
    Run(RunArgs),
    /// List the runs of a study with their time, memory and state
    Runs(RunsArgs),
    /// Rank a study from its finished runs, without solving anything
    ///
    /// It does not matter on which machine they were solved. In place of the study it takes the folder of its results, where a copy of the study lies.
    Rank(RankArgs),
    /// Write the report of a solved study again
    ///
    /// One page for a browser and a short form for forums, from the results folder alone.
    Report(ReportArgs),
    /// Draw the grilles of a solved study side by side
    ///
    /// All on one scale, from the results folder alone.
    Pictures(PicturesArgs),
    /// Write grilles as parts to print and as drawings
    ///
    /// The part is the geometry that was solved. It works before anything is solved, too; then say which grilles.
    Export(ExportArgs),
    /// Film smoke in the air of some grilles, side by side
    ///
    /// All on one scale and one clock, as a smoke test on a rig would show them.
    Smoke(SmokeArgs),
    /// List every check of every finished run, and every warning
    ///
    /// Each with its limit and what to do about it.
    Doubts(DoubtsArgs),
    /// Seal the prediction in a dated, hashed file before you print
    Seal(SealArgs),
    /// Plan how often to mount each grille, and in which order
    ///
    /// As a table to fill in and a sheet to print.
    Plan(PlanArgs),
    /// Compare readings from the bench with a sealed prediction
    Compare(CompareArgs),
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Outcome {
    /// Everything was done: exit code 0.
    Done,
    /// It ran, but some grille has no valid number: exit code 1.
    SomeInvalid,
    /// The user stopped it: exit code 130.
    Interrupted,
}

/// Why a command did not do its work.
#[derive(Debug)]
#[non_exhaustive]
pub enum Failure {
    /// The study is wrong: exit code 2.
    Study(Vec<StudyFault>),
    /// Arguments or named files are wrong: exit code 2.
    Wrong(anyhow::Error),
    /// The machine failed (disk full, no memory): exit code 1.
    Broken(anyhow::Error),
}

impl From<StudyFault> for Failure {
    fn from(fault: StudyFault) -> Self {
        Self::Study(vec![fault])
    }
}

/// Parses the arguments (the program's name first), does what they ask and returns the exit code.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match parse(arguments) {
        Ok(args) => args,
        Err(error) => {
            // Help and version end here too, with code 0; a closed pipe is no error.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let terminal = Terminal::new(args.quiet);
    let terminal = match &args.command {
        Command::Run(run) => terminal.telling(run.progress),
        _ => terminal,
    };
    let outcome = match args.command {
        Command::New(args) => new::new(&args, &terminal),
        Command::Check(args) => check::check(&args, &terminal, &planned::foreseen),
        Command::Run(args) => run::run(&args, &terminal),
        Command::Runs(args) => runs::runs(&args, &terminal),
        Command::Rank(args) => rank::rank(&args, &terminal),
        Command::Report(args) => report::report(&args, &terminal),
        Command::Pictures(args) => pictures::pictures(&args, &terminal),
        Command::Export(args) => export::export(&args, &terminal),
        Command::Smoke(args) => smoke::smoke(&args, &terminal),
        Command::Doubts(args) => doubts::doubts(&args, &terminal),
        Command::Seal(args) => seal::seal(&args, &terminal),
        Command::Plan(args) => plan::plan(&args, &terminal),
        Command::Compare(args) => compare::compare(&args, &terminal),
    };
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::SomeInvalid) => ExitCode::from(1),
        Ok(Outcome::Interrupted) => ExitCode::from(130),
        Err(failure) => {
            terminal.failure(&failure);
            ExitCode::from(match failure {
                Failure::Study(_) | Failure::Wrong(_) => 2,
                Failure::Broken(_) => 1,
            })
        }
    }
}

/// The arguments, or why there are none: faults, help and version.
fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Args, clap::Error> {
    let mut command = help::grouped(Args::command());
    let mut matches = command.try_get_matches_from_mut(arguments)?;
    Args::from_arg_matches_mut(&mut matches).map_err(|error| error.format(&mut command))
}
