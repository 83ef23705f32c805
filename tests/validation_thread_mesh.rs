//! Square meshes of round threads in three dimensions.
//!
//! Source: symmetry, which is exact (a quarter of an opening between mirrors is the whole mesh), and the conservation of momentum, by which K by force is K by momentum.
//! Tolerance: 2e-4 between quarter and whole, 0.1 % between momentum and force (the runs stop while K still moves a little); density rise under 1 %.
//! Error seen: quarter and whole agree to six digits. Threads that grow together in one plane cost 30 % more than touching ones (open fraction 0.5, thread Reynolds number 5, 5 cells across a thread).

mod common;

use common::assert_close;
use std::ops::ControlFlow;
use ventwright::lattice::step::Threads;
use ventwright::measure::repeat::RepeatOutcome;
use ventwright::measure::series::StopReason;
use ventwright::measure::thread_mesh::drive_thread_mesh;
use ventwright::measure::thread_row::ROW_LIMITS;
use ventwright::tunnel::{Crossing, ThreadMesh, ThreadSides};

/// Drives a mesh to rest and closes its books.
fn steady(mesh: &ThreadMesh) -> (f64, RepeatOutcome) {
    let outcome = drive_thread_mesh(mesh, &ROW_LIMITS, Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    assert_eq!(outcome.stop_reason, StopReason::Converged);
    let loss = outcome.loss_coefficient.expect("it came to rest").mean;
    assert_close("K by force", outcome.loss_coefficient_by_force, loss, 1e-3);
    assert!(
        outcome.density_rise < 0.01 && outcome.flow_error.abs() < 1e-3,
        "density rise {}, flow {}",
        outcome.density_rise,
        outcome.flow_error
    );
    (loss, outcome)
}

#[test]
fn a_quarter_between_mirrors_is_the_whole_mesh() {
    let quarter = ThreadMesh::new(0.5, Crossing::Touching, 5.0, 5.0);
    let whole = ThreadMesh {
        sides: ThreadSides::Periodic,
        ..quarter
    };
    let (expected, outcome) = steady(&quarter);
    let (loss, whole) = steady(&whole);
    println!("quarter {expected:.5}, whole {loss:.5}");
    assert_eq!(4 * outcome.cell_count, whole.cell_count);
    assert_close("K of the whole", loss, expected, 2e-4);
}

#[test]
fn threads_in_one_plane_cost_more_than_threads_behind_each_other() {
    let [one_plane, touching] = [Crossing::OnePlane, Crossing::Touching]
        .map(|crossing| steady(&ThreadMesh::new(0.5, crossing, 5.0, 5.0)).0);
    println!("one plane {one_plane:.4}, touching {touching:.4}");
    assert!(one_plane > 1.1 * touching);
}
