//! The pictures of the short form against the numbers that they show.

use ventwright::document::{Material, report_pictures};

use crate::document::kept;
use crate::samples::{grille, study};

/// Pixels of one colour in a row of a picture: the longest run.
fn longest(row: &[u8], colour: [u8; 3]) -> usize {
    let mut runs = row.chunks_exact(3).fold(vec![0], |mut runs, pixel| {
        if pixel == colour {
            *runs.last_mut().unwrap() += 1;
        } else {
            runs.push(0);
        }
        runs
    });
    runs.sort_unstable();
    runs.pop().unwrap()
}

/// The cover's bars in pixels against the numbers: (low₁ − low₂) / (high₁ − low₁) is free of the scale.
#[test]
fn the_bars_of_the_cover_are_as_long_as_their_numbers() {
    let result = study(vec![
        grille("first", 1, 96.0, 2.0, 0.5),
        grille("second", 2, 80.0, 4.0, 1.5),
    ]);
    let ranking = kept(&result);
    let material = Material {
        ranking: &ranking,
        study: None,
        pictures: &[],
        missing: &[],
    };
    let pictures = report_pictures(&material).unwrap();
    assert_eq!(pictures.len(), 1, "no study, no fan");
    let mut reader = png::Decoder::new(std::io::Cursor::new(&pictures[0].bytes))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    let row = 3 * usize::try_from(frame.width).unwrap();
    let (deep, pale) = ([0x1f, 0x4e, 0x8c], [0x9d, 0xbb, 0xdf]);
    let mut bars: Vec<[usize; 2]> = pixels
        .chunks_exact(row)
        .map(|row| [longest(row, deep), longest(row, pale)])
        .filter(|[deep, _]| *deep > 20)
        .collect();
    bars.dedup();
    assert_eq!(bars.len(), 2, "{bars:?}");
    // A stroke of two pixels of the page, four of the picture, parts each range in two halves.
    let range = |[_, half]: [usize; 2]| 2.0 * half as f64 + 4.0;
    let between = (bars[0][0] - bars[1][0]) as f64;
    let expected = ((96.0 - 2.0) - (80.0 - 4.0)) / (2.0 * 2.0);
    let seen = between / range(bars[0]);
    assert!(
        (seen / expected - 1.0).abs() < 0.04,
        "{seen} instead of {expected}"
    );
    let (first, second) = (range(bars[0]), range(bars[1]));
    assert!((second / first - 2.0).abs() < 0.08, "{first} and {second}");
}
