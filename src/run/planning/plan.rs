//! The runs of a study: which zones, at which face velocities, on which grids.

use std::borrow::Borrow;
use std::collections::HashMap;

use crate::grille::{Grille, GrilleGeometry, Turn, Zone, ZoneFlow, ZoneGeometry};
use crate::ranking::Circuit;
use crate::run::corrections::flat_view::Correction;
use crate::run::corrections::tabled::tabled_within_reach;
use crate::run::planned::{PROGRAM_BYTES, Run};
use crate::run::planning::depth::Depth;
use crate::run::planning::expected::{ExpectedZone, expected_zones, handbook_loss};
use crate::run::planning::flat_plan::flat_run;
use crate::run::planning::other_doubts::of_flat_view;
use crate::run::planning::panel_grille::{ahead_of_fan, panel_grilles};
use crate::run::planning::panels::shared_case;
use crate::run::planning::repeat_plan::{RepeatZone, repeat_runs};
use crate::run::views::zone_view::ZoneView;
use crate::study::{Quality, Study};

/// Most memory that one run may take where the study says nothing of it, bytes.
pub const LARGEST_RUN_BYTES: u64 = 8 << 30;

/// Most memory that one run of a study may take, bytes.
pub fn largest_run_bytes(study: &Study) -> u64 {
    let for_runs = |limit: u64| limit.saturating_sub(PROGRAM_BYTES);
    study.run.memory_limit.map_or(LARGEST_RUN_BYTES, for_runs)
}

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
    /// Points of the flat view, by rising velocity.
    pub points: Vec<Point>,
    /// The point solved in three dimensions, which gives K its level.
    pub repeat: Option<Point>,
    /// What a table says of it where nothing is solved in three dimensions.
    pub(in crate::run) tabled: Option<Correction>,
    /// Tangent of the angle at which the air is expected to meet it.
    pub(in crate::run) expected_inflow: f64,
    /// Strength of the swirl that is expected there.
    pub(in crate::run) strength: f64,
    /// Tangent of the angle for which its K holds: that of the repeat, or of the table as far as it reaches; 0 where a flat view has to do.
    pub(in crate::run) solved_inflow: f64,
}

impl ZonePlan {
    /// Whether its holes turn and nothing says what that does.
    pub fn is_turn_undecided(&self) -> bool {
        self.flow.turn != Turn::Straight && self.repeat.is_none() && self.tabled.is_none()
    }

    /// Whether nothing says what the swirl of the air does, if it has any.
    pub fn is_blind_to_swirl(&self) -> bool {
        self.repeat.is_none() && self.tabled.is_none()
    }
}

/// A grille with its zones.
#[derive(Debug, Clone, PartialEq)]
pub struct GrillePlan {
    /// Index in the study.
    pub index: usize,
    /// How deep it is solved.
    pub quality: Quality,
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
    /// Of a study behind a fan, the grilles that panels are made of, ahead of the fan.
    pub ahead: Vec<GrillePlan>,
}

/// What drives the air, as the ranking wants it.
pub fn circuit(study: &Study) -> Circuit {
    Circuit {
        air: study.air,
        supply: study.fan.supply.clone(),
        reference_area: study.reference_area(),
        place_loss: study.place_loss_coefficient(),
        place_loss_half_width: 0.0,
        shared_case: shared_case(study),
        heat_load: study
            .place
            .heat_load
            .map(|heat| heat / f64::from(study.place.fan_count)),
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
    let grilles = (0..study.grilles.len()).filter_map(|index| PlannedGrille::of(study, index));
    let grilles: Vec<PlannedGrille> = grilles.collect();
    together(&grilles, &planned_ahead(study, |_| study))
}

/// Of a study behind a fan, the grilles that panels are made of, ahead of the fan; `at` gives the study at the quality of a grille.
pub(in crate::run) fn planned_ahead<'a>(
    study: &'a Study,
    at: impl Fn(usize) -> &'a Study,
) -> Vec<PlannedGrille> {
    if !study.is_behind_fan() {
        return Vec::new();
    }
    let panels = panel_grilles(study).into_iter();
    let planned = panels.filter_map(|index| PlannedGrille::of(&ahead_of_fan(at(index)), index));
    planned.collect()
}

/// A grille with its own runs, which it may share with others.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::run) struct PlannedGrille {
    /// Its runs, each once.
    pub(in crate::run) runs: Vec<Run>,
    /// The grille; its points say where in `runs` each of them stands.
    grille: GrillePlan,
    /// The largest run that does not fit into memory.
    pub(in crate::run) too_large: Option<TooLarge>,
}

impl PlannedGrille {
    /// Its place in the study.
    pub(in crate::run) fn index(&self) -> usize {
        self.grille.index
    }

    /// Whether it is one of these grilles at this quality.
    pub(in crate::run) fn is_of(&self, grilles: &[usize], quality: Quality) -> bool {
        self.grille.quality == quality && grilles.contains(&self.grille.index)
    }

    /// Plans one grille of a study, at the quality of the study; `None` if it does not resolve.
    pub(in crate::run) fn of(study: &Study, index: usize) -> Option<Self> {
        let mut runs = RunList::within(largest_run_bytes(study));
        let grille = &study.grilles[index];
        let geometry = study.geometries.get(index)?.clone();
        let flows = grille.flow_geometry(&geometry);
        let views: Vec<ZoneView> = flows
            .iter()
            .map(|flow| ZoneView::of(flow, study.place.side))
            .collect();
        let expected = expected_zones(study, grille, &flows, &views);
        let mut zones = Vec::new();
        for (number, (flow, expected)) in flows.into_iter().zip(expected).enumerate() {
            let (zone, numbers) = (&grille.zones[number], &geometry.zones[number]);
            let seen = SeenZone {
                zone,
                numbers,
                view: views[number],
                expected,
            };
            zones.push(plan_zone(study, grille, flow, &seen, &mut runs));
        }
        Some(Self {
            runs: runs.runs,
            grille: GrillePlan {
                index,
                quality: study.run.quality,
                geometry,
                zones,
            },
            too_large: runs.too_large,
        })
    }
}

