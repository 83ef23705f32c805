//! The runs of a flat view: how finely, how fast.

use serde_json::{Value, json};

use crate::air::Air;
use crate::grille::Grille;
use crate::result::View;
use crate::run::planned::{
    DENSITY_RISE, LARGEST_VISCOSITY, OTHER_DOUBTS, Run, SOLVER_VERSION, TOLERANCE, key_of,
};
use crate::run::planning::depth::Depth;
use crate::run::planning::expected::estimated_loss;
use crate::run::views::Subject;
use crate::run::views::flat::Flat;
use crate::run::views::zone_view::ZoneView;
use crate::study::Study;
use crate::tunnel::{Domain, EdgeShape};
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// Velocity in the opening on the finest grid, cells per step: fast enough to be quick, slow enough for air that hardly compresses.
const OPENING_VELOCITY: f64 = 0.075;

/// Room ahead of and behind the plate, in pitches of the repeat.
const ROOM: (f64, f64) = (1.0, 3.5);

/// Sets up one run of a flat view. The lattice velocity falls with the cell size, so that the viscosity in lattice units, and with it the error of the lattice
/// velocity, shrinks along with that of the grid.
pub(super) fn flat_run(
    study: &Study,
    grille: &Grille,
    is_turned: bool,
    zone: &ZoneView,
    face_velocity: f64,
    cells: f64,
    depth: &Depth,
) -> Run {
    let reynolds_number =
        zone.opening_reynolds_number(face_velocity, study.air.kinematic_viscosity);
    let by_mach = OPENING_VELOCITY * zone.free_area_ratio;
    let coarsest = depth.cells[depth.cells.len() - 1];
    let by_density =
        (2.0 * DENSITY_RISE / (3.0 * estimated_loss(zone))).sqrt() / depth.coarseness(coarsest);
    let by_viscosity = LARGEST_VISCOSITY * reynolds_number / depth.cells[0] * zone.free_area_ratio;
    let lattice_velocity = by_mach.min(by_density).min(by_viscosity) * depth.coarseness(cells);
    let domain = Domain {
        view: zone.view,
        free_area_ratio: zone.free_area_ratio,
        thickness: zone.thickness / zone.opening,
        front_edge: zone.front_edge,
        rear_edge: zone.rear_edge,
        reynolds_number,
        cells_across_opening: cells,
        face_velocity: LatticeVelocity(lattice_velocity),
        pitches_ahead: ROOM.0,
        pitches_behind: ROOM.1,
        has_subgrid: true,
        shift: 0.0,
    };
    let scale = Scale::new(
        Metres(zone.opening),
        domain.layout().cells_across_opening,
        MetresPerSecond(face_velocity),
        LatticeVelocity(lattice_velocity),
        study.air.density,
    );
    let inputs = inputs(
        zone,
        is_turned,
        face_velocity,
        &study.air,
        &domain,
        [study.run.tolerance, depth.other_doubts],
    );
    let readable = format!("{} {face_velocity} m/s {cells}", grille.name);
    let key = key_of(&readable, &inputs);
    Run {
        grille: grille.name.clone(),
        face_velocity,
        hole_reynolds_number: zone
            .hole_reynolds_number(face_velocity, study.air.kinematic_viscosity),
        thickness: zone.thickness,
        subject: Subject::Flat(Flat {
            zone: *zone,
            domain,
            is_turned,
        }),
        scale,
        tolerance: study.run.tolerance,
        other_doubts: depth.other_doubts,
        inputs,
        key,
    }
}

fn inputs(
    zone: &ZoneView,
    is_turned: bool,
    face_velocity: f64,
    air: &Air,
    domain: &Domain,
    [tolerance, other_doubts]: [f64; 2],
) -> Value {
    let edge = |edge: EdgeShape| match edge {
        EdgeShape::Sharp => json!("sharp"),
        EdgeShape::Rounded(radius) => json!({ "radius_mm": 1e3 * radius * zone.opening }),
        EdgeShape::Chamfered(depth) => json!({ "chamfer_mm": 1e3 * depth * zone.opening }),
    };
    json!({
        "solver_version": SOLVER_VERSION,
        "view": View::from(zone.view),
        "opening_mm": 1e3 * zone.opening,
        "free_area_ratio": zone.free_area_ratio,
        "thickness_mm": 1e3 * zone.thickness,
        "turned_holes_run_as_straight": is_turned,
        "first_edge": edge(zone.front_edge),
        "last_edge": edge(zone.rear_edge),
        "face_velocity_m_per_s": face_velocity,
        "air_density_kg_per_m3": air.density,
        "kinematic_viscosity_m2_per_s": air.kinematic_viscosity,
        "cells_across_opening": domain.cells_across_opening,
        "lattice_velocity": domain.face_velocity.0,
        TOLERANCE: tolerance,
        OTHER_DOUBTS: other_doubts,
    })
}
