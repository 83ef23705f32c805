//! Time means of a flow that turns about its axis: cell by cell, and summed over planes across it.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are kept in single precision; the sums behind them are not"
)]

use crate::lattice::state::{put_list, take_list};
use crate::lattice::swirl::SwirlLattice;
use crate::measure::mean_fields::{restore_sums, save_sums};
use ndarray::Array2;
use std::io::{self, Read, Write};

/// Fields of an axisymmetric lattice with swirl in lattice units, indexed `[y, x]`, y being the radius; walls hold zeros.
#[derive(Debug, Clone, PartialEq)]
pub struct SwirlFields {
    /// Density deviation; a third of it is the pressure.
    pub density: Array2<f32>,
    /// Along x.
    pub axial: Array2<f32>,
    /// Away from the axis.
    pub radial: Array2<f32>,
    /// About the axis.
    pub swirl: Array2<f32>,
    /// Mean square of the velocity's fluctuation, all three components; zero for a single instant.
    /// An axisymmetric flow has no vortices along the stream and stretches none: a trend.
    pub fluctuation: Array2<f32>,
    /// True in walls.
    pub is_solid: Array2<bool>,
}

/// Sums over a plane across the axis, per radian about it, in lattice units.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct FacePlane {
    /// Area.
    pub area: f64,
    /// Pressure.
    pub pressure: f64,
    /// Axial velocity.
    pub flow: f64,
    /// Flux of axial momentum, without the pressure.
    pub axial: f64,
    /// Flux of pressure and kinetic energy of all three components.
    pub energy: f64,
    /// Flux of angular momentum, without the viscous share.
    pub angular: f64,
}

/// Sums over samples.
#[derive(Debug, Clone)]
struct Sums {
    count: u32,
    /// Density and the three velocities.
    means: [Array2<f64>; 4],
    square: Array2<f64>,
    /// Of every column: up to the bore's radius, and all of it.
    planes: Vec<[FacePlane; 2]>,
}

/// Collects samples; forgets the early ones as the run grows longer, so that what remains covers at least its last third.
#[derive(Debug, Clone)]
pub struct FaceMeans {
    bore: usize,
    older: Sums,
    newer: Sums,
}

impl FacePlane {
    /// Area mean of the pressure.
    pub fn mean_pressure(&self) -> f64 {
        self.pressure / self.area
    }

    /// Area mean of pressure plus axial momentum flux.
    pub fn momentum_flux(&self) -> f64 {
        (self.pressure + self.axial) / self.area
    }

    /// Flux-weighted total pressure.
    pub fn total_pressure(&self) -> f64 {
        self.energy / self.flow
    }

    /// Swirl number: flux of angular momentum over that of axial momentum (pressure not counted) and over `radius`.
    pub fn swirl_number(&self, radius: f64) -> f64 {
        self.angular / (radius * self.axial)
    }

    /// Sums over column `x` up to row `bore`, and over all of it. Whole cells are taken: where a wall cuts cells, the sums miss or count twice up to half a cell of the area.
    pub fn read(lattice: &SwirlLattice, x: usize, bore: usize) -> [Self; 2] {
        let mut planes = [Self::default(); 2];
        for y in 0..lattice.extent().ny {
            if y == bore {
                planes[0] = planes[1];
            }
            if lattice.fluid_runs(y).iter().any(|run| run.contains(&x)) {
                let state = lattice.cell(x, y);
                let velocity = state.velocity.map(f64::from);
                planes[1].add_cell(y as f64 + 0.5, f64::from(state.density), velocity);
            }
        }
        if lattice.extent().ny <= bore {
            planes[0] = planes[1];
        }
        planes
    }

    fn numbers(&self) -> [f64; 6] {
        let Self {
            area,
            pressure,
            flow,
            axial,
            energy,
            angular,
        } = *self;
        [area, pressure, flow, axial, energy, angular]
    }

    fn of_numbers([area, pressure, flow, axial, energy, angular]: [f64; 6]) -> Self {
        Self {
            area,
            pressure,
            flow,
            axial,
            energy,
            angular,
        }
    }

    fn add_cell(&mut self, radius: f64, density: f64, [u, v, swirl]: [f64; 3]) {
        let pressure = density / 3.0;
        self.area += radius;
        self.pressure += radius * pressure;
        self.flow += radius * u;
        self.axial += radius * u * u;
        self.energy += radius * u * (pressure + 0.5 * (u * u + v * v + swirl * swirl));
        self.angular += radius * radius * u * swirl;
    }

    /// Adds `share` of another.
    pub fn add(&mut self, other: &Self, share: f64) {
        self.area += share * other.area;
        self.pressure += share * other.pressure;
        self.flow += share * other.flow;
        self.axial += share * other.axial;
        self.energy += share * other.energy;
        self.angular += share * other.angular;
    }
}

