//! The pictures of the report that show all grilles at once, on one scale of colours and one of lengths.

use std::fs;
use std::path::Path;

use clap::ValueEnum as _;

use crate::cli::kept_fields::run_folder;
use crate::cli::pictures::{Pages, PictureView, pages, runs};
use crate::document::{Picture, PicturePart};
use crate::fields::{KeptPanel, Quantity, common_range, tiles_side_by_side};
use crate::picture::{Tiles, photograph};
use crate::result::StudyResult;

/// Most grilles on such a picture, three in a row: more are too small to be seen, and take a report longer than a few seconds.
const MOST_PANELS: usize = 6;

/// Bytes of fields that are read for one of them, so that a report is made within seconds.
const MOST_FIELD_BYTES: u64 = 160 << 20;

/// Bytes that one of them may take.
const MOST_PICTURE_BYTES: usize = 300_000;

/// A picture for each cut of each view that there is of two grilles or more; what is left out goes into `missing`.
pub(super) fn side_by_side(
    folder: &Path,
    kept: &StudyResult,
    missing: &mut Vec<String>,
) -> Vec<Picture> {
    let grilles: Vec<Option<usize>> = kept.grilles.iter().map(|it| Some(it.id)).collect();
    let mut pictures = Vec::new();
    for view in PictureView::value_variants() {
        let mut found = runs(kept, &grilles, *view);
        let count = found.len();
        found.truncate(MOST_PANELS);
        if found.len() < 2 {
            continue;
        }
        let what = view.in_words();
        let size = |(_, key): &(Vec<&str>, &str)| {
            let field = run_folder(folder, key).map(|run| run.join("mean.vti"));
            field
                .and_then(|path| fs::metadata(path).ok())
                .map_or(0, |file| file.len())
        };
        if found.iter().map(size).sum::<u64>() > MOST_FIELD_BYTES {
            missing.push(format!(
                "the {what} are not shown side by side here because their fields are large; ventwright pictures draws them"
            ));
            continue;
        }
        let Pages { pages, faults } = pages(folder, *view, Quantity::Speed, &found);
        if !faults.is_empty() {
            missing.push(format!(
                "{} of the {what} cannot be shown side by side: their fields are missing or damaged",
                faults.len()
            ));
        }
        for ((cut, _), panels) in view.cuts().iter().zip(&pages) {
            if panels.len() < 2 {
                continue;
            }
            let range = common_range(Quantity::Speed, panels);
            let tiles = tiles_side_by_side(*cut, Quantity::Speed, panels, range);
            let picture = tiles.ok().and_then(|tiles| {
                let caption = caption(what, panels, count) + ". " + &tiles.notes.join(" ");
                set(panels, &tiles, caption)
            });
            pictures.extend(picture);
        }
    }
    pictures
}

/// The panels and their legend as small files; `None` where one cannot be made small.
fn set(panels: &[KeptPanel], tiles: &Tiles, caption: String) -> Option<Picture> {
    let share = MOST_PICTURE_BYTES / (panels.len() + 1);
    let small = |words: String, png: &[u8]| {
        let bytes = photograph(png, share).ok()?;
        Some(PicturePart { words, bytes })
    };
    let named = panels.iter().zip(&tiles.panels);
    let parts = named.map(|(panel, png)| {
        let words = format!(
            "{}: mean air speed along the flow, {}",
            panel.grille, panel.detail
        );
        small(words, png)
    });
    Some(Picture {
        grille: None,
        shared_by: Vec::new(),
        caption,
        media_type: "image/jpeg",
        parts: parts.collect::<Option<Vec<_>>>()?,
        legend: Some(small(
            "The colours and what they mean".to_owned(),
            &tiles.legend,
        )?),
    })
}

/// What the picture shows, whose, and whose not.
fn caption(what: &str, panels: &[KeptPanel], count: usize) -> String {
    let first = if count > panels.len() {
        format!(" of the first {} of {count}", panels.len())
    } else {
        String::new()
    };
    let names: Vec<&str> = panels.iter().map(|panel| panel.grille.as_str()).collect();
    format!(
        "{what}{first}, mean air speed along the flow: {}",
        names.join("; ")
    )
}
