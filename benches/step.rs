//! Cell updates per second of the hot loop, beside the memory bandwidth of the same minute.
//!
//! `cargo bench --bench step`, about three minutes; words after `--` choose rows by their names (`cargo bench --bench step -- plane`). Nothing else may run meanwhile.
//! `cargo test --bench step` does all of it once on small lattices: that checks the results, and its speeds say nothing.
//!
//! Times are by the clock on the wall, numbers are medians over samples, and a stream that is timed must be uniform before and afterwards.
//!
//! An update in place reads and writes nine numbers of four bytes (nineteen in three dimensions); with a byte that tells what kind of cell it is these are 73 bytes (153). Bandwidth over
//! them is the *line*: what memory allows a lattice larger than the caches as long as every step goes through all of it. A sample of such a lattice follows a sample of the bandwidth with as many
//! threads, and its share of the line is the median of their ratios, because on a shared machine bandwidth changes from minute to minute.
//!
//! *Plain* is step after step, *skewed* several steps in one go through memory. A run does the latter where it can: in the plane, and in three dimensions without an outlet.
//!
//! "Two at once" is the speed of two lattices, one on each of two threads, over that of one lattice on one thread: what a batch of runs has of a second core.

#![expect(clippy::print_stdout, reason = "a bench tells what it measured")]

use std::env;
use std::sync::Barrier;
use std::time::Instant;

use rayon::prelude::*;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides, VolumeSides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::volume::{VolumeLattice, VolumeSetup};
use ventwright::lattice::walls::{Geometry, WallGroup, WallPoint};
use ventwright::units::LatticeViscosity;

/// Velocity of the uniform stream.
const STREAM: f64 = 0.05;

/// The same, as lattices have it.
const VELOCITY: f32 = 0.05;

/// Cells across and along the flow.
const SIZES: [[usize; 2]; 3] = [[256, 1024], [512, 2048], [2048, 8192]];

/// Cells along each side of a cube.
const SIDES: [usize; 2] = [64, 192];

/// Cells across and along a hole view as a batch has many.
const HOLE_VIEW: [usize; 2] = [48, 1200];

/// Numbers in the array of the bandwidth: 1 GiB, more than any cache.
const SWEEP_LENGTH: usize = 1 << 28;

/// Samples of which a number is the median.
const SAMPLES: usize = 11;

/// Cell updates in a sample, at least.
const UPDATES: usize = 1 << 25;

/// Bytes from which a lattice is compared with the bandwidth of the memory.
const BEYOND_CACHES: usize = 400 << 20;

/// Bytes from which several steps are done in one go.
const SKEWED: usize = 32 << 20;

/// Steps in one go, in the plane and in space.
const PAIRS_IN_ONE_GO: [usize; 2] = [4, 2];

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

/// The same for air that turns as a whole.
struct TurningInlet {
    rotation: f64,
}

impl Geometry for TurningInlet {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        (point[0] < -0.5).then_some(WallPoint {
            group: WallGroup::Rim,
            velocity: [STREAM, 0.0, self.rotation * (point[1] + 0.5)],
        })
    }
}

/// Two belts, at x = −1/2 and at the other end, that go along with a stream across.
struct Belts {
    end: f64,
}

impl Geometry for Belts {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        (point[0] < -0.5 || point[0] > self.end).then_some(WallPoint {
            group: WallGroup::Rim,
            velocity: [0.0, 0.0, STREAM],
        })
    }
}

/// What the benches do with a lattice.
trait Stream: Send {
    fn cell_count(&self) -> usize;
    /// Populations of a cell.
    fn directions(&self) -> usize;
    fn step_pairs(&mut self, pairs: usize);
    /// A pair of steps, each of which goes through the whole lattice.
    fn plain_pair(&mut self);
    /// Pairs that are done in one go.
    fn pairs_in_one_go(&self) -> usize;
    /// A uniform stream must stay uniform.
    fn assert_uniform(&self);

    fn bytes(&self) -> usize {
        4 * self.directions() * self.cell_count()
    }
}

fn assert_undisturbed(place: &[usize], velocity: &[f32], stream: &[f32]) {
    for (u, undisturbed) in velocity.iter().zip(stream) {
        assert!((u - undisturbed).abs() < 1e-5, "{place:?}: {velocity:?}");
    }
}

impl Stream for PlaneLattice {
    fn cell_count(&self) -> usize {
        self.extent().cell_count()
    }

    fn directions(&self) -> usize {
        9
    }

