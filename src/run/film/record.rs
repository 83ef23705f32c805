//! Runs the air of a shot, lets smoke into it and takes the pictures.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "times become counts of steps, shares of solid become bytes"
)]

use crate::lattice::step::Threads;
use crate::run::film::clock::Clock;
use crate::run::film::set::{Set, full_light};
use crate::run::film::shots::{Film, Shot};
use crate::run::film::stage::Stage;
use crate::smoke::{Air, Cloud, Exposure, Lens, Particle};

/// Furthest way of the fastest air between two readings of its velocity, cells.
const LONGEST_WAY: f64 = 2.5;

/// Pairs of steps at a time while there is no smoke.
const UNSEEN: u64 = 32;

/// Particles that a thread lets in from one frame to the next.
const PER_FRAME: f64 = 50.0;

/// Standard deviation of the light of a fresh particle, pixels.
const SHARPNESS: f64 = 1.0;

/// Age in which smoke thins to 1/e, and at which it is given up, in the time that air at the mean speed takes through the window.
const FADING: (f64, f64) = (1.6, 3.0);

/// Light of an undisturbed thread over that which turns out at 63 %.
const BRIGHTNESS: f64 = 0.9;

/// By how much brighter the sheet of light is: most smoke behind a grille is somewhere else.
const SHEET_BRIGHTNESS: f64 = 1.5;

/// Velocity that no air on a lattice has, cells per step.
const RUNAWAY: f32 = 0.8;

/// Why there is no reel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unfinished {
    /// The user stopped it.
    Stopped,
    /// The flow blew up: fast jets on coarse cells can.
    RanAway,
}

/// The pictures of a shot, a byte per pixel, row by row from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reel {
    /// Columns and rows.
    pub pixels: [usize; 2],
    /// How solid each pixel is.
    pub solid: Vec<u8>,
    /// The smoke of each frame.
    pub frames: Vec<Vec<u8>>,
}

/// An instant of a shot, for files that an external viewer reads.
pub struct Moment<'a> {
    /// Name of the grille, or that there is none.
    pub grille: &'a str,
    /// Name of the view.
    pub view: &'a str,
    /// Number of the frame, from 0.
    pub frame: usize,
    /// Time of the air since the first frame, s.
    pub time: f64,
    /// How the air moves, cells per step.
    pub air: &'a Air,
    /// The smoke.
    pub particles: &'a [Particle],
    /// Place of the origin of the window, cells.
    pub origin: [f64; 3],
    /// Length of a cell, m.
    pub cell: f64,
    /// Duration of a step, s.
    pub step: f64,
}

/// Runs a shot of a film. `watch` is asked with the share that is done and says whether to go on; `keep` is shown every frame.
///
/// # Errors
/// [`Unfinished`]: it was stopped, or the air ran away.
pub(super) fn shoot(
    film: &Film,
    shot: &Shot,
    threads: Threads,
    watch: &dyn Fn(f64) -> bool,
    keep: &mut dyn FnMut(&Moment<'_>),
) -> Result<Reel, Unfinished> {
    let mut set = Set::build(shot, &film.window, threads);
    let (cell, step) = (shot.scale.cell, shot.scale.step);
    let crossing = film.clock.crossing();
    let lens = Lens {
        corner: [
            set.origin[0] + film.window.x[0] / cell,
            set.origin[1] + film.window.y[0] / cell,
        ],
        pixels_per_cell: film.window.pixels_per_metre() * cell,
        pixels: film.window.pixels(),
        shown: set.shown(film),
        sharpness: SHARPNESS,
        fading: FADING.0 * crossing / step,
        sheet: set.sheet,
    };
    let threads_of_smoke = set.threads(film, cell);
    let rate = PER_FRAME * step / film.clock.frame;
    let mut cloud = Cloud::new(threads_of_smoke, rate, FADING.1 * crossing / step);
    let full = full_light(film, &lens, rate, shot) / BRIGHTNESS;
    let full = set.sheet.map_or(full, |_| full / SHEET_BRIGHTNESS);
    let mut camera = Camera {
        step,
        clock: &film.clock,
        airs: [set.stage.block(set.cells), set.stage.block(set.cells)],
        done: 0,
        watch,
    };
    camera.run_to(&mut set.stage, None, film.clock.settling)?;
    camera.run_to(
        &mut set.stage,
        Some(&mut cloud),
        film.clock.settling + film.clock.filling,
    )?;
    let mut frames = Vec::new();
    for frame in 0..film.clock.frame_count {
        let time = film.clock.settling + film.clock.filling + film.clock.frame * frame as f64;
        camera.run_to(&mut set.stage, Some(&mut cloud), time)?;
        let mut picture = Exposure::dark(lens.pixels);
        picture.take(&cloud, &lens);
        frames.push(picture.develop(full));
        keep(&Moment {
            grille: &shot.name,
            view: film.view.in_words(),
            frame,
            time: film.clock.frame * frame as f64,
            air: &camera.airs[0],
            particles: cloud.particles(),
            origin: set.origin,
            cell,
            step,
        });
    }
    Ok(Reel {
        pixels: lens.pixels,
        solid: set.solid(&film.window),
        frames,
    })
}

/// Keeps the time of a shot.
struct Camera<'a> {
    /// Duration of a step, s.
    step: f64,
    clock: &'a Clock,
    /// How the air moves now, and room for how it moved before.
    airs: [Air; 2],
    /// Pairs of steps done.
    done: u64,
    watch: &'a dyn Fn(f64) -> bool,
}

impl Camera<'_> {
    /// Lets the air run until a time, with smoke in it if there is any.
    fn run_to(
        &mut self,
        stage: &mut Stage,
        mut smoke: Option<&mut Cloud>,
        time: f64,
    ) -> Result<(), Unfinished> {
        let target = (0.5 * time / self.step).round() as u64;
        self.read(stage)?;
        while self.done < target {
            let pairs = match smoke {
                Some(_) => (0.5 * LONGEST_WAY / self.airs[0].top_speed().max(0.02)) as u64,
                None => UNSEEN,
            };
            let pairs = pairs.max(1).min(target - self.done);
            stage.advance(pairs as usize);
            self.done += pairs;
            if let Some(smoke) = &mut smoke {
                self.airs.swap(0, 1);
                self.read(stage)?;
                smoke.drift([&self.airs[1], &self.airs[0]], 2.0 * pairs as f64);
            }
            let share = 2.0 * self.done as f64 * self.step / self.clock.whole();
            if !(self.watch)(share.min(1.0)) {
                return Err(Unfinished::Stopped);
            }
        }
        Ok(())
    }

    /// Reads how the air moves now.
    fn read(&mut self, stage: &Stage) -> Result<(), Unfinished> {
        stage.read(&mut self.airs[0]);
        if self.airs[0].is_slower_than(RUNAWAY) {
            Ok(())
        } else {
            Err(Unfinished::RanAway)
        }
    }
}
