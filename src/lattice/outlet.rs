//! An outlet at the far end of x that lets sound and vortices out and holds the mean pressure.
//!
//! A column of virtual cells behind the last one carries density and velocity by the characteristic equations along x
//! (K. W. Thompson, J. Comput. Phys. 68 (1987) 1; for lattices S. Izquierdo, N. Fueyo, Phys. Rev. E 78 (2008) 046707; from memory): the outgoing
//! wave comes from inside, the incoming one only pulls the pressure towards rest, slowly. Waves run at the speeds that sound has on the mean stream
//! in the lattice's incompressible equilibrium. What the virtual cells send back is what the last column sends, corrected
//! by the difference of the two equilibria.

use crate::lattice::collision::equilibrium;
use crate::lattice::field::Populations;
use crate::lattice::velocity_set::{D2Q9, VelocitySet};

/// State of the virtual column and its target.
#[derive(Debug, Clone)]
pub struct Outlet {
    states: Vec<State>,
    pull: f64,
    is_axisymmetric: bool,
}

#[derive(Debug, Clone, Copy, Default)]
struct State {
    density: f64,
    velocity: [f64; 2],
}

const SOUND: f64 = 0.577_350_269_189_625_8;

impl Outlet {
    /// An outlet for `ny` rows behind a lattice of `nx` columns, starting at rest density and `velocity`.
    pub fn new(nx: usize, ny: usize, velocity: [f64; 2], is_axisymmetric: bool) -> Self {
        let start = State {
            density: 0.0,
            velocity,
        };
        // Relaxation towards resting pressure within ten crossings of the lattice by sound: firm enough to hold the mean, soft enough not to reflect.
        // A pulse of half-width w comes back as about 1.8 pull w / SOUND of itself.
        Self {
            states: vec![start; ny],
            pull: 0.1 * SOUND / nx as f64,
            is_axisymmetric,
        }
    }

    /// Mean velocity through the virtual column.
    fn mean_velocity(&self) -> f64 {
        let (mut flow, mut area) = (0.0, 0.0);
        for (y, state) in self.states.iter().enumerate() {
            let radius = if self.is_axisymmetric {
                y as f64 + 0.5
            } else {
                1.0
            };
            flow += radius * state.velocity[0];
            area += radius;
        }
        flow / area
    }

    /// Advances the virtual column by one step and sends its populations back into the lattice.
    ///
    /// To be called after a collision and before the rims are filled.
    pub fn advance(&mut self, field: &mut Populations<D2Q9, 9>) {
        let nx = field.extent().nx.cast_signed();
        let stream = self.mean_velocity().clamp(0.0, 0.3);
        for (y, state) in self.states.iter_mut().enumerate() {
            let row = y.cast_signed();
            let radius = if self.is_axisymmetric {
                y as f64 + 0.5
            } else {
                1.0
            };
            let cell = field.index(nx - 1, row, 0);
            let last = after_collision(field, cell, radius);
            let before = after_collision(field, field.index(nx - 2, row, 0), radius);
            state.advance(&last, &before, self.pull, stream);
            let ghost = field.index(nx, row, 0);
            for i in 0..9 {
                let c = D2Q9::VELOCITIES[i];
                if c[0] != -1 {
                    continue;
                }
                let w = D2Q9::WEIGHTS[i];
                let link = if self.is_axisymmetric {
                    radius + 0.5 * f64::from(c[1])
                } else {
                    1.0
                };
                let correction = equilibrium(c, w, state.density, state.velocity)
                    - equilibrium(c, w, last.density, last.velocity);
                let value = field.left(cell, i) + (link * correction) as f32;
                field.send(ghost, i, value);
            }
        }
    }
}

impl State {
    /// One step of the characteristic equations of sound on a stream:
    ///
    /// ```text
    /// 3 p_t + u_x = 0,  u_t + p_x + 2 u u_x = 0        (transverse terms left out: their mean over the column vanishes)
    /// w+ = u - 3 a- p leaves at a+, w- = u - 3 a+ p comes in at a-;  a+- = U +- sqrt(U^2 + 1/3), U: mean over the column
    /// ```
    fn advance(&mut self, last: &State, before: &State, pull: f64, stream: f64) {
        // One-sided second-order derivatives at the virtual column.
        let slope = |here: f64, one: f64, two: f64| 1.5 * here - 2.0 * one + 0.5 * two;
        let pressure = self.density / 3.0;
        let dp = slope(pressure, last.density / 3.0, before.density / 3.0);
        let du = slope(self.velocity[0], last.velocity[0], before.velocity[0]);
        let dv = slope(self.velocity[1], last.velocity[1], before.velocity[1]);
        let root = stream.hypot(SOUND);
        let (ahead, back) = (stream + root, stream - root);
        let u = self.velocity[0].clamp(-0.1, 0.3);
        let outgoing = -(dp + (2.0 * u - back) * du);
        let incoming = 6.0 * root * pull * pressure;
        self.density += (outgoing - incoming) / (2.0 * root);
        self.velocity[0] += (ahead * outgoing - back * incoming) / (2.0 * root);
        self.velocity[1] -= u.max(0.0) * dv;
    }
}

fn after_collision(field: &Populations<D2Q9, 9>, cell: usize, radius: f64) -> State {
    let mut sums = [0.0_f64; 3];
    for i in 0..9 {
        let value = f64::from(field.left(cell, i));
        let c = D2Q9::VELOCITIES[i];
        sums[0] += value;
        sums[1] += value * f64::from(c[0]);
        sums[2] += value * f64::from(c[1]);
    }
    State {
        density: sums[0] / radius,
        velocity: [sums[1] / radius, sums[2] / radius],
    }
}
