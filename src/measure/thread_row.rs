//! Drives a row of threads and reads its loss coefficient.

use std::ops::ControlFlow;

use crate::lattice::simulation::PlaneLattice;
use crate::lattice::step::Threads;
use crate::measure::grid::{GridStudy, GridValue, smooth_grid_study};
use crate::measure::momentum::plane_reading;
use crate::measure::series::{SettledMean, StopReason};
use crate::measure::settle::{
    DriveLimits, DriveProgress, HALF_SECOND_OF_PLANE, Reading, Sample, Sampled, pairs_within,
    run_until_settled,
};
use crate::tunnel::{ThreadRow, ThreadRowLayout};

/// What came out of a row of threads.
#[derive(Debug, Clone)]
pub struct ThreadRowOutcome {
    /// The row in cells.
    pub layout: ThreadRowLayout,
    /// Why it stopped.
    pub stop_reason: StopReason,
    /// Static K by momentum on the velocity ahead of the row, with its interval in time; `None` if it diverged or is too short.
    pub loss_coefficient: Option<SettledMean>,
    /// The same by the force on the threads, mean over the same samples.
    pub loss_coefficient_by_force: f64,
    /// Mean volume flow behind the row over that ahead of it, minus 1.
    pub flow_error: f64,
    /// Density rise across the row.
    pub density_rise: f64,
    /// Steps done.
    pub step_count: u64,
    /// Fluid cells.
    pub cell_count: usize,
    /// All samples.
    pub history: Vec<Sample>,
}

struct RowFlow {
    lattice: PlaneLattice,
    layout: ThreadRowLayout,
    dynamic_pressure: f64,
}

impl Sampled for RowFlow {
    fn advance(&mut self, pairs: usize) {
        self.lattice.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.lattice.step_count()
    }

    fn reading(&self) -> Reading {
        let stations = [self.layout.ahead, self.layout.behind];
        let area = self.layout.cells.ny as f64;
        plane_reading(&self.lattice, stations, area, self.dynamic_pressure)
    }

    fn mean_density(&self) -> f64 {
        self.lattice.total_mass() / self.lattice.fluid_cell_count() as f64
    }

    fn collect_fields(&mut self) {}

    fn forget_early_fields(&mut self) {}

    fn pairs_at_once(&self) -> usize {
        pairs_within(HALF_SECOND_OF_PLANE, self.lattice.extent().cell_count())
    }
}

/// Limits that suit a row of threads: it is steady, so K has to stand still.
pub const ROW_LIMITS: DriveLimits = DriveLimits {
    tolerance: 1e-3,
    other_doubts: 0.0,
    least_time: 4.0,
    longest_time: 40.0,
};

/// K of a symmetric row of threads, extrapolated from two grids, of which the finer one has about so many cells across the narrower of thread and gap (24 leave an error of some tenths of a per cent).
///
/// `None` if a grid diverged, or if it was still moving at the end of its time.
///
/// # Validity
/// See [`ThreadRow::new`]. Beyond a Reynolds number of some 40 real threads shed vortices; this is the steady symmetric flow then.
pub fn solve_thread_row(
    open_fraction: f64,
    reynolds_number: f64,
    cells_across_narrow: f64,
    threads: Threads,
) -> Option<GridStudy> {
    let solved = |cells: f64| {
        let row = ThreadRow::new(open_fraction, reynolds_number, cells);
        let outcome = drive_thread_row(&row, &ROW_LIMITS, threads, &mut |_| {
            ControlFlow::Continue(())
        });
        let mean = outcome.loss_coefficient?;
        (outcome.stop_reason == StopReason::Converged).then_some(GridValue {
            cells: outcome.layout.pitch,
            value: mean.mean,
        })
    };
    let (fine, coarse) = (cells_across_narrow, 0.5 * cells_across_narrow);
    Some(smooth_grid_study(solved(fine)?, solved(coarse)?))
}

/// Runs `row` on `threads`. The observer is asked at every sample, sixty times per unit of time, and may break off.
///
/// The unit of time is that in which the stream passes a pitch; in slow flow, where viscosity is quicker, a quarter of the time that viscosity takes for a pitch (its square over the viscosity).
pub fn drive_thread_row(
    row: &ThreadRow,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> ThreadRowOutcome {
    let velocity = row.face_velocity.0;
    let (lattice, layout) = row.build(threads);
    let mut flow = RowFlow {
        lattice,
        layout,
        dynamic_pressure: 0.5 * velocity * velocity,
    };
    let by_stream = layout.pitch / velocity;
    let by_viscosity = 0.25 * layout.pitch * layout.pitch / layout.viscosity.0;
    let unit = by_stream.min(by_viscosity);
    let settled = run_until_settled(&mut flow, unit, f64::INFINITY, limits, observer);
    ThreadRowOutcome {
        layout,
        stop_reason: settled.stop_reason,
        loss_coefficient: settled.loss_coefficient,
        loss_coefficient_by_force: settled.loss_coefficient_by_force,
        flow_error: settled.flow_error,
        density_rise: 1.5 * settled.loss_coefficient_by_force * velocity * velocity,
        step_count: flow.lattice.step_count(),
        cell_count: flow.lattice.fluid_cell_count(),
        history: settled.history,
    }
}
