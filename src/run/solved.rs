//! Drives one run, of whichever view, and reads what came out in one way.

use std::io::{self, Read};

use crate::lattice::step::Threads;
use crate::measure::attendant::Attendant;
use crate::measure::drive::{DriveLimits, Outcome, Sample, drive_from};
use crate::measure::face::{FaceOutcome, drive_face_from};
use crate::measure::hole_swirl::torque_coefficients;
use crate::measure::repeat::{RepeatOutcome, drive_repeat_from};
use crate::measure::series::{SettledMean, StopReason};
use crate::run::planned::{Run, Subject};
use crate::run::repeat_plan::{FEWEST_RIB_CELLS, TIMES};

/// Fewest cells across an opening or a rib of a flat view.
const FEWEST_CELLS: f64 = 6.0;

/// What came out of a run.
#[derive(Debug)]
pub(super) enum Solved {
    /// Of a flat view.
    Flat(Box<Outcome>),
    /// Of the repeat view.
    Repeat(Box<SolvedRepeat>),
    /// Of a fan view.
    Face(Box<FaceOutcome>),
}

/// What came out of a repeat, with what its numbers hang on.
#[derive(Debug)]
pub(super) struct SolvedRepeat {
    pub(super) outcome: RepeatOutcome,
    /// Tangents of the angles at which the air came in.
    inflow_tangents: [f64; 2],
    /// Least rib in hydraulic diameters; negative where holes run into each other.
    least_rib: f64,
    /// Couple on a hole, mean over the holes.
    torque: f64,
}

/// The numbers that every view has.
#[derive(Debug, Clone, Copy)]
pub(super) struct Readings<'a> {
    pub(super) stop_reason: StopReason,
    /// Static K by momentum (of a fan view: total pressure ahead of the grille), with its interval in time.
    pub(super) loss_coefficient: Option<SettledMean>,
    pub(super) loss_coefficient_by_force: f64,
    /// Total K and the tangents of the mixed-out flow angles, of views that see them.
    pub(super) oblique: Option<Oblique>,
    pub(super) flow_error: f64,
    pub(super) density_rise: f64,
    pub(super) step_count: u64,
    pub(super) cell_count: usize,
    /// Cells across the opening, or per hydraulic diameter.
    pub(super) cells_across: f64,
    /// Cells across the narrowest part, and how many are wanted.
    pub(super) narrowest: (f64, f64),
    pub(super) history: &'a [Sample],
}

/// What air that comes in or goes out at an angle adds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Oblique {
    /// K by the total pressure.
    pub(super) total_loss_coefficient: f64,
    /// Tangents of the angles at which the air comes in, towards the fan's rotation and across it.
    pub(super) inflow_tangents: [f64; 2],
    /// Tangents of the angles at which it goes out, mixed out.
    pub(super) outflow_tangents: [f64; 2],
    /// Force on the plate along and across, over area and dynamic pressure.
    pub(super) side_force: [f64; 2],
    /// Couple on a hole, mean over the holes, over area, dynamic pressure and hydraulic diameter.
    pub(super) torque: f64,
}

impl Oblique {
    /// Whether all of it is a number; a run that blew up has none.
    pub(super) fn is_finite(&self) -> bool {
        let pairs = [self.inflow_tangents, self.outflow_tangents, self.side_force];
        let numbers = [self.total_loss_coefficient, self.torque];
        let mut all = pairs.as_flattened().iter().chain(&numbers);
        all.all(|number| number.is_finite())
    }
}

