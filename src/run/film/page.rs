//! The page of a film: its panels beside each other, with what they show in words.

use crate::picture::{Animation, PictureError, SmokePage, SmokePanel, SmokeStage, animation};
use crate::run::film::caveat;
use crate::run::film::clock::FRAME_TIME;
use crate::run::film::shots::Film;
use crate::smoke::long_exposure;
use crate::study::FilmView;

/// What every page says of itself.
const NO_NUMBER: &str = "A picture of the trend, not a measurement: the ranking is in the report. Moving blades: keep fingers, hair and cables away, and read the cautions there.";

/// A film on its page.
pub struct FilmPage<'a> {
    stage: SmokeStage<'a>,
    /// Smoke of each panel at each instant.
    frames: Vec<Vec<&'a [u8]>>,
    /// Long exposure of each panel.
    stills: Vec<Vec<u8>>,
}

impl<'a> FilmPage<'a> {
    /// Lays out the page of a film of a study. `reels` holds, for each panel, how solid it is and then its frames.
    ///
    /// # Errors
    /// [`PictureError`].
    pub fn new(
        film: &'a Film,
        study: &str,
        reels: &'a [Vec<Vec<u8>>],
    ) -> Result<Self, PictureError> {
        let names: Vec<String> = film
            .shots
            .iter()
            .map(|shot| format!("{}, {:.2} m/s", shot.name, shot.speed))
            .collect();
        let panels: Vec<SmokePanel<'_, 'a>> = names
            .iter()
            .zip(reels)
            .filter_map(|(name, reel)| {
                let solid = reel.first()?.as_slice();
                Some(SmokePanel { name, solid })
            })
            .collect();
        let subtitle = format!(
            "all on one scale and one clock; a second of film is {} of the air; speeds are those {}",
            milliseconds(film.clock.slow_motion()),
            match film.view {
                FilmView::Fan => "in the bore",
                FilmView::Slice | FilmView::Repeat => "ahead of the grille",
            }
        );
        let stage = SmokeStage::new(SmokePage {
            title: &format!("{study}: smoke in the {}", film.view.in_words()),
            subtitle: &subtitle,
            notes: &[caveat(film.view), NO_NUMBER],
            panels: &panels,
            pixels: film.window.pixels(),
            corner_mm: [1e3 * film.window.x[0], 1e3 * film.window.y[0]],
            pixels_per_mm: 1e-3 * film.window.pixels_per_metre(),
        })?;
        let frame = |number: usize| {
            reels
                .iter()
                .filter_map(move |reel| Some(reel.get(number)?.as_slice()))
        };
        Ok(Self {
            stage,
            frames: (1..=film.clock.frame_count)
                .map(|number| frame(number).collect())
                .collect(),
            stills: reels
                .iter()
                .map(|reel| long_exposure(reel.get(1..).unwrap_or_default()))
                .collect(),
        })
    }

    /// Number of frames.
    pub fn frame_count(&self) -> usize {
        self.frames.len()
    }

    /// Writes a frame as a PNG.
    ///
    /// # Errors
    /// [`PictureError::Write`].
    pub fn write_frame(&self, number: usize, out: impl std::io::Write) -> Result<(), PictureError> {
        let smoke = self.frames.get(number).map_or(&[][..], Vec::as_slice);
        self.stage.write_png(smoke, out)
    }

    /// Writes the long exposure as a PNG.
    ///
    /// # Errors
    /// [`PictureError::Write`].
    pub fn write_still(&self, out: impl std::io::Write) -> Result<(), PictureError> {
        let smoke: Vec<&[u8]> = self.stills.iter().map(Vec::as_slice).collect();
        self.stage.write_png(&smoke, out)
    }

    /// The film as one animated file of at most so many bytes, as far as that can be brought about.
    ///
    /// # Errors
    /// [`PictureError::Animation`].
    pub fn animation(&self, most_bytes: usize) -> Result<Animation, PictureError> {
        animation(&self.stage, &self.frames, FRAME_TIME, most_bytes)
    }
}

/// A time in ms, with two digits.
fn milliseconds(seconds: f64) -> String {
    let time = 1e3 * seconds;
    if time < 10.0 {
        format!("{time:.1} ms")
    } else {
        format!("{time:.0} ms")
    }
}
