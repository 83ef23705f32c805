//! The loss coefficient by momentum.

use crate::lattice::simulation::PlaneLattice;
use crate::measure::settle::Reading;

/// How many columns one momentum sum looks at, evenly spread.
const COLUMNS: usize = 8;

/// Pressure plus axial momentum flux, mean over the columns `from..to` and over their area, in lattice units.
///
/// ```text
/// P = <p> + <u_x u_x>      (2 pi r weighted in axisymmetric flow; resting density 1)
/// ```
///
/// Between two mirrors P does not change along x where there are no walls, at any instant but for sound; so several columns are averaged.
/// Far static pressure is not used: between mirrors a jet never mixes out within an affordable length.
pub fn momentum_flux(lattice: &PlaneLattice, columns: (usize, usize)) -> f64 {
    plane_mean(lattice, columns).momentum_flux
}

/// Means over the area of some columns, in lattice units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneMean {
    /// See [`momentum_flux`].
    pub momentum_flux: f64,
    /// Axial velocity.
    pub velocity: f64,
}

/// K by momentum and by force between two stations (columns ahead of and behind what stands between them), over its area and the dynamic pressure.
pub(super) fn plane_reading(
    lattice: &PlaneLattice,
    stations: [(usize, usize); 2],
    area: f64,
    dynamic_pressure: f64,
) -> Reading {
    let [ahead, behind] = stations.map(|columns| plane_mean(lattice, columns));
    let drop = ahead.momentum_flux - behind.momentum_flux;
    Reading {
        loss_coefficient: drop / dynamic_pressure,
        loss_coefficient_by_force: lattice.wall_force().body[0] / area / dynamic_pressure,
        flow_error: behind.velocity / ahead.velocity - 1.0,
    }
}

/// Momentum flux and velocity, means over the columns `from..to` and over their area.
pub fn plane_mean(lattice: &PlaneLattice, columns: (usize, usize)) -> PlaneMean {
    let stride = (columns.1 - columns.0).div_ceil(COLUMNS).max(1);
    let (mut sum, mut flow) = (0.0, 0.0);
    let mut weights = 0.0;
    for y in 0..lattice.extent().ny {
        let radius = if lattice.is_axisymmetric() {
            y as f64 + 0.5
        } else {
            1.0
        };
        for x in (columns.0..columns.1).step_by(stride) {
            let state = lattice.cell(x, y);
            let u = f64::from(state.velocity[0]);
            sum += radius * (f64::from(state.density) / 3.0 + u * u);
            flow += radius * u;
            weights += radius;
        }
    }
    PlaneMean {
        momentum_flux: sum / weights,
        velocity: flow / weights,
    }
}

/// Tangential momentum that a plane of a periodic row lets through, per axial flow and in units of the face velocity: tan of the mixed-out flow angle.
///
/// ```text
/// <u_x u_y> / U^2
/// ```
pub fn flow_tangent(lattice: &PlaneLattice, columns: (usize, usize), face_velocity: f64) -> f64 {
    let mut sum = 0.0;
    let mut count = 0.0;
    for y in 0..lattice.extent().ny {
        for x in (columns.0..columns.1).step_by((columns.1 - columns.0).div_ceil(COLUMNS).max(1)) {
            let [u, v] = lattice.cell(x, y).velocity.map(f64::from);
            sum += u * v;
            count += 1.0;
        }
    }
    sum / count / (face_velocity * face_velocity)
}
