//! Loss of a row of slots between mirror planes, laminar.
//!
//! Source: independent finite-element solution, `tests/reference/fem/slots_planar.csv` (uncertainty 1e-4).
//! Tolerance: 1 % extrapolated from 24, 36 and 48 cells per slot; 2 % (t/w 1) and 3 % (t/w 0.25) raw at 48 cells: sharp corners make any uniform
//! grid converge at first order, so a raw value at 48 cells is about 1 % off.
//! Book-keeping: K by momentum and by force agree to 0.1 %.
//!
//! Errors seen at 24/36/48 cells: -2.4/-1.5/-1.1 % (t/w 0.25, Re 10) to -1.2/-0.9/-0.7 % (t/w 1, Re 100); extrapolated +0.0 to +0.9 %.
//!
//! Observed order: at least 0.9 is asserted at Re 10 (1.04 seen, 1.09 expected from the corner's singularity). At Re 50 and 100 the table's three grids show 0.4 to
//! 0.7: the error is a/N - b/N^2 there, and b, which grows with the Reynolds number of a cell, is still visible at 24 cells.
//! The extrapolation then overshoots, by less than the 1 % that is allowed.

use crate::common::assert_close;
use crate::common::table::Table;
use crate::common::views::{on_grid, sharp, steady};
use rayon::prelude::*;
use ventwright::measure::grid::{GridValue, grid_study};
use ventwright::tunnel::View;

const GRIDS: [f64; 3] = [48.0, 36.0, 24.0];

#[test]
fn slots_meet_the_finite_element_table() {
    let table = Table::read("fem/slots_planar.csv");
    let jobs: Vec<(usize, f64)> = (0..table.rows())
        .flat_map(|row| GRIDS.map(|cells| (row, cells)))
        .collect();
    let values: Vec<GridValue> = jobs
        .par_iter()
        .map(|&(row, cells)| {
            let domain = sharp(
                View::Slice,
                table.number(row, "phi"),
                table.number(row, "t_over_w"),
                table.number(row, "Re_w"),
            );
            let outcome = steady(&on_grid(domain, cells));
            let value = outcome.drive.loss_coefficient.unwrap().mean;
            assert_close(
                "K by force",
                outcome.drive.loss_coefficient_by_force,
                value,
                1e-3,
            );
            GridValue {
                cells: outcome.layout.cells_across_opening,
                value,
            }
        })
        .collect();
    for (row, grids) in values.chunks_exact(GRIDS.len()).enumerate() {
        let expected = table.number(row, "K_static");
        let thickness = table.number(row, "t_over_w");
        let study = grid_study(grids);
        let name = format!("slot t/w {thickness} Re {}", table.number(row, "Re_w"));
        println!(
            "{name}: 24/36/48 {:+.2}/{:+.2}/{:+.2} %, order {:.2}, extrapolated {:+.2} %",
            100.0 * (grids[2].value / expected - 1.0),
            100.0 * (grids[1].value / expected - 1.0),
            100.0 * (grids[0].value / expected - 1.0),
            study.order.unwrap_or(f64::NAN),
            100.0 * (study.extrapolated / expected - 1.0),
        );
        assert_close(&name, study.extrapolated, expected, 0.01);
        assert_close(
            &name,
            grids[0].value,
            expected,
            if thickness < 0.5 { 0.03 } else { 0.02 },
        );
        if table.number(row, "Re_w") < 20.0 {
            assert!(
                study.order.is_some_and(|order| order >= 0.9),
                "{name}: order {:?}",
                study.order
            );
        }
    }
}
