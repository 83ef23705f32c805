//! Drives a three-dimensional repeat and reads its loss coefficient, outflow angle and forces.

use std::ops::ControlFlow;

use crate::lattice::step::Threads;
use crate::lattice::volume::VolumeLattice;
use crate::measure::head_start::HeadStart;
use crate::measure::series::{SettledMean, StopReason};
use crate::measure::settle::{
    DriveLimits, DriveProgress, Reading, Sample, Sampled, Settled, run_until_settled,
};
use crate::measure::volume_fields::{VolumeFields, VolumeMeans};
use crate::measure::wall_load::{WallCells, WallLoad};
use crate::tunnel::repeat::Solid;
use crate::tunnel::{RepeatDomain, RepeatLayout};

/// How many columns one momentum sum looks at, evenly spread.
const COLUMNS: usize = 4;

/// Time after which fields are collected, in pitch-times, from an undisturbed stream.
const START_UP: f64 = 7.0;

/// The same after a head start.
const START_UP_AFTER_HEAD_START: f64 = 2.0;

/// What came out of a repeat.
#[derive(Debug, Clone)]
pub struct RepeatOutcome {
    /// The domain in cells.
    pub layout: RepeatLayout,
    /// Why it stopped.
    pub stop_reason: StopReason,
    /// Static K by momentum on the axial face velocity, with its interval in time; `None` if it diverged or is too short.
    pub loss_coefficient: Option<SettledMean>,
    /// The same by the force on the plate, mean over the same samples.
    pub loss_coefficient_by_force: f64,
    /// Total K: static K + tan²(in) − tan²(out).
    pub total_loss_coefficient: f64,
    /// Tangents of the mixed-out flow angles towards y and z, from the transverse momentum behind the plate.
    pub outflow_tangents: [f64; 2],
    /// Mean volume flow behind the plate over that ahead of it, minus 1.
    pub flow_error: f64,
    /// Density rise across the plate.
    pub density_rise: f64,
    /// Steps done.
    pub step_count: u64,
    /// Fluid cells.
    pub cell_count: usize,
    /// All samples.
    pub history: Vec<Sample>,
    /// Axial velocity ahead of the plate, lattice units.
    pub face_velocity: f64,
    /// Plate thickness in cells.
    pub thickness: f64,
    /// Time means.
    pub mean: VolumeFields,
    /// The last instant.
    pub last: VolumeFields,
    /// Mean force on the walls of the plate, cell by cell, over the samples of the fields.
    pub wall_load: WallLoad,
    /// Mean force on the plate along y and z over the area of the repeat and the dynamic pressure of the face velocity.
    pub side_force: [f64; 2],
}

/// Memory of a repeat besides its populations, at most, bytes per cell: what collecting the fields takes, and twice the last instant while it is read out at the end.
pub const FIELD_BYTES_PER_CELL: u64 =
    VolumeMeans::BYTES_PER_CELL + 2 * VolumeFields::INSTANT_BYTES_PER_CELL;

/// Means over columns and their area, in lattice units.
#[derive(Debug, Clone, Copy, Default)]
struct PlaneMeans {
    momentum_flux: f64,
    velocity: f64,
    transverse: [f64; 2],
}

struct RepeatFlow {
    lattice: VolumeLattice,
    layout: RepeatLayout,
    dynamic_pressure: f64,
    means: VolumeMeans,
    wall_cells: WallCells,
    /// Up to the last time that early samples were forgotten, and since then.
    sums: [Sums; 2],
}

/// Sums over the samples of a span of time.
#[derive(Debug, Clone)]
struct Sums {
    count: f64,
    transverse: [f64; 2],
    forces: Vec<[f64; 3]>,
}

impl Sums {
    fn empty(wall_cells: usize) -> Self {
        Self {
            count: 0.0,
            transverse: [0.0; 2],
            forces: vec![[0.0; 3]; wall_cells],
        }
    }

    fn join(mut self, other: &Self) -> Self {
        self.count += other.count;
        for (sum, part) in self.transverse.iter_mut().zip(other.transverse) {
            *sum += part;
        }
        let parts = other.forces.as_flattened();
        for (sum, part) in self.forces.as_flattened_mut().iter_mut().zip(parts) {
            *sum += part;
        }
        self
    }
}

/// Runs `domain` with its `solid` on `threads`. The observer is asked at every sample, sixty times per pitch-time, and may break off.
pub fn drive_repeat(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let head_start = if domain.head_start > 0.0 {
        HeadStart::run(domain, solid, threads, observer)
    } else {
        None
    };
    let (built, start_up) = match &head_start {
        Some(start) => (
            domain.build_from(solid, threads, |place| start.at(place)),
            START_UP_AFTER_HEAD_START,
        ),
        None => (domain.build(solid, threads), START_UP),
    };
    drop(head_start);
    drive_built(domain, built, start_up, limits, threads, observer)
}

/// The same between mirrors ([`RepeatDomain::build_mirrored`]), from the undisturbed stream.
pub fn drive_mirrored_repeat(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let built = domain.build_mirrored(solid, threads);
    drive_built(domain, built, START_UP, limits, threads, observer)
}

