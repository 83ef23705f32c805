//! A momentum zone: cells of an axisymmetric lattice in which the air is braked along x and turned about the axis, as a plate of many small passages does.
//!
//! What the zone does happens between steps and to its cells only: no cost outside, and the kernel does not know of it. (Between pairs of steps will not do: a lattice keeps momentum whose sign
//! changes from cell to cell and from step to step, and a kick at every other step feeds it without end.) A cell gets the equilibrium of its new velocity less that of its old one (the exact difference method of
//! A. L. Kupershtokh, D. A. Medvedev, D. I. Karpov, Comput. Math. Appl. 58 (2009) 862, from memory), so viscous stresses are left as they are; mass is kept and the change of axial
//! and angular momentum is the one asked for, to the last digit.
//!
//! * Along x: a pressure drop `linear u + quadratic u |u|` over all columns together, each taking an equal part. From kick to kick the pressure brings the air back from the velocity behind the kick to
//!   that ahead of it, so what flows through is the mean of both: the law is solved for that mean. It is stable for any drop.
//! * About the axis: each column takes an equal part of the difference between the angular momentum that comes in over the links to the zone and what should go out,
//!   `kept` of it plus that of a flow at `tangent`. What leaves is then right by conservation, however thin the zone is and however steep the swirl in it.
//! * Leaned walls push along their normal: with the tangential force comes an axial one, `lean_tangent` times as large and against it.
//! * Along the radius nothing moves: the walls of the passages are in the way.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::row_collision::{RowCollision, StartReach};
use crate::lattice::state::{put_list, take_list};
use crate::lattice::swirl::SwirlLattice;
use crate::lattice::swirl_row::SwirlCollision;
use crate::lattice::velocity_set::{D2Q9Swirl, VelocitySet};
use std::io::{self, Read, Write};
use std::ops::Range;

/// What a part of a zone does to the air, in lattice units, on the axial velocity in its cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneLaw {
    /// Pressure drop over the velocity, at least 0.
    pub linear: f64,
    /// Pressure drop over the square of the velocity, at least 0: half of a loss coefficient.
    pub quadratic: f64,
    /// Share of the inflow's tangent that is left at the end.
    pub kept: f64,
    /// What is added to it: the tangent of the outflow angle if nothing is kept.
    pub tangent: f64,
    /// Tangent of the angle by which the walls lean towards positive swirl along the flow; 0 where the drop holds all of the axial force already.
    pub lean_tangent: f64,
}

/// Force on what stands in the zone, per step and per radian about the axis.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ZoneForce {
    /// Along x.
    pub axial: f64,
    /// Torque about the axis.
    pub torque: f64,
}

/// A zone with its state.
#[derive(Debug, Clone)]
pub struct MomentumZone {
    columns: Range<usize>,
    rows: Vec<(usize, ZoneLaw)>,
    /// Of the last two steps.
    forces: [ZoneForce; 2],
}

impl MomentumZone {
    /// The zone in `columns` of those rows for whose radius there is a law and whose cells are all fluid.
    pub fn new(
        lattice: &SwirlLattice,
        columns: Range<usize>,
        law: impl Fn(f64) -> Option<ZoneLaw>,
    ) -> Self {
        let is_fluid = |y: usize| {
            let mut runs = lattice.fluid_runs(y).iter();
            runs.any(|run| run.start <= columns.start && columns.end <= run.end)
        };
        let rows = (0..lattice.extent().ny).filter(|&y| is_fluid(y));
        let rows = rows.filter_map(|y| Some((y, law(y as f64 + 0.5)?)));
        Self {
            rows: rows.collect(),
            columns,
            forces: [ZoneForce::default(); 2],
        }
    }

    /// Area of its cells across the flow, over 2π.
    pub fn area(&self) -> f64 {
        self.rows.iter().map(|(y, _)| *y as f64 + 0.5).sum()
    }

    /// Force on what stands in the zone, mean of the last two steps.
    pub fn force(&self) -> ZoneForce {
        let [older, newer] = self.forces;
        ZoneForce {
            axial: 0.5 * (older.axial + newer.axial),
            torque: 0.5 * (older.torque + newer.torque),
        }
    }

