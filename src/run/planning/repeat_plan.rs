//! The runs of the repeat view: which zones get them, on which grids, how fast.

use serde_json::{Map, Value, json};

use crate::grille::{
    CountedFrom, Edge, FlowKind, Grille, Hands, HolePattern, Layout, Pattern, RepeatSolid, Turn,
    Zone, ZoneFlow, ZoneGeometry,
};
use crate::result::View;
use crate::run::corrections::flat_view::view_correction;
use crate::run::planned::{
    DENSITY_RISE, LARGEST_VISCOSITY, OTHER_DOUBTS, Run, SOLVER_VERSION, TOLERANCE, key_of,
};
use crate::run::planning::expected::estimated_loss;
use crate::run::planning::other_doubts::of_lone_repeat;
use crate::run::views::Subject;
use crate::run::views::repeat::{FEWEST_RIB_CELLS, HEAD_START, Repeat, TIMES};
use crate::run::views::zone_view::ZoneView;
use crate::study::{Quality, Side, Study};
use crate::tunnel::RepeatDomain;
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// Largest velocity in the hole, cells per step, on every grid: half of it changes K of a round hole by 1 % (free-area ratio 0.42, 20 cells).
const HOLE_VELOCITY: f64 = 0.1;

/// By how much K on coarse cells may lie above the one that is estimated, to choose steps by.
const COARSE_EXCESS: f64 = 1.2;

/// Room ahead of and behind the plate, in pitches of the repeat.
const ROOM: (f64, f64) = (1.0, 2.5);

/// Least relative half-width of K that a repeat is run to: below it the grid weighs more.
const LEAST_TOLERANCE: f64 = 0.015;

/// Cells across the hydraulic diameter, finest grid first; none where the flat views have to do.
fn grids(quality: Quality) -> &'static [f64] {
    match quality {
        Quality::Quick => &[],
        Quality::Standard => &[24.0],
        Quality::Overnight => &[40.0, 30.0, 22.0],
    }
}

/// The pattern of a zone whose holes are solved in three dimensions where the quality allows: all holes, and slots of any length that turn. A straight long slot, a ring slot or the
/// gap between bars is what the slice view sees.
fn solved_pattern<'a>(zone: &'a Zone, flow: &ZoneFlow) -> Option<&'a HolePattern> {
    let Pattern::Holes(pattern) = &zone.pattern else {
        return None;
    };
    (flow.kind == FlowKind::Hole || flow.turn != Turn::Straight).then_some(pattern)
}

/// A zone of which repeats are to be planned.
#[derive(Debug, Clone, Copy)]
pub(in crate::run) struct RepeatZone<'a> {
    pub(in crate::run) zone: &'a Zone,
    pub(in crate::run) flow: &'a ZoneFlow,
    pub(in crate::run) numbers: &'a ZoneGeometry,
    pub(in crate::run) view: &'a ZoneView,
    /// Velocity in front of the zone, m/s.
    pub(in crate::run) face_velocity: f64,
    /// Tangent of the angle at which the air meets it, towards the fan's rotation.
    pub(in crate::run) inflow: f64,
}

/// The repeats of a zone, finest grid first; none where the quality or the zone does without.
pub(super) fn repeat_runs(study: &Study, grille: &Grille, zone: RepeatZone<'_>) -> Vec<Run> {
    let grids = grids(study.run.quality);
    let Some(&coarsest) = grids.last() else {
        return Vec::new();
    };
    let Some(shape) = Shape::of(study, grille, &zone, grids[0], ROOM) else {
        return Vec::new();
    };
    let finer = shape.finer(coarsest);
    let runs = grids
        .iter()
        .map(|cells| shape.run(study, grille, &zone, cells * finer, grids.len() == 1));
    runs.collect()
}

/// The repeat of a zone for a film: cells across the hydraulic diameter, room ahead and behind in pitches. `None` where nothing of the zone can be solved in three dimensions.
pub(in crate::run) fn filmed_repeat(
    study: &Study,
    grille: &Grille,
    zone: &RepeatZone<'_>,
    cells: f64,
    room: (f64, f64),
) -> Option<Run> {
    let shape = Shape::of(study, grille, zone, cells, room)?;
    Some(shape.run(study, grille, zone, cells * shape.finer(cells), false))
}

/// The repeat of a zone before it is laid on a grid.
struct Shape<'a> {
    pattern: &'a HolePattern,
    radius: f64,
    repeat: Repeat,
    /// Cells per step in the hole.
    hole_velocity: f64,
}

