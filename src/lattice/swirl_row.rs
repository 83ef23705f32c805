//! The row kernel of axisymmetric flow with swirl: fourteen slices, as nine in [`crate::lattice::row`].

use crate::lattice::collision::{self, Fluid};
use crate::lattice::row::row_kernel;
use crate::lattice::row_collision::{LANES, RowCollision, StartReach, WallReach};
use crate::lattice::swirl_collision::{SwirlConstants, collide, equilibrium};
use crate::lattice::velocity_set::{D2Q9Swirl, VelocitySet};
use multiversion::multiversion;

/// Collision for an axisymmetric lattice with swirl: constants per row and the terms in use.
#[derive(Debug, Clone)]
pub struct SwirlCollision {
    has_subgrid: bool,
    is_forced: bool,
    rows: Vec<SwirlConstants>,
}

impl SwirlCollision {
    /// Row 0 of `ny` is centred half a cell off the axis.
    pub fn new(fluid: &Fluid, ny: usize) -> Self {
        Self {
            has_subgrid: fluid.subgrid.is_some(),
            is_forced: fluid.is_forced(),
            rows: (0..ny)
                .map(|y| SwirlConstants::new(fluid, y as f64 + 0.5))
                .collect(),
        }
    }

    /// Constants of row `y`.
    pub fn row(&self, y: usize) -> &SwirlConstants {
        &self.rows[y]
    }
}

impl RowCollision<14> for SwirlCollision {
    type Set = D2Q9Swirl;

    fn collide_row(&self, row: usize, count: usize, slices: [&mut [f32]; 14]) {
        let [s0, s1, s2, s3, s4, s5, s6, s7, s8, g1, g2, g3, g4, g0] = slices;
        let kernel = match (self.has_subgrid, self.is_forced) {
            (false, false) => plain,
            (true, false) => subgrid,
            (_, true) => forced,
        };
        kernel(
            self.row(row),
            count,
            s0,
            s1,
            s2,
            s3,
            s4,
            s5,
            s6,
            s7,
            s8,
            g1,
            g2,
            g3,
            g4,
            g0,
        );
    }

    /// The third component of `velocity` is the angular momentum `r u_θ`.
    fn equilibrium(direction: usize, density: f64, velocity: [f64; 3]) -> f64 {
        let [u, v, turning] = velocity;
        let c = D2Q9Swirl::VELOCITIES[direction];
        if direction < D2Q9Swirl::FLOW {
            let weight = D2Q9Swirl::WEIGHTS[direction];
            collision::equilibrium(c, weight, density, [u, v])
        } else {
            equilibrium(c, turning, [u, v])
        }
    }

    /// Free of stress: on every link as if the air of the cell turned as a whole. The flow starts with half of the centrifugal force against it, as it goes on.
    fn start(direction: usize, density: f64, velocity: [f64; 3], reach: StartReach) -> f64 {
        let value = reach.link_radius * Self::equilibrium(direction, density, velocity);
        let c = D2Q9Swirl::VELOCITIES[direction];
        if direction < D2Q9Swirl::FLOW {
            let outwards = f64::from(c[1]);
            let swirl = velocity[2] / reach.radius;
            let force = swirl * swirl * (1.0 - 0.25 / reach.radius.powi(2));
            value - 1.5 * D2Q9Swirl::WEIGHTS[direction] * outwards * force
        } else {
            // A cell of the axis holds more than the radius of its centre says, and all of it is carried along.
            let u = velocity[0];
            let carried = match c {
                [0, 0, _] => -0.25 * u * u,
                [cx, 0, _] => 0.125 * u * (u + f64::from(cx)),
                _ => 0.0,
            };
            let more = carried * velocity[2] / reach.radius;
            value * (reach.link_radius / reach.radius).powi(2) + more
        }
    }

    /// The third component of `velocity` is the wall's velocity about the axis: the air there has it too, so the two populations of the link add up to what they do in such air.
    fn carried(direction: usize, velocity: [f64; 3], reach: WallReach) -> f64 {
        let c = D2Q9Swirl::VELOCITIES[direction];
        let drive = f64::from(c[0]) * velocity[0] + f64::from(c[1]) * velocity[1];
        if direction < D2Q9Swirl::FLOW {
            -6.0 * D2Q9Swirl::WEIGHTS[direction] * reach.link_radius * drive
        } else if reach.link_radius > 0.0 {
            let turning = reach.wall_radius * velocity[2];
            let integral = 1.0 + 0.25 / reach.link_radius.powi(2);
            reach.link_radius * turning * (1.0 / 3.0 + drive * drive * integral)
        } else {
            0.0
        }
    }

    fn is_axisymmetric(&self) -> bool {
        true
    }
}

macro_rules! swirl_kernel {
    ($name:ident $subgrid:literal $forced:literal) => {
        row_kernel! {
            $name, SwirlConstants, collide::<$subgrid, $forced>;
            s0 0 s0 0, s1 1 s2 2, s2 2 s1 1, s3 3 s4 4, s4 4 s3 3, s5 5 s6 6, s6 6 s5 5, s7 7 s8 8, s8 8 s7 7,
            g1 9 g2 10, g2 10 g1 9, g3 11 g4 12, g4 12 g3 11, g0 13 g0 13
        }
    };
}

swirl_kernel!(plain false false);
swirl_kernel!(subgrid true false);
swirl_kernel!(forced true true);
