//! Flat cuts through fields that were kept: what further pictures and profiles are made of, without a solver.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places become numbers of cells, kept inside the field; fields are single precision"
)]

use crate::picture::Crop;
use crate::vtk::KeptImage;

/// How far behind the plate jets are cut, in pitches.
const BEHIND: f64 = 1.0;

/// What a kept field is a picture of, and how it is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeptView {
    /// Half a flat view above its axis or mirror plane.
    Flat,
    /// A three-dimensional repeat along the flow, through the middle of a hole.
    Along,
    /// A three-dimensional repeat across the flow, one pitch behind the plate, seen against the flow.
    Across,
    /// The upper half of a whole fan face.
    Face,
}

/// What of the flow is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Mean speed along the flow, over the speed ahead.
    Speed,
    /// Mean speed around the fan's axis, over the speed ahead.
    Swirl,
    /// Turbulence intensity.
    Turbulence,
    /// Mean pressure, Pa.
    Pressure,
    /// The Q criterion of the mean flow, 1/ms².
    Vortices,
    /// Vorticity of the mean flow along the flow, 1/ms.
    Turning,
}

impl Quantity {
    /// The array that holds it.
    pub fn array(self) -> &'static str {
        match self {
            Self::Speed | Self::Swirl => "velocity_m_per_s",
            Self::Turbulence => "turbulence_intensity",
            Self::Pressure => "pressure_pa",
            Self::Vortices => "q_criterion_per_s2",
            Self::Turning => "vorticity_per_s",
        }
    }
}

/// A cut, ready to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptCut {
    /// Cells to the right and upwards.
    pub dimensions: [usize; 2],
    /// A value per cell, the first direction fastest.
    pub values: Vec<f32>,
    /// 1 where there is solid (in a fan view, where the grille stands).
    pub solid: Vec<u8>,
    /// Lower left corner, mm.
    pub origin_mm: [f64; 2],
    /// Edge of a cell, mm.
    pub cell_mm: f64,
    /// Whether the lower edge is an axis or mirror plane.
    pub is_mirrored: bool,
    /// What of it is worth showing.
    pub crop: Option<Crop>,
}

impl KeptCut {
    /// Cuts a kept field; `face_velocity` in m/s. `None` where the file lacks the array, or the view has no such quantity.
    pub fn of(
        image: &KeptImage,
        view: KeptView,
        quantity: Quantity,
        face_velocity: f64,
    ) -> Option<Self> {
        let has_it = match quantity {
            Quantity::Swirl => view == KeptView::Face,
            // In the plane of a flat view nothing turns about the flow.
            Quantity::Turning => view != KeptView::Flat,
            _ => true,
        };
        if !has_it {
            return None;
        }
        let field = Field::of(image)?;
        let array = image.array(quantity.array())?;
        let (component, unit) = match quantity {
            Quantity::Speed => (0, face_velocity),
            Quantity::Swirl => (2, face_velocity),
            Quantity::Vortices => (0, 1e6),
            Quantity::Turning => (0, 1e3),
            _ => (0, 1.0),
        };
        if component >= array.components {
            return None;
        }
        let value = |cell: usize| {
            let value = array.values[cell * array.components + component];
            value / unit as f32
        };
        let [nx, ny, nz] = field.cells;
        let low = |count: usize| -((count / 2) as f64 + 0.5) * field.cell_mm;
        let height = ny as f64 * field.cell_mm;
        // From just ahead of the plate to where the jets have met.
        let near_plate = |y_mm: [f64; 2]| {
            let x_mm = [-0.6 * field.pitch_mm, field.rear_mm + 2.4 * field.pitch_mm];
            Some(Crop { x_mm, y_mm })
        };
        let (dimensions, origin_mm, crop) = match view {
            KeptView::Flat => {
                let crop = near_plate([-height, height]);
                ([nx, ny], [field.left_mm, 0.0], crop)
            }
            KeptView::Face => ([nx, ny], [field.left_mm, 0.0], None),
            KeptView::Along => {
                let crop = near_plate([low(ny), low(ny) + height]);
                ([nx, ny], [field.left_mm, low(ny)], crop)
            }
            KeptView::Across => ([ny, nz], [low(ny), low(nz)], None),
        };
        let [row, layer] = match view {
            KeptView::Along | KeptView::Across => field.hole(),
            KeptView::Flat | KeptView::Face => [0, 0],
        };
        let behind = field.column(field.rear_mm + BEHIND * field.pitch_mm);
        let cells: Vec<usize> = (0..dimensions[1])
            .flat_map(|up| (0..dimensions[0]).map(move |right| (right, up)))
            .map(|(right, up)| match view {
                KeptView::Flat | KeptView::Face => field.index([right, up, 0]),
                KeptView::Along => field.index([right, rolled(up, row, ny), layer]),
                KeptView::Across => {
                    field.index([behind, rolled(right, row, ny), rolled(up, layer, nz)])
                }
            })
            .collect();
        let zone = image
            .array("grille_zone")
            .filter(|_| view == KeptView::Face);
        let is_solid =
            |cell: usize| field.is_solid(cell) || zone.is_some_and(|zone| zone.values[cell] > 0.5);
        Some(Self {
            dimensions,
            values: cells.iter().map(|&cell| value(cell)).collect(),
            solid: cells.iter().map(|&cell| u8::from(is_solid(cell))).collect(),
            origin_mm,
            cell_mm: field.cell_mm,
            is_mirrored: matches!(view, KeptView::Flat | KeptView::Face),
            crop,
        })
    }
}

