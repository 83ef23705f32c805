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
