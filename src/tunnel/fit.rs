//! Lays a repeat on the grid so that the open area in cells is the real one.
//!
//! A cell is fluid or solid as a whole where the stream enters a hole, so what the flow finds open is the number of cells whose centres are free. Where straight edges run along the
//! grid that number jumps by whole rows: a square hole (free-area ratio 0.42, 24 cells) lay 8 % off, a triangle 2.5 %, and K, which goes with the square of the open area, twice as much. The size of a cell and the place of the
//! pattern between cells are free, and of those at hand the best is taken.

use crate::tunnel::RepeatDomain;
use crate::tunnel::opening::{Opening, Rows, centre};
use crate::tunnel::repeat::{RepeatLayout, Solid};

/// Depths at which cells are counted.
const SECTIONS: u32 = 7;

/// Numbers of cells across that are looked at, of those within a twelfth of the one asked for.
const SIZES: usize = 6;

/// Shifts per axis.
const SHIFTS: u32 = 4;

/// Tells the openings at a depth below the face that meets the flow first, all lengths in hydraulic diameters.
pub type OpeningsAt<'a> = &'a dyn Fn(f64) -> Vec<Opening>;

impl RepeatDomain {
    /// The same domain with the number of cells (within a twelfth of the one asked for) and the shift along y and z at which `solid` leaves the share of the cells open that it
    /// should, with the least stretching of the pattern.
    #[must_use]
    pub fn fitted(&self, solid: Solid<'_>) -> Self {
        self.fitted_by(&mut |layout, section| {
            let depth = self.depth_of(section);
            let (ny, nz) = (layout.cells.ny, layout.cells.nz);
            let is_open = |cell: &usize| {
                let [y, z] = centre(layout, cell % ny, cell / ny);
                !solid([depth, y, z])
            };
            (0..ny * nz).filter(is_open).count()
        })
    }

    /// The same where the outlines of the openings are known, which is many times as fast: `solid` is asked only where a wall passes within rounding of a cell's centre.
    #[must_use]
    pub fn fitted_to(&self, solid: Solid<'_>, openings: OpeningsAt<'_>) -> Self {
        let sections = (0..SECTIONS).map(|section| openings(self.depth_of(section)));
        let sections: Vec<Vec<Opening>> = sections.collect();
        let mut rows: Vec<Option<Rows>> = vec![None; sections.len()];
        self.fitted_by(&mut |layout, section| {
            let depth = self.depth_of(section);
            let is_open = |y: f64, z: f64| !solid([depth, y, z]);
            let (rows, openings) = (&mut rows[section as usize], &sections[section as usize]);
            // Shifts along the rows come one after another.
            let known = rows.take().filter(|rows| rows.are_those_of(layout));
            let known = known.unwrap_or_else(|| Rows::of(layout, self.extent[1], openings));
            rows.insert(known).open_cells(layout, &is_open)
        })
    }

    /// Depth of a section at which cells are counted.
    fn depth_of(&self, section: u32) -> f64 {
        (f64::from(section) + 0.5) / f64::from(SECTIONS) * self.thickness
    }

    /// The best of all sizes and shifts, of equal ones the first; `open_cells` counts the open cells of a section.
    ///
    /// Where the stream enters is looked at first, for all of them: what is missed there already tells which are not worth a second look.
    fn fitted_by(&self, open_cells: &mut OpenCells<'_>) -> Self {
        let candidates = self.candidates().into_iter().enumerate();
        let mut glanced: Vec<Glanced> = candidates
            .map(|(place, (misfit, domain))| {
                let entry = domain.missed_at(0, open_cells);
                Glanced {
                    place,
                    domain,
                    misfit,
                    entry,
                    // What is added to this is never negative, and rounding keeps order.
                    least: misfit + 0.5 * entry.abs(),
                }
            })
            .collect();
        glanced.sort_by(|a, b| a.least.total_cmp(&b.least));
        let mut best: Option<(f64, Glanced)> = None;
        for one in glanced {
            if best.is_some_and(|(error, _)| one.least > error) {
                break;
            }
            let error = one.misfit + one.domain.area_error(one.entry, open_cells);
            let is_better = best.is_none_or(|(least, known)| {
                error
                    .total_cmp(&least)
                    .then(one.place.cmp(&known.place))
                    .is_lt()
            });
            if is_better {
                best = Some((error, one));
            }
        }
        best.map_or(*self, |(_, one)| one.domain)
    }

    /// All sizes and shifts that are looked at, with what a size costs.
    fn candidates(&self) -> Vec<(f64, Self)> {
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
        sizes
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
            .collect()
    }

    /// By how much the open share of the cells of a section misses the free-area ratio, as a part of it.
    fn missed_at(&self, section: u32, open_cells: &mut OpenCells<'_>) -> f64 {
        let layout = self.layout();
        let cells = (layout.cells.ny * layout.cells.nz) as f64;
        open_cells(&layout, section) as f64 / cells / self.free_area_ratio - 1.0
    }

    /// The same over the whole depth, and half as heavy where the stream enters (`entry`) and from depth to depth.
    fn area_error(&self, entry: f64, open_cells: &mut OpenCells<'_>) -> f64 {
        let further = (1..SECTIONS).map(|section| self.missed_at(section, open_cells));
        let errors: Vec<f64> = std::iter::once(entry).chain(further).collect();
        let count = f64::from(SECTIONS);
        let mean = errors.iter().sum::<f64>() / count;
        let scatter = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / count).sqrt();
        mean.abs() + 0.5 * entry.abs() + 0.5 * scatter
    }
}

/// A size and shift of which only the section is known where the stream enters.
#[derive(Debug, Clone, Copy)]
struct Glanced {
    /// Among all that are looked at.
    place: usize,
    domain: RepeatDomain,
    misfit: f64,
    /// What is missed there.
    entry: f64,
    /// Least that all errors can come to.
    least: f64,
}

/// Counts the open cells of a section.
type OpenCells<'a> = dyn FnMut(&RepeatLayout, u32) -> usize + 'a;

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

    #[test]
    fn what_is_given_up_early_is_never_the_best() {
        // Sections that differ and sizes that fit badly: against all candidates to their end.
        for cells in [9.7, 12.5, 16.2, 24.4] {
            let (domain, solid) = square(cells);
            let leaning =
                move |[depth, y, z]: [f64; 3]| solid([depth, y - 0.37 * depth, z + 0.11 * depth]);
            let mut open_cells = |layout: &RepeatLayout, section: u32| {
                let depth = domain.depth_of(section);
                let (ny, nz) = (layout.cells.ny, layout.cells.nz);
                let cells = (0..nz).flat_map(|z| (0..ny).map(move |y| [y, z]));
                let places = cells.map(|[y, z]| centre(layout, y, z));
                places.filter(|&[y, z]| !leaning([depth, y, z])).count()
            };
            let all = domain.candidates().into_iter().map(|(misfit, candidate)| {
                let entry = candidate.missed_at(0, &mut open_cells);
                let error = misfit + candidate.area_error(entry, &mut open_cells);
                (error, candidate)
            });
            let (_, best) = all.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            assert_eq!(domain.fitted(&leaning), best, "{cells}");
        }
    }
}
