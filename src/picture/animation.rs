//! A series of pages of smoke as one animated file (GIF), which every browser, forum and viewer of pictures plays.
//!
//! # References
//! Graphics Interchange Format, version 89a, `CompuServe`, 1990.

use std::collections::HashMap;

use crate::picture::PictureError;
use crate::picture::canvas::{Rgb, mixed};
use crate::picture::smoke::{NIGHT, SMOKE, SmokeStage, WOOD};

/// Shades from thickest wood to night that the file keeps.
const WOOD_SHADES: usize = 12;

/// Number of the colour that leaves a pixel as it was.
const UNCHANGED: u8 = 255;

/// Shades of smoke and every how many-th frame is kept, from the best to the smallest file.
const SETTINGS: [(usize, usize); 5] = [(48, 1), (28, 1), (16, 1), (28, 2), (16, 2)];

/// An animated file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Animation {
    /// The file.
    pub bytes: Vec<u8>,
    /// Frames in it.
    pub frame_count: usize,
}

/// Makes the frames into a file of at most `most_bytes`, as far as fewer shades and every other frame bring that about. `frames` holds the smoke of each panel at each instant,
/// `frame_time` is in hundredths of a second. The file begins again at its end.
///
/// # Errors
/// [`PictureError::Animation`]: no frame, or a page larger than the format can hold.
pub fn animation(
    stage: &SmokeStage<'_>,
    frames: &[Vec<&[u8]>],
    frame_time: u16,
    most_bytes: usize,
) -> Result<Animation, PictureError> {
    let mut smallest: Option<Animation> = None;
    for (shades, every) in SETTINGS {
        let kept: Vec<&Vec<&[u8]>> = frames.iter().step_by(every).collect();
        let time = frame_time.saturating_mul(u16::try_from(every).unwrap_or(1));
        let bytes = encoded(stage, &kept, time, shades)?;
        let made = Animation {
            bytes,
            frame_count: kept.len(),
        };
        let is_small = made.bytes.len() <= most_bytes;
        if smallest
            .as_ref()
            .is_none_or(|other| made.bytes.len() < other.bytes.len())
        {
            smallest = Some(made);
        }
        if is_small {
            break;
        }
    }
    smallest.ok_or(PictureError::Animation)
}

fn encoded(
    stage: &SmokeStage<'_>,
    frames: &[&Vec<&[u8]>],
    frame_time: u16,
    shades: usize,
) -> Result<Vec<u8>, PictureError> {
    let [width, height] = stage.size();
    let side = |length: usize| u16::try_from(length).map_err(|_| PictureError::Animation);
    let (wide, high) = (side(width)?, side(height)?);
    let mut palette = Palette::new(shades);
    let mut bytes = Vec::new();
    let mut encoder = gif::Encoder::new(&mut bytes, wide, high, &palette.colours.concat())
        .map_err(|_| PictureError::Animation)?;
    encoder
        .set_repeat(gif::Repeat::Infinite)
        .map_err(|_| PictureError::Animation)?;
    let mut before: Option<Vec<u8>> = None;
    for smoke in frames {
        let page = stage.filled(smoke);
        let now: Vec<u8> = page
            .chunks_exact(3)
            .map(|pixel| palette.nearest([pixel[0], pixel[1], pixel[2]]))
            .collect();
        let frame = match &before {
            None => gif::Frame {
                width: wide,
                height: high,
                delay: frame_time,
                buffer: now.clone().into(),
                ..gif::Frame::default()
            },
            Some(before) => changed(before, &now, width, frame_time),
        };
        encoder
            .write_frame(&frame)
            .map_err(|_| PictureError::Animation)?;
        before = Some(now);
    }
    drop(encoder);
    if frames.is_empty() {
        return Err(PictureError::Animation);
    }
    Ok(bytes)
}

/// The part of a frame that differs from the one before it.
fn changed(before: &[u8], now: &[u8], width: usize, delay: u16) -> gif::Frame<'static> {
    let differs: Vec<usize> = (0..now.len()).filter(|&at| before[at] != now[at]).collect();
    let columns = differs.iter().map(|at| at % width);
    let (left, right) = columns.fold((usize::MAX, 0), |(low, high), column| {
        (low.min(column), high.max(column))
    });
    let (left, right) = (left.min(right), right);
    let top = differs.first().map_or(0, |at| at / width);
    let bottom = differs.last().map_or(0, |at| at / width);
    let mut buffer = Vec::with_capacity((bottom - top + 1) * (right - left + 1));
    for row in top..=bottom {
        for column in left..=right {
            let at = row * width + column;
            buffer.push(if before[at] == now[at] {
                UNCHANGED
            } else {
                now[at]
            });
        }
    }
    let short = |length: usize| u16::try_from(length).unwrap_or(u16::MAX);
    gif::Frame {
        left: short(left),
        top: short(top),
        width: short(right - left + 1),
        height: short(bottom - top + 1),
        delay,
        transparent: Some(UNCHANGED),
        dispose: gif::DisposalMethod::Keep,
        buffer: buffer.into(),
        ..gif::Frame::default()
    }
}

