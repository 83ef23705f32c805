//! The hot loop: memory layout, threads and the row kernel come together here and nowhere else.

use crate::lattice::field::{Phase, Populations};
use crate::lattice::row_collision::{LANES, RowCollision};
use crate::lattice::velocity_set::VelocitySet;
use rayon::prelude::*;
use std::ops::{DerefMut, Range};

/// Runs of fluid cells of every row: walls inside a row split it.
#[derive(Debug, Clone, Default)]
pub struct FluidRuns {
    runs: Vec<Range<usize>>,
    first_of_row: Vec<usize>,
}

impl FluidRuns {
    /// Finds the runs; `is_fluid(x, row)` is asked for every cell, rows counted without ghosts, layer after layer.
    pub fn find(
        cells_along: usize,
        row_count: usize,
        mut is_fluid: impl FnMut(usize, usize) -> bool,
    ) -> Self {
        let mut found = Self {
            runs: Vec::new(),
            first_of_row: vec![0],
        };
        for row in 0..row_count {
            let mut start = None;
            for x in 0..=cells_along {
                let fluid = x < cells_along && is_fluid(x, row);
                match (fluid, start) {
                    (true, None) => start = Some(x),
                    (false, Some(from)) => {
                        found.runs.push(from..x);
                        start = None;
                    }
                    _ => {}
                }
            }
            found.first_of_row.push(found.runs.len());
        }
        found
    }

    /// The runs of a row.
    pub fn of_row(&self, row: usize) -> &[Range<usize>] {
        &self.runs[self.first_of_row[row]..self.first_of_row[row + 1]]
    }

    /// Number of fluid cells.
    pub fn cell_count(&self) -> usize {
        self.runs.iter().map(ExactSizeIterator::len).sum()
    }
}

/// How many threads share the rows of one lattice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Threads {
    /// The calling one.
    One,
    /// This many blocks of rows on the current rayon pool.
    Pool(usize),
}

impl Threads {
    /// Blocks to make of something that can be cut into at most `most`.
    pub(crate) fn blocks(self, most: usize) -> usize {
        match self {
            Self::One => 1,
            Self::Pool(count) => count.min(most).max(1),
        }
    }

    /// Does `work` with each of `parts`.
    pub(crate) fn each<T: Send>(self, parts: Vec<T>, work: impl Fn(T) + Send + Sync) {
        match self {
            Self::One => parts.into_iter().for_each(work),
            Self::Pool(_) => parts.into_par_iter().for_each(work),
        }
    }
}

/// Density and momentum of what leaves a cell: sums over its populations after the collision.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Leaving {
    /// Sum of the populations.
    pub density: f64,
    /// Sum of the populations times their velocities; with swirl the third is the sum of those that carry angular momentum.
    pub momentum: [f64; 3],
}

/// Collides and streams every fluid cell in `columns` once and turns the phase over; rims and walls are up to the caller.
///
/// Rows are independent of each other, so the result does not depend on the number of threads.
/// `last`, one for each row without ghosts, receives what leaves the last cell of x where that is fluid: here it is still at hand. It may be empty.
pub fn collide_and_stream<C: RowCollision<Q>, const Q: usize>(
    field: &mut Populations<C::Set, Q>,
    collision: &C,
    fluid: &FluidRuns,
    columns: Range<usize>,
    threads: Threads,
    mut last: &mut [Leaving],
) {
    let extent = field.extent();
    let stride = field.stride();
    let first_row = field.row(0, 0);
    // From the first row with fluid to the last, with the ghost rows between two layers.
    let row_count =
        field.row(extent.ny.cast_signed() - 1, extent.nz.cast_signed() - 1) + 1 - first_row;
    let block_count = threads.blocks(row_count);
    let rows_per_block = row_count.div_ceil(block_count);
    let work = Work::new(field, collision, fluid, columns);
    let shifted = work.rows_of(field, first_row..first_row + row_count);
    if block_count == 1 {
        work.collide_block(0, shifted, last);
    } else {
        let mut parts = shifted.map(|slots| slots.chunks_mut(rows_per_block * stride));
        let mut blocks = Vec::with_capacity(block_count);
        for first in (0..row_count).step_by(rows_per_block) {
            let slots = parts.each_mut().map(|p| p.next().unwrap_or_default());
            let count = work.rows_before(first + rows_per_block) - work.rows_before(first);
            let (own, others) = last.split_at_mut(count.min(last.len()));
            last = others;
            blocks.push((first, slots, own));
        }
        threads.each(blocks, |(first, slots, last)| {
            work.collide_block(first, slots, last);
        });
    }
    field.set_phase(field.phase().next());
}

/// The same for the rows of these numbers ([`Populations::row`]) in a part of a field.
pub(crate) fn collide_rows<C, S, const Q: usize>(
    field: &mut Populations<C::Set, Q, S>,
    collision: &C,
    fluid: &FluidRuns,
    rows: Range<usize>,
    columns: Range<usize>,
) where
    C: RowCollision<Q>,
    S: DerefMut<Target = [f32]>,
{
    let work = Work::new(field, collision, fluid, columns);
    let first = rows.start - field.row(0, 0);
    let shifted = work.rows_of(field, rows);
    work.collide_block(first, shifted, &mut []);
    field.set_phase(field.phase().next());
}