/// Puts grilles together, and those of panels `ahead` of the fan, with each run once.
///
/// # Errors
/// [`TooLarge`] for every grille that does not fit into memory.
pub(in crate::run) fn together(
    planned: &[impl Borrow<PlannedGrille>],
    ahead: &[PlannedGrille],
) -> Result<Plan, Vec<TooLarge>> {
    // Each was measured before.
    let mut runs = RunList::within(u64::MAX);
    let every = || planned.iter().map(Borrow::borrow).chain(ahead);
    let too_large = every().filter_map(|one| one.too_large.clone());
    let too_large: Vec<TooLarge> = too_large.collect();
    if !too_large.is_empty() {
        return Err(too_large);
    }
    let grilles = every().map(|one| {
        let places = runs.enter(one.runs.iter().cloned());
        let mut grille = one.grille.clone();
        let zones = grille.zones.iter_mut();
        for point in zones.flat_map(|zone| zone.points.iter_mut().chain(&mut zone.repeat)) {
            for run in &mut point.runs {
                *run = places[*run];
            }
        }
        grille
    });
    let mut grilles: Vec<GrillePlan> = grilles.collect();
    let ahead = grilles.split_off(planned.len());
    Ok(Plan {
        runs: runs.runs,
        grilles,
        ahead,
    })
}

/// A zone with what is known of it before its runs.
struct SeenZone<'a> {
    zone: &'a Zone,
    numbers: &'a ZoneGeometry,
    view: ZoneView,
    expected: ExpectedZone,
}

/// Plans the points of a zone and enters their runs.
fn plan_zone(
    study: &Study,
    grille: &Grille,
    flow: ZoneFlow,
    seen: &SeenZone<'_>,
    runs: &mut RunList,
) -> ZonePlan {
    let (view, expected) = (seen.view, seen.expected);
    let velocity = expected.velocity;
    let other_doubts = of_flat_view(&study.run, seen.zone, &flow);
    let depth = Depth::of(study.run.quality, &view, other_doubts);
    let repeat_zone = RepeatZone {
        zone: seen.zone,
        flow: &flow,
        numbers: seen.numbers,
        view: &view,
        face_velocity: depth.middle(velocity),
        inflow: expected.inflow,
    };
    let repeats = repeat_runs(study, grille, repeat_zone);
    let (tabled, solved_inflow) = if repeats.is_empty() {
        tabled_within_reach(seen.zone, &flow, expected.inflow, study.place.side)
            .map_or((None, 0.0), |(correction, inflow)| {
                (Some(correction), inflow)
            })
    } else {
        (None, expected.inflow)
    };
    let is_levelled = !repeats.is_empty();
    let is_undecided = flow.turn != Turn::Straight && !is_levelled && tabled.is_none();
    let mut points = Vec::new();
    for (face_velocity, mut cells) in depth.points(velocity) {
        if is_levelled {
            // Only how K changes with the air speed is wanted, and one grid tells that.
            cells = &cells[..1];
        }
        let runs_of_point = cells.iter().map(|&across| {
            flat_run(
                study,
                grille,
                is_undecided,
                &view,
                face_velocity,
                across,
                &depth,
            )
        });
        points.push(Point {
            face_velocity,
            runs: runs.enter(runs_of_point),
        });
    }
    let repeat = is_levelled.then(|| Point {
        face_velocity: depth.middle(velocity),
        runs: runs.enter(repeats.into_iter()),
    });
    // The handbook does not know openings that turn.
    let handbook = (flow.turn == Turn::Straight)
        .then(|| handbook_loss(&view, velocity, study.air.kinematic_viscosity))
        .flatten();
    ZonePlan {
        flow,
        view,
        handbook,
        points,
        repeat,
        tabled,
        expected_inflow: expected.inflow,
        strength: expected.strength,
        solved_inflow,
    }
}

/// Collects runs: each once, and the largest that does not fit into memory apart.
struct RunList {
    runs: Vec<Run>,
    by_identity: HashMap<String, usize>,
    too_large: Option<TooLarge>,
    /// Most memory of one run, bytes.
    limit: u64,
}

impl RunList {
    fn within(limit: u64) -> Self {
        Self {
            runs: Vec::new(),
            by_identity: HashMap::new(),
            too_large: None,
            limit,
        }
    }

    /// Enters runs and returns their places in the list.
    fn enter(&mut self, runs: impl Iterator<Item = Run>) -> Vec<usize> {
        let mut places = Vec::new();
        for run in runs {
            let memory_bytes = run.peak_bytes();
            if memory_bytes > self.limit {
                self.too_large.get_or_insert_with(|| TooLarge {
                    cell_count: run.cell_count() as f64,
                    grille: run.grille,
                    memory_bytes: memory_bytes as f64,
                });
                continue;
            }
            let next = self.runs.len();
            let place = *self.by_identity.entry(run.identity()).or_insert(next);
            match self.runs.get_mut(place) {
                Some(known) => known.go_on_like(&run),
                None => self.runs.push(run),
            }
            places.push(place);
        }
        places
    }
}
