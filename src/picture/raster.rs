//! From cells to pixels: what of a field each pixel of the plot shows.

use crate::picture::{Crop, FieldPicture, PlotArea, Wall};

/// What a pixel shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pixel {
    /// Share of the pixel that is solid, 0 to 1.
    pub(super) solid: f32,
    /// Mean of the field over its air; NaN without air or without a finite value.
    pub(super) value: f32,
}

/// What a point of the field is.
enum Place {
    Solid,
    Air(f32),
}

/// Samples along each side of a pixel that walls pass through: their edges come out in 17 shades.
const EDGE_SAMPLES: usize = 4;

/// Whether air and solid meet near a pixel, and there how much of each cell is solid where no wall is drawn.
#[derive(Clone, Copy)]
enum Edge<'a> {
    Near(Option<&'a [f64]>),
    Far,
}

/// Weights of a cell and its neighbours where the steps of cells are made smooth: binomial, a standard deviation of one cell.
const SMOOTHING: [f64; 5] = [0.0625, 0.25, 0.375, 0.25, 0.0625];

/// How far on its own side of one half a cell stays: its middle is never told wrong, and a rib or gap of one cell keeps three quarters of its width.
const OWN_SIDE: f64 = 0.15;

/// How much of each cell is solid, by its neighbours too: the line at one half runs along straight walls as they are and without steps along others.
fn smooth_solid(picture: &FieldPicture) -> Vec<f64> {
    let [nx, ny] = picture.dimensions;
    let near =
        |place: usize, tap: usize, count: usize| (place + tap).saturating_sub(2).min(count - 1);
    let cells = || (0..ny).flat_map(|row| (0..nx).map(move |column| (column, row)));
    let taps = || SMOOTHING.iter().enumerate();
    let mark = |cell: usize| f64::from(u8::from(picture.solid[cell] != 0));
    let along: Vec<f64> = cells()
        .map(|(column, row)| {
            let parts = taps().map(|(tap, weight)| weight * mark(near(column, tap, nx) + nx * row));
            parts.sum()
        })
        .collect();
    cells()
        .map(|(column, row)| {
            let parts =
                taps().map(|(tap, weight)| weight * along[column + nx * near(row, tap, ny)]);
            let part: f64 = parts.sum();
            if picture.solid[column + nx * row] != 0 {
                part.max(0.5 + OWN_SIDE)
            } else {
                part.min(0.5 - OWN_SIDE)
            }
        })
        .collect()
}

/// The pixels of the plot, row by row from the top.
pub(super) fn rasterise(picture: &FieldPicture, area: &PlotArea) -> Vec<Pixel> {
    let pixels_per_cell = area.pixels_per_mm * picture.cell_mm;
    // Enough samples that no cell falls between them, as far as that stays quick.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 2 to 8"
    )]
    let samples = (1.5 / pixels_per_cell).ceil().clamp(2.0, 8.0) as usize;
    let smooth = picture.wall.is_none().then(|| smooth_solid(picture));
    let mut pixels = Vec::with_capacity(area.width * area.height);
    for row in 0..area.height {
        for column in 0..area.width {
            let middle = at(area, [column as f64 + 0.5, row as f64 + 0.5]);
            let is_edge = is_near_wall(picture, middle, 1.0 + 0.5 / pixels_per_cell);
            let samples = if is_edge {
                samples.max(EDGE_SAMPLES)
            } else {
                samples
            };
            let edge = if is_edge {
                Edge::Near(smooth.as_deref())
            } else {
                Edge::Far
            };
            pixels.push(pixel(picture, area, [column, row], samples, edge));
        }
    }
    pixels
}

/// The place x, y, mm, at so many pixels from the left and from the top of the plot.
fn at(area: &PlotArea, [across, down]: [f64; 2]) -> [f64; 2] {
    [
        area.x_low_mm + across / area.pixels_per_mm,
        area.y_high_mm - down / area.pixels_per_mm,
    ]
}

