//! What a fan view leaves for the eye: fields for an external viewer, and a picture.

#![expect(
    clippy::cast_possible_truncation,
    reason = "fields are written in single precision"
)]

use std::io;

use ndarray::Array2;

use crate::measure::face::FaceOutcome;
use crate::measure::face_fields::SwirlFields;
use crate::measure::flat_gradient::FlatFlow;
use crate::measure::volume_gradient::helicity;
use crate::picture::{
    FLOW_TO_THE_RIGHT, FieldKind, FieldPicture, Panel, PictureError, field_pictures,
};
use crate::report::run_files::RunRecord;
use crate::run::planned::Run;
use crate::run::views::fan::{Face, Passages};
use crate::run::views::files::notes;
use crate::store::{StoreError, StudyFolder, write_whole};
use crate::units::{LatticePressure, LatticeVelocity};
use crate::vtk::{CellArray, ImageGrid, write_noted_image};

/// Writes `mean.vti`, `last.vti` and `picture.png` of a fan view.
pub(super) fn write(
    folder: &StudyFolder,
    run: &Run,
    face: &Face,
    outcome: &FaceOutcome,
    record: &RunRecord,
) -> Result<(), StoreError> {
    let path = |name: &str| folder.run_file(&run.key, name);
    for (name, fields, is_mean) in [
        ("mean.vti", &outcome.mean, true),
        ("last.vti", &outcome.last, false),
    ] {
        let arrays = arrays(run, face, outcome, fields, is_mean);
        let notes = notes(run, is_mean.then_some("3 components"));
        write_whole(&path(name), |out| {
            write_noted_image(&grid(run, outcome), arrays, &notes, out)
        })?;
    }
    write_whole(&path("picture.png"), |out| {
        picture(run, face, outcome, record, out).map_err(|error| Box::new(error) as Box<_>)
    })
}

/// x along the flow with its origin at the face of the grille that the air meets first (of the bare fan: where the bore ends), y from the axis.
fn grid(run: &Run, outcome: &FaceOutcome) -> ImageGrid {
    let cells = outcome.layout.cells;
    let cell = run.scale.cell;
    ImageGrid {
        dimensions: [cells.nx, cells.ny, 1],
        origin: [-(outcome.layout.front as f64) * cell, 0.0, 0.0],
        spacing: [cell; 3],
    }
}

/// In the half plane above the axis y points outwards, so z points about the axis: the third component of the velocity is the swirl, positive with the fan's rotation.
fn arrays(
    run: &Run,
    face: &Face,
    outcome: &FaceOutcome,
    fields: &SwirlFields,
    is_mean: bool,
) -> Vec<CellArray> {
    let speed = run.scale.velocity(LatticeVelocity(1.0)).0 as f32;
    let pascals = run.scale.pressure(LatticePressure(1.0 / 3.0)).0 as f32;
    let scaled = |field: &Array2<f32>, unit: f32| field.iter().map(|v| v * unit).collect();
    let along_and_across = fields.axial.iter().zip(&fields.radial);
    let velocity = along_and_across
        .zip(&fields.swirl)
        .map(|((u, v), w)| [u * speed, v * speed, w * speed]);
    let per_second = speed / run.scale.cell as f32;
    let (mut vorticity, mut helicities, mut q_criterion) = (Vec::new(), Vec::new(), Vec::new());
    for (gradient, velocity) in FlatFlow::of_face(fields).gradients().zip(velocity.clone()) {
        let turning = gradient.vorticity().map(|w| w * per_second);
        vorticity.push(turning);
        helicities.push(helicity(velocity, turning));
        q_criterion.push(gradient.q_criterion() * per_second * per_second);
    }
    let mut arrays = vec![
        CellArray::Vector("velocity_m_per_s", velocity.collect()),
        CellArray::Scalar("axial_velocity_m_per_s", scaled(&fields.axial, speed)),
        CellArray::Scalar("radial_velocity_m_per_s", scaled(&fields.radial, speed)),
        CellArray::Scalar("swirl_velocity_m_per_s", scaled(&fields.swirl, speed)),
        CellArray::Scalar("pressure_pa", scaled(&fields.density, pascals)),
        CellArray::Vector("vorticity_per_s", vorticity),
        CellArray::Scalar("helicity_m_per_s2", helicities),
        CellArray::Scalar("q_criterion_per_s2", q_criterion),
    ];
    if is_mean {
        let bore_velocity = run.face_velocity as f32;
        let intensity = fields.fluctuation.iter();
        arrays.push(CellArray::Scalar(
            "turbulence_intensity",
            intensity
                .map(|f| (f / 3.0).sqrt() * speed / bore_velocity)
                .collect(),
        ));
    }
    arrays.push(CellArray::Mask(
        "solid",
        fields.is_solid.iter().map(|&s| u8::from(s)).collect(),
    ));
    arrays.push(CellArray::Mask(
        "grille_zone",
        zone_cells(face, outcome).iter().copied().collect(),
    ));
    arrays
}

