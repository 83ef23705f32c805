//! One whole hole view, from the start of the stream to a loss coefficient known to 1 %.
//!
//! `cargo bench --bench study`; about a minute.

use std::ops::ControlFlow;
use std::time::Duration;

use criterion::{Criterion, SamplingMode, Throughput, criterion_group, criterion_main};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, Outcome, drive};
use ventwright::measure::series::StopReason;
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

/// A round hole with sharp edges, as a grille of a desktop fan has it.
const HOLE: Domain = Domain {
    view: View::Hole,
    free_area_ratio: 0.42,
    thickness: 0.8,
    front_edge: EdgeShape::Sharp,
    rear_edge: EdgeShape::Sharp,
    reynolds_number: 2381.0,
    cells_across_opening: 48.0,
    face_velocity: LatticeVelocity(0.075 * 0.42),
    pitches_ahead: 1.0,
    pitches_behind: 3.5,
    has_subgrid: true,
    shift: 0.0,
};

fn run() -> Outcome {
    let limits = DriveLimits {
        tolerance: 0.01,
        ..DriveLimits::default()
    };
    drive(&HOLE, &limits, Threads::One, &mut |_| {
        ControlFlow::Continue(())
    })
}

#[expect(
    clippy::print_stdout,
    reason = "what was timed is told beside how long it took"
)]
fn hole_view(criterion: &mut Criterion) {
    let outcome = run();
    let loss = outcome
        .drive
        .loss_coefficient
        .expect("this hole has a loss coefficient");
    assert_eq!(outcome.drive.stop_reason, StopReason::Converged);
    assert!((4.4..5.1).contains(&loss.mean), "K {}", loss.mean);
    println!(
        "hole view: K {:.3} ± {:.3} on the face velocity, {} steps of {} cells",
        loss.mean, loss.half_width, outcome.drive.step_count, outcome.drive.cell_count
    );
    let mut group = criterion.benchmark_group("hole view");
    group
        .sampling_mode(SamplingMode::Flat)
        .sample_size(10)
        .warm_up_time(Duration::from_millis(100))
        .measurement_time(Duration::from_secs(2))
        .throughput(Throughput::Elements(
            outcome.drive.step_count * outcome.drive.cell_count as u64,
        ));
    group.bench_function("48 cells to 1 %", |bencher| bencher.iter(run));
}

criterion_group!(benches, hole_view);
criterion_main!(benches);
