//! The runs of a study: which zones, at which face velocities, on which grids.

use std::collections::HashMap;

use serde_json::{Value, json};

use crate::air::Air;
use crate::grille::{Grille, GrilleGeometry, Turn, ZoneFlow};
use crate::ranking::Circuit;
use crate::run::depth::Depth;
use crate::run::expected::{estimated_loss, expected_velocities, handbook_loss};
use crate::run::view::ZoneView;
use crate::store::run_key;
use crate::study::Study;
use crate::tunnel::{Domain, EdgeShape};
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// Version of everything that changes a run's numbers without showing in its inputs. Raise it when results change.
const SOLVER_VERSION: u32 = 1;

/// Most memory that one run may take, bytes.
pub const LARGEST_RUN_BYTES: u64 = 8 << 30;

/// Velocity in the opening on the finest grid, cells per step: fast enough to be quick, slow enough for air that hardly compresses.
const OPENING_VELOCITY: f64 = 0.075;

/// Largest density rise across the plate that is aimed at, on the coarsest grid.
const DENSITY_RISE: f64 = 0.008;

/// Largest lattice viscosity: beyond it walls blur.
const LARGEST_VISCOSITY: f64 = 0.2;

/// Room ahead of and behind the plate, in pitches of the repeat.
const ROOM: (f64, f64) = (1.0, 3.5);

/// A grille that cannot be run: one of its runs would not fit into memory.
#[derive(Debug, Clone, PartialEq)]
pub struct TooLarge {
    /// Name of the grille.
    pub grille: String,
    /// Number of cells of the largest run.
    pub cell_count: f64,
    /// Memory that it would take, bytes.
    pub memory_bytes: f64,
}

/// A run: one view of one zone at one face velocity on one grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Name of the first grille that asked for it.
    pub grille: String,
    /// The zone as the view sees it.
    pub zone: ZoneView,
    /// Velocity in front of the zone, m/s.
    pub face_velocity: f64,
    /// The domain of the view.
    pub domain: Domain,
    /// Lengths and times.
    pub scale: Scale,
    /// Whether the real holes turn, which the view does not see.
    pub is_turned: bool,
    /// Relative half-width of K at which the run may stop.
    pub tolerance: f64,
    /// Everything that determines its result.
    pub inputs: Value,
    /// Name of its folder.
    pub key: String,
}

impl Run {
    /// The same run at half the lattice velocity: twice the steps.
    #[must_use]
    pub fn at_half_speed(&self) -> Self {
        let mut slower = self.clone();
        slower.domain.face_velocity.0 *= 0.5;
        slower.scale.step *= 0.5;
        slower
    }
}

/// The runs behind one point K(U): indices into [`Plan::runs`], finest grid first.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Velocity in front of the zone, m/s.
    pub face_velocity: f64,
    /// Grids, finest first.
    pub runs: Vec<usize>,
}

/// The points of one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZonePlan {
    /// What the solver needs to know of the zone.
    pub flow: ZoneFlow,
    /// The zone as its view sees it.
    pub view: ZoneView,
    /// K by a handbook formula at the expected velocity, with its name, on the velocity in front of the zone; `None` outside its range.
    pub handbook: Option<(f64, &'static str)>,
    /// Points, by rising velocity.
    pub points: Vec<Point>,
}

/// A grille with its zones.
#[derive(Debug, Clone, PartialEq)]
pub struct GrillePlan {
    /// Index in the study.
    pub index: usize,
    /// Numbers of the drawing.
    pub geometry: GrilleGeometry,
    /// Zones, from the inside out.
    pub zones: Vec<ZonePlan>,
}

/// All runs of a study.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The runs, each once, however many grilles share it.
    pub runs: Vec<Run>,
    /// The grilles, in the order of the study.
    pub grilles: Vec<GrillePlan>,
}

/// What drives the air, as the ranking wants it.
pub fn circuit(study: &Study) -> Circuit {
    Circuit {
        air: study.air,
        supply: study.fan.supply.clone(),
        reference_area: study.reference_area(),
        place_loss: study.place.pc_case_loss_coefficient,
        place_loss_half_width: 0.0,
        heat_load: study.place.heat_load,
    }
}

