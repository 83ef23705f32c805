//! What a repeat asks of a three-dimensional lattice, wherever its cells are stepped.

use std::io::{self, Read, Write};
use std::ops::Range;

use crate::lattice::field::Extent;
use crate::lattice::state::{put_list, take_list};
use crate::lattice::step::Threads;
use crate::lattice::volume::VolumeLattice;
use crate::measure::volume_fields::{VolumeFields, VolumeMeans};
use crate::measure::wall_load::{WallCells, WallLoad};

/// Sums over fluid and solid cells of some columns, lattice units; walls count as cells at rest.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PlaneSums {
    /// Cells.
    pub count: f64,
    /// Pressure and axial momentum flux, `ρ'/3 + u²`.
    pub momentum_flux: f64,
    /// Axial velocity.
    pub velocity: f64,
    /// Transverse momentum flux, `u v` and `u w`.
    pub transverse: [f64; 2],
}

/// What was collected of a flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Collected {
    /// Time means.
    pub mean: VolumeFields,
    /// Mean force on the wall.
    pub wall_load: WallLoad,
}

/// A three-dimensional lattice that can be stepped, read, and asked to collect means.
///
/// Two engines made of equal lattices agree in what they say; those that do the same arithmetic in the same order agree to the last bit, and read each other's states.
pub trait VolumeEngine {
    /// Advances by pairs of steps.
    fn step_pairs(&mut self, pairs: usize);

    /// Steps done.
    fn step_count(&self) -> u64;

    /// Number of cells along each axis.
    fn extent(&self) -> Extent;

    /// Number of fluid cells.
    fn fluid_cell_count(&self) -> usize;

    /// Sums over every `stride`-th column of a range.
    fn plane_sums(&self, columns: Range<usize>, stride: usize) -> PlaneSums;

    /// Mean force on the plate during the last two steps.
    fn wall_force(&self) -> [f64; 3];

    /// Mean density deviation of the fluid.
    fn mean_density(&self) -> f64;

    /// The fields at this instant.
    fn instant(&self) -> VolumeFields;

    /// Makes room for means; before that nothing can be collected, and states hold the flow alone.
    fn begin_to_collect(&mut self);

    /// Takes a sample of the fields, and of the force on the wall while it advances by two steps.
    fn collect(&mut self);

    /// Drops what was collected before the last call.
    fn forget_early(&mut self);

    /// What was collected, over all samples that were not dropped; one sample at least.
    fn collected(self: Box<Self>) -> Collected;

    /// Writes its state.
    ///
    /// # Errors
    /// What `out` gives.
    fn save(&self, out: &mut dyn Write) -> io::Result<()>;

    /// Reads the state of an equal one.
    ///
    /// # Errors
    /// What `from` gives; that it is too short or of another lattice.
    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()>;
}

/// Makes engines of lattices that are built.
pub trait MakeEngine {
    /// Threads that a lattice is to be built with.
    fn threads(&self) -> Threads;

    /// An engine that begins where the lattice stands.
    fn make(&self, lattice: VolumeLattice) -> Box<dyn VolumeEngine>;
}

/// On the threads of this machine's processors.
impl MakeEngine for Threads {
    fn threads(&self) -> Threads {
        *self
    }

    fn make(&self, lattice: VolumeLattice) -> Box<dyn VolumeEngine> {
        Box::new(ProcessorEngine {
            lattice,
            threads: *self,
            samples: None,
        })
    }
}

/// The lattice itself.
struct ProcessorEngine {
    lattice: VolumeLattice,
    threads: Threads,
    samples: Option<Samples>,
}

/// Means of the fields, and sums of the force on each wall cell: up to the last time that early samples were forgotten, and since then.
struct Samples {
    means: VolumeMeans,
    wall_cells: WallCells,
    forces: [Vec<[f64; 3]>; 2],
}

impl ProcessorEngine {
    /// Where samples go; nobody collects before there is room.
    fn samples(&mut self) -> (&mut VolumeLattice, &mut Samples) {
        let samples = self.samples.as_mut();
        (&mut self.lattice, samples.expect("begin_to_collect first"))
    }
}

impl VolumeEngine for ProcessorEngine {
    fn step_pairs(&mut self, pairs: usize) {
        self.lattice.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.lattice.step_count()
    }

    fn extent(&self) -> Extent {
        self.lattice.extent()
    }

    fn fluid_cell_count(&self) -> usize {
        self.lattice.fluid_cell_count()
    }

    fn plane_sums(&self, columns: Range<usize>, stride: usize) -> PlaneSums {
        let extent = self.lattice.extent();
        let mut sums = PlaneSums::default();
        for z in 0..extent.nz {
            for y in 0..extent.ny {
                for x in columns.clone().step_by(stride) {
                    let state = self.lattice.cell(x, y, z);
                    let [u, v, w] = state.velocity.map(f64::from);
                    sums.momentum_flux += f64::from(state.density) / 3.0 + u * u;
                    sums.velocity += u;
                    sums.transverse[0] += u * v;
                    sums.transverse[1] += u * w;
                    sums.count += 1.0;
                }
            }
        }
        sums
    }

    fn wall_force(&self) -> [f64; 3] {
        self.lattice.wall_force().body
    }

    fn mean_density(&self) -> f64 {
        self.lattice.total_mass() / self.lattice.fluid_cell_count() as f64
    }

    fn instant(&self) -> VolumeFields {
        VolumeFields::instant(&self.lattice, self.threads)
    }

    fn begin_to_collect(&mut self) {
        let wall_cells = WallCells::find(&self.lattice);
        let none = vec![[0.0; 3]; wall_cells.len()];
        self.samples = Some(Samples {
            means: VolumeMeans::new(&self.lattice, self.threads),
            wall_cells,
            forces: [none.clone(), none],
        });
    }

    fn collect(&mut self) {
        let (lattice, samples) = self.samples();
        samples
            .wall_cells
            .add_force_of_two_steps(lattice, &mut samples.forces[1]);
        samples.means.add(lattice);
    }

    fn forget_early(&mut self) {
        let (_, samples) = self.samples();
        samples.forces.swap(0, 1);
        samples.forces[1].fill([0.0; 3]);
        samples.means.forget_early_samples();
    }

    fn collected(mut self: Box<Self>) -> Collected {
        let samples = self.samples.take().expect("begin_to_collect first");
        let [mut forces, newer] = samples.forces;
        for (sum, part) in forces
            .as_flattened_mut()
            .iter_mut()
            .zip(newer.as_flattened())
        {
            *sum += part;
        }
        let count = f64::from(samples.means.sample_count());
        Collected {
            wall_load: samples.wall_cells.load(&forces, count),
            mean: samples.means.into_fields(&self.lattice),
        }
    }

    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.lattice.save(out)?;
        let Some(samples) = &self.samples else {
            return Ok(());
        };
        samples.means.save(out)?;
        for forces in &samples.forces {
            put_list(out, forces.as_flattened())?;
        }
        Ok(())
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.lattice.restore(from)?;
        let Some(samples) = &mut self.samples else {
            return Ok(());
        };
        samples.means.restore(from)?;
        for forces in &mut samples.forces {
            take_list(from, forces.as_flattened_mut())?;
        }
        Ok(())
    }
}
