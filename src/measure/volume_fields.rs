//! Time means of a three-dimensional flow, cell by cell: density, velocity, and the variance of each velocity component.
//!
//! Means and variances are kept by the recurrence of B. P. Welford, Technometrics 4 (1962) 419, and two spans of time are put together by that of
//! T. F. Chan, G. H. Golub, R. J. `LeVeque`, "Updating formulae and a pairwise algorithm for computing sample variances" (1979) (both from memory).
//! Neither subtracts large squares, so single precision will do: a steady flow shows no turbulence.

use std::io::{self, Read, Write};

use rayon::prelude::*;

use crate::lattice::field::Extent;
use crate::lattice::simulation::CellState;
use crate::lattice::state::{not_fitting, put, put_list, take, take_list};
use crate::lattice::step::Threads;
use crate::lattice::volume::VolumeLattice;

/// Quantities of a cell: density and three components of velocity.
const QUANTITIES: usize = 4;

/// Cells that are turned into bytes at a time.
const CELLS_AT_A_TIME: usize = 512;

/// Mean of density and velocity of a cell, and the sum of the squares of the velocity's deviations from it.
#[derive(Debug, Clone, Copy, Default)]
struct Moments {
    mean: [f32; QUANTITIES],
    squares: [f32; 3],
}

impl Moments {
    /// Takes sample number `count` (the first is 1).
    fn add(&mut self, state: CellState<3>, count: f32) {
        let [u, v, w] = state.velocity;
        let sample = [state.density, u, v, w];
        let mut away = [0.0; QUANTITIES];
        for (axis, mean) in self.mean.iter_mut().enumerate() {
            away[axis] = sample[axis] - *mean;
            *mean += away[axis] / count;
        }
        for (axis, square) in self.squares.iter_mut().enumerate() {
            *square += away[axis + 1] * (sample[axis + 1] - self.mean[axis + 1]);
        }
    }

    /// Puts `other`, the mean over `counts[1]` samples, to this one over `counts[0]`.
    fn join(&mut self, other: &Self, counts: [f32; 2]) {
        let all = counts[0] + counts[1];
        for axis in 0..QUANTITIES {
            let away = other.mean[axis] - self.mean[axis];
            self.mean[axis] += away * (counts[1] / all);
            if axis > 0 {
                let between = away * away * (counts[0] * counts[1] / all);
                self.squares[axis - 1] += other.squares[axis - 1] + between;
            }
        }
    }
}

/// Samples over a span of time.
#[derive(Debug, Clone)]
struct Span {
    count: u16,
    cells: Vec<Moments>,
}

impl Span {
    fn empty(cell_count: usize) -> Self {
        Self {
            count: 0,
            cells: vec![Moments::default(); cell_count],
        }
    }

    /// Nothing but the number of samples where there is none.
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        put(out, u64::from(self.count))?;
        if self.count == 0 {
            return Ok(());
        }
        let mut numbers = Vec::with_capacity(7 * CELLS_AT_A_TIME);
        for cells in self.cells.chunks(CELLS_AT_A_TIME) {
            numbers.clear();
            for cell in cells {
                numbers.extend_from_slice(&cell.mean);
                numbers.extend_from_slice(&cell.squares);
            }
            put_list(out, &numbers)?;
        }
        Ok(())
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let count: u64 = take(from)?;
        self.count = u16::try_from(count).map_err(|_| not_fitting("a count of samples is none"))?;
        if count == 0 {
            self.cells.fill(Moments::default());
            return Ok(());
        }
        let mut numbers = [[0.0; 7]; CELLS_AT_A_TIME];
        for cells in self.cells.chunks_mut(CELLS_AT_A_TIME) {
            let part = &mut numbers[..cells.len()];
            take_list(from, part.as_flattened_mut())?;
            for (cell, [d, u, v, w, uu, vv, ww]) in cells.iter_mut().zip(part.iter().copied()) {
                *cell = Moments {
                    mean: [d, u, v, w],
                    squares: [uu, vv, ww],
                };
            }
        }
        Ok(())
    }
}