impl Sums {
    fn zeros(shape: (usize, usize)) -> Self {
        Self {
            count: 0,
            means: std::array::from_fn(|_| Array2::zeros(shape)),
            square: Array2::zeros(shape),
            planes: vec![[FacePlane::default(); 2]; shape.1],
        }
    }

    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        let [density, axial, radial, swirl] = &self.means;
        let sums = [density, axial, radial, swirl, &self.square];
        save_sums(self.count, sums, out)?;
        let planes: Vec<f64> = self
            .planes
            .iter()
            .flatten()
            .flat_map(FacePlane::numbers)
            .collect();
        put_list(out, &planes)
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let [density, axial, radial, swirl] = &mut self.means;
        let sums = [density, axial, radial, swirl, &mut self.square];
        self.count = restore_sums(sums, from)?;
        let mut numbers = vec![[0.0; 6]; 2 * self.planes.len()];
        take_list(from, numbers.as_flattened_mut())?;
        for (plane, numbers) in self.planes.iter_mut().flatten().zip(numbers) {
            *plane = FacePlane::of_numbers(numbers);
        }
        Ok(())
    }

    fn add(&mut self, lattice: &SwirlLattice, bore: usize) {
        self.count = self.count.saturating_add(1);
        for y in 0..lattice.extent().ny {
            let radius = y as f64 + 0.5;
            for x in lattice.fluid_runs(y).iter().cloned().flatten() {
                let state = lattice.cell(x, y);
                let density = f64::from(state.density);
                let velocity = state.velocity.map(f64::from);
                let [u, v, swirl] = velocity;
                for (sum, value) in self.means.iter_mut().zip([density, u, v, swirl]) {
                    sum[[y, x]] += value;
                }
                self.square[[y, x]] += u * u + v * v + swirl * swirl;
                let [inner, all] = &mut self.planes[x];
                all.add_cell(radius, density, velocity);
                if y < bore {
                    inner.add_cell(radius, density, velocity);
                }
            }
        }
    }
}

impl FaceMeans {
    /// No samples yet; planes are summed up to row `bore` and over all rows.
    pub fn new(lattice: &SwirlLattice, bore: usize) -> Self {
        let shape = (lattice.extent().ny, lattice.extent().nx);
        Self {
            bore,
            older: Sums::zeros(shape),
            newer: Sums::zeros(shape),
        }
    }

    /// Takes a sample.
    pub fn add(&mut self, lattice: &SwirlLattice) {
        self.older.add(lattice, self.bore);
        self.newer.add(lattice, self.bore);
    }

    /// Called when the run has grown by half: what was collected before the last call is dropped.
    pub fn forget_early_samples(&mut self) {
        let shape = self.newer.square.dim();
        self.older = std::mem::replace(&mut self.newer, Sums::zeros(shape));
    }

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

    /// Number of samples behind the means.
    pub fn sample_count(&self) -> u32 {
        self.older.count
    }

    /// Mean sums of every column: up to the bore's radius, and all of it.
    pub fn planes(&self) -> Vec<[FacePlane; 2]> {
        let share = 1.0 / f64::from(self.older.count.max(1));
        let mean = |sum: FacePlane| {
            let mut mean = FacePlane::default();
            mean.add(&sum, share);
            mean
        };
        let planes = self.older.planes.iter();
        planes.map(|planes| planes.map(mean)).collect()
    }

    /// The mean fields.
    pub fn fields(&self, lattice: &SwirlLattice) -> SwirlFields {
        let sums = &self.older;
        let share = 1.0 / f64::from(sums.count.max(1));
        let mean = |sum: &Array2<f64>| sum.mapv(|v| (v * share) as f32);
        let [density, axial, radial, swirl] = &sums.means;
        let mut fluctuation = sums.square.mapv(|v| v * share);
        for sum in [axial, radial, swirl] {
            fluctuation.zip_mut_with(sum, |f, v| *f -= (v * share).powi(2));
        }
        let mut is_solid = Array2::from_elem(sums.square.dim(), true);
        for y in 0..lattice.extent().ny {
            for x in lattice.fluid_runs(y).iter().cloned().flatten() {
                is_solid[[y, x]] = false;
            }
        }
        SwirlFields {
            density: mean(density),
            axial: mean(axial),
            radial: mean(radial),
            swirl: mean(swirl),
            fluctuation: fluctuation.mapv(|v| v.max(0.0) as f32),
            is_solid,
        }
    }
}

/// The fields at this instant.
pub fn instant(lattice: &SwirlLattice) -> SwirlFields {
    let mut once = FaceMeans::new(lattice, lattice.extent().ny);
    once.add(lattice);
    let mut fields = once.fields(lattice);
    fields.fluctuation.fill(0.0);
    fields
}
