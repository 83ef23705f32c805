//! Which air runs in front of the camera: for each view the bare fan and the grilles, in one window and on one clock.

use serde_json::{Value, json};

use crate::grille::{FlowKind, Grille, Turn};
use crate::run::face_plan::FacePlan;
use crate::run::film::clock::{Clock, Window};
use crate::run::plan::{GrillePlan, Plan, ZonePlan};
use crate::run::planned::{Run, SOLVER_VERSION, Subject};
use crate::run::repeat_plan::{RepeatZone, filmed_repeat, mean_radius};
use crate::store::run_key;
use crate::study::{FilmView, Quality, Rake, Smoke, Study};
use crate::tunnel::LeanedRow;
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// Version of everything that changes a film without showing in its inputs.
const FILM_VERSION: u32 = 1;

/// The window of a row or a repeat, in the largest pitch of all grilles: ahead of the face, behind it, to either side.
const HOLES: (f64, f64, f64) = (1.3, 5.2, 2.0);

/// The window of the fan face, in bore radii: ahead of the blades, behind the face of the grille, to either side.
const FACE: (f64, f64, f64) = (0.12, 4.4, 1.7);

/// Room between the end of the window and that of the air, in pitches.
const SPARE: f64 = 0.7;

/// Velocity in a slot, cells per step.
const SLOT_VELOCITY: f64 = 0.1;

/// Fewest cells across the radius of the bore.
const FACE_CELLS: usize = 40;

/// Threads of smoke where the study says nothing.
const THREADS: u32 = 13;

/// Grilles that are filmed where nobody says which: as many as fit on a page with the bare fan.
pub const MOST_GRILLES: usize = 5;

/// Cells across a hole and across a slot.
fn cells(quality: Quality) -> (f64, f64) {
    match quality {
        Quality::Quick => (14.0, 20.0),
        Quality::Standard => (20.0, 28.0),
        Quality::Overnight => (28.0, 40.0),
    }
}