/// Collects samples; forgets the early ones as the run grows longer, so that what remains covers at least its last third.
///
/// Memory: [`VolumeMeans::BYTES_PER_CELL`] while it collects, of which half is given back when it is turned into [`VolumeFields`].
#[derive(Debug, Clone)]
pub struct VolumeMeans {
    /// Up to the last call of [`VolumeMeans::forget_early_samples`].
    older: Span,
    /// Since then.
    newer: Span,
    threads: Threads,
}

/// Fields of a three-dimensional lattice in lattice units; a value per cell, x fastest, then y, then z; walls hold zeros.
#[derive(Debug, Clone, PartialEq)]
pub struct VolumeFields {
    /// Number of cells along each axis.
    pub extent: Extent,
    /// Density deviation; a third of it is the pressure.
    pub density: Vec<f32>,
    /// Velocity along x, y and z.
    pub velocity: Vec<[f32; 3]>,
    /// Mean square of the fluctuation of each component of velocity; `None` for a single instant.
    pub variance: Option<Vec<[f32; 3]>>,
    /// True in walls.
    pub is_solid: Vec<bool>,
}

impl VolumeFields {
    /// Memory that an instant of a cell takes, bytes.
    pub const INSTANT_BYTES_PER_CELL: u64 = 4 * 4 + 1;

    /// Place of a cell in the fields.
    #[inline]
    pub fn index(&self, x: usize, y: usize, z: usize) -> usize {
        (z * self.extent.ny + y) * self.extent.nx + x
    }

    /// The fields at this instant.
    pub fn instant(lattice: &VolumeLattice, threads: Threads) -> Self {
        let mut states = vec![CellState::default(); lattice.extent().cell_count()];
        for_each_fluid_cell(lattice, threads, &mut states, |state, now| *state = now);
        Self {
            extent: lattice.extent(),
            density: states.iter().map(|state| state.density).collect(),
            velocity: states.iter().map(|state| state.velocity).collect(),
            variance: None,
            is_solid: solid_mask(lattice),
        }
    }
}

impl VolumeMeans {
    /// Memory that collecting takes, bytes per cell.
    pub const BYTES_PER_CELL: u64 = 2 * 4 * 7;

    /// No samples yet.
    pub fn new(lattice: &VolumeLattice, threads: Threads) -> Self {
        let cell_count = lattice.extent().cell_count();
        Self {
            older: Span::empty(cell_count),
            newer: Span::empty(cell_count),
            threads,
        }
    }

    /// Takes a sample. Each cell is added by itself, so the number of threads does not change a bit.
    pub fn add(&mut self, lattice: &VolumeLattice) {
        let span = &mut self.newer;
        span.count = span.count.saturating_add(1);
        let count = f32::from(span.count);
        for_each_fluid_cell(lattice, self.threads, &mut span.cells, |cell, state| {
            cell.add(state, count);
        });
    }

    /// Called when the run has grown by half: what was collected before the last call is dropped.
    pub fn forget_early_samples(&mut self) {
        std::mem::swap(&mut self.older, &mut self.newer);
        self.newer.count = 0;
        self.newer.cells.fill(Moments::default());
    }

    /// Writes what was collected.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.older.save(out)?;
        self.newer.save(out)
    }

    /// Reads what the means of an equal lattice collected.
    ///
    /// # Errors
    /// What `from` gives; that it is too short or of another lattice.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.older.restore(from)?;
        self.newer.restore(from)
    }

    /// Number of samples behind the means.
    pub fn sample_count(&self) -> u32 {
        u32::from(self.older.count) + u32::from(self.newer.count)
    }

    /// The means; without a sample they are zero.
    pub fn into_fields(self, lattice: &VolumeLattice) -> VolumeFields {
        let (mut kept, newer) = (self.older, self.newer);
        let counts = [f32::from(kept.count), f32::from(newer.count)];
        let all = counts[0] + counts[1];
        if newer.count > 0 {
            for (cell, other) in kept.cells.iter_mut().zip(&newer.cells) {
                cell.join(other, counts);
            }
        }
        drop(newer);
        let cells = &kept.cells;
        let variance = |cell: &Moments| cell.squares.map(|square| square / all.max(1.0));
        VolumeFields {
            extent: lattice.extent(),
            density: cells.iter().map(|cell| cell.mean[0]).collect(),
            velocity: cells
                .iter()
                .map(|cell| [cell.mean[1], cell.mean[2], cell.mean[3]])
                .collect(),
            variance: Some(cells.iter().map(variance).collect()),
            is_solid: solid_mask(lattice),
        }
    }
}

