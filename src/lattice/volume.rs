//! A three-dimensional lattice.

use crate::lattice::collision::Fluid;
use crate::lattice::field::Extent;
use crate::lattice::halo::VolumeSides;
use crate::lattice::simulation::{CellState, Lattice, Parts};
use crate::lattice::step::Threads;
use crate::lattice::volume_row::VolumeCollision;
use crate::lattice::walls::Geometry;

/// A three-dimensional lattice of nineteen velocities that can be advanced.
pub type VolumeLattice = Lattice<VolumeCollision, 19>;

/// What a [`VolumeLattice`] is made of.
pub struct VolumeSetup<'a> {
    /// Number of cells.
    pub extent: Extent,
    /// Fluid properties.
    pub fluid: Fluid<3>,
    /// What lies beyond the sides.
    pub sides: VolumeSides,
    /// Walls, inlets included. Beyond a periodic or mirrored side it tells what stands there, one cell deep.
    pub geometry: &'a dyn Geometry,
    /// Velocity with which the outlet starts, if there is one at the far end of x.
    pub outlet_velocity: Option<[f64; 3]>,
    /// Threads for this lattice.
    pub threads: Threads,
}

impl VolumeLattice {
    /// Builds a lattice and fills it with the equilibrium of `initial(x, y, z)`.
    pub fn new(
        setup: &VolumeSetup<'_>,
        mut initial: impl FnMut(usize, usize, usize) -> CellState<3>,
    ) -> Self {
        let parts = Parts {
            extent: setup.extent,
            sides: setup.sides,
            geometry: setup.geometry,
            outlet_velocity: setup.outlet_velocity,
            threads: setup.threads,
        };
        let collision = VolumeCollision::new(&setup.fluid);
        Self::assemble(&parts, collision, |x, y, z| {
            let state = initial(x, y, z);
            (state.density.into(), state.velocity.map(f64::from))
        })
    }

    /// Runs of fluid cells of the row at (`y`, `z`).
    pub fn fluid_runs(&self, y: usize, z: usize) -> &[std::ops::Range<usize>] {
        self.runs_of_row(z * self.extent().ny + y)
    }

    /// State of a cell.
    ///
    /// # Panics
    /// In debug builds, unless an even number of steps has been done.
    #[inline]
    pub fn cell(&self, x: usize, y: usize, z: usize) -> CellState<3> {
        let f = self.populations(x, y, z);
        let (density, velocity) = self.collision().constants().macroscopic(&f);
        CellState { density, velocity }
    }
}

#[cfg(test)]
#[expect(
    clippy::cast_possible_truncation,
    reason = "populations and states are stored in single precision"
)]
mod tests {
    use super::*;
    use crate::lattice::halo::Side;
    use crate::lattice::walls::{WallGroup, WallPoint};
    use crate::units::LatticeViscosity;

    struct Solid<F>(F);

