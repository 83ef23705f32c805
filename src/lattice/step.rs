//! The hot loop: memory layout, threads and the row kernel come together here and nowhere else.

use crate::lattice::field::{Phase, Populations};
use crate::lattice::row_collision::RowCollision;
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

/// Collides and streams every fluid cell once and turns the phase over; rims and walls are up to the caller.
///
/// Rows are independent of each other, so the result does not depend on the number of threads.
pub fn collide_and_stream<C: RowCollision<Q>, const Q: usize>(
    field: &mut Populations<C::Set, Q>,
    collision: &C,
    fluid: &FluidRuns,
    threads: Threads,
) {
    let extent = field.extent();
    let stride = field.stride();
    let first_row = field.row(0, 0);
    // From the first row with fluid to the last, with the ghost rows between two layers.
    let row_count =
        field.row(extent.ny.cast_signed() - 1, extent.nz.cast_signed() - 1) + 1 - first_row;
    let phase = field.phase();
    let shifts: [(isize, isize); Q] = std::array::from_fn(|i| match phase {
        Phase::Gathered => (0, 0),
        Phase::Turned => field.shift(i),
    });
    let block_count = match threads {
        Threads::One => 1,
        Threads::Pool(n) => n.clamp(1, row_count),
    };
    let rows_per_block = row_count.div_ceil(block_count);
    let work = Work {
        collision,
        fluid,
        phase,
        shifts,
        stride,
        rows_per_layer: extent.ny + 2,
        rows_across: extent.ny,
    };

    // The rows that direction `i` touches are the block's own, shifted: a bijection, so blocks stay disjoint in every array.
    let mut shifted = field.slots_mut().each_mut().map(DerefMut::deref_mut);
    for (slots, (rows, _)) in shifted.iter_mut().zip(shifts) {
        let start = first_row.wrapping_add_signed(rows) * stride;
        *slots = &mut std::mem::take(slots)[start..start + row_count * stride];
    }
    if block_count == 1 {
        work.collide_block(0, shifted);
    } else {
        let mut parts = shifted.map(|slots| slots.chunks_mut(rows_per_block * stride));
        let blocks: Vec<[&mut [f32]; Q]> = (0..row_count.div_ceil(rows_per_block))
            .map(|_| parts.each_mut().map(|p| p.next().unwrap_or_default()))
            .collect();
        blocks
            .into_par_iter()
            .enumerate()
            .for_each(|(block, slots)| work.collide_block(block * rows_per_block, slots));
    }
    field.set_phase(match phase {
        Phase::Gathered => Phase::Turned,
        Phase::Turned => Phase::Gathered,
    });
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
}

impl<C: RowCollision<Q>, const Q: usize> Work<'_, C, Q> {
    /// Collides the rows in `slots`, the first of which is `first` rows behind the first row with fluid.
    fn collide_block(&self, first: usize, mut slots: [&mut [f32]; Q]) {
        let stride = self.stride;
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
            let mut rows = slots
                .each_mut()
                .map(|s| &mut s[local * stride..(local + 1) * stride]);
            for run in self.fluid.of_row(row) {
                let mut index = 0;
                let cut = rows.each_mut().map(|row| {
                    let start = (run.start + 1).wrapping_add_signed(self.shifts[index].1);
                    index += 1;
                    &mut row[start..start + run.len()]
                });
                self.collision.collide_row(row, self.arrange(cut));
            }
        }
    }

    /// Slice `i` in the order of what arrives: the slot itself in the local step, the opposite slot in the scattering one.
    fn arrange<'s>(&self, mut slots: [&'s mut [f32]; Q]) -> [&'s mut [f32]; Q] {
        if self.phase == Phase::Turned {
            // Opposites stand side by side in every set.
            for i in (1..Q).step_by(2) {
                debug_assert_eq!(C::Set::OPPOSITE[i], i + 1);
                slots.swap(i, i + 1);
            }
        }
        slots
    }
}