impl<'a> Shape<'a> {
    fn of(
        study: &Study,
        grille: &Grille,
        zone: &RepeatZone<'a>,
        finest: f64,
        room: (f64, f64),
    ) -> Option<Self> {
        let pattern = solved_pattern(zone.zone, zone.flow)?;
        // Only a pattern twist depends on where the repeat lies; else zones at any radius share their runs.
        let radius = match pattern.turn {
            Turn::PatternTwist { .. } => zone.flow.mean_radius(),
            _ => 0.0,
        };
        let solid = RepeatSolid::of(
            pattern,
            grille.thickness,
            grille.front_edge,
            grille.back_edge,
            radius,
        )
        .ok()?;
        let repeat = Repeat {
            domain: domain(study, zone, &solid, finest, room),
            is_reversed: study.place.side == Side::Exhaust,
            hydraulic_diameter: zone.flow.hydraulic_diameter,
            least_rib: zone.numbers.least_rib,
            edges: [grille.front_edge, grille.back_edge],
            solid,
        };
        Some(Self {
            pattern,
            radius,
            hole_velocity: hole_velocity(zone, &repeat.domain, radius),
            repeat,
        })
    }

    /// By how much a grid is made finer so that ribs are resolved on the coarsest one.
    fn finer(&self, coarsest: f64) -> f64 {
        let rib_cells = coarsest * self.repeat.least_rib / self.repeat.hydraulic_diameter;
        if rib_cells > 0.0 {
            (FEWEST_RIB_CELLS / rib_cells).clamp(1.0, 1.5)
        } else {
            1.0
        }
    }

    /// The run on a grid, which may be the only one.
    fn run(
        &self,
        study: &Study,
        grille: &Grille,
        zone: &RepeatZone<'_>,
        cells: f64,
        is_alone: bool,
    ) -> Run {
        let mut repeat = self.repeat.clone();
        repeat.domain.cells_across_hole = cells;
        repeat.domain.face_velocity.0 = self.hole_velocity * zone.flow.free_area_ratio;
        repeat.domain = repeat
            .domain
            .fitted_to(&|place| repeat.is_solid(place), &|depth| {
                repeat.openings(depth)
            });
        run(
            study,
            grille,
            self.pattern,
            self.radius,
            zone.face_velocity,
            repeat,
            if is_alone {
                of_lone_repeat(&study.run, cells, zone.flow)
            } else {
                0.0
            },
        )
    }
}

/// The domain on a grid of about so many cells, not yet laid on it, at the largest velocity.
fn domain(
    study: &Study,
    zone: &RepeatZone<'_>,
    solid: &RepeatSolid,
    cells: f64,
    room: (f64, f64),
) -> RepeatDomain {
    let diameter = zone.flow.hydraulic_diameter;
    let pitch = (solid.area() / solid.hole_count() as f64).sqrt();
    RepeatDomain {
        extent: solid.extent().map(|width| width / diameter),
        pitch: pitch / diameter,
        thickness: zone.flow.thickness / diameter,
        free_area_ratio: zone.flow.free_area_ratio,
        reynolds_number: zone
            .view
            .hole_reynolds_number(zone.face_velocity, study.air.kinematic_viscosity),
        inflow_tangents: [zone.inflow, 0.0],
        cells_across_hole: cells,
        face_velocity: LatticeVelocity(HOLE_VELOCITY * zone.flow.free_area_ratio),
        pitches_ahead: room.0,
        pitches_behind: room.1,
        has_subgrid: true,
        shift: [0.0; 3],
        head_start: HEAD_START,
    }
}

/// Velocity in the hole, cells per step: slow enough for air that hardly compresses, and on the finest grid (that of `domain`) for walls that do not blur.
fn hole_velocity(zone: &RepeatZone<'_>, domain: &RepeatDomain, radius: f64) -> f64 {
    let loss = COARSE_EXCESS
        * view_correction(zone.zone, zone.flow).factor
        * estimated_loss(zone.view)
        * turn_factor(zone.flow, radius, domain.inflow_tangents[0]);
    let by_density = (2.0 * DENSITY_RISE / (3.0 * loss)).sqrt() / zone.flow.free_area_ratio;
    let by_viscosity = LARGEST_VISCOSITY * domain.reynolds_number / domain.cells_across_hole;
    HOLE_VELOCITY.min(by_density).min(by_viscosity)
}

