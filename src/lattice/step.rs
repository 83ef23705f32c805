//! The hot loop: memory layout, threads and the row kernel come together here and nowhere else.

use crate::lattice::collision::{Fluid, RowConstants};
use crate::lattice::field::{Phase, Populations};
use crate::lattice::row::{RowTerms, collide_row};
use crate::lattice::velocity_set::{D2Q9, VelocitySet};
use rayon::prelude::*;
use std::ops::Range;

/// Runs of fluid cells of every row: walls inside a row split it.
#[derive(Debug, Clone, Default)]
pub struct FluidRuns {
    runs: Vec<Range<usize>>,
    first_of_row: Vec<usize>,
}

impl FluidRuns {
    /// Finds the runs; `is_fluid(x, row)` is asked for every cell, rows counted without ghosts.
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

/// Collision for a plane lattice: constants per row and the terms in use.
#[derive(Debug, Clone)]
pub struct PlaneCollision {
    terms: RowTerms,
    rows: Vec<RowConstants>,
}

impl PlaneCollision {
    /// Flat flow, `ny` rows.
    pub fn flat(fluid: &Fluid, ny: usize) -> Self {
        Self {
            terms: Self::terms(fluid, false),
            rows: vec![RowConstants::new(fluid, 1.0, false); ny],
        }
    }

    /// Axisymmetric flow: row 0 is centred half a cell off the axis.
    pub fn round(fluid: &Fluid, ny: usize) -> Self {
        let rows = (0..ny)
            .map(|y| RowConstants::new(fluid, y as f64 + 0.5, true))
            .collect();
        Self {
            terms: Self::terms(fluid, true),
            rows,
        }
    }

    fn terms(fluid: &Fluid, is_axisymmetric: bool) -> RowTerms {
        let is_forced = fluid.force.iter().any(|&g| g != 0.0);
        RowTerms {
            is_axisymmetric,
            has_subgrid: fluid.subgrid.is_some(),
            is_forced,
        }
    }

    /// Constants of row `y`.
    pub fn row(&self, y: usize) -> &RowConstants {
        &self.rows[y]
    }

    /// Whether the lattice is axisymmetric.
    pub fn is_axisymmetric(&self) -> bool {
        self.terms.is_axisymmetric
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
pub fn collide_and_stream(
    field: &mut Populations<D2Q9, 9>,
    collision: &PlaneCollision,
    fluid: &FluidRuns,
    threads: Threads,
) {
    let extent = field.extent();
    let stride = field.stride();
    let first_row = field.row(0, 0);
    let phase = field.phase();
    let shifts: [(isize, isize); 9] = std::array::from_fn(|i| match phase {
        Phase::Gathered => (0, 0),
        Phase::Turned => field.shift(i),
    });
    let block_count = match threads {
        Threads::One => 1,
        Threads::Pool(n) => n.clamp(1, extent.ny),
    };
    let rows_per_block = extent.ny.div_ceil(block_count);

    // The rows that direction `i` touches are the block's own, shifted: a bijection, so blocks stay disjoint in every array.
    let mut shifted = field.slots_mut().each_mut().map(Vec::as_mut_slice);
    for (slots, (rows, _)) in shifted.iter_mut().zip(shifts) {
        let start = first_row.wrapping_add_signed(rows) * stride;
        *slots = &mut std::mem::take(slots)[start..start + extent.ny * stride];
    }
    let work = |block: usize, slots: [&mut [f32]; 9]| {
        collide_block(
            collision,
            fluid,
            phase,
            &shifts,
            stride,
            block * rows_per_block,
            slots,
        );
    };
    if block_count == 1 {
        work(0, shifted);
    } else {
        let mut parts = shifted.map(|slots| slots.chunks_mut(rows_per_block * stride));
        let blocks: Vec<[&mut [f32]; 9]> = (0..extent.ny.div_ceil(rows_per_block))
            .map(|_| parts.each_mut().map(|p| p.next().unwrap_or_default()))
            .collect();
        blocks
            .into_par_iter()
            .enumerate()
            .for_each(|(block, slots)| work(block, slots));
    }
    field.set_phase(match phase {
        Phase::Gathered => Phase::Turned,
        Phase::Turned => Phase::Gathered,
    });
}

fn collide_block(
    collision: &PlaneCollision,
    fluid: &FluidRuns,
    phase: Phase,
    shifts: &[(isize, isize); 9],
    stride: usize,
    first_row: usize,
    mut slots: [&mut [f32]; 9],
) {
    let row_count = slots[0].len() / stride;
    for local in 0..row_count {
        let y = first_row + local;
        let mut rows = slots
            .each_mut()
            .map(|s| &mut s[local * stride..(local + 1) * stride]);
        for run in fluid.of_row(y) {
            let mut index = 0;
            let cut = rows.each_mut().map(|row| {
                let start = (run.start + 1).wrapping_add_signed(shifts[index].1);
                index += 1;
                &mut row[start..start + run.len()]
            });
            collide_row(collision.terms, collision.row(y), arrange(phase, cut));
        }
    }
}

/// Slice `i` in the order of what arrives: the slot itself in the local step, the opposite slot in the scattering one.
fn arrange(phase: Phase, slots: [&mut [f32]; 9]) -> [&mut [f32]; 9] {
    match phase {
        Phase::Gathered => slots,
        Phase::Turned => {
            debug_assert_eq!(D2Q9::OPPOSITE, [0, 2, 1, 4, 3, 6, 5, 8, 7]);
            let [s0, s1, s2, s3, s4, s5, s6, s7, s8] = slots;
            [s0, s2, s1, s4, s3, s6, s5, s8, s7]
        }
    }
}
