//! What the code around a collision must know of it: the plane and the volume share streaming, rims and walls through this trait.

use crate::lattice::velocity_set::VelocitySet;

/// Cells that a row kernel takes at a time: the widest vector of single precision.
pub const LANES: usize = 16;

/// Radii of a link that a wall cuts; 1 unless axisymmetric.
#[derive(Debug, Clone, Copy)]
pub struct WallReach {
    /// Half-way along the link.
    pub link_radius: f64,
    /// Where the wall is.
    pub wall_radius: f64,
}

/// Radii of a cell and of a link into it; 1 unless axisymmetric.
#[derive(Debug, Clone, Copy)]
pub struct StartReach {
    /// Of the cell's centre.
    pub radius: f64,
    /// Half-way along the link.
    pub link_radius: f64,
}

/// A collision that works on runs of cells of a row.
pub trait RowCollision<const Q: usize>: Send + Sync {
    /// The velocities.
    type Set: VelocitySet<Q>;

    /// Collides the first `count` cells of `slices`, a run of row `row` (number across, counted without ghosts, layer after layer);
    /// `slices[i]` is what arrived along `i` and becomes what leaves along the opposite of `i`.
    ///
    /// Slices may be longer: where they reach the next multiple of [`LANES`], the cells beyond `count` are read and left as they are, and the end of the run costs no more than the rest.
    fn collide_row(&self, row: usize, count: usize, slices: [&mut [f32]; Q]);

    /// Equilibrium deviation from rest along a direction per unit of radius: density deviation and velocity given (with swirl the third component is the angular momentum).
    fn equilibrium(direction: usize, density: f64, velocity: [f64; 3]) -> f64;

    /// What stands at the start on the link along which `direction` arrives, in a cell with this state.
    fn start(direction: usize, density: f64, velocity: [f64; 3], reach: StartReach) -> f64 {
        reach.link_radius * Self::equilibrium(direction, density, velocity)
    }

    /// What a wall that moves with `velocity` (an inlet) adds to the population that bounces off it after it had left along `direction`: to first order in the velocity, unless a collision does
    /// better.
    fn carried(direction: usize, velocity: [f64; 3], reach: WallReach) -> f64 {
        let c = Self::Set::VELOCITIES[direction].map(f64::from);
        let drive: f64 = (0..3).map(|a| c[a] * velocity[a]).sum();
        -6.0 * Self::Set::WEIGHTS[direction] * reach.link_radius * drive
    }

    /// Whether y is the radius and populations weigh the radius half-way along their link.
    fn is_axisymmetric(&self) -> bool;

    /// Radius at `y` cell widths above the centres of row 0; 1 unless axisymmetric.
    fn radius(&self, y: f64) -> f64 {
        if self.is_axisymmetric() { y + 0.5 } else { 1.0 }
    }
}
