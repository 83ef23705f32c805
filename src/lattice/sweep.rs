//! Several steps in one go through memory.
//!
//! A step that walks over the whole lattice fetches every population from wherever the lattice fits. Here a slab (a row of the plane, a layer in three dimensions) is collided again as soon as
//! its neighbours allow it, while it is still in a near cache: a front runs through the slabs with the later steps some slabs behind.
//! Nothing but the order changes, so the result is that of whole steps, bit by bit.
//!
//! What may be done when follows from two rules, with the walls as half a step of their own:
//!
//! * walls of a slab want the collision of this slab and its neighbours done;
//! * a collision wants the walls of this slab and its neighbours done. (The walls read what their cells have sent to the neighbours, so these may not go ahead.)
//!
//! No population is overwritten before its use: each has one place, which belongs to the cell that it arrives in.
//!
//! So half-step `k` of a front that has come to slab `s` is done at slab `s - k`. Each thread has a block of slabs; towards other blocks, and where the lattice closes on itself, it stops `k` slabs
//! short, and these gaps are filled in when all blocks are done.
//!
//! An outlet wants the whole last column at every step. Its influence spreads by a column per step: so the last columns are stepped first, `k` fewer of them in half-step `k`, and the blocks do what is left.
//! In three dimensions these columns are a tenth of the lattice and lie far apart: stepping them first costs more than is won, so lattices with an outlet are left to whole steps there.

use crate::lattice::field::{Phase, Populations};
use crate::lattice::halo::{Side, VolumeSides, fill_across, fill_columns, fill_deep};
use crate::lattice::outlet::Outlet;
use crate::lattice::row_collision::RowCollision;
use crate::lattice::step::{FluidRuns, Threads, collide_and_stream, collide_rows};
use crate::lattice::velocity_set::VelocitySet;
use crate::lattice::walls::{WallForce, Walls};
use std::ops::{DerefMut, Range};

/// Columns next to an outlet that are stepped first: at least one for each half-step.
const STRIP: usize = 16;

/// Bytes from which a lattice is taken not to fit into a cache.
pub(crate) const LARGE: u64 = 32 << 20;

/// What is needed to step a lattice that is in the gathered phase.
pub(crate) struct Sweep<'a, C, const Q: usize> {
    pub(crate) collision: &'a C,
    pub(crate) fluid: &'a FluidRuns,
    pub(crate) walls: &'a Walls,
    pub(crate) sides: VolumeSides,
    pub(crate) threads: Threads,
}

/// Force on the walls of a slab during the last two steps.
type SlabForces = [WallForce; 2];

/// The half-steps of one go, on slabs of one lattice.
struct Plan<'a, C, const Q: usize> {
    sweep: &'a Sweep<'a, C, Q>,
    half_steps: usize,
    slab_count: usize,
    /// Sides before the first slab and behind the last.
    ends: [Side; 2],
    /// Columns of the lattice, and of these how many are stepped first.
    cells_along: usize,
    strip: usize,
}

impl<C: RowCollision<Q>, const Q: usize> Sweep<'_, C, Q> {
    /// Pairs of steps to do in one go, of `wanted`; 0 where whole steps are the better or the only way.
    pub(crate) fn pairs(
        &self,
        field: &Populations<C::Set, Q>,
        has_outlet: bool,
        wanted: usize,
    ) -> usize {
        let extent = field.extent();
        // Measured: the working set must fit into a near cache, and gaps cost.
        let (slab_count, most) = if C::Set::IS_THREE_DIMENSIONAL {
            (extent.nz, if has_outlet { 0 } else { 2 })
        } else {
            (extent.ny, 4)
        };
        if self.sides.along == Side::Periodic || has_outlet && extent.nx < 2 * STRIP {
            return 0;
        }
        wanted.min(most).min(slab_count.saturating_sub(2) / 8)
    }

    /// Does `pairs` pairs of steps, as many as [`Sweep::pairs`] allows; returns the force on the walls during each of the last two steps.
    pub(crate) fn run(
        &self,
        field: &mut Populations<C::Set, Q>,
        outlet: Option<&mut Outlet>,
        pairs: usize,
    ) -> [WallForce; 2] {
        let extent = field.extent();
        let (slab_count, _) = field.slabs();
        let ends = if C::Set::IS_THREE_DIMENSIONAL {
            [self.sides.near, self.sides.far]
        } else {
            [self.sides.bottom, self.sides.top]
        };
        let plan = Plan {
            sweep: self,
            half_steps: 4 * pairs,
            slab_count,
            ends,
            cells_along: extent.nx,
            strip: if outlet.is_some() { STRIP } else { 0 },
        };
        let mut forces = vec![SlabForces::default(); slab_count];
        if let Some(outlet) = outlet {
            plan.step_strip(field, outlet, &mut forces);
        }
        let bounds = plan.bounds();
        plan.step_blocks(field, bounds.len() - 1, &mut forces);
        plan.fill_gaps(field, &bounds, &mut forces);
        forces.iter().fold(SlabForces::default(), |sum, slab| {
            [sum[0] + slab[0], sum[1] + slab[1]]
        })
    }
}

