//! Means over planes across the axis of a flow that turns.

use crate::lattice::swirl::SwirlLattice;

/// Means over the area of one column of fluid cells, in lattice units (resting density 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwirlPlane {
    /// Area over 2π: the sum of the radii of the cells.
    pub area: f64,
    /// Static pressure.
    pub pressure: f64,
    /// Axial velocity.
    pub velocity: f64,
    /// Pressure plus axial momentum flux, `<p> + <u u>`. Swirl has no term in the axial balance.
    pub momentum_flux: f64,
    /// Static pressure plus kinetic energy of all three components, weighted with the flow.
    pub total_pressure: f64,
    /// Angular momentum that the flow carries through the plane, per radian about the axis, without the viscous share:
    ///
    /// ```text
    /// sum of u u_θ r^2
    /// ```
    pub angular_momentum_flux: f64,
}

impl SwirlPlane {
    /// Swirl number: flux of angular momentum over that of axial momentum (pressure not counted) and over `radius`.
    pub fn swirl_number(&self, radius: f64) -> f64 {
        let axial = self.area * (self.momentum_flux - self.pressure);
        self.angular_momentum_flux / (radius * axial)
    }
}

/// Means over column `x`.
///
/// The sums take whole cells: where a wall cuts cells, they miss or count twice up to half a cell of the area.
pub fn swirl_plane(lattice: &SwirlLattice, x: usize) -> SwirlPlane {
    let [
        mut area,
        mut pressure,
        mut flow,
        mut momentum,
        mut energy,
        mut angular,
    ] = [0.0_f64; 6];
    for y in 0..lattice.extent().ny {
        if !lattice.fluid_runs(y).iter().any(|run| run.contains(&x)) {
            continue;
        }
        let radius = y as f64 + 0.5;
        let state = lattice.cell(x, y);
        let [u, v, swirl] = state.velocity.map(f64::from);
        let own_pressure = f64::from(state.density) / 3.0;
        area += radius;
        pressure += radius * own_pressure;
        flow += radius * u;
        momentum += radius * u * u;
        energy += radius * u * (own_pressure + 0.5 * (u * u + v * v + swirl * swirl));
        angular += radius * radius * u * swirl;
    }
    SwirlPlane {
        area,
        pressure: pressure / area,
        velocity: flow / area,
        momentum_flux: (pressure + momentum) / area,
        total_pressure: energy / flow,
        angular_momentum_flux: angular,
    }
}
