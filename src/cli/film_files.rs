//! Where films lie in the results folder, and how they get there.
//!
//! `smoke/VIEW.gif` is the film, `smoke/VIEW.png` its long exposure, `smoke/VIEW/001.png` its frames one by one. `smoke/reels` holds the smoke of each grille by itself, from which pages are made;
//! `smoke/moments` holds the moments that the study asks for, for an external viewer.

use std::fs;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use anyhow::Context;

use crate::cli::Failure;
use crate::cli::plain_file::{open_plain, plain_bytes};
use crate::cli::results::broken;
use crate::document::Picture;
use crate::picture::{photograph, read_reel, write_reel};
use crate::run::film::{Film, FilmPage, Moment, Reel, Shot, write_air, write_smoke};
use crate::store::{SMOKE_FOLDER, StoreError, StudyFolder, write_whole};
use crate::study::{FilmView, Study};

/// Bytes that a long exposure may take in a report.
const MOST_STILL_BYTES: usize = 150_000;

/// Largest reel or picture that is read, bytes.
const LARGEST_REEL: u64 = 2 << 30;

/// Bytes that a film may take: what forums and mail let through.
pub(super) const MOST_BYTES: usize = 9_500_000;

/// Where the films of a study lie.
pub(super) struct Places {
    root: PathBuf,
}

impl Places {
    /// Those of a results folder.
    pub(super) fn of(folder: &StudyFolder) -> Self {
        Self {
            root: folder.file(SMOKE_FOLDER),
        }
    }

    fn reel(&self, shot: &Shot) -> PathBuf {
        self.root.join("reels").join(format!("{}.png", shot.key))
    }

    fn moments(&self, shot: &Shot) -> PathBuf {
        self.root.join("moments").join(&shot.key)
    }
}

/// Whether a shot lies there whole, with as many moments as are wanted.
pub(super) fn is_kept(places: &Places, film: &Film, shot: &Shot, moments: u32) -> bool {
    let has_moments = moments == 0 || {
        let wanted = (0..film.clock.frame_count)
            .filter(|&frame| is_moment(frame, film.clock.frame_count, moments));
        let folder = places.moments(shot);
        let mut files = (0..wanted.count()).map(|number| folder.join(moment_name("smoke", number)));
        // The next one would be of a film with more moments; a list beside them of an earlier version, whose files do not tell their time.
        let others = [moment_name("smoke", files.len()), "smoke.pvd".to_owned()];
        files.all(|file| file.is_file()) && !others.iter().any(|it| folder.join(it).exists())
    };
    has_moments && read_kept(places, film, shot).is_some()
}

/// The long exposures that lie in a results folder, as pictures of a report.
pub(super) fn stills(folder: &Path) -> Vec<Picture> {
    let picture = |view: FilmView| {
        let name = file_name(view);
        let path = folder.join(SMOKE_FOLDER).join(format!("{name}.png"));
        let file = plain_bytes(&path, LARGEST_REEL).ok()?;
        let caption = format!(
            "smoke in the {}, as last filmed, a long exposure; the film is {SMOKE_FOLDER}/{name}.gif beside this page",
            view.in_words()
        );
        let bytes = photograph(&file, MOST_STILL_BYTES).ok()?;
        Some(Picture::whole(None, &caption, "image/jpeg", bytes))
    };
    FilmView::ALL.into_iter().filter_map(picture).collect()
}

/// Name of the files of a view.
fn file_name(view: FilmView) -> String {
    view.in_words().replace(' ', "-")
}

/// Solid and frames of a shot that lies there.
fn read_kept(places: &Places, film: &Film, shot: &Shot) -> Option<Vec<Vec<u8>>> {
    let file = open_plain(&places.reel(shot), LARGEST_REEL).ok()?;
    let frames = read_reel(film.window.pixels(), &shot.key, BufReader::new(file))?;
    (frames.len() == film.clock.frame_count + 1).then_some(frames)
}

/// Keeps the smoke of a shot.
pub(super) fn keep_reel(places: &Places, shot: &Shot, reel: &Reel) -> Result<(), StoreError> {
    let path = places.reel(shot);
    make_folder(path.parent())?;
    let solid = std::iter::once(reel.solid.as_slice());
    let frames: Vec<&[u8]> = solid.chain(reel.frames.iter().map(Vec::as_slice)).collect();
    write_whole(&path, |out| {
        write_reel(reel.pixels, &shot.key, &frames, out)
    })
}

