//! A repeat asks nothing of a lattice but what [`VolumeEngine`] has: a second engine, which hands every question on and counts it, gives the same bits.
//!
//! The outside reference is the run on the first engine; equal means equal bits, so there is no tolerance.

use crate::repeat;

use std::cell::Cell;
use std::io::{self, Read, Write};
use std::ops::{ControlFlow, Range};
use std::rc::Rc;

use ventwright::grille::Turn;
use ventwright::lattice::field::Extent;
use ventwright::lattice::step::Threads;
use ventwright::lattice::volume::VolumeLattice;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::engine::{Collected, MakeEngine, PlaneSums, VolumeEngine};
use ventwright::measure::repeat::drive_repeat;
use ventwright::measure::volume_fields::VolumeFields;

/// How often each thing was asked for.
#[derive(Default)]
struct Counts {
    made: Cell<usize>,
    pairs: Cell<usize>,
    plane_sums: Cell<usize>,
    wall_forces: Cell<usize>,
    densities: Cell<usize>,
    instants: Cell<usize>,
    begun: Cell<usize>,
    samples: Cell<usize>,
    collected: Cell<usize>,
}

fn count(counter: &Cell<usize>, by: usize) {
    counter.set(counter.get() + by);
}

struct CountingEngine {
    inner: Box<dyn VolumeEngine>,
    counts: Rc<Counts>,
}

/// Makes counting engines.
#[derive(Default)]
struct Counting(Rc<Counts>);

impl MakeEngine for Counting {
    fn threads(&self) -> Threads {
        Threads::One
    }

    fn make(&self, lattice: VolumeLattice) -> Box<dyn VolumeEngine> {
        count(&self.0.made, 1);
        Box::new(CountingEngine {
            inner: Threads::One.make(lattice),
            counts: Rc::clone(&self.0),
        })
    }
}

impl VolumeEngine for CountingEngine {
    fn step_pairs(&mut self, pairs: usize) {
        count(&self.counts.pairs, pairs);
        self.inner.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.inner.step_count()
    }

    fn extent(&self) -> Extent {
        self.inner.extent()
    }

    fn fluid_cell_count(&self) -> usize {
        self.inner.fluid_cell_count()
    }

    fn plane_sums(&self, columns: Range<usize>, stride: usize) -> PlaneSums {
        count(&self.counts.plane_sums, 1);
        self.inner.plane_sums(columns, stride)
    }

    fn wall_force(&self) -> [f64; 3] {
        count(&self.counts.wall_forces, 1);
        self.inner.wall_force()
    }

    fn mean_density(&self) -> f64 {
        count(&self.counts.densities, 1);
        self.inner.mean_density()
    }

    fn instant(&self) -> VolumeFields {
        count(&self.counts.instants, 1);
        self.inner.instant()
    }

    fn begin_to_collect(&mut self) {
        count(&self.counts.begun, 1);
        self.inner.begin_to_collect();
    }

    fn collect(&mut self) {
        count(&self.counts.samples, 1);
        self.inner.collect();
    }

    fn forget_early(&mut self) {
        self.inner.forget_early();
    }

    fn collected(self: Box<Self>) -> Collected {
        count(&self.counts.collected, 1);
        self.inner.collected()
    }

    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.inner.save(out)
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.inner.restore(from)
    }
}

#[test]
fn a_second_engine_is_asked_everything_and_gives_the_same_bits() {
    let solid = repeat::hexagons(0.6, Turn::Straight);
    let is_solid = |place: [f64; 3]| repeat::is_solid(&solid, place);
    let mut domain = repeat::domain(&solid, 10.0, 4000.0);
    domain.inflow_tangents = [0.3, 0.0];
    domain.head_start = 1.0;
    let limits = DriveLimits {
        tolerance: 1e-9,
        other_doubts: 0.0,
        least_time: 6.0,
        longest_time: 6.0,
    };
    let run = |engines: &dyn MakeEngine| {
        drive_repeat(&domain, &is_solid, &limits, engines, &mut |_| {
            ControlFlow::Continue(())
        })
    };
    let first = run(&Threads::One);
    let counting = Counting::default();
    let second = run(&counting);
    let counts = &*counting.0;

    assert_eq!(second.drive.history, first.drive.history);
    assert_eq!(second.wall_load, first.wall_load);
    assert_eq!(second.drive.step_count, first.drive.step_count);
    assert!(second.mean == first.mean && second.last == first.last);

    // The coarse lattice and the fine one; only the fine one collects.
    assert_eq!((counts.made.get(), counts.begun.get()), (2, 1));
    assert_eq!((counts.instants.get(), counts.collected.get()), (2, 1));
    let samples = counts.samples.get();
    assert!(samples > 10, "{samples}");
    // Two planes for each row of the history, one for each sample of the fields.
    let rows = first.drive.history.len();
    assert_eq!(counts.plane_sums.get(), 2 * rows + samples);
    assert_eq!(counts.wall_forces.get(), rows);
    assert!(counts.densities.get() >= rows / 12);
    // Every step was asked for: those of the coarse lattice besides, two of each sample by the sample.
    let own = usize::try_from(first.drive.step_count).unwrap() / 2 - samples;
    assert!(counts.pairs.get() > own, "{} {own}", counts.pairs.get());
}
