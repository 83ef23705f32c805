//! An instant of a film as files for an external viewer: how the air moves, and where the smoke is.
//!
//! Lengths in m, x along the flow from the face of the grille that the air meets first. In the fan view y is the radius and the third component of the velocity is the swirl; else y and z
//! are those of the repeat, from the middle of a hole.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are written in single precision"
)]

use std::io::Write;

use crate::run::film::record::Moment;
use crate::vtk::{
    CellArray, ImageGrid, Note, Points, TIME, VtkError, write_noted_image, write_points,
};

/// Writes the velocity of the air.
///
/// # Errors
/// [`VtkError`].
pub fn write_air(moment: &Moment<'_>, out: impl Write) -> Result<(), VtkError> {
    let Moment { cell, step, .. } = *moment;
    let speed = cell / step;
    let scaled = |velocity: &[f32; 3]| velocity.map(|u| (f64::from(u) * speed) as f32);
    let velocity = moment.air.velocity.iter().map(scaled).collect();
    let grid = ImageGrid {
        dimensions: moment.air.cells,
        origin: moment.origin.map(|place| -(place + 0.5) * cell),
        spacing: [cell; 3],
    };
    let arrays = vec![CellArray::Vector("velocity_m_per_s", velocity)];
    write_noted_image(&grid, arrays, &notes(moment), out)
}

/// Writes the particles of the smoke with their age and the number of their thread.
///
/// # Errors
/// [`VtkError`].
pub fn write_smoke(moment: &Moment<'_>, out: impl Write) -> Result<(), VtkError> {
    let Moment {
        cell,
        step,
        origin,
        particles,
        ..
    } = *moment;
    let place = |place: [f32; 3]| -> [f32; 3] {
        [0, 1, 2].map(|axis| ((f64::from(place[axis]) - origin[axis]) * cell) as f32)
    };
    let points = Points {
        places: particles.iter().map(|one| place(one.place)).collect(),
        values: vec![
            (
                "age_s",
                particles
                    .iter()
                    .map(|one| (f64::from(one.age) * step) as f32)
                    .collect(),
            ),
            (
                "thread",
                particles.iter().map(|one| f32::from(one.thread)).collect(),
            ),
        ],
    };
    write_points(points, &notes(moment), out)
}

/// Whose moment it is, and on which cells.
fn notes(moment: &Moment<'_>) -> [Note; 4] {
    let grid = "cells of the film's own lattice, nothing resampled";
    [
        Note::Text("grille", moment.grille.to_owned()),
        Note::Text("view", moment.view.to_owned()),
        Note::Text("grid", grid.to_owned()),
        Note::Number(TIME, moment.time),
    ]
}