/// The colours of a file.
struct Palette {
    colours: Vec<Rgb>,
    known: HashMap<Rgb, u8>,
}

impl Palette {
    fn new(shades: usize) -> Self {
        let ramp = |from: Rgb, to: Rgb, count: usize| {
            (0..count).map(move |number| {
                let share = number as f32 / (count - 1).max(1) as f32;
                mixed(from, to, share)
            })
        };
        let mut colours: Vec<Rgb> = ramp(NIGHT, SMOKE, shades).collect();
        colours.extend(ramp(WOOD, NIGHT, WOOD_SHADES));
        colours.extend(ramp(WOOD, SMOKE, WOOD_SHADES).skip(1).take(WOOD_SHADES / 2));
        // The format wants a whole power of two, and the last colour stays free.
        colours.resize(256, NIGHT);
        Self {
            colours,
            known: HashMap::new(),
        }
    }

    /// Number of the nearest colour.
    fn nearest(&mut self, wanted: Rgb) -> u8 {
        let colours = &self.colours;
        *self.known.entry(wanted).or_insert_with(|| {
            let distance = |colour: &Rgb| -> i32 {
                let channels = colour.iter().zip(&wanted);
                channels
                    .map(|(a, b)| (i32::from(*a) - i32::from(*b)).pow(2))
                    .sum()
            };
            let nearest =
                (0..usize::from(UNCHANGED)).min_by_key(|&number| distance(&colours[number]));
            nearest
                .and_then(|number| u8::try_from(number).ok())
                .unwrap_or(0)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::smoke::{SmokePage, SmokePanel};

    /// A page whose smoke moves to the right, over a block of wood.
    fn page(frame_count: usize) -> (Vec<u8>, Vec<Vec<u8>>) {
        let solid = (0..60 * 40).map(|at| if at % 60 < 8 { 255 } else { 0 });
        let frames = (0..frame_count).map(|frame| {
            (0..60 * 40)
                .map(|at| u8::try_from((at % 60 + 60 - 3 * frame) % 60 * 4).unwrap())
                .collect()
        });
        (solid.collect(), frames.collect())
    }

    fn stage(solid: &[u8]) -> SmokeStage<'_> {
        let panels = [SmokePanel {
            name: "hexagons",
            solid,
        }];
        SmokeStage::new(SmokePage {
            title: "smoke",
            subtitle: "2 m/s",
            notes: &["a trend"],
            panels: &panels,
            pixels: [60, 40],
            corner_mm: [-5.0, -10.0],
            pixels_per_mm: 2.0,
        })
        .unwrap()
    }

    /// The pages that a player shows.
    fn played(bytes: &[u8], [width, height]: [usize; 2]) -> Vec<Vec<u8>> {
        let mut options = gif::DecodeOptions::new();
        options.set_color_output(gif::ColorOutput::RGBA);
        let mut decoder = options.read_info(bytes).unwrap();
        let mut page = vec![0; 3 * width * height];
        let mut pages = Vec::new();
        while let Some(frame) = decoder.read_next_frame().unwrap() {
            for (number, pixel) in frame.buffer.chunks_exact(4).enumerate() {
                let columns = usize::from(frame.width);
                let x = usize::from(frame.left) + number % columns;
                let y = usize::from(frame.top) + number / columns;
                if pixel[3] > 0 {
                    let start = 3 * (y * width + x);
                    page[start..start + 3].copy_from_slice(&pixel[..3]);
                }
            }
            pages.push(page.clone());
        }
        pages
    }

    #[test]
    fn what_is_played_is_what_was_drawn() {
        let (solid, frames) = page(5);
        let stage = stage(&solid);
        let frames: Vec<Vec<&[u8]>> = frames.iter().map(|frame| vec![frame.as_slice()]).collect();
        let made = animation(&stage, &frames, 7, usize::MAX).unwrap();
        assert_eq!(made.frame_count, 5);
        let pages = played(&made.bytes, stage.size());
        assert_eq!(pages.len(), 5);
        for (frame, page) in frames.iter().zip(&pages) {
            let drawn = stage.filled(frame);
            let pairs = drawn.iter().zip(page);
            let furthest = pairs.map(|(a, b)| a.abs_diff(*b)).max().unwrap();
            // Half a shade of 48, or of the twelve of wood where letters meet axes.
            assert!(furthest <= 12, "{furthest}");
        }
    }

    #[test]
    fn what_is_too_large_gets_fewer_shades_and_then_fewer_frames() {
        let (solid, frames) = page(6);
        let stage = stage(&solid);
        let frames: Vec<Vec<&[u8]>> = frames.iter().map(|frame| vec![frame.as_slice()]).collect();
        let best = animation(&stage, &frames, 7, usize::MAX).unwrap();
        let fewer_shades = animation(&stage, &frames, 7, best.bytes.len() - 1).unwrap();
        assert_eq!(fewer_shades.frame_count, 6);
        assert!(fewer_shades.bytes.len() < best.bytes.len());
        let smallest = animation(&stage, &frames, 7, 1).unwrap();
        assert_eq!(smallest.frame_count, 3);
        assert!(animation(&stage, &[], 7, 1).is_err());
    }
}
