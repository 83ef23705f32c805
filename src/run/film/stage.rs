//! Air that runs in front of the camera.

use crate::lattice::simulation::PlaneLattice;
use crate::lattice::volume::VolumeLattice;
use crate::smoke::{Air, Beyond};
use crate::tunnel::FaceFlow;

/// What runs.
pub(super) enum Stage {
    /// An undisturbed stream, cells per step: nothing stands in it.
    Still([f64; 3]),
    /// A row of slots.
    Row(PlaneLattice),
    /// A repeat.
    Repeat(VolumeLattice),
    /// A fan face.
    Face(FaceFlow),
}

impl Stage {
    /// Goes on by pairs of steps.
    pub(super) fn advance(&mut self, pairs: usize) {
        match self {
            Self::Still(_) => {}
            Self::Row(lattice) => lattice.step_pairs(pairs),
            Self::Repeat(lattice) => lattice.step_pairs(pairs),
            Self::Face(flow) => flow.step_pairs(pairs),
        }
    }

    /// The block of the air, at rest.
    pub(super) fn block(&self, cells: [usize; 3]) -> Air {
        let beyond = match self {
            Self::Still(_) | Self::Row(_) | Self::Repeat(_) => [Beyond::Repeat; 2],
            Self::Face(_) => [Beyond::Mirror, Beyond::Repeat],
        };
        Air {
            cells,
            beyond,
            velocity: vec![[0.0; 3]; cells.iter().product()],
        }
    }

    /// Reads how the air moves now, cells per step.
    pub(super) fn read(&self, air: &mut Air) {
        let [nx, ny, _] = air.cells;
        match self {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "velocities are kept in single precision"
            )]
            Self::Still(stream) => air.velocity.fill(stream.map(|u| u as f32)),
            Self::Row(lattice) => {
                for y in 0..ny {
                    for x in lattice.fluid_runs(y).iter().cloned().flatten() {
                        let [u, v] = lattice.cell(x, y).velocity;
                        air.velocity[y * nx + x] = [u, v, 0.0];
                    }
                }
            }
            Self::Repeat(lattice) => {
                for row in 0..ny * air.cells[2] {
                    let (y, z) = (row % ny, row / ny);
                    for x in lattice.fluid_runs(y, z).iter().cloned().flatten() {
                        air.velocity[row * nx + x] = lattice.cell(x, y, z).velocity;
                    }
                }
            }
            Self::Face(flow) => {
                for y in 0..ny {
                    for x in flow.lattice.fluid_runs(y).iter().cloned().flatten() {
                        air.velocity[y * nx + x] = flow.lattice.cell(x, y).velocity;
                    }
                }
            }
        }
    }
}
