//! A planar row of round threads: what a fabric is to the air when only one of its two families of threads is looked at.
//!
//! Threads are slow: at a Reynolds number of 0.1 a row with an open fraction of 0.6 has a loss coefficient of 250, so the lattice velocity must be small and the viscosity large.
//! [`ThreadRow::new`] chooses both from an estimate of the loss.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths are computed as numbers and become positive counts of cells; states are single precision"
)]

use super::speed::ThreadSpeed;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::walls::{Geometry, WallGroup, WallPoint};
use ventwright::measure::momentum::plane_mean;
use ventwright::measure::series::{is_settled, settled_mean};
use ventwright::units::{LatticeVelocity, LatticeViscosity};

/// Relative half-width at which K of a row stands still.
const STILL: f64 = 1e-3;

/// Samples of K in a unit of time; shortest and longest time.
const SAMPLES: f64 = 60.0;
const SHORTEST: usize = 5;
const LONGEST: usize = 40;

/// What lies beside the part of a row or mesh of threads that is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum ThreadSides {
    /// Mirrors through the middle of a thread and the middle of a gap: half a pitch each way, and the flow stays symmetric (steady wherever the symmetric flow is).
    Mirrors,
    /// A whole pitch that repeats: threads may shed vortices.
    Periodic,
}

/// A row of parallel round threads across the flow; lengths in pitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ThreadRow {
    /// Open share of the pitch: 1 − thread diameter / pitch, between 0 and 1.
    pub(crate) open_fraction: f64,
    /// Fibre Reynolds number: velocity ahead of the row times thread diameter over viscosity.
    pub(crate) reynolds_number: f64,
    /// Cells per pitch (approximately: half a pitch gets a whole number of cells).
    pub(crate) cells_per_pitch: f64,
    /// Velocity ahead of the row.
    pub(crate) face_velocity: LatticeVelocity,
    /// Length ahead of the threads, in pitches.
    pub(crate) pitches_ahead: f64,
    /// Length behind the threads, in pitches.
    pub(crate) pitches_behind: f64,
    /// What lies beside it.
    pub(crate) sides: ThreadSides,
}

/// The row in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ThreadRowLayout {
    /// Number of cells.
    pub(crate) cells: Extent,
    /// Length of a pitch.
    pub(crate) pitch: f64,
    /// Diameter of a thread.
    pub(crate) diameter: f64,
    /// x of the middle of the threads.
    pub(crate) middle: f64,
    /// Viscosity.
    pub(crate) viscosity: LatticeViscosity,
    /// Columns for the momentum balance ahead of the row: first and one past the last.
    pub(crate) ahead: (usize, usize),
    /// Columns for the momentum balance behind it.
    pub(crate) behind: (usize, usize),
}

impl ThreadRow {
    /// A symmetric row with about so many cells across the narrower of thread and gap, and with the lattice velocity and the room that suit its open fraction and Reynolds number.
    ///
    /// Among the pitches within a twelfth of the size asked for, the one is taken at which the side of a thread comes closest to half-way between two cells: what a wall costs changes a
    /// little with its place between them, and so it changes least from one grid to the next.
    ///
    /// # Validity
    /// Open fractions from 0.3 to 0.95 and Reynolds numbers from 0.1 to 100 have been tried.
    pub(crate) fn new(open_fraction: f64, reynolds_number: f64, cells_across_narrow: f64) -> Self {
        let diameter = 1.0 - open_fraction;
        let pitch = fitted_pitch(diameter, cells_across_narrow / diameter.min(open_fraction));
        let speed = ThreadSpeed {
            loss_coefficient: estimated_loss(open_fraction, reynolds_number),
            open_fraction,
            reynolds_number,
            cells_across_thread: diameter * pitch,
        };
        // A wake is as long as its Reynolds number asks for; the momentum balance is exact in it, but the outlet would feel it.
        let wake = 0.05 * reynolds_number * diameter.min(0.5);
        Self {
            open_fraction,
            reynolds_number,
            cells_per_pitch: pitch,
            face_velocity: speed.face_velocity(),
            pitches_ahead: 1.5,
            pitches_behind: 1.5 + wake.min(3.0),
            sides: ThreadSides::Mirrors,
        }
    }

    /// Diameter of a thread, in pitches.
    pub(crate) fn diameter(&self) -> f64 {
        1.0 - self.open_fraction
    }

    /// The row in cells.
    pub(crate) fn layout(&self) -> ThreadRowLayout {
        let pitch = even(self.cells_per_pitch);
        let diameter = self.diameter() * pitch;
        let ahead = (self.pitches_ahead * pitch).ceil();
        let rear = ahead + diameter;
        let cells_along = (rear + self.pitches_behind * pitch).ceil();
        let room = cells_along - rear;
        let cells_across = match self.sides {
            ThreadSides::Mirrors => 0.5 * pitch,
            ThreadSides::Periodic => pitch,
        };
        ThreadRowLayout {
            cells: Extent::planar(cells_along as usize, cells_across as usize),
            pitch,
            diameter,
            middle: ahead - 0.5 + 0.5 * diameter,
            viscosity: LatticeViscosity(self.face_velocity.0 * diameter / self.reynolds_number),
            ahead: ((0.25 * ahead) as usize, (0.6 * ahead).ceil() as usize),
            behind: ((rear + 0.2 * room) as usize, (rear + 0.6 * room) as usize),
        }
    }

