//! Cell updates per second of a real view: a repeat of hexagonal holes in three dimensions with plate, inlet, outlet and subgrid model.
//!
//! `cargo bench --bench repeat`; about twenty seconds. Rows are short and the plate splits them, so this is what a user gets of the numbers in `step.rs`.

use std::time::Duration;

use criterion::{
    BenchmarkId, Criterion, SamplingMode, Throughput, criterion_group, criterion_main,
};
use ventwright::grille::{Edge, HolePattern, HoleShape, Layout, RepeatSolid, Turn};
use ventwright::lattice::step::Threads;
use ventwright::lattice::volume::VolumeLattice;
use ventwright::tunnel::RepeatDomain;
use ventwright::units::LatticeVelocity;

/// Across flats, m.
const DIAMETER: f64 = 5e-3;

const FREE_AREA_RATIO: f64 = 0.6;

/// Plate, m.
const THICKNESS: f64 = 4e-3;

/// Cells across a hole.
const RESOLUTIONS: [f64; 2] = [24.0, 32.0];

/// Time steps between two looks at the flow.
const PAIRS: usize = 5;

fn repeat(cells_across_hole: f64, threads: Threads) -> VolumeLattice {
    let pitch = FREE_AREA_RATIO.sqrt().recip();
    let pattern = HolePattern {
        shape: HoleShape::Hexagon {
            across_flats: DIAMETER,
        },
        layout: Layout::Staggered,
        rib: DIAMETER * (pitch - 1.0),
        turn: Turn::Straight,
        merging_accepted: false,
    };
    let solid = RepeatSolid::of(&pattern, THICKNESS, Edge::Sharp, Edge::Sharp, 0.0)
        .expect("straight hexagons have a repeat");
    let domain = RepeatDomain {
        extent: solid.extent().map(|width| width / DIAMETER),
        pitch,
        thickness: THICKNESS / DIAMETER,
        free_area_ratio: FREE_AREA_RATIO,
        reynolds_number: 1664.0,
        inflow_tangents: [0.0, 0.0],
        cells_across_hole,
        face_velocity: LatticeVelocity(0.1 * FREE_AREA_RATIO),
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        has_subgrid: true,
        shift: [0.0; 3],
        head_start: 0.0,
    };
    let is_solid =
        |[depth, y, z]: [f64; 3]| solid.is_solid(depth * DIAMETER, y * DIAMETER, z * DIAMETER);
    domain.build(&is_solid, threads).0
}

/// As much flow behind the plate as ahead of it, and the plate is pushed along.
fn assert_sane(lattice: &VolumeLattice) {
    let extent = lattice.extent();
    let flow = |x: usize| -> f64 {
        let rows = (0..extent.nz).flat_map(|z| (0..extent.ny).map(move |y| (y, z)));
        rows.map(|(y, z)| f64::from(lattice.cell(x, y, z).velocity[0]))
            .sum()
    };
    let (ahead, behind) = (flow(2), flow(extent.nx - 10));
    assert!((behind / ahead - 1.0).abs() < 0.05, "{ahead} {behind}");
    assert!(lattice.wall_force().body[0] > 0.0);
}

fn hexagons(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("repeat");
    group
        .sampling_mode(SamplingMode::Flat)
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    for cells in RESOLUTIONS {
        for (count, threads) in [(1, Threads::One), (2, Threads::Pool(2))] {
            let pool = rayon::ThreadPoolBuilder::new()
                .num_threads(count)
                .build()
                .expect("this machine can start threads");
            let mut lattice = repeat(cells, threads);
            // Until sound has settled.
            pool.install(|| lattice.step_pairs(1000));
            assert_sane(&lattice);
            let updates = 2 * PAIRS * lattice.fluid_cell_count();
            group.throughput(Throughput::Elements(updates as u64));
            let name = format!("{cells} cells across a hole");
            group.bench_function(BenchmarkId::new(name, count), |bencher| {
                pool.install(|| bencher.iter(|| lattice.step_pairs(PAIRS)));
            });
            assert_sane(&lattice);
        }
    }
}

criterion_group!(benches, hexagons);
criterion_main!(benches);
