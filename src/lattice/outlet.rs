//! An outlet at the far end of x that lets sound and vortices out and holds the mean pressure.
//!
//! A column of virtual cells stands behind the last one; its density and velocity follow from what leaves the lattice and what may come in
//! (in the spirit of K. W. Thompson, J. Comput. Phys. 68 (1987) 1; for lattices S. Izquierdo, N. Fueyo, Phys. Rev. E 78 (2008) 046707; from memory):
//!
//! ```text
//! plane waves:   w+ = u - 3 a- h  leaves with a+:  that of the last column
//!                w- = u - 3 a+ h  comes in with a-: kept, but for a slow pull of h towards 0
//!                a+- = U +- sqrt(U^2 + 1/3);  h = p + u'^2,  u without the flow -3 U u'^2 that fills the low pressure of a vortex carried along (column means)
//! what is left:  w+' from the last column; w-', v and w are carried along with U
//! ```
//!
//! Sound on a stream obeys `3 p_t + u_x = 0` and `u_t + (p + 2 U u)_x = 0` in the lattice's incompressible equilibrium, hence a+ and a-.
//! A vortex has u' and, by its own centrifugal force, a mean pressure of -u'^2: neither may pass for a wave.
//! Swirl is carried along like v and w, as angular momentum. Its radial pressure passes as part of what is left, so it may stand at the outlet; only its mean is held.
//! A developed flow with its pressure gradient leaves without shifting the pressure.
//! What the virtual cells send back is what the last column sends, corrected by the difference of the two equilibria.

#![expect(
    clippy::cast_possible_truncation,
    reason = "populations are stored in single precision by design"
)]

use crate::lattice::field::{Extent, Populations};
use crate::lattice::row_collision::RowCollision;
use crate::lattice::step::{FluidRuns, Leaving, Threads};
use crate::lattice::velocity_set::VelocitySet;

/// The virtual column (a layer across in three dimensions) and what it remembers.
#[derive(Debug, Clone)]
pub struct Outlet {
    states: Vec<State>,
    /// The last column of the lattice.
    last: Vec<State>,
    /// The plane wave that comes in.
    pub(super) incoming: f64,
    pull: f64,
    /// Whether it is the pressure that is pulled towards 0, not the head of the plane waves.
    holds_pressure: bool,
    leaving: Vec<Leaving>,
    /// Radii of the cells.
    radii: Vec<f64>,
    /// What the cells weigh in means: their radius, or nothing where a wall reaches to the outlet.
    weights: Vec<f64>,
}

#[derive(Debug, Clone, Copy, Default)]
struct State {
    density: f64,
    /// With swirl the third component is the angular momentum.
    velocity: [f64; 3],
}

/// Means over a column, weighted with the area.
struct Mean {
    velocity: f64,
    density: f64,
    /// Mean square of the deviation of the velocity along x.
    unevenness: f64,
}

const SOUND: f64 = 0.577_350_269_189_625_8;

impl Outlet {
    /// An outlet behind a lattice of this extent, starting at rest density and `velocity`.
    pub fn new<C: RowCollision<Q>, const Q: usize>(
        extent: Extent,
        velocity: [f64; 3],
        collision: &C,
        fluid: &FluidRuns,
    ) -> Self {
        let is_fluid = |row: usize| {
            fluid
                .of_row(row)
                .last()
                .is_some_and(|run| run.end == extent.nx)
        };
        let radius = |row: usize| collision.radius((row % extent.ny) as f64);
        let cell_count = extent.ny * extent.nz;
        let start = State {
            density: 0.0,
            velocity,
        };
        // Relaxation towards resting pressure within ten crossings of the lattice by sound: firm enough to hold the mean, soft enough not to reflect.
        // A pulse of half-width w comes back as about 1.8 pull w / SOUND of itself.
        Self {
            states: vec![start; cell_count],
            last: vec![start; cell_count],
            incoming: velocity[0],
            pull: 0.1 * SOUND / extent.nx as f64,
            holds_pressure: false,
            leaving: vec![Leaving::default(); cell_count],
            radii: (0..cell_count).map(radius).collect(),
            weights: (0..cell_count)
                .map(|row| if is_fluid(row) { radius(row) } else { 0.0 })
                .collect(),
        }
    }

    /// Lets row `y` start with this density and angular momentum (that of a cell over its radius): a swirl that reaches to the outlet at the start keeps the pressure that goes with it.
    pub(crate) fn start_turning(&mut self, y: usize, density: f64, turning: f64) {
        for state in [&mut self.states[y], &mut self.last[y]] {
            state.density = density;
            state.velocity[2] = turning;
        }
    }

    /// For a steady jet that leaves through a part of a wide outlet: starts with an axial velocity row by row, of the same mean as before, and holds the mean pressure itself.
    ///
    /// The unevenness of a jet is no vortex. Its head held, the pressure would be lower by the mean of u'^2, and the outlet would draw air from the sides.
    pub(crate) fn expect_jet(&mut self, velocity: impl Fn(usize) -> f64) {
        self.holds_pressure = true;
        for (y, (state, last)) in self.states.iter_mut().zip(&mut self.last).enumerate() {
            state.velocity[0] = velocity(y);
            last.velocity[0] = velocity(y);
        }
    }