    fn step_pairs(&mut self, pairs: usize) {
        self.step_pairs(pairs);
    }

    fn plain_pair(&mut self) {
        self.step();
        self.step();
    }

    fn pairs_in_one_go(&self) -> usize {
        PAIRS_IN_ONE_GO[0]
    }

    fn assert_uniform(&self) {
        let extent = self.extent();
        for y in (0..extent.ny).step_by(7) {
            for x in (0..extent.nx).step_by(13) {
                assert_undisturbed(&[x, y], &self.cell(x, y).velocity, &[VELOCITY, 0.0]);
            }
        }
    }
}

impl Stream for SwirlLattice {
    fn cell_count(&self) -> usize {
        self.extent().cell_count()
    }

    fn directions(&self) -> usize {
        14
    }

    fn step_pairs(&mut self, pairs: usize) {
        self.step_pairs(pairs);
    }

    fn plain_pair(&mut self) {
        self.step();
        self.step();
    }

    fn pairs_in_one_go(&self) -> usize {
        PAIRS_IN_ONE_GO[0]
    }

    /// Carried along and turned as a whole it stays so.
    fn assert_uniform(&self) {
        let extent = self.extent();
        let edge = VELOCITY / extent.ny as f32;
        for y in (0..extent.ny).step_by(7) {
            for x in (0..extent.nx).step_by(13) {
                let swirl = edge * (y as f32 + 0.5);
                let stream = [VELOCITY, 0.0, swirl];
                assert_undisturbed(&[x, y], &self.cell(x, y).velocity, &stream);
            }
        }
    }
}

/// A cube and its stream.
struct Cube {
    lattice: VolumeLattice,
    stream: [f32; 3],
}

impl Stream for Cube {
    fn cell_count(&self) -> usize {
        self.lattice.extent().cell_count()
    }

    fn directions(&self) -> usize {
        19
    }

    fn step_pairs(&mut self, pairs: usize) {
        self.lattice.step_pairs(pairs);
    }

    fn plain_pair(&mut self) {
        self.lattice.step();
        self.lattice.step();
    }

    fn pairs_in_one_go(&self) -> usize {
        PAIRS_IN_ONE_GO[1]
    }

    fn assert_uniform(&self) {
        let side = self.lattice.extent().nx;
        for n in 0..side {
            let place = [n, side - 1 - n, n];
            let [x, y, z] = place;
            assert_undisturbed(&place, &self.lattice.cell(x, y, z).velocity, &self.stream);
        }
    }
}

/// A stream in the plane with everything that a run has: inlet, outlet, mirrors, and the subgrid model if wanted.
fn plane(
    [across, along]: [usize; 2],
    is_axisymmetric: bool,
    has_subgrid: bool,
    threads: Threads,
) -> PlaneLattice {
    let fluid = Fluid::new(LatticeViscosity(0.002));
    let setup = PlaneSetup {
        extent: Extent::planar(along, across),
        fluid: if has_subgrid {
            fluid.with_subgrid()
        } else {
            fluid
        },
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
        velocity: [VELOCITY, 0.0],
    })
}

/// The same in axisymmetric flow with swirl: a stream that turns as a whole, as fast at the edge as it flows.
fn swirl([across, along]: [usize; 2], has_subgrid: bool, threads: Threads) -> SwirlLattice {
    let fluid = Fluid::new(LatticeViscosity(0.002));
    let edge = STREAM / across as f64;
    let setup = SwirlSetup {
        extent: Extent::planar(along, across),
        fluid: if has_subgrid {
            fluid.with_subgrid()
        } else {
            fluid
        },
        along: Side::Open,
        outside: Side::Mirror,
        geometry: &TurningInlet { rotation: edge },
        outlet_velocity: Some(STREAM),
        threads,
    };
    // Mean of the square of the swirl velocity over the area: the outlet holds the mean pressure at zero.
    let mean_square = 0.5 * VELOCITY * VELOCITY * (1.0 - 0.5 / (across * across) as f32);
    SwirlLattice::new(&setup, |_, y| {
        let swirl = VELOCITY / across as f32 * (y as f32 + 0.5);
        CellState {
            density: 1.5 * (swirl * swirl - mean_square),
            velocity: [VELOCITY, 0.0, swirl],
        }
    })
}

