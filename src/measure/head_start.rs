//! A head start: the flow through a repeat on half as many cells, in a sixteenth of the time, is where the finer one begins.
//!
//! What the fine grid still has to do is to form its own shear layers; the jets stand, and the far room is already stirred.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    reason = "places become indices of cells, states single precision"
)]

use std::ops::ControlFlow;

use crate::lattice::simulation::CellState;
use crate::lattice::step::Threads;
use crate::measure::series::StopReason;
use crate::measure::settle::DriveProgress;
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

impl HeadStart {
    /// Runs the coarse grid for the head start of the domain, or until the observer breaks off, whom it tells of no time or steps; `None` if it blew up.
    pub(super) fn run(
        domain: &RepeatDomain,
        solid: Solid<'_>,
        threads: Threads,
        observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
    ) -> Option<Self> {
        let coarse = RepeatDomain {
            cells_across_hole: COARSENESS * domain.cells_across_hole,
            shift: domain.shift.map(|shift| COARSENESS * shift),
            ..*domain
        };
        let (mut lattice, layout) = coarse.build(solid, threads);
        let steps = layout.pitch / coarse.face_velocity.0;
        let pairs = (steps / ASKED_PER_PITCH / 2.0).ceil() as usize;
        let rounds = (domain.head_start * steps / (2 * pairs) as f64).ceil() as usize;
        for _ in 0..rounds {
            lattice.step_pairs(pairs);
            if observer(&NOTHING_YET).is_break() {
                break;
            }
        }
        let fields = VolumeFields::instant(&lattice, threads);
        let is_finite = fields.density.iter().all(|density| density.is_finite());
        is_finite.then_some(Self { layout, fields })
    }

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