    /// Cell by cell what the column remembers: its own state and that of the last cell.
    pub(super) fn numbers(&self) -> impl Iterator<Item = [f64; 8]> {
        self.states.iter().zip(&self.last).map(|(own, last)| {
            let ([a, b, c], [d, e, f]) = (own.velocity, last.velocity);
            [own.density, a, b, c, last.density, d, e, f]
        })
    }

    /// Lets a cell remember this.
    pub(super) fn set_numbers(&mut self, cell: usize, numbers: &[f64]) {
        if let [own, a, b, c, last, d, e, f] = *numbers {
            self.states[cell] = State {
                density: own,
                velocity: [a, b, c],
            };
            self.last[cell] = State {
                density: last,
                velocity: [d, e, f],
            };
        }
    }

    /// Where the collision leaves what it knows of the last column, row by row.
    pub(crate) fn last_column(&mut self) -> &mut [Leaving] {
        &mut self.leaving
    }

    /// Advances the virtual column by one step and sends its populations back into the lattice.
    ///
    /// To be called after a collision that filled the last column, and before the rims are filled.
    pub fn advance<C: RowCollision<Q>, const Q: usize>(
        &mut self,
        field: &mut Populations<C::Set, Q>,
        collision: &C,
        threads: Threads,
    ) {
        for ((last, leaving), radius) in self.last.iter_mut().zip(&self.leaving).zip(&self.radii) {
            last.density = leaving.density / radius;
            last.velocity = leaving.momentum.map(|sum| sum / radius);
        }
        self.advance_states();
        let extent = field.extent();
        let stride = field.stride();
        let rows_per_layer = extent.ny + 2;
        let last_cell = field.index(extent.nx.cast_signed() - 1, 0, 0);
        let layers_per_block = extent.nz.div_ceil(threads.blocks(extent.nz));
        let mut blocks = Vec::new();
        for (i, (slot, offset)) in field.left_slots_mut() {
            if C::Set::VELOCITIES[i][0] == -1 {
                // What left the last cell, and beside it what leaves the virtual one: the first two numbers of each row from here on.
                let from = last_cell.wrapping_add_signed(offset);
                let parts = slot[from..].chunks_mut(layers_per_block * rows_per_layer * stride);
                let firsts = (0..extent.nz).step_by(layers_per_block);
                blocks.extend(firsts.zip(parts).map(|(first, part)| (i, first, part)));
            }
        }
        let send = |(i, first, part): (usize, usize, &mut [f32])| {
            let shift = 0.5 * f64::from(C::Set::VELOCITIES[i][1]);
            let end = (first + layers_per_block).min(extent.nz);
            for (z, layer) in (first..end).zip(part.chunks_mut(rows_per_layer * stride)) {
                let of_layer = z * extent.ny..(z + 1) * extent.ny;
                let states = self.states[of_layer.clone()].iter();
                let states = states.zip(&self.last[of_layer]);
                for (y, ((state, last), row)) in states.zip(layer.chunks_mut(stride)).enumerate() {
                    let link = collision.radius(y as f64 + shift);
                    let correction = C::equilibrium(i, state.density, state.velocity)
                        - C::equilibrium(i, last.density, last.velocity);
                    row[1] = row[0] + (link * correction) as f32;
                }
            }
        };
        threads.each(blocks, send);
    }

    /// One step of the virtual column.
    fn advance_states(&mut self) {
        let own = self.mean(&self.states);
        let last = self.mean(&self.last);
        let stream = own.velocity.clamp(0.0, 0.3);
        let root = stream.hypot(SOUND);
        let (ahead, back) = (stream + root, stream - root);
        // Plane waves; densities are three times pressures.
        let head = own.density + 3.0 * own.unevenness;
        let held = if self.holds_pressure {
            own.density
        } else {
            head
        };
        self.incoming += 2.0 * root * self.pull * held;
        let carried_flow = -3.0 * stream * last.unevenness;
        let outgoing = last.velocity - carried_flow - back * (last.density + 3.0 * last.unevenness);
        let head = (outgoing - self.incoming) / (2.0 * root);
        let velocity = (ahead * outgoing - back * self.incoming) / (2.0 * root) + carried_flow;
        let density = head - 3.0 * last.unevenness;
        // Deviations from the mean.
        for (state, inner) in self.states.iter_mut().zip(&self.last) {
            let deviation =
                |s: &State, mean: &Mean| (s.velocity[0] - mean.velocity, s.density - mean.density);
            let (u, rho) = deviation(inner, &last);
            let leaving = u - back * rho;
            let carried = u - ahead * rho;
            let (u, rho) = deviation(state, &own);
            let entering = u - ahead * rho;
            let entering = entering + stream * (carried - entering);
            state.density = density + (leaving - entering) / (2.0 * root);
            state.velocity[0] = velocity + (ahead * leaving - back * entering) / (2.0 * root);
            for a in [1, 2] {
                state.velocity[a] += stream * (inner.velocity[a] - state.velocity[a]);
            }
        }
    }

    fn mean(&self, states: &[State]) -> Mean {
        let (mut flow, mut density, mut square, mut area) = (0.0, 0.0, 0.0, 0.0);
        for (state, radius) in states.iter().zip(&self.weights) {
            flow += radius * state.velocity[0];
            density += radius * state.density;
            square += radius * state.velocity[0].powi(2);
            area += radius;
        }
        let velocity = flow / area;
        Mean {
            velocity,
            density: density / area,
            unevenness: square / area - velocity * velocity,
        }
    }
}