    /// Builds the lattice, filled with the undisturbed stream.
    pub(crate) fn build(&self, threads: Threads) -> (PlaneLattice, ThreadRowLayout) {
        let layout = self.layout();
        let velocity = self.face_velocity.0;
        let row = Row { layout, velocity };
        let side = match self.sides {
            ThreadSides::Mirrors => Side::Mirror,
            ThreadSides::Periodic => Side::Periodic,
        };
        let setup = PlaneSetup {
            extent: layout.cells,
            fluid: Fluid::new(layout.viscosity).resolved(),
            is_axisymmetric: false,
            sides: Sides {
                along: Side::Open,
                bottom: side,
                top: side,
            },
            geometry: &row,
            outlet_velocity: Some([velocity, 0.0]),
            threads,
        };
        let start = CellState {
            density: 0.0,
            velocity: [velocity as f32, 0.0],
        };
        (PlaneLattice::new(&setup, |_, _| start), layout)
    }
}

/// The even whole number next to it, at least four.
fn even(cells: f64) -> f64 {
    (2.0 * (0.5 * cells).round()).max(4.0)
}

/// The even pitch within a twelfth of the wanted one at which the radius of a thread is closest to a whole number of cells.
fn fitted_pitch(diameter: f64, wanted: f64) -> f64 {
    let misfit = |pitch: f64| {
        let radius = 0.5 * diameter * pitch;
        (radius - radius.round()).abs() + (pitch / wanted - 1.0).abs()
    };
    let (least, most) = (even(11.0 / 12.0 * wanted), even(13.0 / 12.0 * wanted));
    std::iter::successors(Some(least), |pitch| Some(pitch + 2.0))
        .take_while(|&pitch| pitch <= most)
        .min_by(|a, b| misfit(*a).total_cmp(&misfit(*b)))
        .unwrap_or(least)
}

/// Rough loss coefficient of a row, to choose a lattice velocity by: the lubrication limit of narrow gaps with half as much again, and what mixing costs.
///
/// ```text
/// K = 2/Re 1.5 (9 pi/2) (d/L) sqrt(d/(2 L)) (g/L)^(-5/2) + 0.6 ((L/g)^2 - 1)      d thread, g gap, L pitch
/// ```
///
/// The first term follows from plane flow between two parabolas; it is 7 % above (open fraction 0.6) or below (0.8) the true slow flow.
pub(crate) fn estimated_loss(open_fraction: f64, reynolds_number: f64) -> f64 {
    let diameter = 1.0 - open_fraction;
    let slow = 1.5 * 4.5 * std::f64::consts::PI * diameter * (0.5 * diameter).sqrt()
        / open_fraction.powf(2.5);
    2.0 / reynolds_number * slow + 0.6 * (open_fraction.powi(-2) - 1.0)
}

/// The threads in cell coordinates: one has its middle on the lower side.
struct Row {
    layout: ThreadRowLayout,
    velocity: f64,
}

impl Geometry for Row {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        let [x, y, _] = point;
        if x < -0.5 {
            return Some(WallPoint {
                group: WallGroup::Rim,
                velocity: [self.velocity, 0.0, 0.0],
            });
        }
        let pitch = self.layout.pitch;
        let across = (y + 0.5 + 0.5 * pitch).rem_euclid(pitch) - 0.5 * pitch;
        let is_thread = (x - self.layout.middle).hypot(across) < 0.5 * self.layout.diameter;
        is_thread.then_some(WallPoint {
            group: WallGroup::Body,
            velocity: [0.0; 3],
        })
    }
}

/// What came out of a row of threads at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SolvedRow {
    /// Length of a pitch in cells.
    pub(crate) pitch: f64,
    /// Static K by momentum on the velocity ahead of the row.
    pub(crate) loss_coefficient: f64,
    /// The same by the force on the threads.
    pub(crate) loss_coefficient_by_force: f64,
    /// Mean volume flow behind the row over that ahead of it, minus 1.
    pub(crate) flow_error: f64,
    /// Density rise across the row.
    pub(crate) density_rise: f64,
    /// Steps done.
    pub(crate) step_count: u64,
    /// Fluid cells.
    pub(crate) cell_count: usize,
}

impl ThreadRow {
    /// Runs the row until K stands still by [`STILL`]; `None` where it does not within its time.
    ///
    /// The unit of time is that in which the stream passes a pitch; in slow flow, where viscosity is quicker, a quarter of the time that viscosity takes for a pitch (its square over the viscosity).
    pub(crate) fn solve(&self) -> Option<SolvedRow> {
        let velocity = self.face_velocity.0;
        let (mut lattice, layout) = self.build(Threads::One);
        let by_stream = layout.pitch / velocity;
        let by_viscosity = 0.25 * layout.pitch * layout.pitch / layout.viscosity.0;
        let pairs = ((by_stream.min(by_viscosity) / SAMPLES / 2.0).round() as usize).max(1);
        let pressure = 0.5 * velocity * velocity;
        let (mut losses, mut by_force, mut flow_error) = (Vec::new(), 0.0, 0.0);
        for unit in 1..=LONGEST {
            for _ in 0..SAMPLES as usize {
                lattice.step_pairs(pairs);
                let [ahead, behind] =
                    [layout.ahead, layout.behind].map(|columns| plane_mean(&lattice, columns));
                losses.push((ahead.momentum_flux - behind.momentum_flux) / pressure);
                by_force = lattice.wall_force().body[0] / layout.cells.ny as f64 / pressure;
                flow_error = behind.velocity / ahead.velocity - 1.0;
            }
            let settled = settled_mean(&losses)?;
            if unit >= SHORTEST && is_settled(&settled, STILL) {
                return Some(SolvedRow {
                    pitch: layout.pitch,
                    loss_coefficient: settled.mean,
                    loss_coefficient_by_force: by_force,
                    flow_error,
                    density_rise: 1.5 * by_force * velocity * velocity,
                    step_count: lattice.step_count(),
                    cell_count: lattice.fluid_cell_count(),
                });
            }
        }
        None
    }
}
