//! Cell updates per second of the hot loop, and the memory bandwidth of the same minute.
//!
//! `cargo bench --bench step`; about a minute and a half. A step reads and writes nine numbers of four bytes for every cell, 72 bytes (nineteen in three dimensions, 152 bytes): bandwidth over
//! these bytes is what memory alone would allow once a lattice is larger than the caches.

use std::hint::black_box;
use std::time::Duration;

use criterion::{
    BenchmarkGroup, BenchmarkId, Criterion, SamplingMode, Throughput, criterion_group,
    criterion_main, measurement::WallTime,
};
use rayon::prelude::*;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides, VolumeSides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::volume::{VolumeLattice, VolumeSetup};
use ventwright::lattice::walls::{Geometry, WallGroup, WallPoint};
use ventwright::units::LatticeViscosity;

/// Velocity of the uniform stream.
const STREAM: f64 = 0.05;

/// Cells across and along the flow.
const SIZES: [(usize, usize); 3] = [(256, 1024), (512, 2048), (2048, 8192)];

/// Cells along each side of a cube.
const CUBES: [usize; 2] = [64, 160];

/// Numbers in the array of the bandwidth: 1 GiB, more than any cache.
const SWEEP_LENGTH: usize = 1 << 28;

/// An inlet at x = −1/2 and nothing else.
struct Inlet;

impl Geometry for Inlet {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        (point[0] < -0.5).then_some(WallPoint {
            group: WallGroup::Rim,
            velocity: [STREAM, 0.0, 0.0],
        })
    }
}

/// A uniform stream with everything that a run has: inlet, outlet, mirrors, subgrid model.
fn stream(across: usize, along: usize, is_axisymmetric: bool, threads: Threads) -> PlaneLattice {
    let velocity = [0.05_f32, 0.0];
    let setup = PlaneSetup {
        extent: Extent::planar(along, across),
        fluid: Fluid::new(LatticeViscosity(0.002)).with_subgrid(),
        is_axisymmetric,
        sides: Sides {
            along: Side::Open,
            bottom: Side::Mirror,
            top: Side::Mirror,
        },
        geometry: &Inlet,
        outlet_velocity: Some([STREAM, 0.0]),
        threads,
    };
    PlaneLattice::new(&setup, |_, _| CellState {
        density: 0.0,
        velocity,
    })
}

/// A uniform stream must stay uniform.
fn assert_uniform(lattice: &PlaneLattice) {
    let extent = lattice.extent();
    for y in (0..extent.ny).step_by(7) {
        for x in (0..extent.nx).step_by(13) {
            let [u, v] = lattice.cell(x, y).velocity.map(f64::from);
            assert!(
                (u - STREAM).abs() < 1e-5 && v.abs() < 1e-5,
                "({x}, {y}) after {} steps: {u} {v}",
                lattice.step_count()
            );
        }
    }
}

/// The same in a cube.
fn stream_in_cube(side: usize, threads: Threads) -> VolumeLattice {
    let setup = VolumeSetup {
        extent: Extent {
            nx: side,
            ny: side,
            nz: side,
        },
        fluid: Fluid::new(LatticeViscosity(0.002)).with_subgrid(),
        sides: VolumeSides {
            along: Side::Open,
            bottom: Side::Mirror,
            top: Side::Mirror,
            near: Side::Periodic,
            far: Side::Periodic,
        },
        geometry: &Inlet,
        outlet_velocity: Some([STREAM, 0.0, 0.0]),
        threads,
    };
    VolumeLattice::new(&setup, |_, _, _| CellState {
        density: 0.0,
        velocity: [0.05, 0.0, 0.0],
    })
}

fn assert_uniform_cube(lattice: &VolumeLattice) {
    let side = lattice.extent().nx;
    for n in 0..side {
        let [u, v, w] = lattice.cell(n, side - 1 - n, n).velocity.map(f64::from);
        assert!(
            (u - STREAM).abs() < 1e-5 && v.abs() < 1e-5 && w.abs() < 1e-5,
            "{n} after {} steps: {u} {v} {w}",
            lattice.step_count()
        );
    }
}

fn pool_of(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("this machine can start threads")
}

fn shortly<'a>(criterion: &'a mut Criterion, name: &str) -> BenchmarkGroup<'a, WallTime> {
    let mut group = criterion.benchmark_group(name);
    group
        .sampling_mode(SamplingMode::Flat)
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    group
}

fn memory(criterion: &mut Criterion) {
    let mut group = shortly(criterion, "memory");
    group.throughput(Throughput::Bytes(8 * SWEEP_LENGTH as u64));
    let mut numbers = vec![2.0_f32; SWEEP_LENGTH];
    for threads in [1, 2] {
        let pool = pool_of(threads);
        let mut sweep = || {
            let part = numbers.len().div_ceil(threads);
            numbers
                .par_chunks_mut(part)
                .for_each(|part| part.iter_mut().for_each(|v| *v = 3.0 - *v));
        };
        // Twice gives back what was there.
        pool.install(|| {
            sweep();
            sweep();
        });
        group.bench_function(BenchmarkId::new("sweep", threads), |bencher| {
            pool.install(|| bencher.iter(&mut sweep));
        });
        assert!(numbers.iter().all(|v| (1.0..=2.0).contains(v)));
    }
    black_box(&numbers);
}

fn steps(criterion: &mut Criterion, name: &str, is_axisymmetric: bool) {
    let mut group = shortly(criterion, name);
    for (across, along) in SIZES {
        // One measurement is a pair of steps.
        group.throughput(Throughput::Elements(2 * (across * along) as u64));
        for (count, threads) in [(1, Threads::One), (2, Threads::Pool(2))] {
            let pool = pool_of(count);
            let mut lattice = stream(across, along, is_axisymmetric, threads);
            pool.install(|| lattice.step_pairs(2));
            assert_uniform(&lattice);
            let size = format!("{across}x{along}");
            group.bench_function(BenchmarkId::new(size, count), |bencher| {
                pool.install(|| bencher.iter(|| lattice.step_pairs(1)));
            });
            assert_uniform(&lattice);
        }
    }
}

fn plane(criterion: &mut Criterion) {
    steps(criterion, "plane", false);
}

fn axisymmetric(criterion: &mut Criterion) {
    steps(criterion, "axisymmetric", true);
}

fn volume(criterion: &mut Criterion) {
    let mut group = shortly(criterion, "volume");
    for side in CUBES {
        group.throughput(Throughput::Elements(2 * side.pow(3) as u64));
        for (count, threads) in [(1, Threads::One), (2, Threads::Pool(2))] {
            let pool = pool_of(count);
            let mut lattice = stream_in_cube(side, threads);
            pool.install(|| lattice.step_pairs(2));
            assert_uniform_cube(&lattice);
            group.bench_function(BenchmarkId::new(format!("{side}^3"), count), |bencher| {
                pool.install(|| bencher.iter(|| lattice.step_pairs(1)));
            });
            assert_uniform_cube(&lattice);
        }
    }
}

criterion_group!(benches, memory, plane, axisymmetric, volume);
criterion_main!(benches);
