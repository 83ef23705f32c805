//! Rims that copy: periodic sides and mirrors (a mirror at row 0 of an axisymmetric lattice is the axis).

use crate::lattice::field::{Extent, Phase, Populations};
use crate::lattice::step::Threads;
use crate::lattice::velocity_set::VelocitySet;
use rayon::prelude::*;
use std::ops::DerefMut;

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

impl VolumeSides {
    fn has_mirror(self) -> bool {
        [self.bottom, self.top, self.near, self.far].contains(&Side::Mirror)
    }
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
    if V::IS_THREE_DIMENSIONAL && !sides.has_mirror() {
        return fill_periodic(field, sides, threads);
    }
    match field.phase() {
        Phase::Turned => {
            fill_along(field, sides.along);
            fill_across(field, [sides.bottom, sides.top]);
            fill_deep(field, [sides.near, sides.far]);
        }
        Phase::Gathered => {
            fill_deep(field, [sides.near, sides.far]);
            fill_across(field, [sides.bottom, sides.top]);
            fill_along(field, sides.along);
        }
    }
}

/// Without mirrors every array is copied within itself, each by any thread.
fn fill_periodic<V: VelocitySet<Q>, const Q: usize>(
    field: &mut Populations<V, Q>,
    sides: VolumeSides,
    threads: Threads,
) {
    let Extent { nx, ny, nz } = field.extent();
    let (stride, phase) = (field.stride(), field.phase());
    let row_of = |y: usize, z: usize| z * (ny + 2) + y;
    // Coordinates count the ghosts in. Copies from the inside to the ghosts or back.
    let copy = |slots: &mut [f32], inner: usize, ghost: usize, length: usize| match phase {
        Phase::Turned => slots.copy_within(inner..inner + length, ghost),
        Phase::Gathered => slots.copy_within(ghost..ghost + length, inner),
    };
    let ends = |towards: i32, cells: usize, side: Side| match (side, towards) {
        (Side::Periodic, -1) => Some((cells, 0)),
        (Side::Periodic, 1) => Some((1, cells + 1)),
        _ => None,
    };
    let fill = |(i, slots): (usize, &mut [f32])| {
        let [cx, cy, cz] = V::VELOCITIES[i];
        let along = |slots: &mut [f32]| {
            if let Some((inner, ghost)) = ends(cx, nx, sides.along) {
                for row in (1..=nz).flat_map(|z| (1..=ny).map(move |y| row_of(y, z))) {
                    copy(slots, row * stride + inner, row * stride + ghost, 1);
                }
            }
        };
        let across = |slots: &mut [f32]| {
            if let Some((inner, ghost)) = ends(cy, ny, sides.bottom) {
                for z in 1..=nz {
                    let (inner, ghost) = (row_of(inner, z), row_of(ghost, z));
                    copy(slots, inner * stride, ghost * stride, nx + 2);
                }
            }
        };
        let deep = |slots: &mut [f32]| {
            if let Some((inner, ghost)) = ends(cz, nz, sides.near) {
                let layer = (ny + 2) * stride;
                copy(slots, inner * layer, ghost * layer, layer);
            }
        };
        match phase {
            Phase::Turned => {
                along(slots);
                across(slots);
                deep(slots);
            }
            Phase::Gathered => {
                deep(slots);
                across(slots);
                along(slots);
            }
        }
    };
    let slots = field.slots_mut().each_mut().map(DerefMut::deref_mut);
    match threads {
        Threads::One => slots.into_iter().enumerate().for_each(fill),
        Threads::Pool(_) => slots.into_par_iter().enumerate().for_each(fill),
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

/// Sides of y: rows with their ghosts of x.
fn fill_across<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, sides: [Side; 2]) {
    let extent = field.extent();
    for i in 0..Q {
        let Some(copy) = Copy::of::<V, Q>(i, 1, extent.ny, sides) else {
            continue;
        };
        for z in 0..extent.nz.cast_signed() {
            let ghost = field.row(copy.ghost, z);
            let inner = field.row(copy.inner, z);
            copy_rows(field, &copy, ghost, inner, 1);
        }
    }
}

/// Sides of z: layers with their ghosts of x and y.
fn fill_deep<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, sides: [Side; 2]) {
    let extent = field.extent();
    for i in 0..Q {
        if let Some(copy) = Copy::of::<V, Q>(i, 2, extent.nz, sides) {
            let ghost = field.row(-1, copy.ghost);
            let inner = field.row(-1, copy.inner);
            copy_rows(field, &copy, ghost, inner, extent.ny + 2);
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
fn copy_rows<V: VelocitySet<Q>, const Q: usize>(
    field: &mut Populations<V, Q>,
    copy: &Copy,
    ghost: usize,
    inner: usize,
    row_count: usize,
) {
    let stride = field.stride();
    let phase = field.phase();
    let slots = field.slots_mut();
    let (from, to) = match phase {
        Phase::Turned => ((copy.inner_slot, inner), (copy.slot, ghost)),
        Phase::Gathered => ((copy.slot, ghost), (copy.inner_slot, inner)),
    };
    let source = from.1 * stride..(from.1 + row_count) * stride;
    let target = to.1 * stride..(to.1 + row_count) * stride;
    if from.0 == to.0 {
        slots[to.0].copy_within(source, target.start);
    } else if let Ok([source_slot, target_slot]) = slots.get_disjoint_mut([from.0, to.0]) {
        target_slot[target].copy_from_slice(&source_slot[source]);
    }
}

/// The direction with its component along `axis` reversed.
pub fn mirrored<V: VelocitySet<Q>, const Q: usize>(i: usize, axis: usize) -> usize {
    let mut image = V::VELOCITIES[i];
    image[axis] = -image[axis];
    V::VELOCITIES.iter().position(|&c| c == image).unwrap_or(i)
}
