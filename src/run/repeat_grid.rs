//! What the grid of a repeat may have done to its K.

use crate::measure::grid::{GridValue, grid_study};
use crate::report::RunSummary;

/// Half-width of the grid's part, as a part of K, at a number of cells across the hydraulic diameter: straight holes met straight on.
///
/// Judgement, from runs of another three-dimensional code with good walls: within 3 % from 24 to 32 cells.
const STRAIGHT: &[(f64, f64)] = &[(24.0, 0.05), (32.0, 0.03)];

/// The same for holes that turn. Judgement, from the same runs: 3 to 8 % too high at 48 cells still.
const TURNED: &[(f64, f64)] = &[(24.0, 0.10), (32.0, 0.08), (48.0, 0.05)];

/// Half-width of the grid's part of K on one grid, as a part of K; beyond the grids that were looked at it falls with the cell size.
pub(super) fn one_grid_half_width(cells: f64, is_turned: bool) -> f64 {
    let known = if is_turned { TURNED } else { STRAIGHT };
    let (coarsest, finest) = (known[0], known[known.len() - 1]);
    if cells <= coarsest.0 {
        return coarsest.1 * coarsest.0 / cells;
    }
    if cells >= finest.0 {
        return finest.1 * finest.0 / cells;
    }
    known
        .windows(2)
        .find(|pair| cells <= pair[1].0)
        .map_or(finest.1, |pair| {
            let share = (cells - pair[0].0) / (pair[1].0 - pair[0].0);
            pair[0].1 + share * (pair[1].1 - pair[0].1)
        })
}

/// Half-width of the grid's part of the finest value, as a part of K: on one grid what is known of it, on several the study of these grids, but
/// never less than half of what is known of the finest. `values` are the runs from fine to coarse, and K of each.
pub(super) fn grid_half_width(values: &[(&RunSummary, f64)], is_turned: bool) -> f64 {
    let (fine, loss_coefficient) = values[0];
    let known = one_grid_half_width(fine.cells_across, is_turned);
    if values.len() < 2 {
        return known;
    }
    let grids: Vec<GridValue> = values
        .iter()
        .map(|(summary, value)| GridValue {
            cells: summary.cells_across,
            value: *value,
        })
        .collect();
    (grid_study(&grids).half_width / loss_coefficient).max(0.5 * known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finer_grids_are_trusted_more_and_turned_holes_less() {
        for is_turned in [false, true] {
            let widths = [12.0, 20.0, 24.0, 28.0, 32.0, 40.0, 48.0, 64.0]
                .map(|cells| one_grid_half_width(cells, is_turned));
            assert!(
                widths.windows(2).all(|pair| pair[1] < pair[0]),
                "{widths:?}"
            );
        }
        for cells in [16.0, 24.0, 40.0, 64.0] {
            assert!(one_grid_half_width(cells, true) > one_grid_half_width(cells, false));
        }
    }
}