    /// Writes its state.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        let numbers = self.forces.map(|force| [force.axial, force.torque]);
        put_list(out, numbers.as_flattened())
    }

    /// Reads the state of a zone that was made as this one.
    ///
    /// # Errors
    /// What `from` gives; that the state is of something else.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let mut numbers = [[0.0; 2]; 2];
        take_list(from, numbers.as_flattened_mut())?;
        self.forces = numbers.map(|[axial, torque]| ZoneForce { axial, torque });
        Ok(())
    }

    /// Brakes and turns the air; to be called after each step.
    pub fn apply(&mut self, lattice: &mut SwirlLattice) {
        let mut force = ZoneForce::default();
        let count = self.columns.len() as f64;
        for &(y, law) in &self.rows {
            let radius = y as f64 + 0.5;
            let cells: Vec<CellNow> = self
                .columns
                .clone()
                .map(|x| CellNow::read(lattice, [x, y]))
                .collect();
            let through = cells
                .iter()
                .map(|cell| law.through(cell.velocity[0], count));
            let through = through.sum::<f64>() / count;
            // Back-flow comes in at the other end.
            let end = if through >= 0.0 {
                self.columns.start
            } else {
                self.columns.end
            };
            let inflow = angular_flux(lattice, end, y);
            let outflow =
                law.kept * inflow + law.tangent * radius * radius * through * through.abs();
            let turn = (outflow - inflow) / count / (radius * radius + 0.25);
            let turn = if through >= 0.0 { turn } else { -turn };
            let push = -law.lean_tangent * turn;
            for (x, cell) in self.columns.clone().zip(cells) {
                let [before, _, swirl] = cell.velocity;
                // The push is part of the kick, so half of it is in what flows through.
                let through = law.through(before + 0.5 * push, count);
                let after = [2.0 * through - before, 0.0, swirl + turn];
                let [axial, torque] = cell.kick(lattice, [x, y], after);
                force.axial -= axial;
                force.torque -= torque;
            }
        }
        self.forces = [self.forces[1], force];
    }

    /// Advances `lattice` by `count` pairs of steps with the zone in it.
    pub fn step_pairs(&mut self, lattice: &mut SwirlLattice, count: usize) {
        for _ in 0..2 * count {
            lattice.step();
            self.apply(lattice);
        }
    }
}

impl ZoneLaw {
    /// Pressure drop at an axial velocity.
    pub fn drop(&self, velocity: f64) -> f64 {
        (self.linear + self.quadratic * velocity.abs()) * velocity
    }

    /// The velocity half-way through the kick that one of `count` columns gives to air of velocity `before`: `before` less half of the column's drop at that velocity.
    fn through(&self, before: f64, count: f64) -> f64 {
        let linear = 1.0 + 0.5 * self.linear / count;
        let quadratic = 0.5 * self.quadratic / count;
        let root = (linear * linear + 4.0 * quadratic * before.abs()).sqrt();
        2.0 * before / (linear + root)
    }
}

/// Angular momentum that went from the cell ahead of column `x` into it during the last step, in row `y`; none over an end of the lattice or from a wall.
fn angular_flux(lattice: &SwirlLattice, x: usize, y: usize) -> f64 {
    const AHEAD: usize = D2Q9Swirl::FLOW;
    let is_fluid = |x: usize| lattice.fluid_runs(y).iter().any(|run| run.contains(&x));
    if x == 0 || !is_fluid(x - 1) || !is_fluid(x) {
        return 0.0;
    }
    let arrived = |x: usize, i: usize| f64::from(lattice.arrived([x, y, 0])[i]);
    arrived(x, AHEAD) - arrived(x - 1, D2Q9Swirl::OPPOSITE[AHEAD])
}

/// A cell between two steps.
pub(crate) struct CellNow {
    populations: [f32; 14],
    /// Density deviation.
    density: f64,
    /// Along the axis, along the radius and about the axis.
    pub(crate) velocity: [f64; 3],
}