fn make_folder(folder: Option<&Path>) -> Result<(), StoreError> {
    let Some(folder) = folder else {
        return Ok(());
    };
    fs::create_dir_all(folder).map_err(|source| StoreError::Write {
        path: folder.to_owned(),
        source,
    })
}

/// Whether a frame is one of so many moments that are kept, evenly over the film.
fn is_moment(frame: usize, frame_count: usize, moments: u32) -> bool {
    let moments = moments as usize;
    let number = |frame: usize| frame * moments / frame_count;
    moments > 0 && (frame == 0 || number(frame) != number(frame - 1))
}

/// File of a moment, `air` or `smoke`.
fn moment_name(what: &str, number: usize) -> String {
    let end = if what == "air" { "vti" } else { "vtp" };
    format!("{what}-{number:04}.{end}")
}

/// Keeps a moment for an external viewer, if it is one of those that are wanted.
pub(super) fn keep_moment(
    places: &Places,
    film: &Film,
    shot: &Shot,
    moment: &Moment<'_>,
    moments: u32,
) -> Result<(), StoreError> {
    let count = film.clock.frame_count;
    if !is_moment(moment.frame, count, moments) {
        return Ok(());
    }
    let folder = places.moments(shot);
    if moment.frame == 0 {
        // Moments of another count than is wanted now; there need not be any.
        let _ = fs::remove_dir_all(&folder);
    }
    make_folder(Some(&folder))?;
    // Numbered without gaps, so that viewers take them for one series.
    let earlier = (0..moment.frame).filter(|&frame| is_moment(frame, count, moments));
    let number = earlier.count();
    write_whole(&folder.join(moment_name("air", number)), |out| {
        write_air(moment, out)
    })?;
    write_whole(&folder.join(moment_name("smoke", number)), |out| {
        write_smoke(moment, out)
    })?;
    Ok(())
}

/// A page that was made.
pub(super) struct Page {
    /// The animated file; `None` where there is no panel at all.
    pub(super) path: Option<PathBuf>,
    /// Its size.
    pub(super) bytes: usize,
    /// Whether no panel is missing.
    pub(super) is_whole: bool,
}

/// Makes the page of a film from what is kept.
pub(super) fn write_page(places: &Places, film: &Film, study: &Study) -> Result<Page, Failure> {
    let mut shown = film.clone();
    let mut reels = Vec::new();
    shown.shots.retain(|shot| {
        let reel = read_kept(places, film, shot);
        let is_there = reel.is_some();
        reels.extend(reel);
        is_there
    });
    let is_whole = shown.shots.len() == film.shots.len();
    if reels.is_empty() {
        return Ok(Page {
            path: None,
            bytes: 0,
            is_whole,
        });
    }
    let page = FilmPage::new(&shown, &study.name, &reels)
        .context("laying out a film")
        .map_err(Failure::Broken)?;
    let name = file_name(film.view);
    let folder = places.root.join(&name);
    make_folder(Some(&folder)).map_err(|error| broken(&error))?;
    for number in 0..page.frame_count() {
        let path = folder.join(format!("{:03}.png", number + 1));
        write_whole(&path, |out| page.write_frame(number, out)).map_err(|error| broken(&error))?;
    }
    // Those of a longer film than this go.
    let beyond = (page.frame_count() + 1..).map(|number| folder.join(format!("{number:03}.png")));
    for path in beyond.take_while(|path| path.is_file()) {
        // What cannot be removed does no harm.
        let _ = fs::remove_file(path);
    }
    write_whole(&places.root.join(format!("{name}.png")), |out| {
        page.write_still(out)
    })
    .map_err(|error| broken(&error))?;
    let made = page
        .animation(MOST_BYTES)
        .context("making a film")
        .map_err(Failure::Broken)?;
    let path = places.root.join(format!("{name}.gif"));
    write_whole(&path, |out| out.write_all(&made.bytes)).map_err(|error| broken(&error))?;
    Ok(Page {
        path: Some(path),
        bytes: made.bytes.len(),
        is_whole,
    })
}
