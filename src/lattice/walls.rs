//! Walls at a fraction of a link: interpolated bounce-back that conserves mass, and the force on what the walls belong to.
//!
//! The interpolation is the linear one of M. Bouzidi, M. Firdaouss, P. Lallemand, Phys. Fluids 13 (2001) 3452 (from memory).
//! It loses or gains mass where the flow grazes a wall; what a cell loses is put back into its resting population. Seen on a hole: the scatter of K over
//! sub-cell shifts falls from several per cent to below one.
//!
//! With swirl the populations that carry angular momentum come back with the opposite sign, so the air at the wall turns with it; the torque is what they leave behind.
//! (Anti-bounce-back, I. Ginzburg, Adv. Water Resour. 28 (2005) 1171, from memory, at the wall's true place by the same interpolation; nothing need be put back, because the wall takes it.)
//!
//! Inlets are walls through which fluid enters: the same links with a velocity that has a normal component, so the volume flow is met exactly.

#![expect(
    clippy::cast_possible_truncation,
    reason = "shares of a link are stored in single precision, and a direction is below 27"
)]

use crate::lattice::field::Populations;
use crate::lattice::row_collision::{RowCollision, WallReach};
use crate::lattice::step::Threads;
use crate::lattice::velocity_set::VelocitySet;
use std::ops::{Add, DerefMut, Range};

/// Which force sum a wall belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallGroup {
    /// The body whose force is asked for.
    Body = 0,
    /// Everything else: channel walls, inlets.
    Rim = 1,
}

/// What stands at a point that is not fluid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallPoint {
    /// Force sum.
    pub group: WallGroup,
    /// Velocity of the wall (or of what enters through it); in axisymmetric flow along the axis, along the radius and about the axis.
    pub velocity: [f64; 3],
}

/// The walls of a lattice, told point by point in cell coordinates: cell `n` is centred at `n`, so its faces are at `n ± 1/2`.
pub trait Geometry {
    /// The wall at a point, or `None` in the fluid. Asked for cell centres and for points between them, one cell beyond the rim included.
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint>;
}

/// A link from a fluid cell into a wall.
#[derive(Debug, Clone, Copy)]
struct WallLink {
    cell: u32,
    direction: u8,
    group: u8,
    /// Whether the second population of the interpolation is the one behind (true) or the one that leaves backwards.
    uses_behind: bool,
    /// Share of the population that leaves towards the wall.
    share: f32,
    /// Share of the second population.
    second_share: f32,
    /// What a moving wall adds.
    moving: f32,
}

/// All wall links of a lattice.
#[derive(Debug, Clone)]
pub struct Walls {
    links: Vec<WallLink>,
    narrow_gaps: usize,
    /// What all wall velocities are multiplied by.
    velocity_factor: f32,
}

/// Force on the two groups of walls during one step, as sum over links (2π left out in axisymmetric flow). With swirl the third component is the torque about the axis.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct WallForce {
    /// On the body.
    pub body: [f64; 3],
    /// On the rim.
    pub rim: [f64; 3],
}

impl Add for WallForce {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        let sum = |a: [f64; 3], b: [f64; 3]| std::array::from_fn(|i| a[i] + b[i]);
        Self {
            body: sum(self.body, other.body),
            rim: sum(self.rim, other.rim),
        }
    }
}

impl WallForce {
    /// Half of the sum.
    #[must_use]
    pub(crate) fn mean(self, other: Self) -> Self {
        let sum = self + other;
        Self {
            body: sum.body.map(|component| 0.5 * component),
            rim: sum.rim.map(|component| 0.5 * component),
        }
    }
}

