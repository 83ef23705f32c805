//! Films of holes: a row of slots in the plane, or repeats in three dimensions, beside the undisturbed stream.

use serde_json::json;

use crate::grille::{FlowKind, Grille, Turn};
use crate::run::film::clock::{Clock, Window};
use crate::run::film::shots::{Film, Scene, Shot, keyed, rakes};
use crate::run::planning::plan::{GrillePlan, ZonePlan};
use crate::run::planning::repeat_plan::{RepeatZone, filmed_repeat};
use crate::study::{FilmView, Quality, Smoke, Study};
use crate::tunnel::LeanedRow;
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// The window of a row or a repeat, in the largest pitch of all grilles: ahead of the face, behind it, to either side.
const HOLES: (f64, f64, f64) = (1.3, 5.2, 2.0);

/// Room between the end of the window and that of the air, in pitches.
const SPARE: f64 = 0.7;

/// Velocity in a slot, cells per step.
const SLOT_VELOCITY: f64 = 0.1;

/// Cells across a hole and across a slot.
fn cells(quality: Quality) -> (f64, f64) {
    match quality {
        Quality::Quick => (14.0, 20.0),
        Quality::Standard => (20.0, 28.0),
        Quality::Overnight => (28.0, 40.0),
    }
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
pub(super) fn hole_film(
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
        grille: None,
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
        Turn::PatternTwist { angle } => flow.mean_radius() * angle / flow.thickness,
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
        grille: Some(filmed.plan.index),
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
        grille: Some(filmed.plan.index),
        name: filmed.grille.name.clone(),
        speed: filmed.speed,
        key: String::new(),
        inputs: run.inputs.clone(),
        scale: run.scale,
        scene: Scene::Run(Box::new(run)),
    })
}
