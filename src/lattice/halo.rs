//! Rims that copy: periodic sides and mirrors (a mirror at row 0 of an axisymmetric lattice is the axis).

use crate::lattice::field::{Phase, Populations};
use crate::lattice::step::Threads;
use crate::lattice::velocity_set::VelocitySet;
use std::ops::{DerefMut, Range};

/// What lies beyond one pair of sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The other side of the lattice.
    Periodic,
    /// A mirror half-way between the last cell and its ghost: free slip, or the axis.
    Mirror,
    /// Nothing is copied: walls, inlets or outlets see to it.
    Open,
}

/// What lies beyond the four sides of a plane lattice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sides {
    /// Both ends along x: periodic or open.
    pub along: Side,
    /// Below row 0; if periodic, so must be the top.
    pub bottom: Side,
    /// Above the last row.
    pub top: Side,
}

/// What lies beyond the six sides of a three-dimensional lattice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VolumeSides {
    /// Both ends along x: periodic or open.
    pub along: Side,
    /// Below row 0; if periodic, so must be the top.
    pub bottom: Side,
    /// Above the last row.
    pub top: Side,
    /// In front of layer 0; if periodic, so must be the far side.
    pub near: Side,
    /// Behind the last layer.
    pub far: Side,
}

impl From<Sides> for VolumeSides {
    /// A plane has no third axis: nothing is copied along it.
    fn from(sides: Sides) -> Self {
        Self {
            along: sides.along,
            bottom: sides.bottom,
            top: sides.top,
            near: Side::Open,
            far: Side::Open,
        }
    }
}

/// Fills in what arrives over the rim, after a collision.
///
/// A population that crosses an edge of the lattice is copied once for each axis. What is about to arrive is copied into the ghosts of x, then with them into those of y, then
/// with both into those of z; what has just left comes back from the ghosts in the reverse order.
pub fn fill<V: VelocitySet<Q>, const Q: usize>(
    field: &mut Populations<V, Q>,
    sides: VolumeSides,
    threads: Threads,
) {
    let columns = 0..field.extent().nx;
    match field.phase() {
        Phase::Turned => {
            fill_along(field, sides.along);
            fill_columns(field, sides, &columns, threads);
        }
        Phase::Gathered => {
            fill_columns(field, sides, &columns, threads);
            fill_along(field, sides.along);
        }
    }
}

/// The sides of y and z after a collision of the cells in some columns only.
pub(crate) fn fill_columns<V: VelocitySet<Q>, const Q: usize>(
    field: &mut Populations<V, Q>,
    sides: VolumeSides,
    columns: &Range<usize>,
    threads: Threads,
) {
    let across = |field: &mut Populations<V, Q>| {
        let sides = [sides.bottom, sides.top];
        if V::IS_THREE_DIMENSIONAL {
            let blocks = field.blocks(threads.blocks(field.extent().nz));
            threads.each(blocks, |(layers, mut block)| {
                fill_across(&mut block, sides, layers, columns);
            });
        } else {
            fill_across(field, sides, 0..1, columns);
        }
    };
    match field.phase() {
        Phase::Turned => {
            across(field);
            fill_deep(field, [sides.near, sides.far], columns);
        }
        Phase::Gathered => {
            fill_deep(field, [sides.near, sides.far], columns);
            across(field);
        }
    }
}

fn fill_along<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, along: Side) {
    if along != Side::Periodic {
        return;
    }
    let extent = field.extent();
    let nx = extent.nx.cast_signed();
    let phase = field.phase();
    for i in 0..Q {
        let (ghost, inner) = match V::VELOCITIES[i][0] {
            -1 => (-1, nx - 1),
            1 => (nx, 0),
            _ => continue,
        };
        for z in 0..extent.nz.cast_signed() {
            for y in 0..extent.ny.cast_signed() {
                let ghost = field.index(ghost, y, z);
                let inner = field.index(inner, y, z);
                let slots = &mut field.slots_mut()[i];
                match phase {
                    Phase::Turned => slots[ghost] = slots[inner],
                    Phase::Gathered => slots[inner] = slots[ghost],
                }
            }
        }
    }
}