/// What all blocks of a step share.
struct Work<'a, C, const Q: usize> {
    collision: &'a C,
    fluid: &'a FluidRuns,
    phase: Phase,
    shifts: [(isize, isize); Q],
    stride: usize,
    /// With the ghost rows of a layer.
    rows_per_layer: usize,
    /// Without.
    rows_across: usize,
    cells_along: usize,
    columns: Range<usize>,
}

impl<'a, C: RowCollision<Q>, const Q: usize> Work<'a, C, Q> {
    fn new<S: DerefMut<Target = [f32]>>(
        field: &Populations<C::Set, Q, S>,
        collision: &'a C,
        fluid: &'a FluidRuns,
        columns: Range<usize>,
    ) -> Self {
        let extent = field.extent();
        let phase = field.phase();
        Self {
            collision,
            fluid,
            phase,
            shifts: std::array::from_fn(|i| match phase {
                Phase::Gathered => (0, 0),
                Phase::Turned => field.shift(i),
            }),
            stride: field.stride(),
            rows_per_layer: extent.ny + 2,
            rows_across: extent.ny,
            cells_along: extent.nx,
            columns,
        }
    }

    /// What the cells of these rows touch: in the array of direction `i` the rows themselves, shifted. A bijection, so blocks stay disjoint in every array.
    fn rows_of<'f, S: DerefMut<Target = [f32]>>(
        &self,
        field: &'f mut Populations<C::Set, Q, S>,
        rows: Range<usize>,
    ) -> [&'f mut [f32]; Q] {
        let first = field.first();
        let mut shifted = field.slots_mut().each_mut().map(|slots| &mut slots[..]);
        for (slots, (shift, _)) in shifted.iter_mut().zip(self.shifts) {
            let start = rows.start.wrapping_add_signed(shift) * self.stride - first;
            let end = start + rows.len() * self.stride;
            *slots = &mut std::mem::take(slots)[start..end];
        }
        shifted
    }

    /// Rows without ghosts before the one that is `row` rows, ghosts counted, behind the first.
    fn rows_before(&self, row: usize) -> usize {
        row / self.rows_per_layer * self.rows_across
            + (row % self.rows_per_layer).min(self.rows_across)
    }

    /// Collides the rows in `slots`, the first of which is `first` rows behind the first row with fluid; `last` is that of these rows.
    fn collide_block(&self, first: usize, mut slots: [&mut [f32]; Q], last: &mut [Leaving]) {
        let stride = self.stride;
        let first_counted = self.rows_before(first);
        let row_count = slots[0].len() / stride;
        for local in 0..row_count {
            let (z, y) = (
                (first + local) / self.rows_per_layer,
                (first + local) % self.rows_per_layer,
            );
            if y >= self.rows_across {
                continue;
            }
            let row = z * self.rows_across + y;
            for run in self.fluid.of_row(row) {
                let run = run.start.max(self.columns.start)..run.end.min(self.columns.end);
                if run.is_empty() {
                    continue;
                }
                // As far as the kernel likes to read; the last row of a block ends earlier.
                let reach = run.len().next_multiple_of(LANES);
                let mut shifts = self.shifts.iter();
                let cut = slots.each_mut().map(|slots| {
                    let (_, along) = shifts.next().copied().unwrap_or_default();
                    let start = (local * stride + run.start + 1).wrapping_add_signed(along);
                    let end = (start + reach).min(slots.len());
                    &mut slots[start..end]
                });
                let mut cut = self.arrange(cut);
                self.collision.collide_row(
                    row,
                    run.len(),
                    cut.each_mut().map(|slice| &mut **slice),
                );
                if run.end == self.cells_along
                    && let Some(last) = last.get_mut(row - first_counted)
                {
                    *last = Self::leaving(&cut, run.len() - 1);
                }
            }
        }
    }

    /// What leaves cell `x` of a run that has just collided.
    fn leaving(slices: &[&mut [f32]; Q], x: usize) -> Leaving {
        let mut sums = Leaving::default();
        for i in 0..Q {
            let value = f64::from(slices[C::Set::OPPOSITE[i]][x]);
            if i >= C::Set::FLOW {
                sums.momentum[2] += value;
                continue;
            }
            sums.density += value;
            for (sum, c) in sums.momentum.iter_mut().zip(C::Set::VELOCITIES[i]) {
                *sum += value * f64::from(c);
            }
        }
        sums
    }

    /// Slice `i` in the order of what arrives: the slot itself in the local step, the opposite slot in the scattering one.
    fn arrange<'s>(&self, mut slots: [&'s mut [f32]; Q]) -> [&'s mut [f32]; Q] {
        if self.phase == Phase::Turned {
            // Opposites stand side by side in every set.
            for i in (1..Q).step_by(2) {
                let opposite = C::Set::OPPOSITE[i];
                debug_assert!(opposite == i + 1 || opposite == i && i + 1 == Q);
                slots.swap(i, opposite);
            }
        }
        slots
    }
}
