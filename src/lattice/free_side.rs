//! An open side of an axisymmetric lattice, beyond which lies a wide room at rest: air comes in as the flow draws it, and goes out as the flow pushes it.
//!
//! The outermost rows are filled anew after every step. Their volume flow per length is that of the row below them (`r v` is the same), their pressure is that of the room. Air that comes in
//! has been at rest, so it brings no axial and no angular momentum, and its pressure is lower by its kinetic energy; air that goes out takes along what it has.
//!
//! A wave that comes to the side goes back with the opposite pressure and about half as large, so sound dies out.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::state::{put_list, take_list};
use crate::lattice::swirl::{PlaneFlux, SwirlLattice};
use crate::lattice::zone::{CellNow, arrived, gained};
use std::io::{self, Read, Write};
use std::ops::Range;

/// Rows that are filled: one more than a step carries anything.
const DEPTH: usize = 2;

/// An open side.
#[derive(Debug, Clone)]
pub struct FreeSide {
    columns: Range<usize>,
    counted: usize,
    /// During the last two steps.
    gained: [PlaneFlux; 2],
}

impl FreeSide {
    /// The side along `columns`; what comes in through it is counted ahead of column `counted`, and half of what comes in there.
    pub fn new(columns: Range<usize>, counted: usize) -> Self {
        Self {
            columns,
            counted,
            gained: [PlaneFlux::default(); 2],
        }
    }

    /// What the lattice gained through the side, mean of the last two steps, up to the middle of the column that was told.
    pub fn gained(&self) -> PlaneFlux {
        let [older, newer] = self.gained;
        PlaneFlux {
            mass: 0.5 * (older.mass + newer.mass),
            axial: 0.5 * (older.axial + newer.axial),
            angular: 0.5 * (older.angular + newer.angular),
        }
    }

    /// Writes its state.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        let numbers = self
            .gained
            .map(|flux| [flux.mass, flux.axial, flux.angular]);
        put_list(out, numbers.as_flattened())
    }

    /// Reads the state of a side that was made as this one.
    ///
    /// # Errors
    /// What `from` gives; that the state is of something else.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let mut numbers = [[0.0; 3]; 2];
        take_list(from, numbers.as_flattened_mut())?;
        self.gained = numbers.map(|[mass, axial, angular]| PlaneFlux {
            mass,
            axial,
            angular,
        });
        Ok(())
    }

    /// Fills the outermost rows; to be called after each step.
    pub fn apply(&mut self, lattice: &mut SwirlLattice) {
        let rows = lattice.extent().ny;
        let Some(inner) = rows.checked_sub(DEPTH + 1) else {
            return;
        };
        let own_radius = inner as f64 + 0.5;
        let mut sum = PlaneFlux::default();
        for x in self.columns.clone() {
            let [axial, radial, swirl] = CellNow::read(lattice, [x, inner]).velocity;
            for y in inner + 1..rows {
                let radius = y as f64 + 0.5;
                let ratio = own_radius / radius;
                let outwards = radial * ratio;
                let (velocity, density) = if radial < 0.0 {
                    ([0.0, outwards, 0.0], -1.5 * outwards * outwards)
                } else {
                    ([axial, outwards, swirl * ratio], 0.0)
                };
                let stored = lattice.arrived([x, y, 0]);
                let filled = arrived(density, velocity, radius).map(|value| value as f32);
                lattice.set_arrived([x, y, 0], filled);
                if x <= self.counted {
                    let share = if x == self.counted { 0.5 } else { 1.0 };
                    let [mass, axial, angular] = gained(&stored, &filled);
                    sum.mass += share * mass;
                    sum.axial += share * axial;
                    sum.angular += share * angular;
                }
            }
        }
        self.gained = [self.gained[1], sum];
    }
}