/// The same in a cube; without an outlet between two belts.
fn cube(side: usize, has_outlet: bool, threads: Threads) -> Cube {
    let belts = Belts {
        end: side as f64 - 0.5,
    };
    let (geometry, stream): (&dyn Geometry, [f32; 3]) = if has_outlet {
        (&Inlet, [VELOCITY, 0.0, 0.0])
    } else {
        (&belts, [0.0, 0.0, VELOCITY])
    };
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
        geometry,
        outlet_velocity: has_outlet.then_some([STREAM, 0.0, 0.0]),
        threads,
    };
    let lattice = VolumeLattice::new(&setup, |_, _, _| CellState {
        density: 0.0,
        velocity: stream,
    });
    Cube { lattice, stream }
}

fn seconds(work: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    work();
    begun.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn on(threads: usize) -> &'static str {
    if threads == 1 {
        "1 thread "
    } else {
        "2 threads"
    }
}

fn pool_of(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("this machine can start threads")
}

/// What is measured, and on what scale.
struct Bench {
    /// Words that the names of rows must have one of, unless there are none.
    words: Vec<String>,
    /// Whether everything is small: a check, no measurement.
    is_small: bool,
    /// The array of the bandwidth.
    numbers: Vec<f32>,
}

impl Bench {
    /// From the arguments: cargo itself says `--bench` when it is to be measured.
    fn from_arguments() -> Self {
        let (options, words): (Vec<String>, Vec<String>) =
            env::args().skip(1).partition(|word| word.starts_with('-'));
        let is_small = !options.iter().any(|option| option == "--bench");
        let length = if is_small { 1 << 16 } else { SWEEP_LENGTH };
        Self {
            words,
            is_small,
            numbers: vec![2.0; length],
        }
    }

    fn wants(&self, name: &str) -> bool {
        self.words.is_empty() || self.words.iter().any(|word| name.contains(word.as_str()))
    }

    /// A length of a lattice.
    fn scaled(&self, cells: usize) -> usize {
        if self.is_small { cells / 8 } else { cells }
    }

    fn samples(&self) -> usize {
        if self.is_small { 1 } else { SAMPLES }
    }

    /// Pairs of steps in a sample.
    fn pairs(&self, stream: &dyn Stream) -> usize {
        let updates = if self.is_small { 1 } else { UPDATES };
        let wanted = updates.div_ceil(2 * stream.cell_count());
        wanted.next_multiple_of(stream.pairs_in_one_go())
    }

    /// Bytes per second, read and written back, on as many threads of the current pool.
    fn bandwidth(&mut self, threads: usize) -> f64 {
        let part = self.numbers.len().div_ceil(threads);
        let numbers = &mut self.numbers;
        let time = seconds(|| {
            numbers
                .par_chunks_mut(part)
                // Twice gives back what was there.
                .for_each(|part| part.iter_mut().for_each(|v| *v = 3.0 - *v));
        });
        8.0 * self.numbers.len() as f64 / time
    }

    fn memory(&mut self) {
        for threads in [1, 2] {
            let pool = pool_of(threads);
            let samples = self.samples();
            pool.install(|| self.bandwidth(threads));
            let speeds = (0..samples).map(|_| pool.install(|| self.bandwidth(threads)));
            let speed = median(speeds.collect()) / 1e9;
            assert!(self.numbers.iter().all(|v| (1.0..=2.0).contains(v)));
            println!("{:<46} {} {speed:7.1} GB/s", "memory", on(threads));
        }
    }

    /// One line: cell updates per second, and their share of the line where the lattice lies in the memory.
    fn speed(&mut self, name: &str, stream: &mut dyn Stream, threads: usize, is_skewed: bool) {
        let pairs = self.pairs(stream);
        let updates = (2 * pairs * stream.cell_count()) as f64;
        let is_beyond = stream.bytes() >= BEYOND_CACHES;
        let line_bytes = (8 * stream.directions() + 1) as f64;
        let (mut speeds, mut bandwidths, mut shares) = (Vec::new(), Vec::new(), Vec::new());
        pool_of(threads).install(|| {
            let mut run = || {
                if is_skewed {
                    stream.step_pairs(pairs);
                } else {
                    (0..pairs).for_each(|_| stream.plain_pair());
                }
            };
            run();
            for _ in 0..self.samples() {
                let line = is_beyond.then(|| self.bandwidth(threads));
                let speed = updates / seconds(&mut run);
                speeds.push(speed);
                if let Some(bandwidth) = line {
                    bandwidths.push(bandwidth);
                    shares.push(speed * line_bytes / bandwidth);
                }
            }
        });
        stream.assert_uniform();
        let way = if is_skewed { "skewed" } else { "plain" };
        let speed = median(speeds) / 1e6;
        let share = if is_beyond {
            format!(
                "  {:.2} of the line ({:.1} GB/s)",
                median(shares),
                median(bandwidths) / 1e9
            )
        } else {
            String::new()
        };
        println!("{name:<38} {way:<7} {} {speed:7.0} M/s{share}", on(threads));
    }

