//! The innermost loop: one run of cells of one row.
//!
//! Nine slices come in as nine arguments: only then does the compiler know that they do not overlap and vectorises the plain loop to the
//! full width. Slice `i` holds what arrived along `i` and receives what leaves along the opposite direction, in both phases
//! (see [`crate::lattice::field`]): the phases differ only in which slices are passed.

use crate::lattice::collision::{Fluid, RowConstants, collide, equilibrium};
use crate::lattice::row_collision::RowCollision;
use crate::lattice::velocity_set::{D2Q9, VelocitySet};
use multiversion::multiversion;

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

    fn collide_row(&self, row: usize, slices: [&mut [f32]; 9]) {
        collide_row(self.terms, self.row(row), slices);
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

/// Collides a run of cells; `slices[i]` is what arrived along `i` and becomes what leaves along `opposite(i)`.
fn collide_row(terms: RowTerms, row: &RowConstants, slices: [&mut [f32]; 9]) {
    let [s0, s1, s2, s3, s4, s5, s6, s7, s8] = slices;
    match (terms.is_axisymmetric, terms.has_subgrid, terms.is_forced) {
        (false, false, false) => flat(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
        (false, true, false) => flat_subgrid(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
        (true, false, false) => round(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
        (true, true, false) => round_subgrid(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
        (false, _, true) => flat_forced(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
        (true, _, true) => round_forced(row, s0, s1, s2, s3, s4, s5, s6, s7, s8),
    }
}

macro_rules! row_kernel {
    ($name:ident, $axisymmetric:literal, $subgrid:literal, $forced:literal) => {
        #[multiversion(targets(
            "x86_64+avx512f+avx512bw+avx512cd+avx512dq+avx512vl+avx2+fma",
            "x86_64+avx2+fma",
            "aarch64+neon"
        ))]
        #[expect(
            clippy::too_many_arguments,
            reason = "see the module's doc: nine arguments are nine disjoint slices"
        )]
        fn $name(
            row: &RowConstants,
            s0: &mut [f32],
            s1: &mut [f32],
            s2: &mut [f32],
            s3: &mut [f32],
            s4: &mut [f32],
            s5: &mut [f32],
            s6: &mut [f32],
            s7: &mut [f32],
            s8: &mut [f32],
        ) {
            let n = s0.len();
            let (s1, s2, s3, s4) = (&mut s1[..n], &mut s2[..n], &mut s3[..n], &mut s4[..n]);
            let (s5, s6, s7, s8) = (&mut s5[..n], &mut s6[..n], &mut s7[..n], &mut s8[..n]);
            let row = *row;
            for x in 0..n {
                let arrived = [
                    s0[x], s1[x], s2[x], s3[x], s4[x], s5[x], s6[x], s7[x], s8[x],
                ];
                let leaving = collide::<$axisymmetric, $subgrid, $forced>(&row, arrived);
                s0[x] = leaving[0];
                s2[x] = leaving[1];
                s1[x] = leaving[2];
                s4[x] = leaving[3];
                s3[x] = leaving[4];
                s6[x] = leaving[5];
                s5[x] = leaving[6];
                s8[x] = leaving[7];
                s7[x] = leaving[8];
            }
        }
    };
}

row_kernel!(flat, false, false, false);
row_kernel!(flat_subgrid, false, true, false);
row_kernel!(flat_forced, false, true, true);
row_kernel!(round, true, false, false);
row_kernel!(round_subgrid, true, true, false);
row_kernel!(round_forced, true, true, true);
