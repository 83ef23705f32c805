//! Drives one flat view until its loss coefficient is known well enough, or until there is a reason to stop.

use crate::lattice::simulation::PlaneLattice;
use crate::lattice::step::Threads;
pub use crate::measure::attendant::{Attendant, State};
use crate::measure::mean_fields::{Fields, MeanFields, instant};
use crate::measure::momentum::plane_reading;
use crate::measure::series::StopReason;
pub use crate::measure::settle::{DriveLimits, DriveOutcome, DriveProgress, Sample};
use crate::measure::settle::{
    HALF_SECOND_OF_PLANE, Pace, Reading, Resumable, Sampled, go_on_from, pairs_within,
    run_until_settled,
};
use crate::tunnel::{Domain, Layout, View};
use std::io::{self, Read, Write};
use std::ops::ControlFlow;

/// Time after which fields are collected, in pitch-times.
const START_UP: f64 = 7.0;

/// What came out of a flat view.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The domain in cells.
    pub layout: Layout,
    /// What it came to.
    pub drive: DriveOutcome,
    /// Time means.
    pub mean: Fields,
    /// The last instant.
    pub last: Fields,
}

/// Runs `domain` on `threads`. The observer is asked at every sample, sixty times per pitch-time, and may break off.
pub fn drive(
    domain: &Domain,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> Outcome {
    let mut flow = PlaneFlow::new(domain, threads);
    let steps_per_pitch = flow.layout.pitch / domain.face_velocity.0;
    let drive = run_until_settled(&mut flow, steps_per_pitch, START_UP, limits, observer);
    outcome(drive, flow)
}

/// The same with an attendant, from a state that it kept before. `None` if it was interrupted.
///
/// # Errors
/// That `from` cannot be read or is not a state of this run.
pub fn drive_from(
    domain: &Domain,
    limits: &DriveLimits,
    threads: Threads,
    from: Option<&mut dyn Read>,
    attendant: &mut dyn Attendant,
) -> io::Result<Option<Outcome>> {
    let mut flow = PlaneFlow::new(domain, threads);
    let pace = Pace::new(flow.layout.pitch / domain.face_velocity.0, START_UP);
    let drive = go_on_from(&mut flow, &pace, limits, from, attendant)?;
    Ok(drive.map(|drive| outcome(drive, flow)))
}

/// A flat view under way.
struct PlaneFlow {
    lattice: PlaneLattice,
    layout: Layout,
    area: f64,
    volume: f64,
    dynamic_pressure: f64,
    means: MeanFields,
}

impl PlaneFlow {
    fn new(domain: &Domain, threads: Threads) -> Self {
        let (lattice, layout) = domain.build(threads);
        Self {
            area: repeat_area(domain.view, lattice.extent().ny),
            volume: fluid_volume(&lattice),
            dynamic_pressure: 0.5 * domain.face_velocity.0 * domain.face_velocity.0,
            means: MeanFields::new(&lattice),
            lattice,
            layout,
        }
    }
}

impl Resumable for PlaneFlow {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.lattice.save(out)?;
        self.means.save(out)
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.lattice.restore(from)?;
        self.means.restore(from)
    }
}

impl Sampled for PlaneFlow {
    fn advance(&mut self, pairs: usize) {
        self.lattice.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.lattice.step_count()
    }

    fn fluid_cell_count(&self) -> usize {
        self.lattice.fluid_cell_count()
    }

    fn dynamic_pressure(&self) -> f64 {
        self.dynamic_pressure
    }

    fn reading(&self) -> Reading {
        let stations = [self.layout.ahead, self.layout.behind];
        plane_reading(&self.lattice, stations, self.area, self.dynamic_pressure)
    }

    fn mean_density(&self) -> f64 {
        self.lattice.total_mass() / self.volume
    }

    fn collect_fields(&mut self) {
        self.means.add(&self.lattice);
    }

    fn forget_early_fields(&mut self) {
        self.means.forget_early_samples();
    }

    fn pairs_at_once(&self) -> usize {
        pairs_within(HALF_SECOND_OF_PLANE, self.lattice.extent().cell_count())
    }
}

fn outcome(drive: DriveOutcome, mut flow: PlaneFlow) -> Outcome {
    if flow.means.sample_count() == 0 {
        flow.means.add(&flow.lattice);
    }
    Outcome {
        layout: flow.layout,
        drive,
        mean: flow.means.fields(&flow.lattice),
        last: instant(&flow.lattice),
    }
}

/// Volume of the air in the domain: per unit depth in the plane, per radian around the axis.
fn fluid_volume(lattice: &PlaneLattice) -> f64 {
    let radius = |y: usize| {
        if lattice.is_axisymmetric() {
            y as f64 + 0.5
        } else {
            1.0
        }
    };
    let row = |y: usize| {
        lattice
            .fluid_runs(y)
            .iter()
            .map(ExactSizeIterator::len)
            .sum::<usize>() as f64
    };
    (0..lattice.extent().ny).map(|y| radius(y) * row(y)).sum()
}

/// Area of the computed half repeat: per unit depth in the plane, per radian around the axis.
fn repeat_area(view: View, cells_across: usize) -> f64 {
    match view {
        View::Slice => cells_across as f64,
        View::Hole => 0.5 * (cells_across * cells_across) as f64,
    }
}