/// Sides of y of some layers, after a collision of the cells in `columns`: rows with their ghosts of x.
pub(crate) fn fill_across<V, S, const Q: usize>(
    field: &mut Populations<V, Q, S>,
    sides: [Side; 2],
    layers: Range<usize>,
    columns: &Range<usize>,
) where
    V: VelocitySet<Q>,
    S: DerefMut<Target = [f32]>,
{
    for i in 0..Q {
        let Some(copy) = Copy::of::<V, Q>(i, 1, field.extent().ny, sides) else {
            continue;
        };
        for z in layers.clone() {
            let ghost = field.row(copy.ghost, z.cast_signed());
            let inner = field.row(copy.inner, z.cast_signed());
            copy_rows(field, &copy, ghost, inner, 1, columns);
        }
    }
}

/// Sides of z, after a collision of the cells in `columns`: layers with their ghosts of x and y.
pub(crate) fn fill_deep<V, S, const Q: usize>(
    field: &mut Populations<V, Q, S>,
    sides: [Side; 2],
    columns: &Range<usize>,
) where
    V: VelocitySet<Q>,
    S: DerefMut<Target = [f32]>,
{
    let extent = field.extent();
    for i in 0..Q {
        if let Some(copy) = Copy::of::<V, Q>(i, 2, extent.nz, sides) {
            let ghost = field.row(-1, copy.ghost);
            let inner = field.row(-1, copy.inner);
            copy_rows(field, &copy, ghost, inner, extent.ny + 2, columns);
        }
    }
}

/// What the ghosts of slot `slot` at one side correspond to.
struct Copy {
    slot: usize,
    inner_slot: usize,
    /// Coordinates along the axis.
    ghost: isize,
    inner: isize,
}

impl Copy {
    /// Slot i of a ghost is used by direction i pointing outwards (gathered: just left along i; turned: about to arrive along the opposite).
    fn of<V: VelocitySet<Q>, const Q: usize>(
        i: usize,
        axis: usize,
        cells: usize,
        sides: [Side; 2],
    ) -> Option<Self> {
        let n = cells.cast_signed();
        let (side, ghost, inner_same, inner_mirror) = match V::VELOCITIES[i][axis] {
            -1 => (sides[0], -1, n - 1, 0),
            1 => (sides[1], n, 0, n - 1),
            _ => return None,
        };
        let (inner_slot, inner) = match side {
            Side::Open => return None,
            Side::Periodic => (i, inner_same),
            Side::Mirror => (mirrored::<V, Q>(i, axis), inner_mirror),
        };
        Some(Self {
            slot: i,
            inner_slot,
            ghost,
            inner,
        })
    }
}

/// Turned: ghost rows := inner rows. Gathered: the other way round.
fn copy_rows<V, S, const Q: usize>(
    field: &mut Populations<V, Q, S>,
    copy: &Copy,
    ghost: usize,
    inner: usize,
    row_count: usize,
    columns: &Range<usize>,
) where
    V: VelocitySet<Q>,
    S: DerefMut<Target = [f32]>,
{
    let (stride, first, phase) = (field.stride(), field.first(), field.phase());
    // Counted from the ghost, and with it if the columns reach the rim: what an outlet sends comes from there.
    let end_of_row = field.extent().nx + 2;
    let start = if columns.start == 0 {
        0
    } else {
        columns.start + 1
    };
    let end = if columns.end + 2 == end_of_row {
        end_of_row
    } else {
        columns.end + 1
    };
    let (from, to, along) = match phase {
        Phase::Turned => ((copy.inner_slot, inner), (copy.slot, ghost), 0),
        // What has been scattered stands a cell further on.
        Phase::Gathered => (
            (copy.slot, ghost),
            (copy.inner_slot, inner),
            V::VELOCITIES[copy.slot][0] as isize,
        ),
    };
    let start = start.saturating_add_signed(along);
    let end = end.saturating_add_signed(along).min(end_of_row);
    let slots = field.slots_mut();
    for row in 0..row_count {
        let source = (from.1 + row) * stride - first;
        let target = (to.1 + row) * stride - first;
        let source = source + start..source + end;
        let target = target + start..target + end;
        if from.0 == to.0 {
            slots[to.0].copy_within(source, target.start);
        } else if let Ok([source_slot, target_slot]) = slots.get_disjoint_mut([from.0, to.0]) {
            target_slot[target].copy_from_slice(&source_slot[source]);
        }
    }
}

/// The direction with its component along `axis` reversed, among those that carry the same.
pub fn mirrored<V: VelocitySet<Q>, const Q: usize>(i: usize, axis: usize) -> usize {
    let mut image = V::VELOCITIES[i];
    image[axis] = -image[axis];
    let mut same = if i < V::FLOW { 0..V::FLOW } else { V::FLOW..Q };
    same.find(|&j| V::VELOCITIES[j] == image).unwrap_or(i)
}
