//! A shot in front of the camera: the air, what stands in it, and where smoke enters.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths become counts of cells, shares of solid become bytes"
)]

use crate::lattice::step::Threads;
use crate::run::film::clock::Window;
use crate::run::film::shots::{Film, Scene, Shot};
use crate::run::film::solid::{Standing, cell_of_hole, middle_of_hole};
use crate::run::film::stage::Stage;
use crate::run::views::Subject;
use crate::smoke::{Lens, Shown, Thread};
use crate::study::Rake;

/// Width of a thread over the distance to the next one.
const THREAD_WIDTH: f64 = 0.42;

/// Thickness of the sheet of light, hydraulic diameters.
const SHEET: f64 = 0.3;

/// Points along each side of a pixel at which it is asked whether there is solid.
const POINTS: usize = 3;

/// A shot in front of the camera.
pub(super) struct Set<'a> {
    pub(super) stage: Stage,
    pub(super) cells: [usize; 3],
    /// The origin of the window, cells.
    pub(super) origin: [f64; 3],
    pub(super) standing: Standing<'a>,
    pub(super) shown: Shown,
    pub(super) sheet: Option<[f64; 2]>,
}

/// Light in the middle of a thread that nothing disturbs.
pub(super) fn full_light(film: &Film, lens: &Lens, rate: f64, shot: &Shot) -> f64 {
    let spacings = film.rakes.iter().map(Rake::spacing);
    let spacing = spacings.fold(f64::INFINITY, f64::min) / shot.scale.cell;
    let width = 0.25 * THREAD_WIDTH * spacing * lens.pixels_per_cell;
    let spread = width.hypot(lens.sharpness);
    let speed = shot.speed * shot.scale.step / shot.scale.cell * lens.pixels_per_cell;
    rate / speed / ((2.0 * std::f64::consts::PI).sqrt() * spread)
}

impl<'a> Set<'a> {
    pub(super) fn build(shot: &'a Shot, window: &Window, threads: Threads) -> Self {
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
    pub(super) fn shown(&self, film: &Film) -> Shown {
        match self.shown {
            Shown::Repeated(_) if film.has_own_rakes => Shown::Alone,
            shown => shown,
        }
    }

    /// Mouths of the threads of all rakes. Where the smoke repeats itself they stand in one repeat, about as far apart as the rake has them.
    pub(super) fn threads(&self, film: &Film, cell: f64) -> Vec<Thread> {
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

    /// How solid each pixel is.
    pub(super) fn solid(&self, window: &Window) -> Vec<u8> {
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
