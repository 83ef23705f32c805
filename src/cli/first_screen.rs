//! The first screen after a ranking: the table, where the files are, what to do next.

use std::path::Path;

use anyhow::Context;

use crate::cli::busy::Busy;
use crate::cli::details::DetailArgs;
use crate::cli::machine::threads;
use crate::cli::profiles::profiles;
use crate::cli::terminal::as_typed;
use crate::cli::{Failure, StudyArgs, Terminal};
use crate::report::duration_in_words;
use crate::report::screen::{Pointer, ScreenOptions, write_screen};
use crate::result::{StudyResult, View};
use crate::run::batch::schedule::{Capacity, expected_batch_seconds};
use crate::run::budget::for_fan_views;
use crate::run::fan_view::foreseen::foreseen_fan_views;
use crate::run::planned::Run;
use crate::run::planning::plan::plan;
use crate::store::{REPORT_FILE, RESULTS_FOLDER, StudyFolder};
use crate::study::{Quality, Study};

/// What was asked for, as it was typed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    /// The study.
    pub(super) study: &'a StudyArgs,
    /// The folder of all results.
    pub(super) results: &'a Path,
    /// What follows the first screen.
    pub(super) details: &'a DetailArgs,
}

/// The command that goes one quality deeper with its time; where there is none deeper, that which seals the prediction.
fn next(study: &Study, asked: Asked<'_>) -> (String, String) {
    let deeper = match study.run.quality {
        Quality::Quick => Some(Quality::Standard),
        Quality::Standard => Some(Quality::Overnight),
        Quality::Overnight => None,
    };
    let file = as_typed(&asked.study.file);
    let Some(quality) = deeper else {
        return (
            format!("ventwright seal {file}"),
            "puts the prediction down before you print and measure".to_owned(),
        );
    };
    let results = if asked.results == Path::new(RESULTS_FOLDER) {
        String::new()
    } else {
        format!(" --results {}", as_typed(asked.results))
    };
    let command = format!("ventwright run {file} --quality {quality}{results}");
    let what = if quality == Quality::Standard {
        "holes in 3D"
    } else {
        "finer grids"
    };
    let mut deeper = study.at(quality);
    if study.run.quality == Quality::Quick {
        // At `quick` a study has no fan views of its own.
        deeper.fan_view = deeper.fan_view.or_else(|| deeper.usual_fan_view());
    }
    let why = match expected_in_words(&deeper) {
        Some(time) => format!("{what}, about {time}"),
        None => what.to_owned(),
    };
    (command, why)
}

/// Time that the runs and fan views of a study take about, in words; `None` where they cannot be planned.
fn expected_in_words(study: &Study) -> Option<String> {
    let plan = plan(study).ok()?;
    let views = foreseen_fan_views(&for_fan_views(study), &plan);
    let capacity = Capacity {
        threads: threads(study),
        memory_bytes: u64::MAX,
    };
    let seconds = |runs: &[Run]| {
        let runs: Vec<&Run> = runs.iter().collect();
        expected_batch_seconds(&runs, capacity)
    };
    // The fan views begin when the ranking stands.
    Some(duration_in_words(
        seconds(&plan.runs) + seconds(&views.runs),
    ))
}

/// Shows it.
pub(super) fn show(
    study: &Study,
    asked: Asked<'_>,
    folder: &StudyFolder,
    result: &StudyResult,
    terminal: &Terminal,
) -> Result<(), Failure> {
    let path = |name: &str| folder.file(name).display().to_string();
    let ranking = path("ranking.csv");
    let runs = path("runs");
    let picture = result.grilles.first().and_then(|grille| {
        // A run in three dimensions tells most, a fine grid more than a coarse one.
        let valid = grille.runs.iter().filter(|run| run.is_valid);
        let (solid, flat): (Vec<_>, Vec<_>) = valid.partition(|run| run.view == View::Repeat);
        let mut pictures = solid
            .into_iter()
            .chain(flat)
            .map(|run| folder.run_file(&run.key, "picture.png"));
        let found = pictures.find(|picture| picture.is_file());
        found.map(|picture| picture.display().to_string())
    });
    let report = path(REPORT_FILE);
    let mut files = Vec::new();
    if folder.file(REPORT_FILE).is_file() {
        files.push(Pointer {
            what: &report,
            why: "the full report for a browser (report.md beside it for forums)",
        });
    }
    files.push(Pointer {
        what: &ranking,
        why: "all numbers, for a spreadsheet (ranking.json beside it)",
    });
    files.push(match &picture {
        Some(picture) => Pointer {
            what: picture,
            why: "the air behind the first grille of the list; mean.vti beside it for a VTK viewer",
        },
        None => Pointer {
            what: &runs,
            why: "the files of each run",
        },
    });
    let view = result.grilles.iter().find_map(|g| g.fan_view.as_ref());
    let view = view.map(|view| folder.run_file(&view.run.key, "picture.png"));
    let view = view.filter(|picture| picture.is_file());
    let view = view.map(|picture| picture.display().to_string());
    files.extend(view.as_ref().map(|picture| Pointer {
        what: picture,
        why: "the whole fan face from the side, with the same grille",
    }));
    let next = Busy::during(terminal, "asking how long to go deeper would take", || {
        next(study, asked)
    });
    let details = asked.details.parts();
    let profiles = profiles(result, folder.path());
    let options = ScreenOptions {
        width: terminal.width(),
        has_colour: terminal.is_stdout_coloured(),
        is_ascii: terminal.is_stdout_plain(),
        details: &details,
        profiles: Some(&profiles),
        files: &files,
        next: Some(Pointer {
            what: &next.0,
            why: &next.1,
        }),
    };
    let mut text = Vec::new();
    write_screen(result, &options, &mut text)
        .context("laying out the first screen")
        .map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))
}