/// 1 in the cells in which the passages of the grille brake and turn the air.
fn zone_cells(face: &Face, outcome: &FaceOutcome) -> Array2<u8> {
    let layout = &outcome.layout;
    let bore = layout.bore as f64;
    Array2::from_shape_fn(outcome.mean.is_solid.dim(), |(y, x)| {
        let radius = (y as f64 + 0.5) / bore;
        let mut zones = face.grille.zones.iter();
        let is_zone = (layout.front..layout.rear).contains(&x)
            && zones.any(|zone| (zone.inner..zone.outer).contains(&radius));
        u8::from(is_zone)
    })
}

fn picture(
    run: &Run,
    face: &Face,
    outcome: &FaceOutcome,
    record: &RunRecord,
    out: &mut dyn io::Write,
) -> Result<(), PictureError> {
    let cells = outcome.layout.cells;
    let millimetres = 1e3 * run.scale.cell;
    let bore_velocity = outcome.face_velocity as f32;
    let multiples = |field: &Array2<f32>| -> Vec<f32> {
        field.iter().map(|value| value / bore_velocity).collect()
    };
    let (axial, swirl) = (
        multiples(&outcome.mean.axial),
        multiples(&outcome.mean.swirl),
    );
    // Walls and the grille hatched: what stands in the way. In slots between rings the zone only turns the air.
    let is_plate = face.passages == Passages::Zone;
    let zones = zone_cells(face, outcome);
    let solid: Vec<u8> = outcome
        .mean
        .is_solid
        .iter()
        .zip(&zones)
        .map(|(&is_solid, &zone)| u8::from(is_solid || (zone > 0 && is_plate)))
        .collect();
    let subtitle = format!(
        "{}: the whole fan face from the side, {} m/s mean in the bore, mean over {:.0} ms",
        run.view(),
        run.face_velocity,
        1e3 * record.averaging_time_s,
    );
    let passages = match face.passages {
        Passages::Bare => "No grille: the fan blows from the left out of its bore.",
        Passages::Zone => {
            "Hatched plate: the grille; its openings are too small for these cells, so it slows and turns the air as they would."
        }
        Passages::Ribs => {
            "Hatched: the rings of the grille, cut across; its radial bars are left out."
        }
        Passages::RingsForHoles => "Rings stand in for your holes: a trend.",
    };
    let trend = "A trend: the flow is the same all around the axis, so its vortices are rings that cannot break up as real ones do.";
    let first = FieldPicture {
        title: &run.grille,
        subtitle: &subtitle,
        quantity: "mean air speed along the axis, as a multiple of the mean speed in the bore",
        kind: FieldKind::Speed,
        dimensions: [cells.nx, cells.ny],
        values: &axial,
        solid: &solid,
        wall: None,
        origin_mm: [-(outcome.layout.front as f64) * millimetres, 0.0],
        cell_mm: millimetres,
        is_mirrored: true,
        crop: None,
        range: None,
        x_label: "along the axis, mm (0 = face of the grille that the air meets first)",
        y_label: "from the fan's axis, mm",
        zero_line: Some(
            "white line: where the air turns back; on its darker side it flows backwards",
        ),
        notes: &[passages],
    };
    let second = FieldPicture {
        title: "What turns",
        subtitle: "the same flow: how fast the air goes around the axis",
        quantity: "mean air speed around the axis with the fan's rotation, as a multiple of the mean speed in the bore",
        kind: FieldKind::Signed,
        values: &swirl,
        zero_line: None,
        notes: &["Both halves are the same.", trend],
        ..first
    };
    let panel = |field| Panel {
        field,
        flow: FLOW_TO_THE_RIGHT,
    };
    field_pictures(&[panel(first), panel(second)], out).map(|_| ())
}
