//! Fields of a repeat as image data.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are written in single precision"
)]

use std::io::Write;

use crate::fields::SolvedRepeat;
use crate::measure::volume_fields::VolumeFields;
use crate::measure::volume_gradient::{VelocityGradient, helicity};
use crate::units::{LatticePressure, LatticeVelocity};
use crate::vtk::{CellArray, ImageGrid, Note, VtkError, write_noted_image};

/// Writes the time means as XML image data (`mean.vti`), values per cell; `notes` hold for the whole field.
///
/// ```text
/// velocity_m_per_s       mean velocity, three components
/// pressure_pa            mean pressure, from that of resting air
/// turbulence_intensity   √(mean square of the fluctuation, mean of three components) ÷ speed ahead of the plate
/// vorticity_per_s        curl of the mean velocity, three components
/// helicity_m_per_s2      mean velocity times its vorticity: positive where the air screws forward by the right hand
/// q_criterion_per_s2     positive inside vortices of the mean flow
/// solid                  1 in walls, 0 in air
/// ```
///
/// # Errors
/// [`VtkError`]: a failing `out`, or a grid that the format cannot hold.
pub fn write_mean(
    solved: &SolvedRepeat<'_>,
    notes: &[Note],
    out: impl Write,
) -> Result<(), VtkError> {
    let arrays = arrays(solved, &solved.outcome.mean);
    write_noted_image(&grid(solved), arrays, notes, out)
}

/// Writes the last instant as XML image data (`last.vti`): the arrays of [`write_mean`] without the turbulence intensity, which an instant does not have.
///
/// # Errors
/// [`VtkError`]: a failing `out`, or a grid that the format cannot hold.
pub fn write_last(
    solved: &SolvedRepeat<'_>,
    notes: &[Note],
    out: impl Write,
) -> Result<(), VtkError> {
    let arrays = arrays(solved, &solved.outcome.last);
    write_noted_image(&grid(solved), arrays, notes, out)
}

fn grid(solved: &SolvedRepeat<'_>) -> ImageGrid {
    let cells = solved.outcome.layout.cells;
    ImageGrid {
        dimensions: [cells.nx, cells.ny, cells.nz],
        origin: solved.origin(),
        spacing: [solved.scale.cell; 3],
    }
}

fn arrays(solved: &SolvedRepeat<'_>, fields: &VolumeFields) -> Vec<CellArray> {
    let scale = &solved.scale;
    let speed = scale.velocity(LatticeVelocity(1.0)).0 as f32;
    let pascals = scale.pressure(LatticePressure(1.0 / 3.0)).0 as f32;
    let per_second = speed / scale.cell as f32;
    let face_velocity = solved.outcome.face_velocity as f32;
    let cell_count = fields.extent.cell_count();
    let mut vorticity = Vec::with_capacity(cell_count);
    let mut helicities = Vec::with_capacity(cell_count);
    let mut q_criterion = Vec::with_capacity(cell_count);
    for cell in 0..cell_count {
        let [nx, ny] = [fields.extent.nx, fields.extent.ny];
        let at = [cell % nx, cell / nx % ny, cell / nx / ny];
        let gradient = VelocityGradient::at(fields, at);
        let turning = gradient.vorticity();
        vorticity.push(turning.map(|w| w * per_second));
        helicities.push(helicity(fields.velocity[cell], turning) * speed * per_second);
        q_criterion.push(gradient.q_criterion() * per_second * per_second);
    }
    let velocity = fields.velocity.iter().map(|u| u.map(|u| u * speed));
    let pressure = fields.density.iter().map(|d| d * pascals);
    let solid = fields.is_solid.iter().map(|&s| u8::from(s));
    let mut arrays = vec![
        CellArray::Vector("velocity_m_per_s", velocity.collect()),
        CellArray::Scalar("pressure_pa", pressure.collect()),
    ];
    if let Some(variance) = &fields.variance {
        let intensity = variance
            .iter()
            .map(|v| ((v[0] + v[1] + v[2]) / 3.0).sqrt() / face_velocity);
        arrays.push(CellArray::Scalar(
            "turbulence_intensity",
            intensity.collect(),
        ));
    }
    arrays.extend([
        CellArray::Vector("vorticity_per_s", vorticity),
        CellArray::Scalar("helicity_m_per_s2", helicities),
        CellArray::Scalar("q_criterion_per_s2", q_criterion),
        CellArray::Mask("solid", solid.collect()),
    ]);
    arrays
}