/// Axial velocity over `face_velocity` (m/s) one pitch behind the plate, cell by cell across a repeat: through the axis of its hole and to both sides of it.
pub fn profile_behind(image: &KeptImage, is_repeat: bool, face_velocity: f64) -> Option<Vec<f32>> {
    let field = Field::of(image)?;
    let velocity = image.array(Quantity::Speed.array())?;
    let x = field.column(field.rear_mm + BEHIND * field.pitch_mm);
    let ny = field.cells[1];
    let value = |y: usize, z: usize| {
        let cell = field.index([x, y, z]);
        velocity.values[cell * velocity.components] / face_velocity as f32
    };
    Some(if is_repeat {
        let [row, layer] = field.hole();
        (0..ny).map(|y| value(rolled(y, row, ny), layer)).collect()
    } else {
        let rows = (0..ny).rev().chain(0..ny);
        rows.map(|y| value(y, 0)).collect()
    })
}

/// The cell so far from the middle of a periodic row of `count` cells whose middle is `centre`.
fn rolled(place: usize, centre: usize, count: usize) -> usize {
    (place + centre + count - count / 2) % count
}

/// A kept field with what its solid says of the plate.
struct Field<'a> {
    cells: [usize; 3],
    cell_mm: f64,
    left_mm: f64,
    /// Rear face of the plate, mm; 0 without a plate.
    rear_mm: f64,
    pitch_mm: f64,
    solid: &'a [f32],
}

impl<'a> Field<'a> {
    fn of(image: &'a KeptImage) -> Option<Self> {
        let cells = image.grid.dimensions;
        let cell_mm = 1e3 * image.grid.spacing[0];
        let left_mm = 1e3 * image.grid.origin[0];
        let solid = &image.array("solid")?.values;
        if solid.len() != image.grid.cell_count() {
            return None;
        }
        let is_in_plate = |x: &usize| {
            solid
                .iter()
                .skip(*x)
                .step_by(cells[0])
                .any(|mark| *mark > 0.5)
        };
        let rear = (0..cells[0]).rev().find(is_in_plate);
        let rear_mm = rear.map_or(0.0, |x| left_mm + (x + 1) as f64 * cell_mm);
        let across = if cells[2] == 1 {
            2 * cells[1]
        } else {
            cells[1].min(cells[2])
        };
        let pitch_mm = image.number("pitch_mm").filter(|pitch| *pitch > 0.0);
        Some(Self {
            cells,
            cell_mm,
            left_mm,
            rear_mm,
            pitch_mm: pitch_mm.unwrap_or(across as f64 * cell_mm),
            solid,
        })
    }

    fn index(&self, [x, y, z]: [usize; 3]) -> usize {
        (z * self.cells[1] + y) * self.cells[0] + x
    }

    fn is_solid(&self, cell: usize) -> bool {
        self.solid[cell] > 0.5
    }

    /// The column at a place along the flow, kept inside.
    fn column(&self, x_mm: f64) -> usize {
        let place = ((x_mm - self.left_mm) / self.cell_mm).floor();
        place.clamp(0.0, self.cells[0] as f64 - 1.0) as usize
    }

