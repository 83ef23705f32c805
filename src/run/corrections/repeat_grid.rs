//! What the grid of a repeat may have done to its K.

use crate::measure::grid::{GridValue, grid_study};

/// Half-width of the grid's part of K at 24 cells across the hydraulic diameter, as a part of K, at a free-area ratio of 0.42 and at one of 0.60: straight holes.
///
/// From `tests/reference/heavy/repeat_grids.csv`: K of straight hexagons at 0.60, where ribs are thin and K is small, falls as 1.43 + 100 / cells² from 16 to 48 cells, so 24 cells hide 11 %. At 0.42
/// straight holes move by 1.2 % at most from 24 to 32 cells; what is left beyond, and between shapes, is judgement.
const STRAIGHT: (f64, f64) = (0.05, 0.11);

/// What turned holes add to it: at 0.60 hexagons turned by 30 degrees come down to 1.39, 13 % from 24 cells; at 0.42 they move by 1.7 % from 24 to 32 cells.
const TURNED: f64 = 0.02;

/// The free-area ratios of [`STRAIGHT`].
const FREE_AREA_RATIOS: (f64, f64) = (0.42, 0.60);

/// Order at which the half-width falls with the cell size: between the 1 of sharp corners and the 2 that the grids show.
const ORDER: f64 = 1.5;

/// Half-width of the grid's part of K on one grid, as a part of K.
pub fn one_grid_half_width(cells: f64, free_area_ratio: f64, is_turned: bool) -> f64 {
    let (closed, open) = FREE_AREA_RATIOS;
    let share = ((free_area_ratio - closed) / (open - closed)).clamp(0.0, 1.5);
    let at_24 =
        STRAIGHT.0 + share * (STRAIGHT.1 - STRAIGHT.0) + if is_turned { TURNED } else { 0.0 };
    at_24 * (24.0 / cells).powf(ORDER)
}

/// Half-width of the grid's part of the finest value, as a part of K: on one grid what is known of it, on several the study of these grids, but
/// never less than half of what is known of the finest. `grids` run from fine to coarse.
pub(in crate::run) fn grid_half_width(
    grids: &[GridValue],
    free_area_ratio: f64,
    is_turned: bool,
) -> f64 {
    let fine = grids[0];
    let known = one_grid_half_width(fine.cells, free_area_ratio, is_turned);
    if grids.len() < 2 {
        return known;
    }
    (grid_study(grids).half_width / fine.value).max(0.5 * known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finer_grids_are_trusted_more_and_turned_holes_less() {
        for is_turned in [false, true] {
            let widths = [12.0, 20.0, 24.0, 28.0, 32.0, 40.0, 48.0, 64.0]
                .map(|cells| one_grid_half_width(cells, 0.5, is_turned));
            assert!(
                widths.windows(2).all(|pair| pair[1] < pair[0]),
                "{widths:?}"
            );
        }
        for cells in [16.0, 24.0, 40.0, 64.0] {
            assert!(one_grid_half_width(cells, 0.5, true) > one_grid_half_width(cells, 0.5, false));
            assert!(one_grid_half_width(cells, 0.6, true) > one_grid_half_width(cells, 0.5, true));
        }
    }

    #[test]
    fn grids_that_agree_leave_half_of_what_one_of_them_hides() {
        let of = |values: &[f64]| {
            let cells = [40.0, 30.0, 22.0];
            let grids = cells.iter().zip(values);
            let grids: Vec<GridValue> = grids
                .map(|(&cells, &value)| GridValue { cells, value })
                .collect();
            grid_half_width(&grids, 0.42, false)
        };
        let known = one_grid_half_width(40.0, 0.42, false);
        assert!((of(&[5.0]) - known).abs() < 1e-12);
        assert!((of(&[5.0, 5.0, 5.0]) - 0.5 * known).abs() < 1e-12);
        // K that falls with the square of the cell size, 5 + 300 / cells²: the study finds that, and the finest grid is 3.6 % high.
        let falling = [40.0_f64, 30.0, 22.0].map(|cells| 5.0 + 300.0 / cells.powi(2));
        let found = of(&falling);
        assert!(found > 0.036 && found < 0.12, "{found}");
    }

    #[test]
    fn what_one_grid_hides_by_hand() {
        let is = |cells: f64, open: f64, is_turned: bool, expected: f64| {
            let seen = one_grid_half_width(cells, open, is_turned);
            assert!((seen - expected).abs() < 1e-12, "{seen} {expected}");
        };
        // 5 % at 24 cells and 0.42, 11 % at 0.60, the mean of both between, and half as far again beyond.
        is(24.0, 0.42, false, 0.05);
        is(24.0, 0.51, false, 0.08);
        is(24.0, 0.60, false, 0.11);
        is(24.0, 0.69, false, 0.14);
        is(24.0, 0.80, false, 0.14);
        is(24.0, 0.30, false, 0.05);
        is(24.0, 0.60, true, 0.13);
        // Four times as many cells hide an eighth.
        is(96.0, 0.60, true, 0.13 / 8.0);
    }

    #[test]
    fn several_grids_count_by_their_study_as_a_part_of_k() {
        // 5.0 and 5.4 on 40 and 20 cells: 1.25 · 0.4 / (2 - 1) = 0.5, a tenth of 5.
        let grids = [(40.0, 5.0), (20.0, 5.4)].map(|(cells, value)| GridValue { cells, value });
        assert!((grid_half_width(&grids, 0.42, false) - 0.1).abs() < 1e-12);
    }
}
