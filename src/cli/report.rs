//! `ventwright report STUDY`: one page that tells the story of a study, from its results folder alone.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, anyhow};
use clap::Args;

use crate::cli::film_files::stills;
use crate::cli::kept_study::{Kept, KeptArgs, stored_study};
use crate::cli::plain_file::plain_bytes;
use crate::cli::results::broken;
use crate::cli::side_by_side::side_by_side;
use crate::cli::{Failure, Outcome, Terminal};
use crate::document::{
    Material, PICTURE_FOLDER, PICTURE_NAMES, Picture, report_pictures, write_report_html,
    write_report_markdown,
};
use crate::picture::photograph;
use crate::result::{GrilleResult, RunSummary, StudyResult, View};
use crate::store::{REPORT_FILE, write_whole};

/// The short form beside it.
const SHORT_REPORT: &str = "report.md";

/// Bytes that the pictures of single grilles may take together: with those that show all of them the page then stays below 5 MB.
const MOST_PICTURE_BYTES: usize = 1_500_000;

/// Bytes that a picture may take even where there are many.
const LEAST_SHARE: usize = 60_000;

/// Largest picture file that is read, bytes.
const LARGEST_PICTURE: u64 = 16 << 20;

/// Arguments of `report`.
#[derive(Debug, Clone, Args)]
pub struct ReportArgs {
    /// Whose results.
    #[command(flatten)]
    pub kept: KeptArgs,
}