fn pixel(
    picture: &FieldPicture,
    area: &PlotArea,
    [column, row]: [usize; 2],
    samples: usize,
    edge: Edge<'_>,
) -> Pixel {
    let (mut solid, mut sum, mut count) = (0, 0.0_f64, 0);
    for sample in 0..samples * samples {
        let part = |number: usize| (number as f64 + 0.5) / samples as f64;
        let across = column as f64 + part(sample % samples);
        let down = row as f64 + part(sample / samples);
        match place(picture, at(area, [across, down]), edge) {
            Place::Solid => solid += 1,
            Place::Air(value) if value.is_finite() => {
                sum += f64::from(value);
                count += 1;
            }
            Place::Air(_) => {}
        }
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the mean of single-precision values is one"
    )]
    let value = if count == 0 {
        f32::NAN
    } else {
        (sum / f64::from(count)) as f32
    };
    let solid = solid as f32 / (samples * samples) as f32;
    Pixel { solid, value }
}

/// A place in cells from the lower left corner of the field.
fn in_cells(picture: &FieldPicture, [x_mm, y_mm]: [f64; 2]) -> [f64; 2] {
    let x = (x_mm - picture.origin_mm[0]) / picture.cell_mm;
    let y = (y_mm - picture.origin_mm[1]) / picture.cell_mm;
    [x, if picture.is_mirrored { y.abs() } else { y }]
}

/// Whether air and solid cells meet within so many cells of a place.
fn is_near_wall(picture: &FieldPicture, place: [f64; 2], cells: f64) -> bool {
    let [nx, ny] = picture.dimensions;
    let [x, y] = in_cells(picture, place);
    let ends = |middle: f64, count: usize| {
        index((middle - cells).floor(), count)..=index((middle + cells).floor(), count)
    };
    let is_solid = |column: usize, row: usize| picture.solid[column + nx * row] != 0;
    let first = is_solid(index(x.floor(), nx), index(y.floor(), ny));
    ends(y, ny).any(|row| ends(x, nx).any(|column| is_solid(column, row) != first))
}

/// The field at a point: between the centres of air cells it is linear, and solid cells do not count. Near an edge the wall decides what is solid.
fn place(picture: &FieldPicture, at: [f64; 2], edge: Edge<'_>) -> Place {
    let [nx, ny] = picture.dimensions;
    let [x, y] = in_cells(picture, at);
    let (left, below) = ((x - 0.5).floor(), (y - 0.5).floor());
    let (right_share, above_share) = (x - 0.5 - left, y - 0.5 - below);
    let (mut sum, mut weight, mut part) = (0.0, 0.0, 0.0);
    for (column, share_x) in [(left, 1.0 - right_share), (left + 1.0, right_share)] {
        for (row, share_y) in [(below, 1.0 - above_share), (below + 1.0, above_share)] {
            let cell = index(column, nx) + nx * index(row, ny);
            let share = share_x * share_y;
            if let Edge::Near(Some(smooth)) = edge {
                part += share * smooth[cell];
            }
            if picture.solid[cell] == 0 && share > 0.0 {
                sum += share * f64::from(picture.values[cell]);
                weight += share;
            }
        }
    }
    let is_solid = match (edge, picture.wall) {
        (Edge::Near(_), Some(Wall(wall))) => {
            wall([at[0], picture.origin_mm[1] + y * picture.cell_mm])
        }
        (Edge::Near(Some(_)), None) => part > 0.5,
        _ => picture.solid[index(x.floor(), nx) + nx * index(y.floor(), ny)] != 0,
    };
    if is_solid {
        return Place::Solid;
    }
    if weight <= 0.0 {
        return Place::Air(nearest_air(picture, [x, y]));
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a mean of single-precision values is one"
    )]
    Place::Air((sum / weight) as f32)
}

/// The value of the air cell nearest to a place, within two cells; NaN without one.
fn nearest_air(picture: &FieldPicture, [x, y]: [f64; 2]) -> f32 {
    let [nx, ny] = picture.dimensions;
    let mut best = (f64::INFINITY, f32::NAN);
    for (across, up) in (-2..=2).flat_map(|up| (-2..=2).map(move |across| (across, up))) {
        let (column, row) = (x.floor() + f64::from(across), y.floor() + f64::from(up));
        let cell = index(column, nx) + nx * index(row, ny);
        let far = (column + 0.5 - x).hypot(row + 0.5 - y);
        if picture.solid[cell] == 0 && far < best.0 {
            best = (far, picture.values[cell]);
        }
    }
    best.1
}