/// The air of one panel.
#[derive(Debug, Clone)]
pub struct Shot {
    /// Name of the grille, or that there is none.
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

impl Shot {
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

/// The films of some grilles of a study, given by their names; a view that shows none of them is left out.
pub fn films(
    study: &Study,
    plan: &Plan,
    faces: &FacePlan,
    smoke: &Smoke,
    names: &[String],
) -> Vec<Film> {
    let planned = |name: &String| {
        let mut grilles = plan.grilles.iter();
        grilles.find(|grille| study.grilles[grille.index].name == *name)
    };
    let grilles: Vec<&GrillePlan> = names.iter().filter_map(planned).collect();
    let views = smoke.views.iter();
    let films = views.filter_map(|view| match view {
        FilmView::Fan => fan_film(study, faces, smoke, names),
        FilmView::Slice | FilmView::Repeat => hole_film(study, &grilles, smoke, *view),
    });
    films.collect()
}

/// A zone that stands for its grille: the one with the most open area.
struct Filmed<'a> {
    grille: &'a Grille,
    number: usize,
    plan: &'a GrillePlan,
    zone: &'a ZonePlan,
    /// Distance from hole to hole, m.
    pitch: f64,
    speed: f64,
}

impl<'a> Filmed<'a> {
    fn of(study: &'a Study, plan: &'a GrillePlan, view: FilmView) -> Option<Self> {
        let zones = plan.zones.iter().enumerate();
        let (number, zone) =
            zones.max_by(|(_, a), (_, b)| a.flow.open_area.total_cmp(&b.flow.open_area))?;
        let pitch = match view {
            FilmView::Repeat => zone.flow.hydraulic_diameter / zone.flow.free_area_ratio.sqrt(),
            FilmView::Fan | FilmView::Slice => slot_width(zone) / zone.flow.free_area_ratio,
        };
        Some(Self {
            grille: &study.grilles[plan.index],
            number,
            plan,
            zone,
            pitch,
            speed: zone.points.get(zone.points.len() / 2)?.face_velocity,
        })
    }
}

/// Width of the slot that stands for a hole: of equal hydraulic diameter.
fn slot_width(zone: &ZonePlan) -> f64 {
    match zone.flow.kind {
        FlowKind::Hole => 0.5 * zone.flow.hydraulic_diameter,
        FlowKind::Slot { width, .. } => width,
    }
}

/// A film of a row of slots or of repeats.
fn hole_film(
    study: &Study,
    grilles: &[&GrillePlan],
    smoke: &Smoke,
    view: FilmView,
) -> Option<Film> {
    let filmed: Vec<Filmed<'_>> = grilles
        .iter()
        .filter_map(|plan| Filmed::of(study, plan, view))
        .collect();
    let pitch = filmed.iter().map(|filmed| filmed.pitch).fold(0.0, f64::max);
    let thickness = filmed.iter().map(|filmed| filmed.grille.thickness);
    let thickness = thickness.fold(0.0, f64::max);
    let (ahead, behind, beside) = HOLES;
    let window = Window {
        x: [-ahead * pitch, thickness + behind * pitch],
        y: [-beside * pitch, beside * pitch],
    };
    let shots: Vec<Shot> = filmed
        .iter()
        .filter_map(|filmed| match view {
            FilmView::Repeat => repeat_shot(study, filmed, &window),
            FilmView::Fan | FilmView::Slice => Some(row_shot(study, filmed, &window)),
        })
        .collect();
    let speed = shots.iter().map(|shot| shot.speed).fold(0.0, f64::max);
    let first = filmed.first().filter(|_| !shots.is_empty())?;
    let clock = Clock::new(&window, speed, smoke.seconds);
    let rakes = rakes(smoke, view, -0.92 * ahead * pitch, window.y);
    let still = still_shot(study, first.zone.expected_inflow, speed, &window);
    let all = std::iter::once(still).chain(shots);
    Some(Film {
        view,
        shots: keyed(all, view, &window, &clock, &rakes),
        window,
        clock,
        has_own_rakes: smoke.rakes.iter().any(|rake| rake.view == view),
        rakes,
    })
}

/// What no grille does to the stream: nothing. The speed is that of the fastest panel.
fn still_shot(study: &Study, tangent: f64, speed: f64, window: &Window) -> Shot {
    // A cell a fortieth of the window, a twentieth of it in a step.
    let cells = 40.0;
    let scale = Scale::new(
        Metres(window.length()),
        cells,
        MetresPerSecond(speed),
        LatticeVelocity(0.05),
        study.air.density,
    );
    Shot {
        name: "no grille".to_owned(),
        speed,
        key: String::new(),
        inputs: json!({ "still": true, "tangent": tangent, "speed_m_per_s": speed }),
        scene: Scene::Still { tangent },
        scale,
    }
}

fn row_shot(study: &Study, filmed: &Filmed<'_>, window: &Window) -> Shot {
    let flow = &filmed.zone.flow;
    let slot = slot_width(filmed.zone);
    let lean_tangent = match flow.turn {
        Turn::Straight | Turn::Twist { .. } => 0.0,
        Turn::Lean { angle } => angle.tan(),
        Turn::PatternTwist { angle } => mean_radius(flow) * angle / flow.thickness,
    };
    let cells = cells(study.run.quality).1;
    let row = LeanedRow {
        free_area_ratio: flow.free_area_ratio,
        thickness: flow.thickness / slot,
        lean_tangent,
        inflow_tangent: filmed.zone.expected_inflow,
        reynolds_number: filmed.speed / flow.free_area_ratio * slot / study.air.kinematic_viscosity,
        cells_across_slot: cells,
        face_velocity: LatticeVelocity(SLOT_VELOCITY * flow.free_area_ratio),
        pitches_ahead: SPARE - window.x[0] / filmed.pitch,
        pitches_behind: SPARE + (window.x[1] - flow.thickness) / filmed.pitch,
    };
    let scale = Scale::new(
        Metres(slot),
        cells,
        MetresPerSecond(filmed.speed),
        row.face_velocity,
        study.air.density,
    );
    let inputs = json!({
        "free_area_ratio": row.free_area_ratio,
        "slot_mm": 1e3 * slot,
        "thickness_over_slot": row.thickness,
        "lean_tangent": row.lean_tangent,
        "inflow_tangent": row.inflow_tangent,
        "reynolds_number": row.reynolds_number,
        "cells_across_slot": cells,
        "lattice_velocity": row.face_velocity.0,
    });
    Shot {
        name: filmed.grille.name.clone(),
        speed: filmed.speed,
        key: String::new(),
        inputs,
        scene: Scene::Row { row, pitches: 4 },
        scale,
    }
}

fn repeat_shot(study: &Study, filmed: &Filmed<'_>, window: &Window) -> Option<Shot> {
    let zone = RepeatZone {
        zone: &filmed.grille.zones[filmed.number],
        flow: &filmed.zone.flow,
        numbers: &filmed.plan.geometry.zones[filmed.number],
        view: &filmed.zone.view,
        face_velocity: filmed.speed,
        inflow: filmed.zone.expected_inflow,
    };
    let cells = cells(study.run.quality).0;
    let room = (
        SPARE - window.x[0] / filmed.pitch,
        SPARE + (window.x[1] - filmed.zone.flow.thickness) / filmed.pitch,
    );
    let run = filmed_repeat(study, filmed.grille, &zone, cells, room)?;
    Some(Shot {
        name: filmed.grille.name.clone(),
        speed: filmed.speed,
        key: String::new(),
        inputs: run.inputs.clone(),
        scale: run.scale,
        scene: Scene::Run(Box::new(run)),
    })
}

/// The film of the fan faces that the ranking found.
fn fan_film(study: &Study, faces: &FacePlan, smoke: &Smoke, names: &[String]) -> Option<Film> {
    let face = |wanted: Option<&str>| {
        let (_, run) = faces.to_film().find(|(name, _)| *name == wanted)?;
        face_shot(study, wanted.unwrap_or("bare fan"), run)
    };
    let wanted = std::iter::once(None).chain(names.iter().map(|name| Some(name.as_str())));
    let shots: Vec<Shot> = wanted.filter_map(face).collect();
    let speed = shots.iter().map(|shot| shot.speed).fold(0.0, f64::max);
    let Subject::Face(face) = faces.to_film().next()?.1.subject.clone() else {
        return None;
    };
    let (bore, gap) = (face.bore_radius(), face.view.gap);
    let (ahead, behind, beside) = FACE;
    let window = Window {
        x: [-gap - ahead * bore, behind * bore],
        y: [-beside * bore, beside * bore],
    };
    let clock = Clock::new(&window, speed, smoke.seconds);
    let hub = face.exit.hub_radius();
    let rakes = rakes(smoke, FilmView::Fan, -0.94 * gap, [hub, bore]);
    Some(Film {
        view: FilmView::Fan,
        shots: keyed(shots.into_iter(), FilmView::Fan, &window, &clock, &rakes),
        window,
        clock,
        has_own_rakes: smoke.rakes.iter().any(|rake| rake.view == FilmView::Fan),
        rakes,
    })
}

/// The fan face of a run, on a grid of whole times as many cells.
fn face_shot(study: &Study, name: &str, run: &Run) -> Option<Shot> {
    let mut run = run.clone();
    let Subject::Face(face) = &mut run.subject else {
        return None;
    };
    face.depth.cells *= FACE_CELLS.div_ceil(face.depth.cells);
    let scale = Scale::new(
        Metres(face.bore_radius()),
        face.depth.cells as f64,
        MetresPerSecond(run.face_velocity),
        LatticeVelocity(face.lattice_velocity),
        study.air.density,
    );
    let inputs = face.inputs(study, run.face_velocity, run.thickness);
    Some(Shot {
        name: name.to_owned(),
        speed: run.face_velocity,
        key: String::new(),
        inputs,
        scale,
        scene: Scene::Run(Box::new(run)),
    })
}

/// The rakes of the study for this view, or one at `x` between the ends.
fn rakes(smoke: &Smoke, view: FilmView, x: f64, [from, to]: [f64; 2]) -> Vec<Rake> {
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
        thread_count: THREADS,
    }]
}

/// Gives the shots of a film their keys: what runs, what is seen and when, and where smoke enters.
fn keyed(
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
