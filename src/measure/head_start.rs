//! A head start: the flow through a repeat on half as many cells, in a sixteenth of the time, is where the finer one begins.
//!
//! What the fine grid still has to do is to form its own shear layers; the jets stand, and the far room is already stirred.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    reason = "places become indices of cells, states single precision"
)]

use std::io::{self, Read, Write};

use crate::lattice::simulation::CellState;
use crate::lattice::state::{not_fitting, put, take};
use crate::measure::attendant::{Attendant, Parts};
use crate::measure::engine::{MakeEngine, VolumeEngine};
use crate::measure::series::StopReason;
use crate::measure::settle::{DriveProgress, HALF_SECOND, pairs_within};
use crate::measure::volume_fields::VolumeFields;
use crate::tunnel::{RepeatDomain, RepeatLayout, Solid};

/// Cells of the coarse grid over those of the fine one.
const COARSENESS: f64 = 0.5;

/// How often in a pitch-time it is asked whether to go on.
const ASKED_PER_PITCH: f64 = 30.0;

/// What an observer is told meanwhile.
const NOTHING_YET: DriveProgress = DriveProgress {
    time: 0.0,
    steps: 0,
    mean: None,
};

/// The flow on the coarse grid.
#[derive(Debug, Clone)]
pub(super) struct HeadStart {
    layout: RepeatLayout,
    fields: VolumeFields,
}

/// The coarse grid under way.
pub(super) struct Coarse {
    engine: Box<dyn VolumeEngine>,
    layout: RepeatLayout,
    /// Pairs of steps done.
    pairs: usize,
    /// Pairs of steps at the end.
    all_pairs: usize,
    /// Pairs of steps after which somebody is asked.
    at_once: usize,
}

impl Coarse {
    /// The coarse grid for a domain.
    pub(super) fn new(domain: &RepeatDomain, solid: Solid<'_>, engines: &dyn MakeEngine) -> Self {
        let coarse = RepeatDomain {
            cells_across_hole: COARSENESS * domain.cells_across_hole,
            shift: domain.shift.map(|shift| COARSENESS * shift),
            ..*domain
        };
        let (lattice, layout) = coarse.build(solid, engines.threads());
        let engine = engines.make(lattice);
        let steps = layout.pitch / coarse.face_velocity.0;
        let pairs = (steps / ASKED_PER_PITCH / 2.0).ceil() as usize;
        let rounds = (domain.head_start * steps / (2 * pairs) as f64).ceil() as usize;
        Self {
            at_once: pairs.min(pairs_within(HALF_SECOND, engine.extent().cell_count())),
            engine,
            layout,
            pairs: 0,
            all_pairs: rounds * pairs,
        }
    }

    /// Goes on from a state that an equal grid left.
    pub(super) fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let pairs: u64 = take(from)?;
        if pairs > self.all_pairs as u64 {
            return Err(not_fitting("the head start is longer than it can be"));
        }
        self.pairs = pairs as usize;
        self.engine.restore(from)
    }

    /// Runs to the end of the head start, or until the attendant breaks off, whom it tells of no time or steps: the flow, if it did not blow up, and why it was broken off.
    pub(super) fn run(
        mut self,
        attendant: &mut dyn Attendant,
    ) -> (Option<HeadStart>, Option<StopReason>) {
        let mut stopped = attendant.attend(&NOTHING_YET, None).break_value();
        while self.pairs < self.all_pairs && stopped.is_none() {
            let count = self.at_once.min(self.all_pairs - self.pairs);
            self.engine.step_pairs(count);
            self.pairs += count;
            let state = |out: &mut dyn Write| {
                put(out, self.pairs as u64)?;
                self.engine.save(out)
            };
            stopped = attendant
                .attend(&NOTHING_YET, Some(&Parts(&state)))
                .break_value();
        }
        let fields = self.engine.instant();
        let is_finite = fields.density.iter().all(|density| density.is_finite());
        let flow = is_finite.then_some(HeadStart {
            layout: self.layout,
            fields,
        });
        (flow, stopped)
    }
}

impl HeadStart {
    /// The state at a place (depth, y, z; in hydraulic diameters), linear between the fluid cells around it; at rest where there are none.
    pub(super) fn at(&self, place: [f64; 3]) -> CellState<3> {
        let point = self.layout.point(place);
        let base = point.map(f64::floor);
        let mut weight_sum = 0.0;
        let mut sums = [0.0; 4];
        for corner in 0..8_usize {
            let away = [corner & 1, corner >> 1 & 1, corner >> 2];
            let mut weight = 1.0;
            for axis in 0..3 {
                let part = point[axis] - base[axis];
                weight *= if away[axis] == 1 { part } else { 1.0 - part };
            }
            let cell = self.cell([0, 1, 2].map(|axis| base[axis] as i64 + away[axis] as i64));
            if weight == 0.0 || self.fields.is_solid[cell] {
                continue;
            }
            weight_sum += weight;
            let [u, v, w] = self.fields.velocity[cell];
            for (sum, value) in sums.iter_mut().zip([self.fields.density[cell], u, v, w]) {
                *sum += weight * f64::from(value);
            }
        }
        if weight_sum == 0.0 {
            return CellState::default();
        }
        let [density, u, v, w] = sums.map(|sum| (sum / weight_sum) as f32);
        CellState {
            density,
            velocity: [u, v, w],
        }
    }

    /// Index of a cell: the ends hold along x, the pattern repeats along y and z.
    fn cell(&self, [x, y, z]: [i64; 3]) -> usize {
        let cells = self.fields.extent;
        let x = x.clamp(0, cells.nx as i64 - 1);
        let y = y.rem_euclid(cells.ny as i64);
        let z = z.rem_euclid(cells.nz as i64);
        self.fields.index(x as usize, y as usize, z as usize)
    }
}
