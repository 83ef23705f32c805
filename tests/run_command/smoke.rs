//! `smoke`: what it leaves, that a film is a film, and that nothing is filmed twice.

use std::fs;
use std::path::{Path, PathBuf};

use gif::{ColorOutput, DecodeOptions};

use crate::stage::{CURVE, HEXAGONS, SQUARES, stage, study, text, ventwright};

const SMOKE: &str = "frames = 3\n[smoke]\nseconds = 1\nviews = [\"slice\"]\n[[smoke.rake]]\nview = \"slice\"\nx_mm = -4\nfrom_mm = -6\nto_mm = 6\nthreads = 9\n";

fn in_smoke(folder: &Path, name: &str) -> PathBuf {
    folder.join("results/tiny/smoke").join(name)
}

/// Brightness of all pixels of each frame of an animated file, as a viewer puts them together.
fn played(path: &Path) -> (usize, Vec<Vec<u8>>, u16) {
    let mut options = DecodeOptions::new();
    options.set_color_output(ColorOutput::RGBA);
    let mut decoder = options.read_info(fs::File::open(path).unwrap()).unwrap();
    let (width, height) = (usize::from(decoder.width()), usize::from(decoder.height()));
    let mut page = vec![0; width * height];
    let mut frames = Vec::new();
    let mut delay = 0;
    while let Some(frame) = decoder.read_next_frame().unwrap() {
        delay = frame.delay;
        let (left, top) = (usize::from(frame.left), usize::from(frame.top));
        for (number, pixel) in frame.buffer.chunks_exact(4).enumerate() {
            let columns = usize::from(frame.width);
            let at = (top + number / columns) * width + left + number % columns;
            if pixel[3] > 0 {
                page[at] = pixel[1];
            }
        }
        frames.push(page.clone());
    }
    (width, frames, delay)
}

#[test]
#[ignore = "slow: half a minute"]
fn smoke_is_filmed_side_by_side_kept_and_reused() {
    let study = study(CURVE, "intake", SMOKE, &[HEXAGONS, SQUARES]);
    let folder = stage(&study);
    let first = ventwright(folder.path(), &["smoke", "tiny.toml", "--threads", "2"]);
    assert!(first.status.success(), "{}", text(&first.stderr));
    assert_eq!(
        text(&first.stdout).trim().replace('\\', "/"),
        "results/tiny/smoke/slice-view.gif"
    );
    // The bare stream and two grilles, a second of fourteen frames, each also by itself.
    let film = in_smoke(folder.path(), "slice-view.gif");
    assert!(fs::metadata(&film).unwrap().len() < 10_000_000);
    let (_, frames, delay) = played(&film);
    assert_eq!((frames.len(), delay), (14, 7));
    let singles = fs::read_dir(in_smoke(folder.path(), "slice-view")).unwrap();
    assert_eq!(singles.count(), 14);
    assert!(in_smoke(folder.path(), "slice-view.png").is_file());
    // It moves: smoke is somewhere else in every frame, and as much of it as before.
    let brightness = |frame: &[u8]| frame.iter().map(|&byte| f64::from(byte)).sum::<f64>();
    for pair in frames.windows(2) {
        let changed = pair[0].iter().zip(&pair[1]).filter(|(a, b)| a != b);
        assert!(changed.count() > 2_000);
        let ratio = brightness(&pair[1]) / brightness(&pair[0]);
        assert!((0.9..1.1).contains(&ratio), "{ratio}");
    }
    // Three moments of each panel for an external viewer.
    let moments: Vec<PathBuf> = fs::read_dir(in_smoke(folder.path(), "moments"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(moments.len(), 3);
    for moment in &moments {
        let mut names: Vec<String> = fs::read_dir(moment)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        let expected = ["air-0000.vti", "air-0001.vti", "air-0002.vti"];
        assert_eq!(names[..3], expected);
        assert_eq!(
            names[3..],
            expected.map(|n| n.replace("air", "smoke").replace("vti", "vtp"))
        );
        // Each tells its time.
        let times = names.iter().map(|name| {
            let bytes = fs::read(moment.join(name)).unwrap();
            let text = String::from_utf8_lossy(&bytes);
            let (_, after) = text.split_once("Name=\"TimeValue\"").unwrap();
            let (_, value) = after.split_once('>').unwrap();
            value.split_once('<').unwrap().0.parse::<f64>().unwrap()
        });
        let times: Vec<f64> = times.collect();
        assert!(times[0] < times[1] && times[1] < times[2], "{times:?}");
        assert_eq!(times[..3], times[3..]);
    }
    // Again: nothing is solved, the same page comes out.
    let before = fs::read(&film).unwrap();
    let again = ventwright(folder.path(), &["smoke", "tiny.toml"]);
    assert!(again.status.success(), "{}", text(&again.stderr));
    assert!(
        !text(&again.stderr).contains("hexagons"),
        "{}",
        text(&again.stderr)
    );
    assert!(before == fs::read(&film).unwrap());
    // A damaged reel is filmed again, and only that.
    let reels = fs::read_dir(in_smoke(folder.path(), "reels")).unwrap();
    let reels: Vec<PathBuf> = reels.map(|entry| entry.unwrap().path()).collect();
    let still = |path: &&PathBuf| path.to_str().unwrap().contains("no-grille");
    let damaged = reels.iter().find(still).unwrap();
    fs::write(damaged, "no picture").unwrap();
    let mended = ventwright(folder.path(), &["smoke", "tiny.toml"]);
    assert!(mended.status.success(), "{}", text(&mended.stderr));
    assert!(text(&mended.stderr).contains("no grille"));
    assert!(!text(&mended.stderr).contains("squares"));
    assert!(before == fs::read(&film).unwrap());
}

#[test]
fn what_cannot_be_filmed_is_told_before_anything_is_solved() {
    let without_views = study(CURVE, "intake", "[smoke]\nviews = [\"fan\"]\n", &[HEXAGONS]);
    let folder = stage(&without_views);
    let output = ventwright(folder.path(), &["smoke", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(2));
    let told = text(&output.stderr);
    assert!(told.contains("exhaust side"), "{told}");
    assert!(told.contains("nothing to film"), "{told}");
    let output = ventwright(folder.path(), &["smoke", "tiny.toml", "--grille", "garden"]);
    assert_eq!(output.status.code(), Some(2));
    let told = text(&output.stderr);
    assert!(
        told.contains("called \"garden\"") && told.contains("hexagons"),
        "{told}"
    );
}