impl<C: RowCollision<Q>, const Q: usize> Plan<'_, C, Q> {
    fn closes_on_itself(&self) -> bool {
        self.ends[0] == Side::Periodic
    }

    /// Where blocks begin, and where the last ends.
    fn bounds(&self) -> Vec<usize> {
        // The gaps on both sides of a block must not meet.
        let most = self.slab_count / (2 * self.half_steps);
        let blocks = self.sweep.threads.blocks(most);
        (0..=blocks).map(|j| j * self.slab_count / blocks).collect()
    }

    /// Columns that are left to the blocks in a half-step.
    fn columns(&self, half_step: usize) -> Range<usize> {
        if self.strip == 0 {
            0..self.cells_along
        } else {
            0..self.cells_along - self.strip + half_step
        }
    }

    fn phase(half_step: usize) -> Phase {
        if half_step.div_ceil(2).is_multiple_of(2) {
            Phase::Gathered
        } else {
            Phase::Turned
        }
    }

    /// The columns next to the outlet, in all slabs.
    fn step_strip(
        &self,
        field: &mut Populations<C::Set, Q>,
        outlet: &mut Outlet,
        forces: &mut [SlabForces],
    ) {
        let Sweep {
            collision,
            fluid,
            threads,
            ..
        } = *self.sweep;
        for half_step in (0..self.half_steps).step_by(2) {
            let columns = self.columns(half_step).end..self.cells_along;
            let last = outlet.last_column();
            collide_and_stream(field, collision, fluid, columns.clone(), threads, last);
            outlet.advance(field, collision, threads);
            fill_columns(field, self.sweep.sides, &columns, threads);
            let columns = self.columns(half_step + 1).end..self.cells_along;
            for (slab, forces) in forces.iter_mut().enumerate() {
                self.bounce_back(field, half_step + 1, slab, columns.clone(), forces);
            }
        }
    }

    /// A front through each block.
    fn step_blocks(
        &self,
        field: &mut Populations<C::Set, Q>,
        block_count: usize,
        forces: &mut [SlabForces],
    ) {
        let mut rest = forces;
        let blocks: Vec<_> = field
            .blocks(block_count)
            .into_iter()
            .enumerate()
            .map(|(j, (slabs, part))| {
                let (own, others) = std::mem::take(&mut rest).split_at_mut(slabs.len());
                rest = others;
                let stops = [
                    j > 0 || self.closes_on_itself(),
                    j + 1 < block_count || self.closes_on_itself(),
                ];
                (part, slabs, stops, own)
            })
            .collect();
        let step = |(mut part, slabs, stops, forces): (_, Range<usize>, [bool; 2], &mut [_])| {
            for front in slabs.start..slabs.end + self.half_steps {
                for half_step in 0..self.half_steps.min(front + 1) {
                    let slab = front - half_step;
                    let [low, high] = stops.map(|stops| if stops { half_step } else { 0 });
                    if (slabs.start + low..slabs.end.saturating_sub(high)).contains(&slab) {
                        let forces = &mut forces[slab - slabs.start];
                        self.half_step(&mut part, half_step, slab, forces);
                    }
                }
            }
        };
        self.sweep.threads.each(blocks, step);
    }

    /// The slabs on both sides of a border between blocks, half-step by half-step.
    fn fill_gaps(
        &self,
        field: &mut Populations<C::Set, Q>,
        bounds: &[usize],
        forces: &mut [SlabForces],
    ) {
        let n = self.slab_count;
        let within = &bounds[1..bounds.len() - 1];
        for half_step in 0..self.half_steps {
            let seam = self.closes_on_itself();
            let is_wall = half_step % 2 == 1;
            if seam && is_wall && Self::phase(half_step) == Phase::Gathered {
                self.fill_ends(field, half_step - 1, self.ends);
            }
            let at_seam = if seam { half_step } else { 0 };
            let gaps = within
                .iter()
                .map(|&b| b - half_step..b + half_step)
                .chain([0..at_seam, n - at_seam..n]);
            for slab in gaps.flatten() {
                self.half_step(field, half_step, slab, &mut forces[slab]);
            }
            if seam && !is_wall && Self::phase(half_step + 1) == Phase::Turned {
                field.set_phase(Phase::Turned);
                self.fill_ends(field, half_step, self.ends);
            }
        }
        field.set_phase(Phase::Gathered);
    }

    /// Collides a slab, or lets its walls throw back.
    fn half_step<S: DerefMut<Target = [f32]>>(
        &self,
        field: &mut Populations<C::Set, Q, S>,
        half_step: usize,
        slab: usize,
        forces: &mut SlabForces,
    ) {
        let columns = self.columns(half_step);
        if half_step.is_multiple_of(2) {
            field.set_phase(Self::phase(half_step));
            let rows = Self::rows(field, slab);
            let Sweep {
                collision, fluid, ..
            } = *self.sweep;
            collide_rows(field, collision, fluid, rows, columns);
            if field.phase() == Phase::Turned {
                self.fill_sides(field, half_step, slab);
                self.fill_mirrors(field, half_step, slab);
            }
        } else {
            field.set_phase(Self::phase(half_step));
            if field.phase() == Phase::Gathered {
                self.fill_mirrors(field, half_step - 1, slab);
                self.fill_sides(field, half_step - 1, slab);
            }
            self.bounce_back(field, half_step, slab, columns, forces);
        }
    }

    fn bounce_back<S: DerefMut<Target = [f32]>>(
        &self,
        field: &mut Populations<C::Set, Q, S>,
        half_step: usize,
        slab: usize,
        columns: Range<usize>,
        forces: &mut SlabForces,
    ) {
        let walls = self.sweep.walls;
        let cells = field.slab_cells(slab);
        let force = walls.bounce_back_part(field, cells, columns);
        let steps_left = (self.half_steps - 1 - half_step) / 2;
        if let Some(sum) = 1_usize
            .checked_sub(steps_left)
            .and_then(|step| forces.get_mut(step))
        {
            *sum = *sum + force;
        }
    }

    /// Numbers of the rows of a slab.
    fn rows<S: DerefMut<Target = [f32]>>(
        field: &Populations<C::Set, Q, S>,
        slab: usize,
    ) -> Range<usize> {
        let slab = slab.cast_signed();
        if C::Set::IS_THREE_DIMENSIONAL {
            let first = field.row(0, slab);
            first..first + field.extent().ny
        } else {
            let row = field.row(slab, 0);
            row..row + 1
        }
    }

    /// Sides within a slab, after the collision in `half_step`.
    fn fill_sides<S: DerefMut<Target = [f32]>>(
        &self,
        field: &mut Populations<C::Set, Q, S>,
        half_step: usize,
        slab: usize,
    ) {
        if C::Set::IS_THREE_DIMENSIONAL {
            let sides = [self.sweep.sides.bottom, self.sweep.sides.top];
            fill_across(field, sides, slab..slab + 1, &self.columns(half_step));
        }
    }

    /// Mirrors before the first slab and behind the last.
    fn fill_mirrors<S: DerefMut<Target = [f32]>>(
        &self,
        field: &mut Populations<C::Set, Q, S>,
        half_step: usize,
        slab: usize,
    ) {
        let side = |is_here: bool, side: Side| match side {
            Side::Mirror if is_here => Side::Mirror,
            _ => Side::Open,
        };
        let ends = [
            side(slab == 0, self.ends[0]),
            side(slab + 1 == self.slab_count, self.ends[1]),
        ];
        if ends != [Side::Open; 2] {
            self.fill_ends(field, half_step, ends);
        }
    }

    fn fill_ends<S: DerefMut<Target = [f32]>>(
        &self,
        field: &mut Populations<C::Set, Q, S>,
        half_step: usize,
        ends: [Side; 2],
    ) {
        let columns = self.columns(half_step);
        if C::Set::IS_THREE_DIMENSIONAL {
            fill_deep(field, ends, &columns);
        } else {
            fill_across(field, ends, 0..1, &columns);
        }
    }
}

#[cfg(test)]
mod tests;
