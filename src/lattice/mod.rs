//! The lattice-Boltzmann core.
//!
//! Everything here is in lattice units: a cell is 1 long, a step is 1 long, resting air has density 1.
//! The core knows cells, walls at a fraction of a link, inlets and outlets; it has never heard of grilles, fans or metres.
//!
//! Where to start reading: [`velocity_set`] (which populations there are), [`field`] (how they are stored and where a population stands
//! after each half of a pair of steps), [`collision`] (what happens in a cell), [`step`] (the hot loop over rows), [`walls`] and
//! [`outlet`] (what comes back from the rim), [`simulation`] (one step of all of it).
//! Plane, axisymmetric and three-dimensional lattices are one code but for the collision: [`row_collision`] is the seam,
//! [`volume_collision`], [`volume_row`] and [`volume`] are what the third dimension adds.
//! Axisymmetric flow that also turns is the same again with a collision for fourteen populations: [`swirl_collision`], [`swirl_row`], [`swirl`].
//! Between steps some of its cells may be braked and turned ([`zone`]) or filled from a room at rest ([`free_side`]).
//!
//! ## The scheme in short
//!
//! * Populations are stored as deviations from rest, in `f32`; sums that decide a result are taken in `f64`.
//! * The equilibrium is the incompressible one: density deviations carry the pressure, momentum is velocity times the resting density.
//!   A steady state then has a velocity free of divergence, however large the pressure drop
//!   (X. He, L.-S. Luo, J. Stat. Phys. 88 (1997) 927).
//! * Collision in Hermite moments, recursively regularised: second-order moments relax with the viscosity, their trace at once, third and
//!   fourth order follow from them (O. Malaspinas, arXiv:1505.06900 (2015)); the part of third order that does not follow has a rate of its own,
//!   tied to the viscosity by a constant product so that walls stay where they are when the viscosity changes (see [`collision`]).
//! * Axisymmetric flow: the populations are those of *r* times the density (Z. Guo, H. Han, B. Shi, C. Zheng, Phys. Rev. E 79 (2009) 046708),
//!   so mass and axial momentum are conserved exactly in the r-weighted sums. A population on its way between two cells weighs as much as the
//!   radius half-way; that of a link across the axis weighs nothing. (References from memory.)
//! * Swirl: five more populations carry the angular momentum, weighted alike, so that is conserved too.
//!
//! ## The equations
//!
//! `f_i` is the population of direction `c_i` with weight `w_i`, less its share of air at rest; `ī` is the opposite direction, `F` a force per volume. A star is what a cell sends on.
//!
//! ```text
//! stream         f_i(x + c_i, t + 1) = f_i*(x, t)
//! read           ρ' = Σ f_i,   u = Σ c_i f_i + F/2,   p = ρ'/3
//!
//! collide        Π_ab  = Σ (c_a c_b − δ_ab/3) f_i − u_a u_b           deviation from equilibrium, second order
//!                Π_ab* = (1 − 1/τ) Π_ab without its trace,   τ = 1/2 + 3 ν
//!                third order    u_a² u_b + 2 u_a Π_ab* + u_b Π_aa* + m R_aab,   R_aab: what arrived and does not follow
//!                               m = (1 − 1/τ₃) L / (L + |R|),   (τ − 1/2)(τ₃ − 1/2) = 0.05
//!                fourth order   u_a² u_b² + u_a² Π_bb* + u_b² Π_aa* + 4 u_a u_b Π_ab*
//! subgrid        ν_t = C² max(0, |S| − s ν),   added to ν                   cells of length 1
//!
//! wall at q c_i  q < 1/2    f_ī = 2q f_i*(x) + (1 − 2q) f_i*(x − c_i) − 6 w_i c_i·u_wall
//!                q ≥ 1/2    f_ī = (f_i*(x) − 6 w_i c_i·u_wall) / 2q + (1 − 1/2q) f_ī*(x)
//! force on it    Σ c_i (f_i* + f_ī) over its links, mean of two steps
//! ```
//!
//! `q` is the share of the link that lies in the air; what a cell gains or loses of mass by the interpolation is put back into its resting population. `L` is a limit above which a third-order
//! moment is taken for unresolved; in the plane there is none. Sources: [`collision`], [`volume_collision`], [`walls`].

pub mod velocity_set;

pub mod field;

pub mod collision;

pub mod volume_collision;

pub mod swirl_collision;

pub mod row_collision;

pub mod row;

pub mod volume_row;

pub mod swirl_row;

pub mod step;

pub mod halo;

pub mod walls;

pub mod outlet;

mod sweep;

pub mod state;

pub mod simulation;

pub mod volume;

pub mod swirl;

pub mod zone;

pub mod free_side;

#[cfg(test)]
mod dispatch_tests;