/// By how much a turn or an oblique inflow may raise K, to choose steps by: 1.3, 2 and 4 times at a lean of 15, 30 and 45 degrees against the
/// air (three-dimensional runs with another code).
fn turn_factor(flow: &ZoneFlow, radius: f64, inflow_tangent: f64) -> f64 {
    let lean = match flow.turn {
        Turn::Straight | Turn::Twist { .. } => 0.0,
        Turn::Lean { angle } => angle,
        Turn::PatternTwist { angle } => (radius * angle / flow.thickness).atan(),
    };
    // The air in the hole runs flatter than ahead of it.
    let against = lean.abs() + 0.6 * inflow_tangent.abs().atan();
    1.0 + 0.3 * (against.to_degrees() / 15.0).powi(2)
}

fn run(
    study: &Study,
    grille: &Grille,
    pattern: &HolePattern,
    radius: f64,
    face_velocity: f64,
    repeat: Repeat,
    other_doubts: f64,
) -> Run {
    let domain = &repeat.domain;
    let scale = Scale::new(
        Metres(repeat.hydraulic_diameter),
        domain.layout().cells_across_hole,
        MetresPerSecond(face_velocity),
        domain.face_velocity,
        study.air.density,
    );
    let tolerance = study.run.tolerance.max(LEAST_TOLERANCE);
    let inputs = json!({
        "solver_version": SOLVER_VERSION,
        "view": View::Repeat,
        "pattern": pattern_inputs(pattern),
        "thickness_mm": 1e3 * grille.thickness,
        "front_edge": edge_inputs(grille.front_edge),
        "back_edge": edge_inputs(grille.back_edge),
        "radius_mm": (radius > 0.0).then_some(1e3 * radius),
        "side": study.place.side.to_string(),
        "inflow_angle_deg": degrees(domain.inflow_tangents[0].atan()),
        "face_velocity_m_per_s": face_velocity,
        "air_density_kg_per_m3": study.air.density,
        "kinematic_viscosity_m2_per_s": study.air.kinematic_viscosity,
        "cells_across_hole": domain.cells_across_hole,
        "shift_cells": domain.shift,
        "lattice_velocity": domain.face_velocity.0,
        "pitches_ahead": domain.pitches_ahead,
        "pitches_behind": domain.pitches_behind,
        "head_start_pitches": domain.head_start,
        TOLERANCE: tolerance,
        OTHER_DOUBTS: other_doubts,
        "least_time_pitches": TIMES.0,
        "longest_time_pitches": TIMES.1,
    });
    let readable = format!(
        "{} repeat {face_velocity} m/s {:.0}",
        grille.name, domain.cells_across_hole
    );
    let key = key_of(&readable, &inputs);
    Run {
        grille: grille.name.clone(),
        face_velocity,
        hole_reynolds_number: domain.reynolds_number,
        thickness: grille.thickness,
        subject: Subject::Repeat(Box::new(repeat)),
        scale,
        tolerance,
        other_doubts,
        inputs,
        key,
    }
}

fn pattern_inputs(pattern: &HolePattern) -> Value {
    let lengths = pattern.shape.lengths().into_iter();
    let in_mm = lengths.map(|length| (format!("{}_mm", length.name), json!(1e3 * length.value)));
    let shape: Map<String, Value> = in_mm.collect();
    let layout = match pattern.layout {
        Layout::Square => "square",
        Layout::Staggered => "staggered",
        Layout::UpDown => "up-down",
    };
    json!({
        "shape": shape,
        "layout": layout,
        "rib_mm": 1e3 * pattern.rib,
        "turn": turn_inputs(pattern.turn),
    })
}

fn turn_inputs(turn: Turn) -> Value {
    match turn {
        Turn::Straight => json!("straight"),
        Turn::Twist {
            angle,
            counted_from,
            hands,
        } => {
            let counted_from = match counted_from {
                CountedFrom::MidDepth => "mid-depth",
                CountedFrom::Front => "front",
                CountedFrom::Back => "back",
            };
            let hands = match hands {
                Hands::Same => "same",
                Hands::Alternate => "alternate",
            };
            json!({ "twist_deg": degrees(angle), "from": counted_from, "hands": hands })
        }
        Turn::Lean { angle } => json!({ "lean_deg": degrees(angle) }),
        Turn::PatternTwist { angle } => json!({ "pattern_twist_deg": degrees(angle) }),
    }
}

fn edge_inputs(edge: Edge) -> Value {
    match edge {
        Edge::Sharp => json!("sharp"),
        Edge::Rounded(radius) => json!({ "radius_mm": 1e3 * radius }),
        Edge::Chamfered(depth) => json!({ "chamfer_mm": 1e3 * depth }),
    }
}

/// Degrees that read well: what conversion there and back adds in the twelfth digit is no other angle.
fn degrees(angle: f64) -> f64 {
    (angle.to_degrees() * 1e9).round() / 1e9
}
