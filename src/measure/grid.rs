//! What a grid is worth: observed order, extrapolated value and the uncertainty that is left.

/// A value solved on a grid, and how fine that grid is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridValue {
    /// Cells across the characteristic length.
    pub cells: f64,
    /// The value.
    pub value: f64,
}

/// What two or three grids tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridStudy {
    /// Observed order; `None` with two grids, or when the values do not fall in order.
    pub order: Option<f64>,
    /// Value extrapolated to infinitely fine cells.
    pub extrapolated: f64,
    /// Half-width around the value of the finest grid, at about 95 %.
    pub half_width: f64,
}

/// Order taken where none can be observed: that of sharp corners.
pub const CORNER_ORDER: f64 = 1.0;

/// Safety factor of the grid convergence index with an observed order.
const SAFETY: f64 = 1.25;

/// The procedure of I. B. Celik, U. Ghia, P. J. Roache, C. J. Freitas et al., J. Fluids Eng. 130 (2008) 078001 (from memory): order from three
/// grids by fixed-point iteration, grid convergence index as half-width. With two grids, or three that oscillate, the order of sharp corners is taken.
///
/// `grids` from fine to coarse, at least one. With one grid nothing is known and the half-width is infinite.
pub fn grid_study(grids: &[GridValue]) -> GridStudy {
    let fine = grids[0];
    let Some(&middle) = grids.get(1) else {
        return GridStudy {
            order: None,
            extrapolated: fine.value,
            half_width: f64::INFINITY,
        };
    };
    let ratio = fine.cells / middle.cells;
    let order = grids
        .get(2)
        .and_then(|&coarse| observed_order(fine, middle, coarse));
    let used = order.unwrap_or(CORNER_ORDER).clamp(0.5, 2.0);
    let correction = (fine.value - middle.value) / (ratio.powf(used) - 1.0);
    GridStudy {
        order,
        extrapolated: fine.value + correction,
        half_width: SAFETY * correction.abs(),
    }
}

/// Order taken at smooth walls that the lattice meets at their true place.
pub const SMOOTH_ORDER: f64 = 2.0;

/// Two grids of a flow around smooth walls without sharp corners: extrapolated at second order.
///
/// K moves by some tenths of a per cent with the place of a wall between cells, so an order observed on three grids would mean little; the half-width is that of first order, which is three times as wide
/// where the finer grid has twice as many cells.
pub fn smooth_grid_study(fine: GridValue, coarse: GridValue) -> GridStudy {
    let (ratio, change) = (fine.cells / coarse.cells, fine.value - coarse.value);
    let correction = |order: f64| change / (ratio.powf(order) - 1.0);
    GridStudy {
        order: None,
        extrapolated: fine.value + correction(SMOOTH_ORDER),
        half_width: SAFETY * correction(CORNER_ORDER).abs(),
    }
}

fn observed_order(fine: GridValue, middle: GridValue, coarse: GridValue) -> Option<f64> {
    let (r21, r32) = (fine.cells / middle.cells, middle.cells / coarse.cells);
    let (e21, e32) = (middle.value - fine.value, coarse.value - middle.value);
    let quotient = e32 / e21;
    if !quotient.is_finite() || quotient <= 0.0 {
        return None;
    }
    let mut order = CORNER_ORDER;
    for _ in 0..100 {
        let q = ((r21.powf(order) - 1.0) / (r32.powf(order) - 1.0)).ln();
        let next = ((quotient.ln() + q) / r21.ln()).abs();
        if !next.is_finite() {
            return None;
        }
        if (next - order).abs() < 1e-10 {
            break;
        }
        order = 0.5 * (order + next);
    }
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn manufactured(order: f64, cells: [f64; 3]) -> Vec<GridValue> {
        cells
            .iter()
            .map(|&cells| GridValue {
                cells,
                value: 3.0 - 2.0 * cells.powf(-order),
            })
            .collect()
    }

    #[test]
    fn order_and_limit_of_manufactured_sequences_are_found_exactly() {
        for order in [0.8, 1.0, 1.5, 2.0] {
            for cells in [[48.0, 36.0, 24.0], [64.0, 32.0, 16.0], [50.0, 41.0, 30.0]] {
                let study = grid_study(&manufactured(order, cells));
                assert!(
                    (study.order.unwrap() - order).abs() < 1e-6,
                    "{:?} instead of {order}",
                    study.order
                );
                assert!((study.extrapolated - 3.0).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn the_convergence_index_is_exact_on_manufactured_sequences() {
        // Celik et al. (2008), equation for the fine-grid index: GCI = 1.25 e_a / (r^p - 1), with e_a the change over the fine value. Here the change is that of 3 - 2 h^p, in closed form;
        // refinement ratios equal and unequal, from below and from above the limit.
        for order in [0.6, 1.0, 1.4, 2.0] {
            for (cells, amplitude) in [
                ([48.0, 36.0, 24.0], -2.0),
                ([64.0, 32.0, 16.0], 2.0),
                ([50.0, 41.0, 30.0], -0.5),
                ([96.0_f64, 60.0, 44.0], 5.0),
            ] {
                let at = |cells: f64| 3.0 + amplitude * cells.powf(-order);
                let grids = cells.map(|cells| GridValue {
                    cells,
                    value: at(cells),
                });
                let study = grid_study(&grids);
                let ratio: f64 = cells[0] / cells[1];
                let relative_change = ((at(cells[0]) - at(cells[1])) / at(cells[0])).abs();
                let index = 1.25 * relative_change / (ratio.powf(order) - 1.0);
                let found = study.half_width / at(cells[0]).abs();
                assert!((study.order.unwrap() / order - 1.0).abs() < 1e-6);
                assert!((found / index - 1.0).abs() < 1e-5, "{found} {index}");
                // The index is 1.25 times the true error, whatever the order.
                let true_error = (at(cells[0]) - 3.0).abs();
                assert!((study.half_width / (1.25 * true_error) - 1.0).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn an_oscillating_sequence_has_no_order_but_a_width() {
        let grids = [48.0, 36.0, 24.0].map(|cells| GridValue {
            cells,
            value: if (cells - 36.0_f64).abs() < 0.5 {
                1.1
            } else {
                1.0
            },
        });
        let study = grid_study(&grids);
        assert_eq!(study.order, None);
        assert!((study.half_width - 1.25 * 0.1 / (48.0 / 36.0 - 1.0)).abs() < 1e-12);
    }

    #[test]
    fn two_grids_of_second_order_are_extrapolated_exactly() {
        let grids = manufactured(2.0, [40.0, 20.0, 10.0]);
        let study = smooth_grid_study(grids[0], grids[1]);
        assert!((study.extrapolated - 3.0).abs() < 1e-12);
        assert!(study.half_width > 3.0 * (study.extrapolated - grids[0].value).abs());
    }

    #[test]
    fn one_grid_tells_nothing_about_itself() {
        assert!(
            grid_study(&[GridValue {
                cells: 48.0,
                value: 2.0
            }])
            .half_width
            .is_infinite()
        );
    }
}
