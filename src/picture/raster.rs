//! From cells to pixels: what of a field each pixel of the plot shows.

use crate::picture::{Crop, FieldPicture, PlotArea};

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
    let step = 1.0 / (area.pixels_per_mm * samples as f64);
    let mut pixels = Vec::with_capacity(area.width * area.height);
    for row in 0..area.height {
        for column in 0..area.width {
            let (mut solid, mut sum, mut count) = (0, 0.0_f64, 0);
            for sample in 0..samples * samples {
                let across = (column * samples + sample % samples) as f64 + 0.5;
                let down = (row * samples + sample / samples) as f64 + 0.5;
                let x = area.x_low_mm + across * step;
                let y = area.y_high_mm - down * step;
                match place(picture, x, y) {
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
            pixels.push(Pixel { solid, value });
        }
    }
    pixels
}

/// The field at a point: between the centres of air cells it is linear, and solid cells do not count.
fn place(picture: &FieldPicture, x_mm: f64, y_mm: f64) -> Place {
    let [nx, ny] = picture.dimensions;
    let x = (x_mm - picture.origin_mm[0]) / picture.cell_mm;
    let y = (y_mm - picture.origin_mm[1]) / picture.cell_mm;
    let y = if picture.is_mirrored { y.abs() } else { y };
    if picture.solid[index(x.floor(), nx) + nx * index(y.floor(), ny)] != 0 {
        return Place::Solid;
    }
    let (left, below) = ((x - 0.5).floor(), (y - 0.5).floor());
    let (right_share, above_share) = (x - 0.5 - left, y - 0.5 - below);
    let (mut sum, mut weight) = (0.0, 0.0);
    for (column, share_x) in [(left, 1.0 - right_share), (left + 1.0, right_share)] {
        for (row, share_y) in [(below, 1.0 - above_share), (below + 1.0, above_share)] {
            let cell = index(column, nx) + nx * index(row, ny);
            let share = share_x * share_y;
            if picture.solid[cell] == 0 && share > 0.0 {
                sum += share * f64::from(picture.values[cell]);
                weight += share;
            }
        }
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a mean of single-precision values is one"
    )]
    Place::Air((sum / weight) as f32)
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

/// Whether a pixel lies on the outline of the solid: on its inner side, two pixels wide.
pub(super) fn is_outline(pixels: &[Pixel], width: usize, at: usize) -> bool {
    let is_solid = |i: usize| pixels[i].solid >= 0.5;
    if !is_solid(at) {
        return false;
    }
    let (row, column) = (at / width, at % width);
    let height = pixels.len() / width;
    let rows = row.saturating_sub(2)..(row + 3).min(height);
    let columns = column.saturating_sub(2)..(column + 3).min(width);
    rows.into_iter()
        .any(|y| columns.clone().any(|x| !is_solid(y * width + x)))
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