/// A cell number inside 0 to `count` - 1; beyond an edge the cell at the edge.
fn index(cell: f64, count: usize) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the cells that there are"
    )]
    {
        cell.clamp(0.0, (count - 1) as f64) as usize
    }
}

/// How strongly the line at zero covers each pixel, 0 to 1: about two pixels wide and smooth.
pub(super) fn zero_line(pixels: &[Pixel], width: usize) -> Vec<f32> {
    let height = pixels.len() / width;
    let mut line = vec![0.0; pixels.len()];
    for row in 1..height.saturating_sub(1) {
        for column in 1..width.saturating_sub(1) {
            let at = row * width + column;
            let value = |i: usize| pixels[i].value;
            let around = [at - 1, at + 1, at - width, at + width];
            let least = around.iter().map(|i| value(*i)).fold(value(at), f32::min);
            let most = around.iter().map(|i| value(*i)).fold(value(at), f32::max);
            if !value(at).is_finite() || least >= 0.0 || most <= 0.0 {
                continue;
            }
            let slope_x = (value(at + 1) - value(at - 1)) / 2.0;
            let slope_y = (value(at + width) - value(at - width)) / 2.0;
            let slope = slope_x.hypot(slope_y);
            if slope.is_finite() && slope > 0.0 {
                line[at] = (1.5 - value(at).abs() / slope).clamp(0.0, 1.0);
            }
        }
    }
    line
}

/// Width of the outline of the solid, pixels.
const OUTLINE: f32 = 2.0;

/// How strongly the outline covers the solid of a pixel, 0 to 1: it lies within the solid, along its edge.
pub(super) fn outline(pixels: &[Pixel], width: usize, at: usize) -> f32 {
    if pixels[at].solid <= 0.0 {
        return 0.0;
    }
    let (row, column) = (at / width, at % width);
    let height = pixels.len() / width;
    let rows = row.saturating_sub(3)..(row + 4).min(height);
    let mut cover = 0.0_f32;
    for y in rows {
        for x in column.saturating_sub(3)..(column + 4).min(width) {
            let air = 1.0 - pixels[y * width + x].solid;
            if air > 0.0 {
                // The edge lies so far within a pixel as this has air; measured straight across it.
                let off = (y.abs_diff(row) as f32).hypot(x.abs_diff(column) as f32);
                cover = cover.max((OUTLINE + air - off).clamp(0.0, 1.0));
            }
        }
    }
    cover
}