impl Walls {
    /// Finds all links from fluid cells into `geometry`, for this collision.
    pub fn find<C: RowCollision<Q>, const Q: usize>(
        field: &Populations<C::Set, Q>,
        geometry: &dyn Geometry,
        collision: &C,
    ) -> Self {
        let extent = field.extent();
        let mut links = Vec::new();
        let mut narrow_gaps = 0;
        for z in 0..extent.nz {
            for y in 0..extent.ny {
                for x in 0..extent.nx {
                    let centre = [x as f64, y as f64, z as f64];
                    if geometry.wall_at(centre).is_some() {
                        continue;
                    }
                    let cell = field.index(x.cast_signed(), y.cast_signed(), z.cast_signed());
                    for i in 1..Q {
                        let c = C::Set::VELOCITIES[i].map(f64::from);
                        let is_flow = i < C::Set::FLOW;
                        let ahead = [centre[0] + c[0], centre[1] + c[1], centre[2] + c[2]];
                        let Some(wall) = geometry.wall_at(ahead) else {
                            continue;
                        };
                        let fraction = wall_fraction(geometry, centre, c);
                        let behind = [centre[0] - c[0], centre[1] - c[1], centre[2] - c[2]];
                        let behind_is_fluid = geometry.wall_at(behind).is_none();
                        if !behind_is_fluid && is_flow {
                            narrow_gaps += 1;
                        }
                        let radius = |steps: f64| collision.radius(centre[1] + steps * c[1]);
                        let (link_radius, back_radius) = (radius(0.5), radius(-0.5));
                        let reach = WallReach {
                            link_radius,
                            wall_radius: radius(fraction),
                        };
                        // As fast as where the link meets it: velocities at the far ends of two oblique links would add the shear of an uneven inflow to its radial velocity.
                        let depth = (fraction + 1e-6).min(1.0);
                        let place = std::array::from_fn(|a| centre[a] + depth * c[a]);
                        let met = geometry.wall_at(place).unwrap_or(wall);
                        let moving = C::carried(i, met.velocity, reach);
                        let q = if behind_is_fluid && back_radius > 0.0 {
                            fraction
                        } else {
                            0.5
                        };
                        let ratio = if back_radius > 0.0 {
                            link_radius / back_radius
                        } else {
                            0.0
                        };
                        // What air at rest throws back: all of its mass, and the opposite of its swirl.
                        let sign = if is_flow { 1.0 } else { -1.0 };
                        let (uses_behind, share, second, moving) = if q < 0.5 {
                            let second = sign * (1.0 - 2.0 * q) * ratio;
                            (true, sign * 2.0 * q, second, moving)
                        } else {
                            let second = (1.0 - 0.5 / q) * ratio;
                            (false, sign * 0.5 / q, second, moving * 0.5 / q)
                        };
                        links.push(WallLink {
                            cell: u32::try_from(cell).unwrap_or(u32::MAX),
                            direction: i as u8,
                            group: wall.group as u8,
                            uses_behind,
                            share: share as f32,
                            second_share: second as f32,
                            moving: moving as f32,
                        });
                    }
                }
            }
        }
        Self {
            links,
            narrow_gaps,
            velocity_factor: 1.0,
        }
    }

    /// Multiplies all velocities that the geometry gave to walls and inlets by `factor` (1 at first) from the next step on.
    pub fn scale_velocity(&mut self, factor: f64) {
        self.velocity_factor = factor as f32;
    }

    /// What [`Walls::scale_velocity`] was told last.
    pub(super) fn velocity_factor(&self) -> f32 {
        self.velocity_factor
    }

    /// Links in gaps of a single cell, where the interpolation falls back to half-way.
    pub fn narrow_gap_count(&self) -> usize {
        self.narrow_gaps
    }

