//! `ventwright plan STUDY`: how often to mount each design on the bench, and in which order.

use std::path::{Path, PathBuf};

use anyhow::Context;
use clap::Args;

use crate::cli::kept_study::KeptArgs;
use crate::cli::results::unwritten;
use crate::cli::seal::{opened, prediction};
use crate::cli::{Failure, Outcome, Terminal};
use crate::report::plan_sheet::{write_plan_csv, write_plan_screen, write_plan_sheet};
use crate::rig::plan::{MOST_REMOUNTS, PlanWishes, SCATTER_PERCENT, plan as planned};
use crate::store::{RESULTS_FOLDER, write_whole};

/// Arguments of `plan`.
#[derive(Debug, Clone, Args)]
pub struct PlanArgs {
    /// A sealed prediction, the file of a solved study, or the folder of its results
    #[arg(value_name = "SEALED")]
    pub prediction: PathBuf,
    /// Folder under which the results of every study are kept
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
    /// How much readings scatter from one remount to the next, per cent of the reading (standard deviation)
    #[arg(long, value_name = "PERCENT", default_value_t = SCATTER_PERCENT)]
    pub scatter_percent: f64,
    /// Difference to be told apart between any two designs, per cent of the bare fan; the predicted ones unless given
    #[arg(long, value_name = "PERCENT")]
    pub difference_percent: Option<f64>,
    /// Most remounts of each design
    #[arg(long, value_name = "NUMBER", default_value_t = MOST_REMOUNTS)]
    pub most_remounts: usize,
    /// Readings to take each time a design is mounted, 1 to 5; they are averaged
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub readings_per_mount: usize,
    /// Seed of the shuffled order
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Folder for `readings.csv` and `readings.md`; beside the prediction unless given
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
}

/// Plans the readings.
pub(super) fn plan(args: &PlanArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let is_sealed = args
        .prediction
        .extension()
        .is_some_and(|kind| kind == "json");
    let (sealed, beside) = if is_sealed {
        let beside = args.prediction.parent().unwrap_or(Path::new(""));
        (opened(&args.prediction)?.content, beside.to_owned())
    } else {
        let kept = KeptArgs {
            study: args.prediction.clone(),
            results: args.results.clone(),
        };
        let folder = kept.folder()?;
        let Some(sealed) = prediction(&folder, terminal)? else {
            return Ok(Outcome::SomeInvalid);
        };
        (sealed, folder)
    };
    let wishes = PlanWishes {
        scatter_percent: args.scatter_percent,
        difference_percent: args.difference_percent,
        most_remounts: args.most_remounts,
        readings_per_mount: args.readings_per_mount,
        seed: args.seed,
    };
    let plan = planned(&sealed, &wishes).map_err(|error| Failure::Wrong(error.into()))?;
    let folder = args.out.clone().unwrap_or(beside);
    let (csv, sheet) = (folder.join("readings.csv"), folder.join("readings.md"));
    for path in [&csv, &sheet] {
        if path.exists() {
            return Err(Failure::Wrong(anyhow::anyhow!(
                "{} already exists and may hold readings; move it, or choose another folder with --out",
                path.display()
            )));
        }
    }
    write_whole(&csv, |out| write_plan_csv(&plan, out))
        .and_then(|()| write_whole(&sheet, |out| write_plan_sheet(&plan, out)))
        .map_err(|error| unwritten(&error, "--out"))?;
    let files = [
        format!(
            "{}: fill in value and unit, then run ventwright compare.",
            csv.display()
        ),
        format!("{}: the same to print.", sheet.display()),
    ];
    let mut text = Vec::new();
    let (width, has_colour) = (terminal.width(), terminal.is_stdout_coloured());
    write_plan_screen(&plan, &files, width, has_colour, &mut text)
        .context("laying out the plan")
        .map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))?;
    Ok(Outcome::Done)
}