    impl<F: Fn([f64; 3]) -> Option<[f64; 3]>> Geometry for Solid<F> {
        fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
            (self.0)(point).map(|velocity| WallPoint {
                group: WallGroup::Body,
                velocity,
            })
        }
    }

    const EXTENT: Extent = Extent {
        nx: 6,
        ny: 5,
        nz: 4,
    };

    const PERIODIC: VolumeSides = VolumeSides {
        along: Side::Periodic,
        bottom: Side::Periodic,
        top: Side::Periodic,
        near: Side::Periodic,
        far: Side::Periodic,
    };

    fn setup(extent: Extent, sides: VolumeSides, geometry: &dyn Geometry) -> VolumeSetup<'_> {
        VolumeSetup {
            extent,
            fluid: Fluid::new(LatticeViscosity(0.02)).with_subgrid(),
            sides,
            geometry,
            outlet_velocity: None,
            threads: Threads::One,
        }
    }

    /// A rough state that differs from cell to cell.
    fn rough(x: usize, y: usize, z: usize) -> CellState<3> {
        let noise =
            |a: usize| ((x * 31 + y * 57 + z * 83 + a * 101) * 97 % 61) as f32 / 610.0 - 0.05;
        CellState {
            density: 0.2 * noise(0),
            velocity: [noise(1), noise(2), noise(3)],
        }
    }

    fn all_cells(extent: Extent) -> impl Iterator<Item = [usize; 3]> {
        let Extent { nx, ny, nz } = extent;
        (0..nz).flat_map(move |z| (0..ny).flat_map(move |y| (0..nx).map(move |x| [x, y, z])))
    }

    fn bits(state: CellState<3>) -> [u32; 4] {
        let [u, v, w] = state.velocity;
        [state.density, u, v, w].map(f32::to_bits)
    }

    #[test]
    fn periodic_flow_does_not_know_where_the_border_is() {
        // Every direction crosses every side, edge and corner; a shifted start must give the shifted result bit by bit.
        let nothing = Solid(|_| None);
        let setup = setup(EXTENT, PERIODIC, &nothing);
        let wrap = |[x, y, z]: [usize; 3], [a, b, c]: [usize; 3]| {
            [
                (x + a) % EXTENT.nx,
                (y + b) % EXTENT.ny,
                (z + c) % EXTENT.nz,
            ]
        };
        let mut still = VolumeLattice::new(&setup, rough);
        still.step_pairs(7);
        for shift in [[1, 0, 0], [0, 1, 0], [0, 0, 1], [3, 2, 2], [5, 4, 3]] {
            let mut shifted = VolumeLattice::new(&setup, |x, y, z| {
                let [x, y, z] = wrap([x, y, z], shift);
                rough(x, y, z)
            });
            shifted.step_pairs(7);
            for cell in all_cells(EXTENT) {
                let [x, y, z] = cell;
                let [a, b, c] = wrap(cell, shift);
                assert_eq!(
                    bits(shifted.cell(x, y, z)),
                    bits(still.cell(a, b, c)),
                    "{cell:?} shifted by {shift:?}"
                );
            }
        }
    }

    #[test]
    fn mirrors_are_the_flow_and_its_image() {
        let nothing = Solid(|_| None);
        let sides = VolumeSides {
            along: Side::Periodic,
            bottom: Side::Mirror,
            top: Side::Mirror,
            near: Side::Mirror,
            far: Side::Mirror,
        };
        let mut half = VolumeLattice::new(&setup(EXTENT, sides, &nothing), rough);
        let whole_extent = Extent {
            nx: EXTENT.nx,
            ny: 2 * EXTENT.ny,
            nz: 2 * EXTENT.nz,
        };
        let fold = |n: usize, i: usize| {
            if i < n {
                (i, 1.0)
            } else {
                (2 * n - 1 - i, -1.0)
            }
        };
        let mut whole = VolumeLattice::new(&setup(whole_extent, PERIODIC, &nothing), |x, y, z| {
            let (y, sign_y) = fold(EXTENT.ny, y);
            let (z, sign_z) = fold(EXTENT.nz, z);
            let mut state = rough(x, y, z);
            state.velocity[1] *= sign_y;
            state.velocity[2] *= sign_z;
            state
        });
        half.step_pairs(7);
        whole.step_pairs(7);
        for [x, y, z] in all_cells(EXTENT) {
            let (a, b) = (half.cell(x, y, z), whole.cell(x, y, z));
            let deviation = (a.density - b.density)
                .abs()
                .max((a.velocity[0] - b.velocity[0]).abs())
                .max((a.velocity[1] - b.velocity[1]).abs())
                .max((a.velocity[2] - b.velocity[2]).abs());
            assert!(deviation < 1e-6, "({x}, {y}, {z}): {a:?} {b:?}");
        }
    }

    #[test]
    fn threads_do_not_change_a_bit_and_walls_keep_the_mass() {
        let extent = Extent {
            nx: 12,
            ny: 7,
            nz: 6,
        };
        let result = |threads: Threads, has_outlet: bool| {
            let ball = Solid(move |[x, y, z]: [f64; 3]| {
                let distance = (x - 5.2).hypot(y - 3.1).hypot(z - 2.4);
                (distance < 2.1 || has_outlet && x < -0.5).then_some([0.0; 3])
            });
            let sides = if has_outlet {
                VolumeSides {
                    along: Side::Open,
                    ..PERIODIC
                }
            } else {
                PERIODIC
            };
            let mut setup = setup(extent, sides, &ball);
            setup.threads = threads;
            setup.outlet_velocity = has_outlet.then_some([0.01, 0.0, 0.0]);
            let mut lattice = VolumeLattice::new(&setup, rough);
            let before = lattice.total_mass();
            lattice.step_pairs(10);
            assert!(has_outlet || (lattice.total_mass() - before).abs() < 1e-4);
            let fluid: usize = (0..6)
                .flat_map(|z| (0..7).map(move |y| (y, z)))
                .map(|(y, z)| {
                    lattice
                        .fluid_runs(y, z)
                        .iter()
                        .map(ExactSizeIterator::len)
                        .sum::<usize>()
                })
                .sum();
            assert_eq!(fluid, lattice.fluid_cell_count());
            assert!(fluid < extent.cell_count());
            all_cells(extent)
                .map(|[x, y, z]| bits(lattice.cell(x, y, z)))
                .collect::<Vec<_>>()
        };
        for has_outlet in [false, true] {
            let one = result(Threads::One, has_outlet);
            for count in [2, 3, 5, 100] {
                assert_eq!(one, result(Threads::Pool(count), has_outlet));
            }
        }
    }

    /// The largest deviation of any density or velocity from a uniform stream after `pairs` pairs of steps between an inlet and an outlet.
    fn deviation_of_stream(stream: [f64; 3], pairs: usize) -> f64 {
        let inlet = Solid(move |[x, _, _]: [f64; 3]| (x < -0.5).then_some(stream));
        let sides = VolumeSides {
            along: Side::Open,
            ..PERIODIC
        };
        let mut setup = setup(EXTENT, sides, &inlet);
        setup.outlet_velocity = Some(stream);
        let velocity = stream.map(|v| v as f32);
        let mut lattice = VolumeLattice::new(&setup, |_, _, _| CellState {
            density: 0.0,
            velocity,
        });
        lattice.step_pairs(pairs);
        all_cells(EXTENT)
            .map(|[x, y, z]| lattice.cell(x, y, z))
            .flat_map(|state| {
                let [u, v, w] = [0, 1, 2].map(|a| f64::from(state.velocity[a]) - stream[a]);
                [f64::from(state.density), u, v, w]
            })
            .fold(0.0, |largest, deviation| deviation.abs().max(largest))
    }

    #[test]
    fn a_uniform_stream_passes_inlet_and_outlet_unchanged() {
        for stream in [[0.05, 0.0, 0.0], [0.08, 0.04, -0.06]] {
            let deviation = deviation_of_stream(stream, 500);
            assert!(deviation < 2e-6, "{stream:?}: {deviation}");
        }
    }
}
