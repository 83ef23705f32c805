//! The picture of a repeat: the flow along a hole, and across the jets behind the plate.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places become numbers of cells, fields are single precision"
)]

use std::io::Write;

use crate::fields::SolvedRepeat;
use crate::picture::{
    Crop, FLOW_TO_THE_RIGHT, FieldKind, FieldPicture, Panel, PictureError, Wall, colour_limits,
    field_pictures,
};
use crate::tunnel::repeat::Solid;
use crate::units::LatticeVelocity;

/// How far behind the plate the jets are cut, in pitches.
const CUT_BEHIND: f64 = 1.0;

/// A flat cut through the mean flow: axial velocity as a multiple of the face velocity, and the solid.
struct Cut {
    dimensions: [usize; 2],
    values: Vec<f32>,
    solid: Vec<u8>,
}

/// Writes the picture of the mean flow as a PNG: along the flow through the middle of the first hole, and across it one pitch behind the plate.
///
/// `solid` tells where the plate as drawn is, `title` names the grille; `averaging_time` in s. Both cuts are shown once around the first hole, with the same colours.
///
/// # Errors
/// [`PictureError`]: a failing `out`, or a flow without a single finite value.
pub fn write_picture(
    solved: &SolvedRepeat<'_>,
    solid: Solid<'_>,
    title: &str,
    averaging_time: f64,
    out: impl Write,
) -> Result<(), PictureError> {
    let outcome = solved.outcome;
    let layout = &outcome.layout;
    let millimetres = 1e3 * solved.scale.cell;
    let pitch = layout.pitch * millimetres;
    let thickness = outcome.thickness * millimetres;
    let centre = hole_cell(solved);
    let behind = layout.front + outcome.thickness + CUT_BEHIND * layout.pitch;
    let column = cell_number(behind, layout.cells.nx);
    let along = cut_along(solved, centre);
    let across = cut_across(solved, centre, column);
    let range = range_of(&[&along, &across]);
    let subtitle = format!(
        "three-dimensional repeat, {} m/s ahead of the grille, K {:.2} on that speed, mean over {:.0} ms",
        rounded(
            solved
                .scale
                .velocity(LatticeVelocity(outcome.face_velocity))
                .0
        ),
        outcome
            .drive
            .loss_coefficient
            .map_or(f64::NAN, |mean| mean.mean),
        1e3 * averaging_time,
    );
    let behind_mm = CUT_BEHIND * pitch;
    let across_subtitle = format!(
        "the same flow cut across, {behind_mm:.1} mm (one pitch) behind the plate, seen against the flow"
    );
    // The cell with the axis is centred at zero.
    let low = |count: usize| -((count / 2) as f64 + 0.5) * millimetres;
    let (low_y, low_z) = (low(layout.cells.ny), low(layout.cells.nz));
    let zero_line = Some("white line: inside it air flows backwards");
    // The middle of a cell is a whole number, and the pattern goes on at the sides.
    let [middle, layer] = centre.map(|cell| cell as f64);
    let around = layout.cells.ny as f64;
    let wall = |[x, y]: [f64; 2]| {
        let (x, y) = (x / millimetres + layout.front, y / millimetres + middle);
        let y = (y + 0.5).rem_euclid(around) - 0.5;
        let is_between = (layout.front..=layout.front + outcome.thickness).contains(&x);
        is_between && solid(layout.place([x, y, layer]))
    };
    let first = FieldPicture {
        title,
        subtitle: &subtitle,
        quantity: "mean air speed along the flow, as a multiple of the speed ahead of the grille",
        kind: FieldKind::Speed,
        dimensions: along.dimensions,
        values: &along.values,
        solid: &along.solid,
        wall: Some(Wall(&wall)),
        origin_mm: [-(layout.front + 0.5) * millimetres, low_y],
        cell_mm: millimetres,
        is_mirrored: false,
        crop: Some(Crop {
            x_mm: [-0.6 * pitch, thickness + 2.4 * pitch],
            y_mm: [low_y, -low_y + millimetres],
        }),
        range,
        x_label: "along the flow, mm (0 = face that the air meets first)",
        y_label: "y from the axis of the hole, mm",
        zero_line,
        notes: &["A plane through the middle of one hole of an endless pattern."],
    };
    let second = FieldPicture {
        title: "Behind the plate",
        subtitle: &across_subtitle,
        dimensions: across.dimensions,
        values: &across.values,
        solid: &across.solid,
        wall: None,
        origin_mm: [low_y, low_z],
        crop: None,
        x_label: "y from the axis of the hole, mm",
        y_label: "z from the axis of the hole, mm",
        notes: &["One repeat of the pattern; it goes on alike to all sides."],
        ..first
    };
    let panels = [
        Panel {
            field: first,
            flow: FLOW_TO_THE_RIGHT,
        },
        Panel {
            field: second,
            flow: "air flow towards you",
        },
    ];
    field_pictures(&panels, out).map(|_| ())
}

