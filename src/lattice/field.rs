//! Populations in memory, and where each of them stands.
//!
//! One array per direction, rows along x, one ghost cell at both ends of each axis (none along z in the plane).
//! Streaming is in place, in pairs of steps (P. Bailey, J. Myre, S. Walsh, D. Lilja, M. Saar, ICPP 2009; from memory):
//!
//! * *Gathered*: slot `i` of a cell holds the population that has arrived there along `i`. A local step collides it and leaves each
//!   result in the slot of the opposite direction of the same cell.
//! * *Turned*: slot `opposite(i)` of a cell holds the population that leaves along `i`. A scattering step reads what has arrived from
//!   the neighbours' slots and puts the results into the neighbours' slots along the way out, which makes the field gathered again.
//!
//! [`Populations::left`] and [`Populations::arriving`] hide the difference: all rims and walls are written with them.

use crate::lattice::velocity_set::VelocitySet;
use std::marker::PhantomData;
use std::ops::{Deref, DerefMut, Range};

/// Number of cells along each axis, ghosts not counted; `nz` is 1 in the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    /// Along the flow.
    pub nx: usize,
    /// Across; the radius in axisymmetric flow.
    pub ny: usize,
    /// Across, out of the plane.
    pub nz: usize,
}

impl Extent {
    /// A flat extent.
    pub fn planar(nx: usize, ny: usize) -> Self {
        Self { nx, ny, nz: 1 }
    }

    /// Number of cells without ghosts.
    pub fn cell_count(&self) -> usize {
        self.nx * self.ny * self.nz
    }
}

/// Numbers in a cache line; rows are a whole number of lines apart.
const LINE: usize = 16;

/// Which of the two states of a pair of steps the field is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Slot `i` holds what arrived along `i`, before collision. Moments are read in this phase.
    Gathered,
    /// Slot `opposite(i)` holds what leaves along `i`, after collision.
    Turned,
}

impl Phase {
    /// The one after a collision.
    pub(crate) fn next(self) -> Self {
        match self {
            Self::Gathered => Self::Turned,
            Self::Turned => Self::Gathered,
        }
    }
}

/// One number per cell, ghosts included, with room in front.
///
/// Large arrays all begin at the same place within a memory page. Kernels that walk along many of them at once would then want all of them in the same few lines of the
/// first cache; so every array begins at a place of its own. Rows begin so that the first cell behind the ghost stands at the start of a cache line.
#[derive(Debug, Clone)]
pub struct SlotArray {
    memory: Vec<f32>,
    start: usize,
}

impl SlotArray {
    /// Three cache lines: up to 21 arrays spread over a page.
    const SHIFT: usize = 48;

    fn at_rest(len: usize, number: usize) -> Self {
        let memory = vec![0.0; number * Self::SHIFT + len + LINE];
        // A copy may stand elsewhere in a line: slower by a tenth, otherwise the same.
        let to_line = memory.as_ptr().align_offset(4 * LINE) % LINE;
        Self {
            start: number * Self::SHIFT + (to_line + LINE - 1) % LINE,
            memory,
        }
    }
}

impl Deref for SlotArray {
    type Target = [f32];

    #[inline]
    fn deref(&self) -> &[f32] {
        &self.memory[self.start..]
    }
}

impl DerefMut for SlotArray {
    #[inline]
    fn deref_mut(&mut self) -> &mut [f32] {
        &mut self.memory[self.start..]
    }
}

/// All populations of a lattice, as deviations from rest; with borrowed slots `S` those of some neighbouring rows.
#[derive(Debug, Clone)]
pub struct Populations<V, const Q: usize, S = SlotArray> {
    extent: Extent,
    stride: usize,
    rows_per_layer: usize,
    ghost_layers: usize,
    slots: [S; Q],
    /// Index of the first cell in `slots`.
    first: usize,
    offsets: [isize; Q],
    phase: Phase,
    set: PhantomData<V>,
}

/// Some neighbouring rows of a field.
pub(crate) type Part<'a, V, const Q: usize> = Populations<V, Q, &'a mut [f32]>;

