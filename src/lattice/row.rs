//! The innermost loop: one run of cells of one row.
//!
//! Nine slices come in as nine arguments: only then does the compiler know that they do not overlap and vectorises the plain loop to the
//! full width. Slice `i` holds what arrived along `i` and receives what leaves along the opposite direction, in both phases
//! (see [`crate::lattice::field`]): the phases differ only in which slices are passed.

use crate::lattice::collision::{Fluid, RowConstants, collide, equilibrium};
use crate::lattice::row_collision::{LANES, RowCollision};
use crate::lattice::velocity_set::{D2Q9, VelocitySet};
use multiversion::multiversion;

/// A kernel: arguments are the slices, each with its number and with the name and number of its opposite.
///
/// Whole blocks of [`LANES`] cells come first; an unfinished one is computed in full and written back in part, which the compiler turns into a blend.
macro_rules! row_kernel {
    ($name:ident, $constants:ty, $collide:expr; $($slice:ident $arrived:literal $opposite:ident $back:literal),+) => {
        #[multiversion(targets(
            "x86_64+avx512f+avx512bw+avx512cd+avx512dq+avx512vl+avx2+fma",
            "x86_64+avx2+fma",
            "aarch64+neon"
        ))]
        #[expect(
            clippy::too_many_arguments,
            reason = "see the module's doc: as many arguments are as many disjoint slices"
        )]
        fn $name(constants: &$constants, count: usize, $($slice: &mut [f32]),+) {
            let constants = *constants;
            let rest = count % LANES;
            let whole = count - rest;
            {
                $(let $slice = &mut $slice[..whole];)+
                for x in 0..whole {
                    let leaving = $collide(&constants, [$($slice[x]),+]);
                    $($opposite[x] = leaving[$arrived];)+
                }
            }
            if rest == 0 {
                return;
            }
            $(let $slice = &mut $slice[whole..];)+
            if let ($(Some($slice),)+) = ($($slice.first_chunk_mut::<LANES>(),)+) {
                for x in 0..LANES {
                    let arrived = [$($slice[x]),+];
                    let leaving = $collide(&constants, arrived);
                    $($opposite[x] = if x < rest { leaving[$arrived] } else { arrived[$back] };)+
                }
            } else {
                $(let $slice = &mut $slice[..rest];)+
                for x in 0..rest {
                    let leaving = $collide(&constants, [$($slice[x]),+]);
                    $($opposite[x] = leaving[$arrived];)+
                }
            }
        }
    };
}

pub(crate) use row_kernel;

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
        RowTerms {
            is_axisymmetric,
            has_subgrid: fluid.subgrid.is_some(),
            is_forced: fluid.is_forced(),
        }
    }

    /// Constants of row `y`.
    pub fn row(&self, y: usize) -> &RowConstants {
        &self.rows[y]
    }
}

impl RowCollision<9> for PlaneCollision {
    type Set = D2Q9;

    fn collide_row(&self, row: usize, count: usize, slices: [&mut [f32]; 9]) {
        collide_row(self.terms, self.row(row), count, slices);
    }

    fn equilibrium(direction: usize, density: f64, velocity: [f64; 3]) -> f64 {
        let [u, v, _] = velocity;
        equilibrium(
            D2Q9::VELOCITIES[direction],
            D2Q9::WEIGHTS[direction],
            density,
            [u, v],
        )
    }

    fn is_axisymmetric(&self) -> bool {
        self.terms.is_axisymmetric
    }
}

/// Which terms a row needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RowTerms {
    /// Radial weights and force.
    pub is_axisymmetric: bool,
    /// Eddy viscosity.
    pub has_subgrid: bool,
    /// Uniform force.
    pub is_forced: bool,
}

/// Collides the first `count` cells; `slices[i]` is what arrived along `i` and becomes what leaves along `opposite(i)`.
fn collide_row(terms: RowTerms, row: &RowConstants, count: usize, slices: [&mut [f32]; 9]) {
    let [s0, s1, s2, s3, s4, s5, s6, s7, s8] = slices;
    let kernel = match (terms.is_axisymmetric, terms.has_subgrid, terms.is_forced) {
        (false, false, false) => flat,
        (false, true, false) => flat_subgrid,
        (true, false, false) => round,
        (true, true, false) => round_subgrid,
        (false, _, true) => flat_forced,
        (true, _, true) => round_forced,
    };
    kernel(row, count, s0, s1, s2, s3, s4, s5, s6, s7, s8);
}

macro_rules! plane_kernel {
    ($name:ident $axisymmetric:literal $subgrid:literal $forced:literal) => {
        row_kernel! {
            $name, RowConstants, collide::<$axisymmetric, $subgrid, $forced>;
            s0 0 s0 0, s1 1 s2 2, s2 2 s1 1, s3 3 s4 4, s4 4 s3 3, s5 5 s6 6, s6 6 s5 5, s7 7 s8 8, s8 8 s7 7
        }
    };
}

plane_kernel!(flat false false false);
plane_kernel!(flat_subgrid false true false);
plane_kernel!(flat_forced false true true);
plane_kernel!(round true false false);
plane_kernel!(round_subgrid true true false);
plane_kernel!(round_forced true true true);
