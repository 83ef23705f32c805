//! The command line: arguments, files, what goes to which stream, exit codes; one file per command.
//!
//! Results go to stdout, everything else to stderr.
//! Exit codes: 0 done, 1 no valid number for some grille, 2 wrong arguments or study, 130 interrupted.

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

mod check;
mod check_fabric;
mod check_grille;
mod check_path;
mod check_plan;
mod check_report;
mod check_swirl;
mod compare;
mod doubts;
mod expectation;
mod fan_views;
mod film_files;
mod first_screen;
mod gentle;
mod kept_fields;
mod kept_study;
mod memory;
mod new;
mod night;
mod only;
mod pictures;
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

pub use check::{BudgetForeseen, CheckArgs, Disk, FilmsForeseen, PlannedRun, RunPlan};
pub use compare::CompareArgs;
pub use doubts::{DoubtsArgs, Form};
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

/// Ranks 3D-printed fan grilles, and plates over vents, by solved airflow, before anything is printed.
#[derive(Debug, Parser)]
#[command(name = "ventwright", version, about, after_help = AFTER_HELP)]
struct Args {
    #[command(subcommand)]
    command: Command,
    /// Say nothing but results and faults
    #[arg(long, short, global = true)]
    quiet: bool,
}

const AFTER_HELP: &str = "\
Start with `ventwright new NAME`, edit the file, then `ventwright check NAME.toml` and `ventwright run NAME.toml`.
`ventwright pictures` sets the grilles side by side, `ventwright smoke` films the air.
Before printing, `ventwright seal` puts the prediction down and `ventwright plan` says what to measure; `ventwright compare` holds readings against it.
Exit codes: 0 done, 1 no valid number for some grille, 2 wrong arguments or study, 130 interrupted.
A planning aid, not a safety assessment.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented study to start from
    New(NewArgs),
    /// Check a study and show what follows from it, behind a fan also the lean that suits its swirl, without running anything
    Check(CheckArgs),
    /// Solve the flow through every grille of a study and rank them
    Run(RunArgs),
    /// List the runs of a study with their keys, times, memory and state, one in a line
    Runs(RunsArgs),
    /// Rank a study from the runs that are finished, wherever they were solved, without solving anything
    Rank(RankArgs),
    /// Write the report of a solved study, one page for a browser and a short form for forums, from its results folder alone
    Report(ReportArgs),
    /// Draw the grilles of a solved study side by side on one scale, from its results folder alone
    Pictures(PicturesArgs),
    /// Let smoke into the air of some grilles and film them side by side on one clock
    Smoke(SmokeArgs),
    /// Show every check of every finished run with its limit, and every warning, in one table
    Doubts(DoubtsArgs),
    /// Put the prediction of a solved study into a small file, dated and hashed, before anything is printed
    Seal(SealArgs),
    /// Plan the bench: how often each grille is mounted, and in which order, as a table to fill in and a sheet to print
    Plan(PlanArgs),
    /// Hold readings from the bench against a sealed prediction
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
    let args = match Args::try_parse_from(arguments) {
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