impl<V: VelocitySet<Q>, const Q: usize> Populations<V, Q> {
    /// A field at rest.
    ///
    /// # Panics
    /// If the grid is larger than any memory.
    #[expect(
        clippy::cast_possible_wrap,
        reason = "a grid that fits into memory has far fewer rows and cells"
    )]
    pub fn at_rest(extent: Extent) -> Self {
        let stride = (extent.nx + 2).next_multiple_of(LINE);
        let rows_per_layer = extent.ny + 2;
        let ghost_layers = usize::from(V::IS_THREE_DIMENSIONAL);
        let len = stride * rows_per_layer * (extent.nz + 2 * ghost_layers);
        let offsets = V::VELOCITIES.map(|[cx, cy, cz]| {
            let rows = i64::from(cy) + i64::from(cz) * rows_per_layer as i64;
            isize::try_from(rows * stride as i64 + i64::from(cx))
                .expect("a grid that fits into memory has offsets that fit")
        });
        Self {
            extent,
            stride,
            rows_per_layer,
            ghost_layers,
            slots: std::array::from_fn(|i| SlotArray::at_rest(len, i)),
            first: 0,
            offsets,
            phase: Phase::Gathered,
            set: PhantomData,
        }
    }

    /// Numbers of a slot array: every cell with its ghosts, and what fills the lines.
    fn len(&self) -> usize {
        self.stride * self.rows_per_layer * (self.extent.nz + 2 * self.ghost_layers)
    }

    /// All numbers of the gathered field, array by array.
    pub(super) fn cells(&self) -> impl Iterator<Item = &[f32]> {
        debug_assert_eq!(self.phase, Phase::Gathered);
        let len = self.len();
        self.slots.iter().map(move |slot| &slot[..len])
    }

    /// The same, to be replaced.
    pub(super) fn cells_mut(&mut self) -> impl Iterator<Item = &mut [f32]> {
        self.phase = Phase::Gathered;
        let len = self.len();
        self.slots.iter_mut().map(move |slot| &mut slot[..len])
    }

    /// Bytes that a cell takes.
    pub const BYTES_PER_CELL: u64 = 4 * Q as u64;

    /// The field in blocks of about equally many slabs (rows of the plane, layers in three dimensions), each with the numbers of its slabs and, at both ends, with the ghosts beyond.
    pub(crate) fn blocks(&mut self, count: usize) -> Vec<(Range<usize>, Part<'_, V, Q>)> {
        let (slabs, size) = self.slabs();
        let bounds: Vec<usize> = (0..=count).map(|j| j * slabs / count).collect();
        let cuts: Vec<usize> = (0..=count)
            .map(|j| match j {
                0 => 0,
                j if j == count => (slabs + 2) * size,
                j => (bounds[j] + 1) * size,
            })
            .collect();
        let slabs = bounds.windows(2).map(|pair| pair[0]..pair[1]);
        slabs.zip(self.cut(&cuts)).collect()
    }

    /// The field cut before the cells of these indices (in order; nothing before the first, nothing behind the last): parts that different threads may change.
    fn cut(&mut self, cuts: &[usize]) -> Vec<Part<'_, V, Q>> {
        let mut rest = self.slots.each_mut().map(DerefMut::deref_mut);
        let mut first = 0;
        let mut parts = Vec::with_capacity(cuts.len());
        for &cut in cuts {
            let slots = rest.each_mut().map(|rest| {
                let (part, others) = std::mem::take(rest).split_at_mut(cut - first);
                *rest = others;
                part
            });
            parts.push(Populations {
                extent: self.extent,
                stride: self.stride,
                rows_per_layer: self.rows_per_layer,
                ghost_layers: self.ghost_layers,
                slots,
                first,
                offsets: self.offsets,
                phase: self.phase,
                set: PhantomData,
            });
            first = cut;
        }
        if !parts.is_empty() {
            parts.remove(0);
        }
        parts
    }
}

impl<V: VelocitySet<Q>, S: DerefMut<Target = [f32]>, const Q: usize> Populations<V, Q, S> {
    /// Number of cells along each axis.
    pub fn extent(&self) -> Extent {
        self.extent
    }

    /// The state that the field is in.
    pub fn phase(&self) -> Phase {
        self.phase
    }

    pub(crate) fn set_phase(&mut self, phase: Phase) {
        self.phase = phase;
    }

    /// Numbers from row to row: a row with its two ghosts and what fills the last cache line.
    pub fn stride(&self) -> usize {
        self.stride
    }

    /// Number of the row at (`y`, `z`); −1 and `ny` are ghosts.
    pub fn row(&self, y: isize, z: isize) -> usize {
        let layer = z + isize::try_from(self.ghost_layers).unwrap_or(0);
        let row = layer * self.rows_per_layer.cast_signed() + y + 1;
        row.cast_unsigned()
    }

    /// Index of the cell (`x`, `y`, `z`) in every slot array; −1 and `nx`, `ny`, `nz` are ghosts.
    pub fn index(&self, x: isize, y: isize, z: isize) -> usize {
        self.row(y, z) * self.stride + (x + 1).cast_unsigned()
    }

