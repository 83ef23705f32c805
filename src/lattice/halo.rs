//! Rims that copy: periodic sides and mirrors (a mirror at row 0 of an axisymmetric lattice is the axis).

use crate::lattice::field::{Phase, Populations};
use crate::lattice::velocity_set::VelocitySet;

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

/// Fills in what arrives over the rim, after a collision.
pub fn fill<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, sides: Sides) {
    match field.phase() {
        Phase::Turned => {
            fill_along(field, sides);
            fill_across(field, sides);
        }
        Phase::Gathered => {
            fill_across(field, sides);
            fill_along(field, sides);
        }
    }
}

fn fill_along<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, sides: Sides) {
    if sides.along != Side::Periodic {
        return;
    }
    let (nx, ny) = (
        field.extent().nx.cast_signed(),
        field.extent().ny.cast_signed(),
    );
    let phase = field.phase();
    for i in 0..Q {
        let (ghost, inner) = match V::VELOCITIES[i][0] {
            -1 => (-1, nx - 1),
            1 => (nx, 0),
            _ => continue,
        };
        for y in 0..ny {
            let ghost = field.index(ghost, y, 0);
            let inner = field.index(inner, y, 0);
            let slots = &mut field.slots_mut()[i];
            match phase {
                Phase::Turned => slots[ghost] = slots[inner],
                Phase::Gathered => slots[inner] = slots[ghost],
            }
        }
    }
}

fn fill_across<V: VelocitySet<Q>, const Q: usize>(field: &mut Populations<V, Q>, sides: Sides) {
    let ny = field.extent().ny.cast_signed();
    for i in 0..Q {
        // Slot i of a ghost row is used by direction i pointing outwards (gathered: just left along i; turned: about to arrive along the opposite).
        let (side, ghost, inner_same, inner_mirror) = match V::VELOCITIES[i][1] {
            -1 => (sides.bottom, -1, ny - 1, 0),
            1 => (sides.top, ny, 0, ny - 1),
            _ => continue,
        };
        match side {
            Side::Open => {}
            Side::Periodic => copy_row(field, i, ghost, i, inner_same),
            Side::Mirror => copy_row(field, i, ghost, mirrored::<V, Q>(i), inner_mirror),
        }
    }
}

/// Turned: ghost row of slot `i` := inner row of slot `j`. Gathered: the other way round.
fn copy_row<V: VelocitySet<Q>, const Q: usize>(
    field: &mut Populations<V, Q>,
    i: usize,
    ghost: isize,
    j: usize,
    inner: isize,
) {
    let stride = field.stride();
    let ghost = field.row(ghost, 0) * stride;
    let inner = field.row(inner, 0) * stride;
    let phase = field.phase();
    let slots = field.slots_mut();
    for x in 0..stride {
        match phase {
            Phase::Turned => slots[i][ghost + x] = slots[j][inner + x],
            Phase::Gathered => slots[j][inner + x] = slots[i][ghost + x],
        }
    }
}

/// The direction with its y component reversed.
pub fn mirrored<V: VelocitySet<Q>, const Q: usize>(i: usize) -> usize {
    let [cx, cy, cz] = V::VELOCITIES[i];
    V::VELOCITIES
        .iter()
        .position(|&c| c == [cx, -cy, cz])
        .unwrap_or(i)
}
