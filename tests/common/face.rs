//! Fan faces driven to a steady state.

#![allow(dead_code, reason = "not every test has all of them")]
#![expect(
    clippy::print_stdout,
    reason = "the numbers seen are what a validation is for"
)]

use std::ops::ControlFlow;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::face::{FaceOutcome, drive_face};
use ventwright::tunnel::{FaceGrille, FaceZone, FanFace};

/// Runs a face for at least this many bore diameters of flow, at most for twice as many.
pub(crate) fn steady(name: &str, face: &FanFace<'_>, least_time: f64) -> FaceOutcome {
    let limits = DriveLimits {
        tolerance: 1e-3,
        other_doubts: 0.0,
        least_time,
        longest_time: 2.0 * least_time,
    };
    let outcome = drive_face(face, &limits, Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    println!(
        "{name}: {:?} after {} steps of {} cells; pressure {:.4} (room {:.4}), total {:.4}, K {:.4} ({:.4} by force), total {:.4}, swirl number {:.4} to {:.4}, torque {:.4}, {:?}, wake {:?}",
        outcome.drive.stop_reason,
        outcome.drive.step_count,
        outcome.drive.cell_count,
        outcome.pressure_ahead,
        outcome.room_pressure,
        outcome.total_pressure_ahead,
        outcome.static_loss_coefficient,
        outcome.static_loss_coefficient_by_force,
        outcome.total_loss_coefficient,
        outcome.swirl_number_in,
        outcome.swirl_number_out,
        outcome.torque_coefficient,
        outcome.balance,
        outcome.hub_wake(),
    );
    outcome
}

/// A grille of one kind of passages all over the bore, that leaves this share of the swirl.
pub(crate) fn even_grille(loss_coefficient: f64, kept_tangent: f64) -> FaceGrille {
    FaceGrille {
        thickness: 0.1,
        walls: Vec::new(),
        zones: vec![FaceZone {
            inner: 0.0,
            outer: 1.0,
            loss_coefficient,
            linear_loss_coefficient: 0.0,
            kept_tangent,
            outflow_tangent: 0.0,
            lean_tangent: 0.0,
        }],
    }
}
