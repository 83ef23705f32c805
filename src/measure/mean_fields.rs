//! Time means of density and velocity and of the velocity's fluctuation, cell by cell.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are kept in single precision; the sums behind them are not"
)]

use crate::lattice::simulation::PlaneLattice;
use crate::lattice::state::{not_fitting, put, put_list, take, take_list};
use ndarray::Array2;
use std::io::{self, Read, Write};

/// Sums over samples.
#[derive(Debug, Clone)]
struct Sums {
    count: u32,
    density: Array2<f64>,
    velocity: [Array2<f64>; 2],
    square: Array2<f64>,
}

/// Collects samples; forgets the early ones as the run grows longer, so that what remains covers at least its last third.
#[derive(Debug, Clone)]
pub struct MeanFields {
    older: Sums,
    newer: Sums,
}

/// Fields of a plane or axisymmetric lattice in lattice units, indexed `[y, x]`; walls hold zeros.
#[derive(Debug, Clone, PartialEq)]
pub struct Fields {
    /// Density deviation; a third of it is the pressure.
    pub density: Array2<f32>,
    /// Along x.
    pub axial: Array2<f32>,
    /// Along y, the radius in axisymmetric flow.
    pub across: Array2<f32>,
    /// Mean square of the velocity's fluctuation (both components); zero for a single instant.
    pub fluctuation: Array2<f32>,
    /// True in walls.
    pub is_solid: Array2<bool>,
}

impl Sums {
    fn zeros(shape: (usize, usize)) -> Self {
        Self {
            count: 0,
            density: Array2::zeros(shape),
            velocity: [Array2::zeros(shape), Array2::zeros(shape)],
            square: Array2::zeros(shape),
        }
    }

    fn arrays(&mut self) -> [&mut Array2<f64>; 4] {
        let [along, across] = &mut self.velocity;
        [&mut self.density, along, across, &mut self.square]
    }

    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        let [along, across] = &self.velocity;
        save_sums(
            self.count,
            [&self.density, along, across, &self.square],
            out,
        )
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.count = restore_sums(self.arrays(), from)?;
        Ok(())
    }

    fn add(&mut self, lattice: &PlaneLattice) {
        self.count = self.count.saturating_add(1);
        for y in 0..lattice.extent().ny {
            for run in lattice.fluid_runs(y) {
                for x in run.clone() {
                    let state = lattice.cell(x, y);
                    let [u, v] = state.velocity.map(f64::from);
                    self.density[[y, x]] += f64::from(state.density);
                    self.velocity[0][[y, x]] += u;
                    self.velocity[1][[y, x]] += v;
                    self.square[[y, x]] += u * u + v * v;
                }
            }
        }
    }
}

/// Writes sums of fields and of how many samples they are; nothing but the number where there is none.
pub(super) fn save_sums<const N: usize>(
    count: u32,
    sums: [&Array2<f64>; N],
    out: &mut dyn Write,
) -> io::Result<()> {
    put(out, u64::from(count))?;
    if count == 0 {
        return Ok(());
    }
    sums.iter().try_for_each(|sum| {
        // Sums stand in memory as they were made, row by row.
        put_list(out, sum.as_slice().unwrap_or_default())
    })
}

/// Reads them into arrays of the same shape and returns the number of samples.
pub(super) fn restore_sums<const N: usize>(
    sums: [&mut Array2<f64>; N],
    from: &mut dyn Read,
) -> io::Result<u32> {
    let count: u64 = take(from)?;
    let count = u32::try_from(count).map_err(|_| not_fitting("a count of samples is none"))?;
    for sum in sums {
        if count == 0 {
            sum.fill(0.0);
        } else {
            take_list(from, sum.as_slice_mut().unwrap_or_default())?;
        }
    }
    Ok(count)
}

impl MeanFields {
    /// Writes what was collected.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.older.save(out)?;
        self.newer.save(out)
    }

    /// Reads what the means of an equal lattice collected.
    ///
    /// # Errors
    /// What `from` gives; that it is too short or of another lattice.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.older.restore(from)?;
        self.newer.restore(from)
    }

    /// No samples yet.
    pub fn new(lattice: &PlaneLattice) -> Self {
        let shape = (lattice.extent().ny, lattice.extent().nx);
        Self {
            older: Sums::zeros(shape),
            newer: Sums::zeros(shape),
        }
    }

    /// Takes a sample.
    pub fn add(&mut self, lattice: &PlaneLattice) {
        self.older.add(lattice);
        self.newer.add(lattice);
    }

    /// Called when the run has grown by half: what was collected before the last call is dropped.
    pub fn forget_early_samples(&mut self) {
        let shape = self.newer.density.dim();
        self.older = std::mem::replace(&mut self.newer, Sums::zeros(shape));
    }

    /// Number of samples behind the means.
    pub fn sample_count(&self) -> u32 {
        self.older.count
    }

    /// The means.
    pub fn fields(&self, lattice: &PlaneLattice) -> Fields {
        let sums = &self.older;
        let scale = 1.0 / f64::from(sums.count.max(1));
        let mean = |sum: &Array2<f64>| sum.mapv(|v| (v * scale) as f32);
        let mut fluctuation = Array2::zeros(sums.square.dim());
        ndarray::Zip::from(&mut fluctuation)
            .and(&sums.square)
            .and(&sums.velocity[0])
            .and(&sums.velocity[1])
            .for_each(|f: &mut f32, &square, &u, &v| {
                let (u, v) = (u * scale, v * scale);
                *f = (square * scale - u * u - v * v).max(0.0) as f32;
            });
        Fields {
            density: mean(&sums.density),
            axial: mean(&sums.velocity[0]),
            across: mean(&sums.velocity[1]),
            fluctuation,
            is_solid: solid_mask(lattice),
        }
    }
}

/// The fields at this instant.
pub fn instant(lattice: &PlaneLattice) -> Fields {
    let mut once = MeanFields::new(lattice);
    once.add(lattice);
    let mut fields = once.fields(lattice);
    fields.fluctuation.fill(0.0);
    fields
}

fn solid_mask(lattice: &PlaneLattice) -> Array2<bool> {
    let mut mask = Array2::from_elem((lattice.extent().ny, lattice.extent().nx), true);
    for y in 0..lattice.extent().ny {
        for run in lattice.fluid_runs(y) {
            for x in run.clone() {
                mask[[y, x]] = false;
            }
        }
    }
    mask
}