/// Area that the repeats of a zone cover, m²: the velocity in front of the zone is the flow through it over this area.
pub fn repeat_area(flow: &ZoneFlow) -> f64 {
    flow.open_area / flow.free_area_ratio
}

/// Plans the runs of a study whose grilles all resolve.
///
/// # Errors
/// [`TooLarge`] for every grille that does not fit into memory.
pub fn plan(study: &Study) -> Result<Plan, Vec<TooLarge>> {
    let mut runs: Vec<Run> = Vec::new();
    let mut by_inputs: HashMap<String, usize> = HashMap::new();
    let mut grilles = Vec::new();
    let mut too_large: Vec<TooLarge> = Vec::new();
    for (index, grille) in study.grilles.iter().enumerate() {
        let Ok(geometry) = grille.resolve(study.fan.hub_diameter) else {
            continue;
        };
        let flows = grille.flow_geometry(&geometry);
        let views: Vec<ZoneView> = flows
            .iter()
            .map(|flow| ZoneView::of(flow, study.place.side))
            .collect();
        let velocities = expected_velocities(study, grille, &flows, &views);
        let mut zones = Vec::new();
        for ((flow, view), velocity) in flows.into_iter().zip(views).zip(velocities) {
            let mut points = Vec::new();
            let depth = Depth::of(study.run.quality, &view);
            for (face_velocity, cells) in depth.points(velocity) {
                let mut indices = Vec::new();
                for &across in cells {
                    let run = run(study, grille, &flow, &view, face_velocity, across, &depth);
                    let memory_bytes = run.domain.memory_bytes() as f64;
                    if memory_bytes > LARGEST_RUN_BYTES as f64 {
                        let is_known = too_large.iter().any(|known| known.grille == grille.name);
                        if !is_known {
                            let cell_count = run.domain.cell_count() as f64;
                            too_large.push(TooLarge {
                                grille: grille.name.clone(),
                                cell_count,
                                memory_bytes,
                            });
                        }
                        continue;
                    }
                    let next = runs.len();
                    let found = *by_inputs.entry(run.inputs.to_string()).or_insert(next);
                    if found == next {
                        runs.push(run);
                    }
                    indices.push(found);
                }
                points.push(Point {
                    face_velocity,
                    runs: indices,
                });
            }
            // The handbook does not know openings that turn.
            let handbook = (flow.turn == Turn::Straight)
                .then(|| handbook_loss(&view, velocity, study.air.kinematic_viscosity))
                .flatten();
            zones.push(ZonePlan {
                flow,
                view,
                handbook,
                points,
            });
        }
        grilles.push(GrillePlan {
            index,
            geometry,
            zones,
        });
    }
    if too_large.is_empty() {
        Ok(Plan { runs, grilles })
    } else {
        Err(too_large)
    }
}

/// Sets up one run. The lattice velocity falls with the cell size, so that the viscosity in lattice units, and with it the error of the lattice
/// velocity, shrinks along with that of the grid.
fn run(
    study: &Study,
    grille: &Grille,
    flow: &ZoneFlow,
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
    let is_turned = flow.turn != Turn::Straight;
    let inputs = inputs(
        zone,
        is_turned,
        face_velocity,
        &study.air,
        &domain,
        study.run.tolerance,
    );
    let readable = format!("{} {face_velocity} m/s {cells}", grille.name);
    let key = run_key(&readable, inputs.to_string().as_bytes());
    Run {
        grille: grille.name.clone(),
        zone: *zone,
        face_velocity,
        domain,
        scale,
        is_turned,
        tolerance: study.run.tolerance,
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
    tolerance: f64,
) -> Value {
    let edge = |edge: EdgeShape| match edge {
        EdgeShape::Sharp => json!("sharp"),
        EdgeShape::Rounded(radius) => json!({ "radius_mm": 1e3 * radius * zone.opening }),
        EdgeShape::Chamfered(depth) => json!({ "chamfer_mm": 1e3 * depth * zone.opening }),
    };
    json!({
        "solver_version": SOLVER_VERSION,
        "view": zone.view.in_words(),
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
        "tolerance": tolerance,
    })
}