/// Hands every fluid cell's entry in `cells` to `take` with the cell's state; rows on the threads that the lattice runs on.
fn for_each_fluid_cell<T: Send>(
    lattice: &VolumeLattice,
    threads: Threads,
    cells: &mut [T],
    take: impl Fn(&mut T, CellState<3>) + Sync,
) {
    let extent = lattice.extent();
    let take_row = |row: usize, cells: &mut [T]| {
        let (y, z) = (row % extent.ny, row / extent.ny);
        for x in lattice.fluid_runs(y, z).iter().cloned().flatten() {
            take(&mut cells[x], lattice.cell(x, y, z));
        }
    };
    match threads {
        Threads::One => {
            for (row, cells) in cells.chunks_mut(extent.nx).enumerate() {
                take_row(row, cells);
            }
        }
        Threads::Pool(count) => {
            let rows = (extent.ny * extent.nz).div_ceil(count.max(1));
            cells
                .par_chunks_mut(extent.nx * rows)
                .enumerate()
                .for_each(|(block, cells)| {
                    for (row, cells) in cells.chunks_mut(extent.nx).enumerate() {
                        take_row(block * rows + row, cells);
                    }
                });
        }
    }
}

fn solid_mask(lattice: &VolumeLattice) -> Vec<bool> {
    let extent = lattice.extent();
    let mut mask = vec![true; extent.cell_count()];
    for (row, cells) in mask.chunks_mut(extent.nx).enumerate() {
        let (y, z) = (row % extent.ny, row / extent.ny);
        for run in lattice.fluid_runs(y, z) {
            cells[run.clone()].fill(false);
        }
    }
    mask
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A velocity that wavers about 0.1 by a millionth of it, and the same with a true fluctuation of 0.01.
    fn samples(amplitude: f64) -> Vec<f64> {
        (0..200)
            .map(|i| 0.1 + amplitude * (0.7 * f64::from(i)).sin())
            .collect()
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "states are single precision"
    )]
    fn collected(samples: &[f64]) -> Moments {
        let mut moments = Moments::default();
        for (number, value) in (1_u16..).zip(samples) {
            let velocity = [*value as f32, 0.0, 0.0];
            let state = CellState {
                density: 0.0,
                velocity,
            };
            moments.add(state, f32::from(number));
        }
        moments
    }

    fn exact(samples: &[f64]) -> (f64, f64) {
        let count = samples.len() as f64;
        let mean = samples.iter().sum::<f64>() / count;
        let squares = samples.iter().map(|value| (value - mean).powi(2)).sum();
        (mean, squares)
    }

    #[test]
    fn single_precision_keeps_mean_and_variance() {
        for amplitude in [1e-4, 1e-2] {
            let samples = samples(amplitude);
            let (mean, squares) = exact(&samples);
            let moments = collected(&samples);
            assert!((f64::from(moments.mean[1]) - mean).abs() < 1e-7);
            let ratio = f64::from(moments.squares[0]) / squares;
            assert!((ratio - 1.0).abs() < 1e-3, "{amplitude}: {ratio}");
        }
        let steady = collected(&[0.1; 200]);
        assert!(steady.squares[0] < 1e-14, "{}", steady.squares[0]);
    }

    #[test]
    fn two_spans_joined_are_the_whole() {
        let samples = samples(1e-2);
        let mut first = collected(&samples[..60]);
        first.join(&collected(&samples[60..]), [60.0, 140.0]);
        let (mean, squares) = exact(&samples);
        assert!((f64::from(first.mean[1]) - mean).abs() < 1e-7);
        assert!((f64::from(first.squares[0]) / squares - 1.0).abs() < 1e-4);
    }
}
