//! Which air runs in front of the camera: for each view the bare fan and the grilles, in one window and on one clock.

use serde_json::{Value, json};

use crate::run::fan_view::plan::FacePlan;
use crate::run::film::clock::{Clock, Window};
use crate::run::film::fan_shots::fan_film;
use crate::run::film::hole_shots::hole_film;
use crate::run::planned::{Run, SOLVER_VERSION};
use crate::run::planning::plan::{GrillePlan, Plan};
use crate::store::run_key;
use crate::study::{FilmView, Rake, Smoke, Study, USUAL_THREADS};
use crate::tunnel::LeanedRow;
use crate::units::Scale;

/// Version of everything that changes a film without showing in its inputs.
const FILM_VERSION: u32 = 2;

/// Grilles that are filmed where nobody says which: as many as fit on a page with the bare fan.
pub const MOST_GRILLES: usize = 5;

/// Memory of a cell of a row, bytes: populations and twice its velocity.
const BYTES_PER_CELL: u64 = 128;

/// Memory of smoke and pictures, bytes.
const SMOKE_BYTES: u64 = 30_000_000;

/// The air of one panel.
#[derive(Debug, Clone)]
pub struct Shot {
    /// Place of the grille in the study; `None` where there is none.
    pub grille: Option<usize>,
    /// Its name, or that there is none.
    pub name: String,
    /// Mean speed ahead of the grille, m/s.
    pub speed: f64,
    /// Folder of its files.
    pub key: String,
    /// Everything that determines it.
    pub inputs: Value,
    pub(super) scene: Scene,
    pub(super) scale: Scale,
}

/// What runs in it.
#[derive(Debug, Clone)]
pub(super) enum Scene {
    /// An undisturbed stream that comes in at this tangent.
    Still { tangent: f64 },
    /// A row of slots of this many pitches.
    Row { row: LeanedRow, pitches: usize },
    /// A repeat or a fan face.
    Run(Box<Run>),
}

impl Film {
    /// Whether a rake lies beyond the ends of the window.
    pub fn has_lost_rake(&self) -> bool {
        let [from, to] = self.window.x;
        let mut rakes = self.rakes.iter();
        rakes.any(|rake| !(from..to).contains(&rake.x))
    }
}

impl Shot {
    /// Memory that it takes, about, bytes: populations, and the velocity of each cell twice.
    pub fn memory_bytes(&self) -> u64 {
        let bytes = match &self.scene {
            Scene::Still { .. } => 0,
            Scene::Row { row, pitches } => (row.cell_count() * pitches) as u64 * BYTES_PER_CELL,
            Scene::Run(run) => run.peak_bytes(),
        };
        bytes + SMOKE_BYTES
    }

    /// The same air in twice as many steps.
    #[must_use]
    pub(super) fn at_half_speed(&self) -> Self {
        let mut slower = self.clone();
        match &mut slower.scene {
            Scene::Still { .. } => return slower,
            Scene::Row { row, .. } => row.face_velocity.0 *= 0.5,
            Scene::Run(run) => **run = run.at_half_speed(),
        }
        slower.scale.step *= 0.5;
        slower
    }

    /// Cell updates that it takes with the clock of its film.
    pub fn updates(&self, film: &Film) -> f64 {
        let cells = match &self.scene {
            Scene::Still { .. } => 0,
            Scene::Row { row, pitches } => row.cell_count() * pitches,
            Scene::Run(run) => run.cell_count(),
        };
        cells as f64 * film.clock.whole() / self.scale.step
    }
}

/// A film: panels side by side.
#[derive(Debug, Clone)]
pub struct Film {
    /// What is filmed.
    pub view: FilmView,
    /// What the camera sees.
    pub window: Window,
    /// How its time goes by.
    pub clock: Clock,
    /// Where smoke enters.
    pub(super) rakes: Vec<Rake>,
    /// Whether the study says so.
    pub(super) has_own_rakes: bool,
    /// The panels.
    pub shots: Vec<Shot>,
}

/// The films of some grilles of a study, given by their places in it; a view that shows none of them is left out.
pub fn films(
    study: &Study,
    plan: &Plan,
    faces: &FacePlan,
    smoke: &Smoke,
    places: &[usize],
) -> Vec<Film> {
    let planned = |place: &usize| plan.grilles.iter().find(|grille| grille.index == *place);
    let grilles: Vec<&GrillePlan> = places.iter().filter_map(planned).collect();
    let views = smoke.views.iter();
    let films = views.filter_map(|view| match view {
        FilmView::Fan => fan_film(study, faces, smoke, places),
        FilmView::Slice | FilmView::Repeat => hole_film(study, &grilles, smoke, *view),
    });
    films.collect()
}

/// The rakes of the study for this view, or one at `x` between the ends.
pub(super) fn rakes(smoke: &Smoke, view: FilmView, x: f64, [from, to]: [f64; 2]) -> Vec<Rake> {
    let own = smoke.rakes.iter().filter(|rake| rake.view == view);
    let own: Vec<Rake> = own.copied().collect();
    if !own.is_empty() {
        return own;
    }
    vec![Rake {
        view,
        x,
        from,
        to,
        thread_count: USUAL_THREADS,
    }]
}

/// Gives the shots of a film their keys: what runs and whose it is, what is seen and when, and where smoke enters.
///
/// The name counts because the moments that are kept say it, and because two shots of one key would write the same files at the same time.
pub(super) fn keyed(
    shots: impl Iterator<Item = Shot>,
    view: FilmView,
    window: &Window,
    clock: &Clock,
    rakes: &[Rake],
) -> Vec<Shot> {
    let seen = [window.x, window.y].map(|ends| ends.map(|end| 1e3 * end));
    let rakes: Vec<Value> = rakes
        .iter()
        .map(|rake| {
            json!({ "x_mm": 1e3 * rake.x, "from_mm": 1e3 * rake.from, "to_mm": 1e3 * rake.to, "threads": rake.thread_count })
        })
        .collect();
    shots
        .map(|mut shot| {
            shot.inputs = json!({
                "film_version": FILM_VERSION,
                "solver_version": SOLVER_VERSION,
                "view": view.in_words(),
                "grille": shot.name,
                "window_mm": seen,
                "frame_s": clock.frame,
                "frame_count": clock.frame_count,
                "rakes": rakes,
                "air": shot.inputs,
            });
            let readable = format!("{} film {}", shot.name, view.in_words());
            shot.key = run_key(&readable, shot.inputs.to_string().as_bytes());
            shot
        })
        .collect()
}