    /// The place in the middle of the plate that lies furthest from any wall, along y and z: the axis of a hole.
    fn hole(&self) -> [usize; 2] {
        let [_, ny, nz] = self.cells;
        let x = self.column(0.5 * self.rear_mm);
        let places = || (0..nz).flat_map(|z| (0..ny).map(move |y| [y, z]));
        let is_wall = |[y, z]: &[usize; 2]| self.is_solid(self.index([x, *y, *z]));
        // Only walls beside air can be the nearest.
        let walls: Vec<[usize; 2]> = places()
            .filter(is_wall)
            .filter(|&[y, z]| {
                let around = [
                    [(y + 1) % ny, z],
                    [(y + ny - 1) % ny, z],
                    [y, (z + 1) % nz],
                    [y, (z + nz - 1) % nz],
                ];
                !around.iter().all(is_wall)
            })
            .collect();
        let apart = |a: usize, b: usize, count: usize| a.abs_diff(b).min(count - a.abs_diff(b));
        let room = |&[y, z]: &[usize; 2]| {
            let squares = walls.iter();
            let squares =
                squares.map(|wall| apart(y, wall[0], ny).pow(2) + apart(z, wall[1], nz).pow(2));
            squares.min().unwrap_or(0)
        };
        // Of equals the first, so that the same field gives the same picture.
        let air = places().filter(|place| !is_wall(place));
        let mut best = ([ny / 2, nz / 2], 0);
        for place in air {
            let room = room(&place);
            if room > best.1 {
                best = (place, room);
            }
        }
        best.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vtk::{ImageGrid, KeptArray};

    /// A plate 4 cells thick with a square hole of 6 cells about (y, z) = (2, 9) in a repeat of 12 x 14, so that it crosses a side of the repeat; the velocity says where a cell is.
    fn image() -> KeptImage {
        let cells = [40, 12, 14];
        let mut velocity = Vec::new();
        let mut solid = Vec::new();
        for z in 0..14_u8 {
            for y in 0..12_u8 {
                for x in 0..40_u8 {
                    let is_hole = ((y + 12 - 11) % 12 < 6) && (6..12).contains(&z);
                    solid.push(f32::from(u8::from((10..14).contains(&x) && !is_hole)));
                    let u = f32::from(x) + 100.0 * f32::from(y) + 10_000.0 * f32::from(z);
                    velocity.extend([2.0 * u, 0.0, 0.0]);
                }
            }
        }
        let array = |name: &str, components, values| KeptArray {
            name: name.to_owned(),
            components,
            values,
        };
        KeptImage {
            grid: ImageGrid {
                dimensions: cells,
                origin: [-0.005, -0.003, -0.0035],
                spacing: [0.000_5; 3],
            },
            numbers: vec![("pitch_mm".to_owned(), 6.0)],
            arrays: vec![
                array("velocity_m_per_s", 3, velocity),
                array("solid", 1, solid),
            ],
        }
    }

    #[test]
    fn a_repeat_is_cut_through_its_hole() {
        let image = image();
        let cut = KeptCut::of(&image, KeptView::Along, Quantity::Speed, 2.0).unwrap();
        assert_eq!(cut.dimensions, [40, 12]);
        // The hole reaches from y = 11 over the side to 4; its middle cell stands in the middle of the picture.
        let open: Vec<usize> = (0..12)
            .filter(|row| cut.solid[row * 40 + 12] == 0)
            .collect();
        assert_eq!(open, (4..10).collect::<Vec<usize>>());
        let middle = cut.values[6 * 40];
        assert!((middle % 10_000.0 - 100.0).abs() < 1e-3, "{middle}");
        let across = KeptCut::of(&image, KeptView::Across, Quantity::Speed, 2.0).unwrap();
        assert_eq!(across.dimensions, [12, 14]);
        assert!(across.solid.iter().all(|mark| *mark == 0));
        // The plate ends at 2 mm, one pitch behind is 8 mm, and the field begins at -5 mm: column 26.
        assert!((across.values[0] % 100.0 - 26.0).abs() < 1e-3);
        let profile = profile_behind(&image, true, 2.0).unwrap();
        assert_eq!(profile.len(), 12);
        assert!((profile[6] % 10_000.0 - 126.0).abs() < 1e-3);
    }

    #[test]
    fn what_turns_about_the_flow_is_the_first_component_per_millisecond() {
        let mut image = image();
        image.arrays[0].name = "vorticity_per_s".to_owned();
        let cut = KeptCut::of(&image, KeptView::Across, Quantity::Turning, 2.0).unwrap();
        // Column 26 of the row and layer that lie furthest from the hole's middle: velocities here are twice what they say of their cell.
        let cell = 1e3 * cut.values[0] / 2.0;
        assert!((cell % 100.0 - 26.0).abs() < 0.02, "{cell}");
        assert!(KeptCut::of(&image, KeptView::Flat, Quantity::Turning, 2.0).is_none());
    }

    #[test]
    fn what_is_not_there_is_not_drawn() {
        let image = image();
        for (view, quantity) in [
            (KeptView::Along, Quantity::Swirl),
            (KeptView::Along, Quantity::Turbulence),
            (KeptView::Across, Quantity::Turning),
        ] {
            assert!(KeptCut::of(&image, view, quantity, 1.0).is_none());
        }
    }
}