    /// Index of the neighbour along direction `i`.
    pub fn neighbour(&self, cell: usize, i: usize) -> usize {
        cell.wrapping_add_signed(self.offsets[i])
    }

    /// How many rows apart the neighbours along direction `i` are, and how many cells within the row.
    pub(crate) fn shift(&self, i: usize) -> (isize, isize) {
        let [cx, cy, cz] = V::VELOCITIES[i];
        let rows = cy as isize + cz as isize * self.rows_per_layer.cast_signed();
        (rows, cx as isize)
    }

    /// How many slabs there are (rows of the plane, layers in three dimensions), and how many numbers one has with its ghosts.
    pub(crate) fn slabs(&self) -> (usize, usize) {
        if V::IS_THREE_DIMENSIONAL {
            (self.extent.nz, self.rows_per_layer * self.stride)
        } else {
            (self.extent.ny, self.stride)
        }
    }

    /// Indices of the cells of a slab with its ghosts.
    pub(crate) fn slab_cells(&self, slab: usize) -> Range<usize> {
        let (_, size) = self.slabs();
        (slab + 1) * size..(slab + 2) * size
    }

    /// Index of the first cell in the slot arrays.
    pub(crate) fn first(&self) -> usize {
        self.first
    }

    /// The slot arrays, one per direction.
    pub fn slots(&self) -> &[S; Q] {
        &self.slots
    }

    pub(crate) fn slots_mut(&mut self) -> &mut [S; Q] {
        &mut self.slots
    }

    /// The population that the last collision sent off from `cell` along `i`.
    #[inline]
    pub fn left(&self, cell: usize, i: usize) -> f32 {
        match self.phase {
            Phase::Turned => self.slots[V::OPPOSITE[i]][cell - self.first],
            Phase::Gathered => self.slots[i][self.neighbour(cell, i) - self.first],
        }
    }

    /// By direction `i`: the array in which [`Populations::left`] looks along `i`, and how far from the cell.
    pub(crate) fn left_slots_mut(&mut self) -> impl Iterator<Item = (usize, (&mut [f32], isize))> {
        let (phase, offsets) = (self.phase, self.offsets);
        let slots = self.slots.iter_mut().map(DerefMut::deref_mut);
        slots.enumerate().map(move |(slot, numbers)| match phase {
            Phase::Turned => (V::OPPOSITE[slot], (numbers, 0)),
            Phase::Gathered => (slot, (numbers, offsets[slot])),
        })
    }

    /// Sends a population off from `cell` along `i`, as if the cell had collided.
    #[inline]
    pub fn send(&mut self, cell: usize, i: usize, value: f32) {
        match self.phase {
            Phase::Turned => self.slots[V::OPPOSITE[i]][cell - self.first] = value,
            Phase::Gathered => {
                let target = self.neighbour(cell, i);
                self.slots[i][target - self.first] = value;
            }
        }
    }

    /// The population that the next collision in `cell` finds arriving along `i`.
    #[inline]
    pub fn arriving(&self, cell: usize, i: usize) -> f32 {
        match self.phase {
            Phase::Turned => {
                self.slots[V::OPPOSITE[i]][self.neighbour(cell, V::OPPOSITE[i]) - self.first]
            }
            Phase::Gathered => self.slots[i][cell - self.first],
        }
    }

    /// Replaces the population that the next collision in `cell` finds arriving along `i`.
    #[inline]
    pub fn set_arriving(&mut self, cell: usize, i: usize, value: f32) {
        match self.phase {
            Phase::Turned => {
                let source = self.neighbour(cell, V::OPPOSITE[i]);
                self.slots[V::OPPOSITE[i]][source - self.first] = value;
            }
            Phase::Gathered => self.slots[i][cell - self.first] = value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lattice::velocity_set::D2Q9;

    #[test]
    fn what_one_cell_sends_its_neighbour_finds_in_both_phases() {
        let mut field = Populations::<D2Q9, 9>::at_rest(Extent::planar(5, 4));
        for phase in [Phase::Turned, Phase::Gathered] {
            field.set_phase(phase);
            for i in 0..9 {
                let cell = field.index(2, 1, 0);
                let value = 0.5 + i as f32;
                field.send(cell, i, value);
                assert_eq!(field.left(cell, i).to_bits(), value.to_bits());
                let next = field.neighbour(cell, i);
                assert_eq!(field.arriving(next, i).to_bits(), value.to_bits());
            }
        }
    }
}