/// A speed to three digits, without zeros behind.
fn rounded(speed: f64) -> f64 {
    let power = 10_f64.powf(2.0 - speed.abs().max(1e-9).log10().floor());
    (speed * power).round() / power
}

/// The cell at a place, kept inside.
fn cell_number(place: f64, count: usize) -> usize {
    place.round().clamp(0.0, count as f64 - 1.0) as usize
}

/// The cells along y and z at the axis of the first hole in the middle of the plate.
fn hole_cell(solved: &SolvedRepeat<'_>) -> [usize; 2] {
    let layout = &solved.outcome.layout;
    let per_diameter = layout.cells_across_hole;
    let thickness = solved.outcome.thickness / per_diameter;
    let [y, z] = solved
        .holes
        .first()
        .map_or([0.0; 2], |hole| hole.at(0.5 * thickness, thickness));
    let around =
        |place: f64, count: usize| (place - 0.5).round().rem_euclid(count as f64) as usize % count;
    [
        around(y * per_diameter + layout.shift[0], layout.cells.ny),
        around(
            z * per_diameter * layout.stretch + layout.shift[1],
            layout.cells.nz,
        ),
    ]
}

fn cut_along(solved: &SolvedRepeat<'_>, [middle, layer]: [usize; 2]) -> Cut {
    let cells = solved.outcome.layout.cells;
    cut(solved, [cells.nx, cells.ny], |x, row| {
        [
            x,
            (row + middle + cells.ny - cells.ny / 2) % cells.ny,
            layer,
        ]
    })
}

fn cut_across(solved: &SolvedRepeat<'_>, centre: [usize; 2], x: usize) -> Cut {
    let cells = solved.outcome.layout.cells;
    let rolled = |place: usize, axis: usize, count: usize| {
        (place + centre[axis] + count - count / 2) % count
    };
    // Seen against the flow, with z upwards, y points to the right.
    cut(solved, [cells.ny, cells.nz], |y, z| {
        [x, rolled(y, 0, cells.ny), rolled(z, 1, cells.nz)]
    })
}

fn cut(
    solved: &SolvedRepeat<'_>,
    dimensions: [usize; 2],
    place: impl Fn(usize, usize) -> [usize; 3],
) -> Cut {
    let mean = &solved.outcome.mean;
    let face_velocity = solved.outcome.face_velocity as f32;
    let cells: Vec<usize> = (0..dimensions[1])
        .flat_map(|row| (0..dimensions[0]).map(move |column| (column, row)))
        .map(|(column, row)| {
            let [x, y, z] = place(column, row);
            mean.index(x, y, z)
        })
        .collect();
    Cut {
        dimensions,
        values: cells
            .iter()
            .map(|&cell| mean.velocity[cell][0] / face_velocity)
            .collect(),
        solid: cells
            .iter()
            .map(|&cell| u8::from(mean.is_solid[cell]))
            .collect(),
    }
}

/// The ends of the colours for the air of all cuts.
fn range_of(cuts: &[&Cut]) -> Option<[f64; 2]> {
    let cells = cuts
        .iter()
        .flat_map(|cut| cut.values.iter().zip(&cut.solid));
    let air = cells.filter(|(_, solid)| **solid == 0);
    colour_limits(FieldKind::Speed, air.map(|(value, _)| f64::from(*value)))
}