/// Writes the report and says where it is.
pub(super) fn report(args: &ReportArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let folder = args.kept.folder()?;
    let WrittenReport {
        page,
        is_whole,
        faults,
    } = write_report(&folder)?;
    for fault in &faults {
        terminal.complaint(fault);
    }
    terminal.result(&format!("{}\n", page.display()))?;
    Ok(if is_whole {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// A report on disk.
pub(super) struct WrittenReport {
    /// The page.
    page: PathBuf,
    /// Whether every grille has a number and nothing is missing.
    is_whole: bool,
    /// What is damaged or missing, a sentence each; the page says so too.
    faults: Vec<String>,
}

/// Writes `report.html`, and `report.md` with its pictures, into a results folder.
pub(super) fn write_report(folder: &Path) -> Result<WrittenReport, Failure> {
    let kept = Kept::open(folder)?.ok_or_else(|| {
        let folder = folder.display();
        Failure::Wrong(anyhow!(
            "there is no ranking in {folder}; let the study run to the end first"
        ))
    })?;
    let study = stored_study(folder).map(|(study, _)| study);
    let Kept {
        result: kept,
        damaged: mut missing,
        missing: lost,
    } = kept;
    missing.extend(lost);
    if let Err(error) = &study {
        missing.push(format!(
            "the resolved study cannot be used, so drawings and fan curve are left out: {error:#}"
        ));
    }
    let mut pictures = pictures(folder, &kept, &mut missing);
    pictures.extend(side_by_side(folder, &kept, &mut missing));
    pictures.extend(stills(folder));
    let material = Material {
        ranking: &kept,
        study: study.as_ref().ok(),
        pictures: &pictures,
        missing: &missing,
    };
    let page = folder.join(REPORT_FILE);
    write_whole(&page, |out| write_report_html(&material, out)).map_err(|error| broken(&error))?;
    write_short_report(folder, &material)?;
    let are_ranked = kept.grilles.iter().all(|grille| grille.rank.is_some());
    Ok(WrittenReport {
        page,
        is_whole: are_ranked && missing.is_empty(),
        faults: missing,
    })
}

/// Writes `report.md` with its pictures, and takes away those of an older report that are no longer drawn.
fn write_short_report(folder: &Path, material: &Material<'_>) -> Result<(), Failure> {
    let drawn = report_pictures(material).map_err(|error| Failure::Broken(error.into()))?;
    let pictures = folder.join(PICTURE_FOLDER);
    fs::create_dir_all(&pictures)
        .with_context(|| format!("making {}", pictures.display()))
        .map_err(Failure::Broken)?;
    for name in PICTURE_NAMES {
        if !drawn.iter().any(|picture| picture.name == name) {
            // What is not there need not go.
            let _ = fs::remove_file(pictures.join(name));
        }
    }
    for picture in &drawn {
        write_whole(&pictures.join(picture.name), |out| {
            out.write_all(&picture.bytes)
        })
        .map_err(|error| broken(&error))?;
    }
    write_whole(&folder.join(SHORT_REPORT), |out| {
        write_report_markdown(material, &drawn, out)
    })
    .map_err(|error| broken(&error))
}

/// A picture that is to be shown.
struct Wanted<'a> {
    /// The first grille of the list that it shows, and the places of the others in the study.
    grille: &'a GrilleResult,
    shared_by: Vec<usize>,
    /// Of the run.
    key: &'a str,
    caption: String,
}

/// For each grille the picture of its best run, and that of the whole fan face; as many as fit, each once.
fn pictures(folder: &Path, kept: &StudyResult, missing: &mut Vec<String>) -> Vec<Picture> {
    let runs = kept.grilles.iter().filter_map(|grille| {
        let run = best_run(grille)?;
        Some((grille, run.key.as_str(), caption(run)))
    });
    let views = kept.grilles.iter().filter_map(|grille| {
        let caption = "the whole fan face from the side, the fan on the axis: air speed where the fan settles";
        let view = grille.fan_view.as_ref()?;
        Some((grille, view.run.key.as_str(), caption.to_owned()))
    });
    let mut wanted: Vec<Wanted<'_>> = Vec::new();
    for (grille, key, caption) in runs.chain(views) {
        match wanted.iter_mut().find(|known| known.key == key) {
            Some(known) => known.shared_by.push(grille.id),
            None => wanted.push(Wanted {
                grille,
                shared_by: Vec::new(),
                key,
                caption,
            }),
        }
    }
    let share = (MOST_PICTURE_BYTES / wanted.len().max(1)).max(LEAST_SHARE);
    let mut pictures = Vec::new();
    let (mut room, mut left_out, mut lost) = (MOST_PICTURE_BYTES, 0, 0);
    for Wanted {
        grille,
        shared_by,
        key,
        caption,
    } in wanted
    {
        if room < LEAST_SHARE {
            left_out += 1;
            continue;
        }
        let Some(bytes) = small(folder, key, share) else {
            lost += 1;
            continue;
        };
        if bytes.len() > room {
            left_out += 1;
            continue;
        }
        room -= bytes.len();
        let of = Some(grille.named());
        pictures.push(Picture {
            shared_by,
            ..Picture::whole(of, &caption, "image/jpeg", bytes)
        });
    }
    if left_out > 0 {
        missing.push(format!(
            "{left_out} pictures are left out to keep this page small; they are in the folders of the runs (picture.png)"
        ));
    }
    if lost > 0 {
        missing.push(format!("{lost} pictures of runs are missing or damaged"));
    }
    pictures
}

/// A run in three dimensions shows most, a fine grid more than a coarse one.
fn best_run(grille: &GrilleResult) -> Option<&RunSummary> {
    let valid = grille.runs.iter().filter(|run| run.is_valid);
    valid.max_by(|a, b| {
        let depth = |run: &RunSummary| (run.view == View::Repeat, run.cells_across);
        let ((a_solid, a_cells), (b_solid, b_cells)) = (depth(a), depth(b));
        a_solid.cmp(&b_solid).then(a_cells.total_cmp(&b_cells))
    })
}

fn caption(run: &RunSummary) -> String {
    format!(
        "the air through it, {} at {:.2} m/s in front of it",
        run.view, run.face_velocity_m_per_s
    )
}

/// The picture of a run, made small.
fn small(folder: &Path, key: &str, most_bytes: usize) -> Option<Vec<u8>> {
    // A key names a folder of this results folder and nothing else.
    if key.is_empty() || key.contains(['/', '\\']) || key.starts_with('.') {
        return None;
    }
    let path = folder.join("runs").join(key).join("picture.png");
    photograph(&plain_bytes(&path, LARGEST_PICTURE).ok()?, most_bytes).ok()
}
