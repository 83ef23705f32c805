//! Runs the air of a shot, lets smoke into it and takes the pictures.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "times become counts of steps, shares of solid become bytes"
)]

use crate::lattice::step::Threads;
use crate::run::film::clock::{Clock, Window};
use crate::run::film::shots::{Film, Scene, Shot};
use crate::run::film::solid::{Standing, cell_of_hole, middle_of_hole};
use crate::run::film::stage::Stage;
use crate::run::planned::Subject;
use crate::smoke::{Air, Cloud, Exposure, Lens, Particle, Shown, Thread};
use crate::study::Rake;

/// Furthest way of the fastest air between two readings of its velocity, cells.
const LONGEST_WAY: f64 = 2.5;

/// Pairs of steps at a time while there is no smoke.
const UNSEEN: u64 = 32;

/// Particles that a thread lets in from one frame to the next.
const PER_FRAME: f64 = 50.0;

/// Width of a thread over the distance to the next one.
const THREAD_WIDTH: f64 = 0.42;

/// Standard deviation of the light of a fresh particle, pixels.
const SHARPNESS: f64 = 1.0;

/// Age in which smoke thins to 1/e, and at which it is given up, in the time that air at the mean speed takes through the window.
const FADING: (f64, f64) = (1.6, 3.0);

/// Light of an undisturbed thread over that which turns out at 63 %.
const BRIGHTNESS: f64 = 0.9;

/// Thickness of the sheet of light, hydraulic diameters.
const SHEET: f64 = 0.3;

/// Points along each side of a pixel at which it is asked whether there is solid.
const POINTS: usize = 3;

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

/// A shot in front of the camera.
struct Set<'a> {
    stage: Stage,
    cells: [usize; 3],
    /// The origin of the window, cells.
    origin: [f64; 3],
    standing: Standing<'a>,
    shown: Shown,
    sheet: Option<[f64; 2]>,
}

/// Runs a shot of a film. `watch` is asked with the share that is done and says whether to go on; `keep` is shown every frame. `None` if it was stopped.
pub(super) fn shoot(
    film: &Film,
    shot: &Shot,
    threads: Threads,
    watch: &dyn Fn(f64) -> bool,
    keep: &mut dyn FnMut(&Moment<'_>),
) -> Option<Reel> {
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
    let full = set.full_light(&film.rakes, &lens, rate, shot) / BRIGHTNESS;
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
            frame,
            time: film.clock.frame * frame as f64,
            air: &camera.airs[0],
            particles: cloud.particles(),
            origin: set.origin,
            cell,
            step,
        });
    }
    Some(Reel {
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
    ) -> Option<()> {
        let target = (0.5 * time / self.step).round() as u64;
        stage.read(&mut self.airs[0]);
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
                stage.read(&mut self.airs[0]);
                smoke.drift([&self.airs[1], &self.airs[0]], 2.0 * pairs as f64);
            }
            let share = 2.0 * self.done as f64 * self.step / self.clock.whole();
            if !(self.watch)(share.min(1.0)) {
                return None;
            }
        }
        Some(())
    }
}

