//! What a flat view leaves for the eye: fields for an external viewer, a picture.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are written in single precision"
)]

use std::io;

use crate::measure::drive::Outcome;
use crate::measure::flat_gradient::FlatFlow;
use crate::measure::mean_fields::Fields;
use crate::picture::{Crop, FieldKind, FieldPicture, Wall, field_picture};
use crate::report::run_files::RunRecord;
use crate::run::planned::Run;
use crate::run::views::files::notes;
use crate::run::views::flat::Flat;
use crate::store::{StoreError, StudyFolder, write_whole};
use crate::tunnel::View;
use crate::units::{LatticePressure, LatticeVelocity};
use crate::vtk::{CellArray, ImageGrid, Note, write_noted_image};

/// Writes fields and picture of a flat view.
pub(super) fn write(
    folder: &StudyFolder,
    run: &Run,
    flat: &Flat,
    outcome: &Outcome,
    record: &RunRecord,
) -> Result<(), StoreError> {
    let path = |name: &str| folder.run_file(&run.key, name);
    for (name, fields, is_mean) in [
        ("mean.vti", &outcome.mean, true),
        ("last.vti", &outcome.last, false),
    ] {
        let arrays = arrays(run, flat, fields, is_mean);
        let mut notes = notes(run, is_mean.then_some("2 components"));
        let pitch = outcome.layout.pitch * run.scale.cell;
        notes.push(Note::Number("pitch_mm", 1e3 * pitch));
        write_whole(&path(name), |out| {
            write_noted_image(&grid(run, outcome), arrays, &notes, out)
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

fn arrays(run: &Run, flat: &Flat, fields: &Fields, is_mean: bool) -> Vec<CellArray> {
    let speed = run.scale.velocity(LatticeVelocity(1.0)).0 as f32;
    let pascals = run.scale.pressure(LatticePressure(1.0 / 3.0)).0 as f32;
    let per_second = speed / run.scale.cell as f32;
    let velocity = fields
        .axial
        .iter()
        .zip(&fields.across)
        .map(|(u, v)| [u * speed, v * speed, 0.0]);
    let flow = FlatFlow::of_view(fields, flat.zone.view == View::Hole);
    let (vorticity, q_criterion) = flow
        .gradients()
        .map(|gradient| {
            let [.., out_of_plane] = gradient.vorticity();
            let q_criterion = gradient.q_criterion() * per_second * per_second;
            (out_of_plane * per_second, q_criterion)
        })
        .unzip();
    let mut arrays = vec![
        CellArray::Vector("velocity_m_per_s", velocity.collect()),
        CellArray::Scalar(
            "pressure_pa",
            fields.density.iter().map(|d| d * pascals).collect(),
        ),
        CellArray::Scalar("vorticity_per_s", vorticity),
        CellArray::Scalar("q_criterion_per_s2", q_criterion),
    ];
    if is_mean {
        // Two of three components are known; the third is taken as large as their mean.
        let face_velocity = run.face_velocity as f32;
        let fluctuation = fields.fluctuation.iter();
        let intensity = fluctuation.map(|f| (0.5 * f).sqrt() * speed / face_velocity);
        arrays.push(CellArray::Scalar(
            "turbulence_intensity",
            intensity.collect(),
        ));
    }
    arrays.push(CellArray::Mask(
        "solid",
        fields.is_solid.iter().map(|&s| u8::from(s)).collect(),
    ));
    arrays
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
    // The plate as drawn: the cells of the wall lie half in it.
    let wall =
        |[x, y]: [f64; 2]| section.is_plate(x / millimetres + section.front, y / millimetres);
    let picture = FieldPicture {
        title: &run.grille,
        subtitle: &subtitle,
        quantity: "mean air speed along the flow, as a multiple of the speed ahead of the grille",
        kind: FieldKind::Speed,
        dimensions: [section.cells_along, section.cells_across],
        values: &values,
        solid: &solid,
        wall: Some(Wall(&wall)),
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
