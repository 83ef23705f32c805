//! The vector units that a machine has do not change a bit: the dispatched kernels, the same collision for narrower units, and the one that any machine can run.

use crate::lattice::collision::{self, Fluid, RowConstants};
use crate::lattice::row::PlaneCollision;
use crate::lattice::row_collision::RowCollision;
use crate::lattice::swirl_collision::{self, SwirlConstants};
use crate::lattice::swirl_row::SwirlCollision;
use crate::lattice::velocity_set::VelocitySet;
use crate::lattice::volume_collision::{self, VolumeConstants};
use crate::lattice::volume_row::VolumeCollision;
use crate::units::LatticeViscosity;
use multiversion::multiversion;

/// A length with whole blocks and a rest.
const LENGTH: usize = 16 * 7 + 5;

fn sample<const Q: usize>() -> Vec<[f32; Q]> {
    (0..LENGTH)
        .map(|x| std::array::from_fn(|i| ((x * 37 + i * 53) * 97 % 211) as f32 / 2110.0 - 0.05))
        .collect()
}

/// The cells after the dispatched kernel; with and without room behind the last one.
fn dispatched<C: RowCollision<Q>, const Q: usize>(collision: &C, room: usize) -> Vec<[f32; Q]> {
    let cells = sample::<Q>();
    let mut rows: [Vec<f32>; Q] = std::array::from_fn(|i| {
        let mut row: Vec<f32> = cells.iter().map(|cell| cell[i]).collect();
        row.resize(LENGTH + room, 0.25);
        row
    });
    collision.collide_row(0, LENGTH, rows.each_mut().map(|row| &mut row[..]));
    assert!(rows.iter().all(|row| {
        row[LENGTH..]
            .iter()
            .all(|&v| v.to_bits() == 0.25_f32.to_bits())
    }));
    // Slice i has received what leaves along the opposite of i.
    let opposite = |i: usize| C::Set::OPPOSITE[i];
    (0..LENGTH)
        .map(|x| std::array::from_fn(|i| rows[opposite(i)][x]))
        .collect()
}

fn assert_same<const Q: usize>(path: &str, seen: &[[f32; Q]], expected: &[[f32; Q]]) {
    for (x, (a, b)) in seen.iter().zip(expected).enumerate() {
        assert_eq!(a.map(f32::to_bits), b.map(f32::to_bits), "{path}, cell {x}");
    }
}

macro_rules! paths {
    ($narrow:ident, $any:ident, $constants:ty, $q:literal, $collide:expr) => {
        #[multiversion(targets("x86_64+avx2+fma"))]
        fn $narrow(constants: &$constants, cells: &mut [[f32; $q]]) {
            for cell in cells {
                *cell = $collide(constants, *cell);
            }
        }

        fn $any(constants: &$constants, cells: &mut [[f32; $q]]) {
            for cell in cells {
                *cell = $collide(constants, *cell);
            }
        }
    };
}

paths!(
    plane_narrow,
    plane_any,
    RowConstants,
    9,
    collision::collide::<false, true, false>
);
paths!(
    swirl_narrow,
    swirl_any,
    SwirlConstants,
    14,
    swirl_collision::collide::<true, false>
);
paths!(
    volume_narrow,
    volume_any,
    VolumeConstants,
    19,
    volume_collision::collide::<true, false>
);

#[test]
fn every_dispatch_path_of_the_plane_gives_the_same_bits() {
    let fluid = Fluid::new(LatticeViscosity(0.002)).with_subgrid();
    let collision = PlaneCollision::flat(&fluid, 1);
    let (mut narrow, mut any) = (sample::<9>(), sample::<9>());
    plane_narrow(collision.row(0), &mut narrow);
    plane_any(collision.row(0), &mut any);
    assert_same("narrow", &narrow, &any);
    for room in [0, 16] {
        assert_same("dispatched", &dispatched(&collision, room), &any);
    }
}

#[test]
fn every_dispatch_path_of_the_swirl_gives_the_same_bits() {
    let fluid = Fluid::new(LatticeViscosity(0.002)).with_subgrid();
    let collision = SwirlCollision::new(&fluid, 1);
    let (mut narrow, mut any) = (sample::<14>(), sample::<14>());
    swirl_narrow(collision.row(0), &mut narrow);
    swirl_any(collision.row(0), &mut any);
    assert_same("narrow", &narrow, &any);
    for room in [0, 16] {
        assert_same("dispatched", &dispatched(&collision, room), &any);
    }
}

#[test]
fn every_dispatch_path_of_the_volume_gives_the_same_bits() {
    let fluid = Fluid::<3>::new(LatticeViscosity(0.002)).with_subgrid();
    let collision = VolumeCollision::new(&fluid);
    let (mut narrow, mut any) = (sample::<19>(), sample::<19>());
    volume_narrow(collision.constants(), &mut narrow);
    volume_any(collision.constants(), &mut any);
    assert_same("narrow", &narrow, &any);
    for room in [0, 16] {
        assert_same("dispatched", &dispatched(&collision, room), &any);
    }
}