/// Whether the air between these ends of x and y flows both ways: has values above and below zero.
pub(super) fn has_both_signs(picture: &FieldPicture, crop: &Crop) -> bool {
    let (mut is_below, mut is_above) = (false, false);
    let [nx, ny] = picture.dimensions;
    let is_between = |centre: f64, ends: [f64; 2]| ends[0] <= centre && centre <= ends[1];
    for row in 0..ny {
        let y = picture.origin_mm[1] + (row as f64 + 0.5) * picture.cell_mm;
        let mirrored = 2.0 * picture.origin_mm[1] - y;
        let is_shown =
            is_between(y, crop.y_mm) || (picture.is_mirrored && is_between(mirrored, crop.y_mm));
        for column in 0..nx {
            let x = picture.origin_mm[0] + (column as f64 + 0.5) * picture.cell_mm;
            let cell = row * nx + column;
            if is_shown && is_between(x, crop.x_mm) && picture.solid[cell] == 0 {
                is_below |= picture.values[cell] < 0.0;
                is_above |= picture.values[cell] > 0.0;
            }
        }
    }
    is_below && is_above
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::FieldKind;

    /// A field of cells 1 mm wide, 40 along and 20 across, whose solid lies right of a wall that leans by one cell in five.
    fn leaning(solid: &[u8]) -> FieldPicture<'_> {
        FieldPicture {
            title: "",
            subtitle: "",
            quantity: "",
            kind: FieldKind::Speed,
            dimensions: [40, 20],
            values: &[1.0; 800],
            solid,
            wall: None,
            origin_mm: [0.0; 2],
            cell_mm: 1.0,
            is_mirrored: false,
            crop: None,
            range: None,
            x_label: "",
            y_label: "",
            zero_line: None,
            notes: &[],
        }
    }

    const AREA: PlotArea = PlotArea {
        left: 0,
        top: 0,
        width: 400,
        height: 200,
        x_low_mm: 0.0,
        y_high_mm: 20.0,
        pixels_per_mm: 10.0,
    };

    /// Pixels of air to the left of the wall in each row, less those that there are by the wall as drawn.
    fn off(pixels: &[Pixel]) -> Vec<f64> {
        let rows = pixels.chunks_exact(AREA.width).enumerate();
        rows.map(|(row, pixels)| {
            let air: f64 = pixels.iter().map(|p| 1.0 - f64::from(p.solid)).sum();
            let y = 20.0 - (row as f64 + 0.5) / 10.0;
            air - 10.0 * edge(y)
        })
        .collect()
    }

    fn edge(y: f64) -> f64 {
        20.3 + 0.2 * y
    }

    #[test]
    fn a_wall_is_drawn_where_it_is_and_not_in_the_steps_of_its_cells() {
        let cells = (0..20_u8).flat_map(|row| (0..40_u8).map(move |column| [column, row]));
        let cells = cells.map(|cell| cell.map(|c| f64::from(c) + 0.5));
        let solid: Vec<u8> = cells.map(|[x, y]| u8::from(x > edge(y))).collect();
        let wall = |[x, y]: [f64; 2]| x > edge(y);
        let stepped = leaning(&solid);
        let drawn = FieldPicture {
            wall: Some(Wall(&wall)),
            ..stepped
        };
        let worst = |picture| {
            let off = off(&rasterise(picture, &AREA));
            off.into_iter().map(f64::abs).fold(0.0, f64::max)
        };
        // Four samples to a pixel: an eighth of it.
        assert!(worst(&drawn) <= 0.126, "{}", worst(&drawn));
        // Half a cell is five pixels; the steps of the cells alone would be off by that.
        let smooth = worst(&stepped);
        assert!(smooth < 3.0, "{smooth}");
        let pixels = rasterise(&drawn, &AREA);
        assert!(
            pixels
                .iter()
                .all(|p| p.solid >= 1.0 || (p.value - 1.0).abs() < 1e-6)
        );
        let shades = pixels.iter().filter(|p| p.solid > 0.0 && p.solid < 1.0);
        assert!(shades.count() > 100, "the edge is smooth");
    }

    #[test]
    fn a_straight_wall_stays_where_its_cells_end_and_a_thin_rib_stays() {
        let of = |is_solid: fn(usize) -> bool| -> Vec<u8> {
            (0..800).map(|cell| u8::from(is_solid(cell % 40))).collect()
        };
        let solid_pixels = |solid: &[u8]| -> f64 {
            let pixels = rasterise(&leaning(solid), &AREA);
            let row = &pixels[100 * AREA.width..101 * AREA.width];
            row.iter().map(|pixel| f64::from(pixel.solid)).sum()
        };
        let wall = solid_pixels(&of(|column| column >= 21));
        assert!((wall - 190.0).abs() < 0.3, "{wall}");
        let rib = solid_pixels(&of(|column| column == 21));
        assert!((7.0..=10.0).contains(&rib), "{rib}");
    }

    #[test]
    fn the_outline_lies_within_the_solid_along_its_edge() {
        let pixel = |solid| Pixel { solid, value: 1.0 };
        // Five pixels of air, one half, ten of solid.
        let row: Vec<Pixel> = [vec![0.0; 5], vec![0.5], vec![1.0; 10]]
            .concat()
            .into_iter()
            .map(pixel)
            .collect();
        let cover: Vec<f32> = (0..16).map(|at| outline(&row, 16, at)).collect();
        let expected = [vec![0.0; 5], vec![1.0, 1.0, 0.5], vec![0.0; 8]].concat();
        for (cover, expected) in cover.iter().zip(&expected) {
            assert!((cover - expected).abs() < 1e-6, "{cover} for {expected}");
        }
    }
}
