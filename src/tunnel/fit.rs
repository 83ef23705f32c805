//! Lays a repeat on the grid so that the open area in cells is the real one.
//!
//! A cell is fluid or solid as a whole where the stream enters a hole, so what the flow finds open is the number of cells whose centres are free. Where straight edges run along the
//! grid that number jumps by whole rows: a square hole (free-area ratio 0.42, 24 cells) lay 8 % off, a triangle 2.5 %, and K, which goes with the square of the open area, twice as much. The size of a cell and the place of the
//! pattern between cells are free, and of those at hand the best is taken.

use crate::tunnel::RepeatDomain;
use crate::tunnel::repeat::Solid;

/// Depths at which cells are counted.
const SECTIONS: u32 = 7;

/// Numbers of cells across that are looked at, of those within a twelfth of the one asked for.
const SIZES: usize = 6;

/// Shifts per axis.
const SHIFTS: u32 = 4;

impl RepeatDomain {
    /// The same domain with the number of cells (within a twelfth of the one asked for) and the shift along y and z at which `solid` leaves the share of the cells open that it
    /// should, with the least stretching of the pattern.
    #[must_use]
    pub fn fitted(&self, solid: Solid<'_>) -> Self {
        let [width, height] = self.extent;
        let wanted = (self.cells_across_hole * width).max(4.0);
        let misfit = |ny: f64| {
            let exact = height / width * ny;
            0.3 * (exact.round().max(1.0) / exact - 1.0).abs() + 0.02 * (ny / wanted - 1.0).abs()
        };
        let mut sizes: Vec<f64> =
            std::iter::successors(Some((11.0 / 12.0 * wanted).ceil()), |n| Some(n + 1.0))
                .take_while(|&n| n <= 13.0 / 12.0 * wanted)
                .collect();
        if sizes.is_empty() {
            sizes.push(wanted.round());
        }
        sizes.sort_by(|a, b| misfit(*a).total_cmp(&misfit(*b)));
        sizes.truncate(SIZES);
        let candidates: Vec<(f64, Self)> = sizes
            .iter()
            .flat_map(|&ny| (0..SHIFTS * SHIFTS).map(move |place| (ny, place)))
            .map(|(ny, place)| {
                let part = |n: u32| f64::from(n) / f64::from(SHIFTS);
                let mut domain = *self;
                domain.cells_across_hole = ny / width;
                domain.shift[1] += part(place % SHIFTS);
                domain.shift[2] += part(place / SHIFTS);
                (misfit(ny), domain)
            })
            .collect();
        let best = candidates
            .iter()
            .map(|(misfit, domain)| (misfit + domain.area_error(solid), domain))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or(*self, |(_, domain)| *domain)
    }

    /// By how much the open share of the cells misses the free-area ratio, as a part of it: over the whole depth, and half as heavy where the stream enters and from depth to depth.
    fn area_error(&self, solid: Solid<'_>) -> f64 {
        let layout = self.layout();
        let per_cell = [
            1.0 / layout.cells_across_hole,
            1.0 / (layout.cells_across_hole * layout.stretch),
        ];
        let cells = (layout.cells.ny * layout.cells.nz) as f64;
        let errors: Vec<f64> = (0..SECTIONS)
            .map(|section| {
                let depth = (f64::from(section) + 0.5) / f64::from(SECTIONS) * self.thickness;
                let is_open = |row: usize| {
                    let (y, z) = (row % layout.cells.ny, row / layout.cells.ny);
                    let y = (y as f64 + 0.5 - layout.shift[0]) * per_cell[0];
                    let z = (z as f64 + 0.5 - layout.shift[1]) * per_cell[1];
                    !solid([depth, y, z])
                };
                let open = (0..layout.cells.ny * layout.cells.nz).filter(|&row| is_open(row));
                open.count() as f64 / cells / self.free_area_ratio - 1.0
            })
            .collect();
        let count = f64::from(SECTIONS);
        let mean = errors.iter().sum::<f64>() / count;
        let scatter = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / count).sqrt();
        mean.abs() + 0.5 * errors[0].abs() + 0.5 * scatter
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LatticeVelocity;

    /// A square hole of side 1 in a square repeat.
    fn square(cells: f64) -> (RepeatDomain, impl Fn([f64; 3]) -> bool + Sync) {
        let width = 1.54;
        let domain = RepeatDomain {
            extent: [width; 2],
            pitch: width,
            thickness: 0.8,
            free_area_ratio: width.powi(-2),
            reynolds_number: 100.0,
            inflow_tangents: [0.0; 2],
            cells_across_hole: cells,
            face_velocity: LatticeVelocity(0.03),
            pitches_ahead: 1.0,
            pitches_behind: 2.0,
            has_subgrid: false,
            shift: [0.0; 3],
            head_start: 0.0,
        };
        let solid = move |[_, y, z]: [f64; 3]| {
            [y, z]
                .into_iter()
                .any(|c| (c.rem_euclid(width) - 0.5 * width).abs() >= 0.5)
        };
        (domain, solid)
    }

    #[test]
    fn a_square_hole_gets_its_area_at_any_size_asked_for() {
        for cells in [12.5, 16.2, 20.0, 24.4, 33.0] {
            let (domain, solid) = square(cells);
            let fitted = domain.fitted(&solid);
            let layout = fitted.layout();
            let open = (0..layout.cells.ny * layout.cells.nz)
                .filter(|row| {
                    let (y, z) = (row % layout.cells.ny, row / layout.cells.ny);
                    let place =
                        |n: usize, shift: f64| (n as f64 + 0.5 - shift) / layout.cells_across_hole;
                    !solid([0.4, place(y, layout.shift[0]), place(z, layout.shift[1])])
                })
                .count();
            let share = open as f64 / (layout.cells.ny * layout.cells.nz) as f64;
            let error = share / fitted.free_area_ratio - 1.0;
            assert!(error.abs() < 0.012, "{cells}: {error}");
            assert!((fitted.cells_across_hole / cells - 1.0).abs() < 0.1);
        }
    }
}