impl CellNow {
    /// Reads it, after any number of steps.
    pub(crate) fn read(lattice: &SwirlLattice, [x, y]: [usize; 2]) -> Self {
        let f = lattice.arrived([x, y, 0]);
        let mut sums = [0.0_f32; 3];
        for (population, c) in f.iter().zip(D2Q9Swirl::VELOCITIES).take(D2Q9Swirl::FLOW) {
            sums[0] += population;
            sums[1] += population * c[0] as f32;
            sums[2] += population * c[1] as f32;
        }
        let turning = f[D2Q9Swirl::FLOW..].iter().sum();
        let row = lattice.collision().row(y);
        let (density, velocity) = row.macroscopic(sums[0], [sums[1], sums[2]], turning);
        Self {
            populations: f,
            density: density.into(),
            velocity: velocity.map(f64::from),
        }
    }

    /// Changes the velocity; returns by how much the axial and the angular momentum of the cell grew.
    fn kick(&self, lattice: &mut SwirlLattice, [x, y]: [usize; 2], after: [f64; 3]) -> [f64; 2] {
        let radius = y as f64 + 0.5;
        let old = arrived(self.density, self.velocity, radius);
        let new = arrived(self.density, after, radius);
        let mut change: [f64; 14] = std::array::from_fn(|i| new[i] - old[i]);
        // What the weights of the links add: none of it is meant.
        let [mass, axial, angular] = sums(&change);
        change[0] -= mass;
        let missing = radius * (after[0] - self.velocity[0]) - axial;
        change[1] += 0.5 * missing;
        change[2] -= 0.5 * missing;
        change[13] += (radius * radius + 0.25) * (after[2] - self.velocity[2]) - angular;
        let stored = self.populations;
        let changed = std::array::from_fn(|i| (f64::from(stored[i]) + change[i]) as f32);
        lattice.set_arrived([x, y, 0], changed);
        // What really changed, rounding included.
        let [_, axial, angular] = gained(&stored, &changed);
        [axial, angular]
    }
}

/// Mass, axial and angular momentum that populations hold.
fn sums(populations: &[f64; 14]) -> [f64; 3] {
    let mut sums = [0.0; 3];
    for (i, (population, c)) in populations.iter().zip(D2Q9Swirl::VELOCITIES).enumerate() {
        if i < D2Q9Swirl::FLOW {
            sums[0] += population;
            sums[1] += population * f64::from(c[0]);
        } else {
            sums[2] += population;
        }
    }
    sums
}

/// What a cell gained of them.
pub(crate) fn gained(stored: &[f32; 14], changed: &[f32; 14]) -> [f64; 3] {
    let change = std::array::from_fn(|i| f64::from(changed[i]) - f64::from(stored[i]));
    sums(&change)
}

/// What arrives in a cell of this state that is free of stress: velocity along the axis, along the radius and about the axis.
pub(crate) fn arrived(density: f64, [axial, radial, swirl]: [f64; 3], radius: f64) -> [f64; 14] {
    std::array::from_fn(|i| {
        let link_radius = radius - 0.5 * f64::from(D2Q9Swirl::VELOCITIES[i][1]);
        let reach = StartReach {
            radius,
            link_radius,
        };
        SwirlCollision::start(i, density, [axial, radial, radius * swirl], reach)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_velocity_through_a_column_obeys_the_law() {
        let law = ZoneLaw {
            linear: 0.3,
            quadratic: 40.0,
            kept: 0.0,
            tangent: 0.0,
            lean_tangent: 0.0,
        };
        for before in [-0.2, -1e-3, 0.0, 0.03, 2.0] {
            let through = law.through(before, 4.0);
            assert!((before - through - law.drop(through) / 8.0).abs() < 1e-12);
        }
        let free = ZoneLaw {
            linear: 0.0,
            quadratic: 0.0,
            ..law
        };
        assert!((free.through(0.03, 4.0) - 0.03).abs() < 1e-15);
    }
}