/// Drives a run from the start or from a state that an attendant kept; `None` if it was interrupted.
///
/// # Errors
/// That the state is not one of this run. Without one there is no error.
pub(super) fn solve_run(
    run: &Run,
    threads: Threads,
    from: Option<&mut dyn Read>,
    attendant: &mut dyn Attendant,
) -> io::Result<Option<Solved>> {
    Ok(match &run.subject {
        Subject::Flat(flat) => {
            let limits = DriveLimits {
                tolerance: run.tolerance,
                other_doubts: run.other_doubts,
                ..DriveLimits::default()
            };
            drive_from(&flat.domain, &limits, threads, from, attendant)?
                .map(|outcome| Solved::Flat(Box::new(outcome)))
        }
        Subject::Repeat(repeat) => {
            let limits = DriveLimits {
                tolerance: run.tolerance,
                other_doubts: run.other_doubts,
                least_time: TIMES.0,
                longest_time: TIMES.1,
            };
            let is_solid = |place: [f64; 3]| repeat.is_solid(place);
            let domain = &repeat.domain;
            drive_repeat_from(domain, &is_solid, &limits, &threads, from, attendant)?.map(
                |outcome| {
                    let torques = torque_coefficients(&outcome, &repeat.hole_axes());
                    Solved::Repeat(Box::new(SolvedRepeat {
                        torque: torques.iter().sum::<f64>() / torques.len().max(1) as f64,
                        outcome,
                        inflow_tangents: repeat.domain.inflow_tangents,
                        least_rib: repeat.least_rib / repeat.hydraulic_diameter,
                    }))
                },
            )
        }
        Subject::Face(face) => {
            let limits = face.depth.limits();
            face.with_domain(|domain| drive_face_from(domain, &limits, threads, from, attendant))?
                .map(|outcome| Solved::Face(Box::new(outcome)))
        }
    })
}

impl Solved {
    /// Why it stopped.
    pub(super) fn stop_reason(&self) -> StopReason {
        match self {
            Self::Flat(outcome) => outcome.stop_reason,
            Self::Repeat(solved) => solved.outcome.stop_reason,
            Self::Face(outcome) => outcome.stop_reason,
        }
    }

    /// Its numbers.
    pub(super) fn readings(&self) -> Readings<'_> {
        match self {
            Self::Flat(outcome) => of_flat(outcome),
            Self::Repeat(solved) => of_repeat(solved),
            Self::Face(outcome) => of_face(outcome),
        }
    }
}

fn of_flat(outcome: &Outcome) -> Readings<'_> {
    let section = outcome.layout.section;
    let rib = 2.0 * (section.cells_across as f64 - section.opening);
    Readings {
        stop_reason: outcome.stop_reason,
        loss_coefficient: outcome.loss_coefficient,
        loss_coefficient_by_force: outcome.loss_coefficient_by_force,
        oblique: None,
        flow_error: outcome.flow_error,
        density_rise: outcome.density_rise,
        step_count: outcome.step_count,
        cell_count: outcome.cell_count,
        cells_across: outcome.layout.cells_across_opening,
        narrowest: (outcome.layout.cells_across_opening.min(rib), FEWEST_CELLS),
        history: &outcome.history,
    }
}

fn of_repeat(solved: &SolvedRepeat) -> Readings<'_> {
    let outcome = &solved.outcome;
    let cells = outcome.layout.cells_across_hole;
    // Holes that run into each other have no rib to be resolved.
    let rib = if solved.least_rib > 0.0 {
        solved.least_rib * cells
    } else {
        cells
    };
    Readings {
        stop_reason: outcome.stop_reason,
        loss_coefficient: outcome.loss_coefficient,
        loss_coefficient_by_force: outcome.loss_coefficient_by_force,
        oblique: Some(Oblique {
            total_loss_coefficient: outcome.total_loss_coefficient,
            inflow_tangents: solved.inflow_tangents,
            outflow_tangents: outcome.outflow_tangents,
            side_force: outcome.side_force,
            torque: solved.torque,
        }),
        flow_error: outcome.flow_error,
        density_rise: outcome.density_rise,
        step_count: outcome.step_count,
        cell_count: outcome.cell_count,
        cells_across: cells,
        narrowest: (rib.min(cells), FEWEST_RIB_CELLS),
        history: &outcome.history,
    }
}

/// The run waits for the total pressure ahead of the grille: that of the bare fan is a number too.
fn of_face(outcome: &FaceOutcome) -> Readings<'_> {
    let cells = outcome.layout.bore as f64;
    Readings {
        stop_reason: outcome.stop_reason,
        loss_coefficient: outcome.total_pressure_in_time,
        loss_coefficient_by_force: outcome.static_loss_coefficient_by_force,
        oblique: None,
        flow_error: outcome.balance.mass,
        density_rise: outcome.density_rise,
        step_count: outcome.step_count,
        cell_count: outcome.cell_count,
        cells_across: cells,
        narrowest: (cells, 0.0),
        history: &outcome.history,
    }
}