fn drive_built(
    domain: &RepeatDomain,
    (lattice, layout): (VolumeLattice, RepeatLayout),
    start_up: f64,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let velocity = domain.face_velocity.0;
    let wall_cells = WallCells::find(&lattice);
    let empty = Sums::empty(wall_cells.len());
    let mut flow = RepeatFlow {
        means: VolumeMeans::new(&lattice, threads),
        lattice,
        layout,
        dynamic_pressure: 0.5 * velocity * velocity,
        wall_cells,
        sums: [empty.clone(), empty],
    };
    let settled = run_until_settled(
        &mut flow,
        layout.pitch / velocity,
        start_up,
        limits,
        observer,
    );
    if flow.means.sample_count() == 0 {
        flow.collect_fields();
    }
    outcome(domain, settled, flow, threads)
}

fn outcome(
    domain: &RepeatDomain,
    settled: Settled,
    flow: RepeatFlow,
    threads: Threads,
) -> RepeatOutcome {
    let velocity = domain.face_velocity.0;
    let layout = flow.layout;
    let [older, newer] = flow.sums;
    let sums = older.join(&newer);
    let outflow_tangents = sums
        .transverse
        .map(|sum| sum / sums.count / (velocity * velocity));
    let square = |tangents: [f64; 2]| tangents[0] * tangents[0] + tangents[1] * tangents[1];
    let added = square(domain.inflow_tangents) - square(outflow_tangents);
    let wall_load = flow.wall_cells.load(&sums.forces, sums.count);
    let area = (layout.cells.ny * layout.cells.nz) as f64;
    let [_, side_y, side_z] = wall_load.force();
    let last = VolumeFields::instant(&flow.lattice, threads);
    RepeatOutcome {
        layout,
        stop_reason: settled.stop_reason,
        total_loss_coefficient: settled.loss_coefficient.map_or(f64::NAN, |mean| mean.mean) + added,
        loss_coefficient: settled.loss_coefficient,
        loss_coefficient_by_force: settled.loss_coefficient_by_force,
        outflow_tangents,
        flow_error: settled.flow_error,
        density_rise: 1.5 * settled.loss_coefficient_by_force * velocity * velocity,
        step_count: flow.lattice.step_count(),
        cell_count: flow.lattice.fluid_cell_count(),
        history: settled.history,
        face_velocity: velocity,
        thickness: domain.thickness * layout.cells_across_hole,
        mean: flow.means.into_fields(&flow.lattice),
        last,
        wall_load,
        side_force: [side_y, side_z].map(|force| force / area / flow.dynamic_pressure),
    }
}

impl RepeatFlow {
    fn plane_means(&self, columns: (usize, usize)) -> PlaneMeans {
        let extent = self.lattice.extent();
        let stride = (columns.1 - columns.0).div_ceil(COLUMNS).max(1);
        let mut sums = PlaneMeans::default();
        let mut count = 0.0;
        for z in 0..extent.nz {
            for y in 0..extent.ny {
                for x in (columns.0..columns.1).step_by(stride) {
                    let state = self.lattice.cell(x, y, z);
                    let [u, v, w] = state.velocity.map(f64::from);
                    sums.momentum_flux += f64::from(state.density) / 3.0 + u * u;
                    sums.velocity += u;
                    sums.transverse[0] += u * v;
                    sums.transverse[1] += u * w;
                    count += 1.0;
                }
            }
        }
        PlaneMeans {
            momentum_flux: sums.momentum_flux / count,
            velocity: sums.velocity / count,
            transverse: sums.transverse.map(|sum| sum / count),
        }
    }
}

impl Sampled for RepeatFlow {
    fn advance(&mut self, pairs: usize) {
        self.lattice.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.lattice.step_count()
    }

    fn reading(&self) -> Reading {
        let (ahead, behind) = (
            self.plane_means(self.layout.ahead),
            self.plane_means(self.layout.behind),
        );
        let cells = self.layout.cells;
        let area = (cells.ny * cells.nz) as f64;
        Reading {
            loss_coefficient: (ahead.momentum_flux - behind.momentum_flux) / self.dynamic_pressure,
            loss_coefficient_by_force: self.lattice.wall_force().body[0]
                / area
                / self.dynamic_pressure,
            flow_error: behind.velocity / ahead.velocity - 1.0,
        }
    }

    fn mean_density(&self) -> f64 {
        self.lattice.total_mass() / self.lattice.fluid_cell_count() as f64
    }

    fn collect_fields(&mut self) {
        let transverse = self.plane_means(self.layout.behind).transverse;
        let sums = &mut self.sums[1];
        sums.count += 1.0;
        sums.transverse[0] += transverse[0];
        sums.transverse[1] += transverse[1];
        self.wall_cells
            .add_force_of_two_steps(&mut self.lattice, &mut sums.forces);
        self.means.add(&self.lattice);
    }

    fn forget_early_fields(&mut self) {
        let empty = Sums::empty(self.wall_cells.len());
        let [_, newer] = std::mem::replace(&mut self.sums, [empty.clone(), empty]);
        self.sums[0] = newer;
        self.means.forget_early_samples();
    }
}
