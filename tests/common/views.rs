//! Laminar flat views driven to a steady loss coefficient.

use std::ops::ControlFlow;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, Outcome, drive};
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

/// A sharp-edged view without subgrid model.
pub(crate) fn sharp(
    view: View,
    free_area_ratio: f64,
    thickness: f64,
    reynolds_number: f64,
) -> Domain {
    Domain {
        view,
        free_area_ratio,
        thickness,
        front_edge: EdgeShape::Sharp,
        rear_edge: EdgeShape::Sharp,
        reynolds_number,
        cells_across_opening: 48.0,
        face_velocity: LatticeVelocity(0.02),
        pitches_ahead: 1.5,
        pitches_behind: 6.0,
        has_subgrid: false,
        shift: 0.0,
    }
}

/// The same on another grid, with the lattice velocity falling as the cells shrink: 0.02 at 48 cells.
pub(crate) fn on_grid(domain: Domain, cells: f64) -> Domain {
    Domain {
        cells_across_opening: cells,
        face_velocity: LatticeVelocity(0.02 * 48.0 / cells),
        ..domain
    }
}

/// Drives a view to a steady state.
pub(crate) fn steady(domain: &Domain) -> Outcome {
    let limits = DriveLimits {
        tolerance: 2e-4,
        other_doubts: 0.0,
        least_time: 10.0,
        longest_time: 24.0,
    };
    drive(domain, &limits, Threads::One, &mut |_| {
        ControlFlow::Continue(())
    })
}
