//! What a run leaves in its folder: numbers, history, fields for an external viewer, a picture.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are written in single precision"
)]

use std::io;

use ndarray::Array2;

use crate::measure::drive::Outcome;
use crate::measure::mean_fields::Fields;
use crate::picture::{Crop, FieldPicture, field_picture};
use crate::report::run_files::{RunRecord, write_history, write_run};
use crate::run::planned::{Flat, Run, Subject};
use crate::run::solved::Solved;
use crate::run::{face_files, record, repeat_files};
use crate::store::{RUN_FILE, StoreError, StudyFolder, write_whole};
use crate::tunnel::View;
use crate::units::{LatticePressure, LatticeVelocity};
use crate::vtk::{CellArray, ImageGrid, write_image};

/// Names of the files that a finished run has beside `run.json`.
pub(super) fn names(run: &Run) -> &'static [&'static str] {
    const ALL: [&str; 6] = [
        "history.csv",
        "mean.vti",
        "last.vti",
        "picture.png",
        "plate.vtp",
        "swirl.csv",
    ];
    if run.is_repeat() { &ALL } else { &ALL[..4] }
}

/// Writes the folder of a run; `run.json` last, because its presence says that the run is finished.
pub(super) fn write(
    folder: &StudyFolder,
    run: &Run,
    solved: &Solved,
    record: &RunRecord,
) -> Result<(), StoreError> {
    folder.start_run(&run.key)?;
    let path = |name: &str| folder.run_file(&run.key, name);
    write_whole(&path("history.csv"), |out| {
        write_history(&record::history(run, solved.readings().history), out)
    })?;
    match (&run.subject, solved) {
        (Subject::Flat(flat), Solved::Flat(outcome)) => {
            write_flat(folder, run, flat, outcome, record)?;
        }
        (Subject::Repeat(repeat), Solved::Repeat(solved)) => {
            repeat_files::write(folder, run, repeat, &solved.outcome, record)?;
        }
        (Subject::Face(face), Solved::Face(outcome)) => {
            face_files::write(folder, run, face, outcome, record)?;
        }
        _ => debug_assert!(false, "what is solved is what was planned"),
    }
    write_whole(&path(RUN_FILE), |out| write_run(record, out))
}

/// Writes fields and picture of a flat view.
fn write_flat(
    folder: &StudyFolder,
    run: &Run,
    flat: &Flat,
    outcome: &Outcome,
    record: &RunRecord,
) -> Result<(), StoreError> {
    let path = |name: &str| folder.run_file(&run.key, name);
    for (name, fields) in [("mean.vti", &outcome.mean), ("last.vti", &outcome.last)] {
        write_whole(&path(name), |out| {
            write_image(&grid(run, outcome), &arrays(run, fields), out)
        })?;
    }
    write_whole(&path("picture.png"), |out| {
        picture(run, flat, outcome, record, out).map_err(|error| Box::new(error) as Box<_>)
    })
}

/// x along the flow with its origin at the front face, y from the axis (or mirror plane).
fn grid(run: &Run, outcome: &Outcome) -> ImageGrid {
    let section = outcome.layout.section;
    let cell = run.scale.cell;
    ImageGrid {
        dimensions: [section.cells_along, section.cells_across, 1],
        origin: [-(section.front + 0.5) * cell, 0.0, 0.0],
        spacing: [cell; 3],
    }
}

