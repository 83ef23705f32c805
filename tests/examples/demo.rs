//! The short report of the demo study that is kept in `cases/quiet-desk/` against one that was just made.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// Largest mean difference of a pixel's channel, of 255. None is expected; a bar that is eight pixels longer makes more.
const PICTURE_DIFFERENCE: f64 = 0.02;

/// Most bytes of all that is kept.
const MOST_BYTES: u64 = 400_000;

/// Where the report is kept.
pub(crate) fn kept() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/quiet-desk")
}

/// What is no longer as it is made, and what is too large: the text (no time stands in it), names, sizes and pixels of the pictures.
pub(crate) fn fault(made: &Path) -> Option<String> {
    let kept = kept();
    let text = |folder: &Path| fs::read_to_string(folder.join("report.md")).unwrap();
    if text(&kept) != text(made) {
        return Some("report.md".to_owned());
    }
    let (old, new) = (names(&kept), names(made));
    if old != new {
        return Some(format!("{old:?} are kept, {new:?} are made"));
    }
    let mut bytes = fs::metadata(kept.join("report.md")).unwrap().len();
    for name in old {
        let path = Path::new("report-pictures").join(&name);
        bytes += fs::metadata(kept.join(&path)).unwrap().len();
        let (old, new) = (pixels(&kept.join(&path)), pixels(&made.join(&path)));
        let sum = old.1.iter().zip(&new.1);
        let sum: u64 = sum.map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
        let mean = sum as f64 / old.1.len() as f64;
        if old.0 != new.0 || mean > PICTURE_DIFFERENCE {
            return Some(format!(
                "{name}: {:?} and {:?} pixels, {mean} apart on average",
                old.0, new.0
            ));
        }
    }
    (bytes > MOST_BYTES).then(|| format!("{bytes} bytes are kept"))
}

fn names(folder: &Path) -> Vec<String> {
    let files = fs::read_dir(folder.join("report-pictures")).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// Size and pixels of a PNG.
pub(crate) fn pixels(path: &Path) -> ([u32; 2], Vec<u8>) {
    let file = fs::read(path).unwrap();
    let mut reader = png::Decoder::new(Cursor::new(file)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    ([frame.width, frame.height], pixels)
}
