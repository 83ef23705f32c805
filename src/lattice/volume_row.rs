//! The innermost loop in three dimensions: one run of cells of one row, nineteen slices as nineteen arguments (see [`crate::lattice::row`]).

use crate::lattice::collision::Fluid;
use crate::lattice::row::row_kernel;
use crate::lattice::row_collision::{LANES, RowCollision, WallReach};
use crate::lattice::velocity_set::{D3Q19, VelocitySet};
use crate::lattice::volume_collision::{VolumeConstants, collide, equilibrium};
use multiversion::multiversion;

/// Collision for a three-dimensional lattice.
#[derive(Debug, Clone, Copy)]
pub struct VolumeCollision {
    constants: VolumeConstants,
    has_subgrid: bool,
    is_forced: bool,
}

impl VolumeCollision {
    /// Collision of this fluid.
    pub fn new(fluid: &Fluid<3>) -> Self {
        Self {
            constants: VolumeConstants::new(fluid),
            has_subgrid: fluid.subgrid.is_some(),
            is_forced: fluid.is_forced(),
        }
    }

    /// What is constant in the lattice.
    pub fn constants(&self) -> &VolumeConstants {
        &self.constants
    }
}

macro_rules! volume_kernels {
    ($($name:ident $subgrid:literal $forced:literal;)+) => {
        $(row_kernel! {
            $name, VolumeConstants, collide::<$subgrid, $forced>;
            s0 0 s0 0, s1 1 s2 2, s2 2 s1 1, s3 3 s4 4, s4 4 s3 3, s5 5 s6 6, s6 6 s5 5, s7 7 s8 8, s8 8 s7 7,
            s9 9 s10 10, s10 10 s9 9, s11 11 s12 12, s12 12 s11 11, s13 13 s14 14, s14 14 s13 13,
            s15 15 s16 16, s16 16 s15 15, s17 17 s18 18, s18 18 s17 17
        })+
    };
}

volume_kernels! {
    plain false false;
    subgrid true false;
    forced true true;
}

impl RowCollision<19> for VolumeCollision {
    type Set = D3Q19;

    fn collide_row(&self, _row: usize, count: usize, slices: [&mut [f32]; 19]) {
        let c = &self.constants;
        let [
            s0,
            s1,
            s2,
            s3,
            s4,
            s5,
            s6,
            s7,
            s8,
            s9,
            s10,
            s11,
            s12,
            s13,
            s14,
            s15,
            s16,
            s17,
            s18,
        ] = slices;
        let kernel = match (self.has_subgrid, self.is_forced) {
            (false, false) => plain,
            (true, false) => subgrid,
            (_, true) => forced,
        };
        kernel(
            c, count, s0, s1, s2, s3, s4, s5, s6, s7, s8, s9, s10, s11, s12, s13, s14, s15, s16,
            s17, s18,
        );
    }

    fn equilibrium(direction: usize, density: f64, velocity: [f64; 3]) -> f64 {
        equilibrium(D3Q19::VELOCITIES[direction], density, velocity)
    }

    /// In full: an oblique stream passes an inlet unchanged. To first order it would miss the third, some per cent of its velocity head.
    fn carried(direction: usize, velocity: [f64; 3], reach: WallReach) -> f64 {
        let back = D3Q19::OPPOSITE[direction];
        let odd =
            Self::equilibrium(back, 0.0, velocity) - Self::equilibrium(direction, 0.0, velocity);
        reach.link_radius * odd
    }

    fn is_axisymmetric(&self) -> bool {
        false
    }
}