    /// The lines of one lattice with one and two threads, plain and, if large enough, skewed.
    fn speeds<S: Stream>(&mut self, name: &str, can_skew: bool, build: impl Fn(Threads) -> S) {
        if !self.wants(name) {
            return;
        }
        for (count, threads) in [(1, Threads::One), (2, Threads::Pool(2))] {
            let mut stream = build(threads);
            stream.step_pairs(2);
            stream.assert_uniform();
            self.speed(name, &mut stream, count, false);
            if can_skew && stream.bytes() >= SKEWED {
                self.speed(name, &mut stream, count, true);
            }
        }
    }

    /// Two lattices at once over one alone, each on one thread.
    fn two_at_once<S: Stream>(&self, name: &str, build: impl Fn() -> S) {
        if !self.wants(name) {
            return;
        }
        let (mut one, mut other) = (build(), build());
        let pairs = self.pairs(&one);
        one.step_pairs(pairs);
        other.step_pairs(pairs);
        let ratios = (0..self.samples()).map(|_| {
            let alone = seconds(|| one.step_pairs(pairs));
            let both = both_at_once(&mut one, &mut other, pairs);
            2.0 * alone / both
        });
        let ratio = median(ratios.collect());
        one.assert_uniform();
        other.assert_uniform();
        println!("{name:<46} {} {ratio:7.2} times one on one thread", on(2));
    }
}

/// Time from when both begin until both are done.
fn both_at_once<S: Stream>(one: &mut S, other: &mut S, pairs: usize) -> f64 {
    let barrier = Barrier::new(2);
    std::thread::scope(|scope| {
        let other = scope.spawn(|| {
            barrier.wait();
            other.step_pairs(pairs);
        });
        barrier.wait();
        seconds(|| {
            one.step_pairs(pairs);
            other.join().expect("stepping does not panic");
        })
    })
}

fn main() {
    let mut bench = Bench::from_arguments();
    if bench.wants("memory") {
        bench.memory();
    }
    for size in SIZES {
        let size = size.map(|cells| bench.scaled(cells));
        let [across, along] = size;
        for (flow, is_axisymmetric, has_subgrid) in [
            ("plane, subgrid", false, true),
            ("plane, no subgrid", false, false),
            ("axisymmetric, subgrid", true, true),
        ] {
            let name = format!("{flow} {across}x{along}");
            bench.speeds(&name, true, |threads| {
                plane(size, is_axisymmetric, has_subgrid, threads)
            });
        }
    }
    for size in [HOLE_VIEW, SIZES[1]] {
        let size = size.map(|cells| bench.scaled(cells));
        let [across, along] = size;
        let name = format!("axisymmetric, subgrid {across}x{along}");
        if size[0] == bench.scaled(HOLE_VIEW[0]) {
            bench.speeds(&name, true, |threads| plane(size, true, true, threads));
        }
        for (subgrid, has_subgrid) in [("subgrid", true), ("no subgrid", false)] {
            let name = format!("axisymmetric with swirl, {subgrid} {across}x{along}");
            bench.speeds(&name, true, |threads| swirl(size, has_subgrid, threads));
        }
    }
    for side in SIDES.map(|side| bench.scaled(side)) {
        for (flow, has_outlet) in [("volume, outlet", true), ("volume, no outlet", false)] {
            let name = format!("{flow} {side}^3");
            bench.speeds(&name, !has_outlet, |threads| {
                cube(side, has_outlet, threads)
            });
        }
    }
    for (flow, size, is_axisymmetric) in [
        ("axisymmetric", HOLE_VIEW, true),
        ("plane", SIZES[0], false),
        ("plane", SIZES[1], false),
    ] {
        let size = size.map(|cells| bench.scaled(cells));
        let [across, along] = size;
        bench.two_at_once(&format!("two at once, {flow} {across}x{along}"), || {
            plane(size, is_axisymmetric, true, Threads::One)
        });
    }
    for side in SIDES.map(|side| bench.scaled(side)) {
        bench.two_at_once(&format!("two at once, volume {side}^3"), || {
            cube(side, true, Threads::One)
        });
    }
}