    /// Bounces back what left towards the walls and returns the force on them during this step.
    ///
    /// To be called after the rims have been filled ([`crate::lattice::halo::fill`]).
    pub fn bounce_back<V: VelocitySet<Q>, const Q: usize>(
        &self,
        field: &mut Populations<V, Q>,
        threads: Threads,
    ) -> WallForce {
        let (slabs, _) = field.slabs();
        let columns = 0..field.extent().nx;
        let mut forces = vec![WallForce::default(); slabs];
        // A slab's links touch its neighbours: the first and the last of a block have to wait for the other blocks.
        let count = threads.blocks(slabs / 4);
        let mut rest = &mut forces[..];
        let mut parts = Vec::with_capacity(count);
        for (slabs, part) in field.blocks(count) {
            let (own, others) = std::mem::take(&mut rest).split_at_mut(slabs.len());
            rest = others;
            parts.push((slabs, part, own));
        }
        let mut waiting: Vec<usize> = Vec::new();
        for (slabs, _, _) in &parts {
            waiting.extend([slabs.start, slabs.end - 1]);
        }
        waiting.dedup();
        threads.each(parts, |(slabs, mut part, forces)| {
            let inner = slabs.clone().zip(forces).skip(1);
            for (slab, force) in inner.take(slabs.len().saturating_sub(2)) {
                let cells = part.slab_cells(slab);
                *force = self.bounce_back_part(&mut part, cells, columns.clone());
            }
        });
        for slab in waiting {
            let cells = field.slab_cells(slab);
            forces[slab] = self.bounce_back_part(field, cells, columns.clone());
        }
        forces
            .into_iter()
            .fold(WallForce::default(), |sum, force| sum + force)
    }

    /// The same for the links of some cells: those with an index in `cells`, and with x in `columns`.
    pub(crate) fn bounce_back_part<V, S, const Q: usize>(
        &self,
        field: &mut Populations<V, Q, S>,
        cells: Range<usize>,
        columns: Range<usize>,
    ) -> WallForce
    where
        V: VelocitySet<Q>,
        S: DerefMut<Target = [f32]>,
    {
        // Links stand in the order of their cells.
        let before = |end: usize| {
            self.links
                .partition_point(|link| (link.cell as usize) < end)
        };
        let links = &self.links[before(cells.start)..before(cells.end)];
        let takes_all = columns == (0..field.extent().nx);
        let stride = field.stride();
        let is_in =
            |link: &WallLink| takes_all || columns.contains(&(link.cell as usize % stride - 1));
        let mut force = [[0.0_f64; 3]; 2];
        // One pass will do: what a link writes, another reads only in a gap of a single cell, and there nothing is interpolated.
        for link in links {
            if !is_in(link) {
                continue;
            }
            let (cell, i) = (link.cell as usize, link.direction as usize);
            let leaving = field.left(cell, i);
            let second = if link.second_share == 0.0 {
                0.0
            } else if link.uses_behind {
                field.arriving(cell, i)
            } else {
                field.left(cell, V::OPPOSITE[i])
            };
            let at_rest = link.share * leaving + link.second_share * second;
            let returned = at_rest + self.velocity_factor * link.moving;
            field.set_arriving(cell, V::OPPOSITE[i], returned);
            if i >= V::FLOW {
                force[link.group as usize][2] += f64::from(leaving) - f64::from(returned);
                continue;
            }
            let lost = leaving - at_rest;
            if lost != 0.0 {
                let rest = field.arriving(cell, 0);
                field.set_arriving(cell, 0, rest + lost);
            }
            let exchanged = f64::from(leaving) + f64::from(returned);
            for (component, &c) in force[link.group as usize].iter_mut().zip(&V::VELOCITIES[i]) {
                *component += exchanged * f64::from(c);
            }
        }
        WallForce {
            body: force[0],
            rim: force[1],
        }
    }
}

/// Where along the link from `centre` by `c` the wall begins, 0 to 1, by bisection.
fn wall_fraction(geometry: &dyn Geometry, centre: [f64; 3], c: [f64; 3]) -> f64 {
    let (mut fluid, mut solid) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (fluid + solid);
        let point = [
            centre[0] + middle * c[0],
            centre[1] + middle * c[1],
            centre[2] + middle * c[2],
        ];
        if geometry.wall_at(point).is_some() {
            solid = middle;
        } else {
            fluid = middle;
        }
    }
    let fraction = 0.5 * (fluid + solid);
    // A wall that lies exactly half-way is the plain case: no interpolation.
    if (fraction - 0.5).abs() < 1e-9 {
        0.5
    } else {
        fraction.max(1e-6)
    }
}
