//! The first screen after a ranking: the table, where the files are, what to do next.

use std::path::Path;

use anyhow::Context;

use crate::cli::profiles::profiles;
use crate::cli::report::REPORT;
use crate::cli::{Failure, StudyArgs, Terminal};
use crate::report::StudyResult;
use crate::report::screen::{Pointer, ScreenOptions, write_screen};
use crate::store::StudyFolder;
use crate::study::{Quality, Study};

/// Where results go unless the user says otherwise.
pub(super) const RESULTS: &str = "results";

/// A path as it can be typed in a shell: in quotation marks where it needs them.
fn as_typed(path: &Path) -> String {
    let path = path.display().to_string();
    let is_plain = |c: char| c.is_alphanumeric() || "-_./+=:,@%\\~".contains(c);
    if path.chars().all(is_plain) {
        path
    } else if path.contains('\'') {
        // Single quotation marks end at the next one; double ones take it.
        format!("\"{path}\"")
    } else {
        format!("'{path}'")
    }
}

/// Shows it; `asked` is the study and the results folder as they were typed.
pub(super) fn show(
    study: &Study,
    asked: (&StudyArgs, &Path),
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
        let (solid, flat): (Vec<_>, Vec<_>) = valid.partition(|run| run.oblique.is_some());
        let mut pictures = solid
            .into_iter()
            .chain(flat)
            .map(|run| folder.run_file(&run.key, "picture.png"));
        let found = pictures.find(|picture| picture.is_file());
        found.map(|picture| picture.display().to_string())
    });
    let report = path(REPORT);
    let mut files = Vec::new();
    if folder.file(REPORT).is_file() {
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
    let deeper = match study.run.quality {
        Quality::Quick => Some("standard"),
        Quality::Standard => Some("overnight"),
        Quality::Overnight => None,
    };
    let study_file = as_typed(&asked.0.file);
    let results = if asked.1 == Path::new(RESULTS) {
        String::new()
    } else {
        format!(" --results {}", as_typed(asked.1))
    };
    let deeper_command =
        deeper.map(|quality| format!("ventwright run {study_file} --quality {quality}{results}"));
    let check = format!("ventwright check {study_file}");
    let mut next = Vec::new();
    if let Some(command) = &deeper_command {
        next.push(Pointer {
            what: command,
            why: if study.run.quality == Quality::Quick {
                "holes in three dimensions, narrower ranges"
            } else {
                "finer grids, narrower ranges"
            },
        });
    }
    next.push(Pointer {
        what: &check,
        why: "ribs, overhangs, what fits through the holes",
    });
    let profiles = profiles(result, folder.path());
    let options = ScreenOptions {
        width: terminal.width(),
        has_colour: terminal.is_stdout_coloured(),
        is_ascii: terminal.is_stdout_plain(),
        profiles: Some(&profiles),
        files: &files,
        next: &next,
    };
    let mut text = Vec::new();
    write_screen(result, &options, &mut text)
        .context("laying out the first screen")
        .map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))
}