fn arrays(run: &Run, fields: &Fields) -> Vec<CellArray> {
    let speed = run.scale.velocity(LatticeVelocity(1.0)).0 as f32;
    let pascals = run.scale.pressure(LatticePressure(1.0 / 3.0)).0 as f32;
    let face_velocity = run.face_velocity as f32;
    let velocity = fields
        .axial
        .iter()
        .zip(&fields.across)
        .map(|(u, v)| [u * speed, v * speed, 0.0]);
    // Two of three components are known; the third is taken as large as their mean.
    let intensity = fields
        .fluctuation
        .iter()
        .map(|f| (0.5 * f).sqrt() * speed / face_velocity);
    vec![
        CellArray::Vector("velocity_m_per_s", velocity.collect()),
        CellArray::Scalar(
            "pressure_pa",
            fields.density.iter().map(|d| d * pascals).collect(),
        ),
        CellArray::Scalar(
            "vorticity_per_s",
            vorticity(fields)
                .iter()
                .map(|w| w * speed / run.scale.cell as f32)
                .collect(),
        ),
        CellArray::Scalar("turbulence_intensity", intensity.collect()),
        CellArray::Mask(
            "solid",
            fields.is_solid.iter().map(|&s| u8::from(s)).collect(),
        ),
    ]
}

/// Out-of-plane vorticity, velocity over cell, by central differences between neighbours in the air; zero in walls.
fn vorticity(fields: &Fields) -> Array2<f32> {
    let (ny, nx) = fields.axial.dim();
    Array2::from_shape_fn((ny, nx), |(y, x)| {
        if fields.is_solid[[y, x]] {
            return 0.0;
        }
        let slope = |field: &Array2<f32>, low: [usize; 2], high: [usize; 2]| {
            let usable = |at: [usize; 2]| if fields.is_solid[at] { [y, x] } else { at };
            let (low, high) = (usable(low), usable(high));
            let distance = (high[0] - low[0] + high[1] - low[1]).max(1) as f32;
            (field[high] - field[low]) / distance
        };
        let along = slope(
            &fields.across,
            [y, x.saturating_sub(1)],
            [y, (x + 1).min(nx - 1)],
        );
        let across = slope(
            &fields.axial,
            [y.saturating_sub(1), x],
            [(y + 1).min(ny - 1), x],
        );
        along - across
    })
}

fn picture(
    run: &Run,
    flat: &Flat,
    outcome: &Outcome,
    record: &RunRecord,
    out: &mut dyn io::Write,
) -> Result<(), crate::picture::PictureError> {
    let section = outcome.layout.section;
    let millimetres = 1e3 * run.scale.cell;
    let face_velocity = flat.domain.face_velocity.0 as f32;
    let values: Vec<f32> = outcome
        .mean
        .axial
        .iter()
        .map(|u| u / face_velocity)
        .collect();
    let solid: Vec<u8> = outcome.mean.is_solid.iter().map(|&s| u8::from(s)).collect();
    let pitch = outcome.layout.pitch * millimetres;
    let thickness = 1e3 * run.thickness;
    let (what, y_label, note) = match flat.zone.view {
        View::Hole => (
            "hole view",
            "from the axis of the hole, mm",
            "One hole as a straight round tube of the same effective width, in a round share of the face: a simplified view.",
        ),
        View::Slice => (
            "slice view",
            "from the middle of the slot, mm",
            "One straight slot between mirror planes, cut across: a simplified view.",
        ),
    };
    let subtitle = format!(
        "{what}, {} m/s ahead of the grille, K {:.2} on that speed, mean over {:.0} ms",
        run.face_velocity,
        record.summary.loss_coefficient.value,
        1e3 * record.averaging_time_s,
    );
    let picture = FieldPicture {
        title: &run.grille,
        subtitle: &subtitle,
        quantity: "mean air speed along the flow, as a multiple of the speed ahead of the grille",
        dimensions: [section.cells_along, section.cells_across],
        values: &values,
        solid: &solid,
        origin_mm: [-(section.front + 0.5) * millimetres, 0.0],
        cell_mm: millimetres,
        is_mirrored: true,
        crop: Some(Crop {
            x_mm: [-0.6 * pitch, thickness + 2.4 * pitch],
            y_mm: [-0.5 * pitch, 0.5 * pitch],
        }),
        range: None,
        x_label: "along the flow, mm (0 = face that the air meets first)",
        y_label,
        zero_line: Some("white line: inside it air flows backwards"),
        notes: &[note],
    };
    field_picture(&picture, out).map(|_| ())
}