impl<'a> Set<'a> {
    fn build(shot: &'a Shot, window: &Window, threads: Threads) -> Self {
        let cell = shot.scale.cell;
        match &shot.scene {
            Scene::Still { tangent } => {
                let axial = shot.speed * shot.scale.step / cell;
                let whole = |length: f64| (length / cell).ceil() as usize;
                Self {
                    stage: Stage::Still([axial, axial * tangent, 0.0]),
                    cells: [
                        whole(window.length()) + 2,
                        whole(window.y[1] - window.y[0]),
                        1,
                    ],
                    origin: [-window.x[0] / cell, 0.0, 0.0],
                    standing: Standing::Nothing,
                    shown: Shown::Repeated([(whole(window.y[1] - window.y[0])) as f64, 1.0]),
                    sheet: None,
                }
            }
            Scene::Row { row, pitches } => {
                let (lattice, layout) = row.build_wide(*pitches, threads);
                let extent = lattice.extent();
                // The middle of the second slot, so that a leaning slot stays in the picture.
                Self {
                    cells: [extent.nx, extent.ny, 1],
                    origin: [layout.front, 0.5 * layout.slot - 0.5, 0.0],
                    standing: Standing::Row(row, layout.slot * cell),
                    shown: Shown::Repeated([extent.ny as f64, 1.0]),
                    sheet: None,
                    stage: Stage::Row(lattice),
                }
            }
            Scene::Run(run) => match &run.subject {
                Subject::Repeat(repeat) => {
                    let is_solid = |place: [f64; 3]| repeat.is_solid(place);
                    let (lattice, layout) = repeat.domain.build(&is_solid, threads);
                    let origin = cell_of_hole(repeat, &layout);
                    let extent = layout.cells;
                    Self {
                        cells: [extent.nx, extent.ny, extent.nz],
                        origin,
                        standing: Standing::Repeat(repeat, middle_of_hole(repeat)),
                        shown: Shown::Repeated([extent.ny as f64, extent.nz as f64]),
                        sheet: Some([origin[2], SHEET * layout.cells_across_hole]),
                        stage: Stage::Repeat(lattice),
                    }
                }
                Subject::Face(face) => {
                    let (flow, layout) = face.with_domain(|domain| domain.build(threads));
                    Self {
                        cells: [layout.cells.nx, layout.cells.ny, 1],
                        origin: [layout.front as f64 - 0.5, -0.5, 0.0],
                        standing: Standing::Face(face, layout, cell),
                        shown: Shown::Mirrored,
                        sheet: None,
                        stage: Stage::Face(flow),
                    }
                }
                Subject::Flat(_) => unreachable!("a flat view is filmed as a row"),
            },
        }
    }

    /// What of the smoke is shown: where the air repeats itself and the study has no rake of its own, the smoke does so too.
    fn shown(&self, film: &Film) -> Shown {
        match self.shown {
            Shown::Repeated(_) if film.has_own_rakes => Shown::Alone,
            shown => shown,
        }
    }

    /// Mouths of the threads of all rakes. Where the smoke repeats itself they stand in one repeat, about as far apart as the rake has them.
    fn threads(&self, film: &Film, cell: f64) -> Vec<Thread> {
        let depth = self.sheet.map_or(0.0, |[_, thickness]| 0.7 * thickness);
        let mut threads = Vec::new();
        for rake in &film.rakes {
            let (from, mut count) = (rake.from / cell, rake.thread_count);
            let mut spacing = rake.spacing() / cell;
            if let Shown::Repeated([period, _]) = self.shown(film) {
                count = (period / spacing).round().max(1.0) as u32;
                spacing = period / f64::from(count);
            }
            for number in 0..count {
                let y = from + (f64::from(number) + 0.5) * spacing;
                let [x, origin_y, z] = self.origin;
                threads.push(Thread {
                    place: [x + rake.x / cell, origin_y + y, z],
                    radius: [0.5 * THREAD_WIDTH * spacing, depth],
                });
            }
        }
        threads
    }

    /// Light in the middle of a thread that nothing disturbs.
    fn full_light(&self, rakes: &[Rake], lens: &Lens, rate: f64, shot: &Shot) -> f64 {
        let spacings = rakes.iter().map(Rake::spacing);
        let spacing = spacings.fold(f64::INFINITY, f64::min) / shot.scale.cell;
        let width = 0.25 * THREAD_WIDTH * spacing * lens.pixels_per_cell;
        let spread = width.hypot(lens.sharpness);
        let speed = shot.speed * shot.scale.step / shot.scale.cell * lens.pixels_per_cell;
        rate / speed / ((2.0 * std::f64::consts::PI).sqrt() * spread)
    }

    /// How solid each pixel is.
    fn solid(&self, window: &Window) -> Vec<u8> {
        let [width, height] = window.pixels();
        let per_metre = window.pixels_per_metre();
        let points = (0..POINTS * POINTS).map(|number| {
            let part = |number: usize| (number as f64 + 0.5) / POINTS as f64;
            [part(number % POINTS), part(number / POINTS)]
        });
        let points: Vec<[f64; 2]> = points.collect();
        let mut solid = Vec::with_capacity(width * height);
        for row in 0..height {
            for column in 0..width {
                let sum: f64 = points
                    .iter()
                    .map(|[right, down]| {
                        let x = window.x[0] + (column as f64 + right) / per_metre;
                        let y = window.y[1] - (row as f64 + down) / per_metre;
                        self.standing.at([x, y])
                    })
                    .sum();
                solid.push((255.0 * sum / points.len() as f64).round() as u8);
            }
        }
        solid
    }
}
