//! K of straight and turned holes on rising grids of 16, 24, 32 and (hexagons at 0.60) 48 cells, as `benches/heavy_repeat_grids.rs` wrote it down; its coarsest rows are solved anew.
//!
//! Source: momentum is conserved, so K by momentum and by force are one; and the independent three-dimensional computation of `tests/reference/cell3d/hole_cell.csv` for straight hexagons at a
//! free-area ratio of 0.60 (32 to 48 cells; `band` is its judged whole error). For the finest grid the handbook's thick plate, I. E. Idelchik, Handbook of Hydraulic Resistance, diagram 4-15
//! (`tests/reference/README.md`), which has a scatter of 10 to 15 %.
//! Tolerance: 0.5 % between momentum and force (both are means over the same samples of a flow that swings); `band` at 32 cells, which is the grid of that computation; 10 % of the handbook on the finest grid, the lesser end of its scatter; 2 % for the rows solved anew, twice the half-width that they run to.
//! Straight and turned holes must come down alike: their ratio may change by 5 % from 24 cells to the finest grid, which is what the ranges of the ranking allow for.
//! Error seen: momentum and force 0.16 %; hexagons at 0.60 on 31 cells -2.4 % of the independent solution, on 48 cells -6.2 % of it and +0.7 % of the handbook. K there falls as 1.43 + 100 / cells² on all four grids
//! (1.774, 1.604, 1.533, 1.473), so 24 cells hide 11 %, and the independent solution would fall too; a disturbed start or no subgrid model moves it by 1 %.
//! Turned over straight, 24 cells against the finest: +1.5 % (hexagons 0.60), +2.5 % (0.42), -1.8 % (triangles); rows solved anew 0.0 %.

use crate::common::assert_close;
use crate::common::table::Table;
use crate::holes::{Case, digits};
use ventwright::handbook::perforated_plate;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;

/// Rows of a pattern, coarse to fine: cells and K.
fn grids(table: &Table, shape: &str, free_area_ratio: f64, twist: f64) -> Vec<(f64, f64)> {
    (0..table.rows())
        .filter(|&row| {
            table.text(row, "shape") == shape
                && digits(table.number(row, "free_area_ratio"), 3) == digits(free_area_ratio, 3)
                && digits(table.number(row, "twist_deg"), 1) == digits(twist, 1)
        })
        .map(|row| {
            (
                table.number(row, "cells_across_hole"),
                table.number(row, "K"),
            )
        })
        .collect()
}

#[test]
fn the_table_closes_its_books_and_comes_down_to_the_independent_solution() {
    let table = Table::read("heavy/repeat_grids.csv");
    for row in 0..table.rows() {
        let loss = table.number(row, "K");
        let name = format!("K by force, row {row}");
        assert_close(&name, table.number(row, "K_by_force"), loss, 5e-3);
    }
    let outside = Table::read("cell3d/hole_cell.csv");
    let row = (0..outside.rows()).find(|&row| outside.text(row, "case") == "hexagon_060");
    let row = row.expect("the case stands in the table");
    let expected = outside.number(row, "K_static");
    let rows = grids(&table, "hexagon", 0.6, 0.0);
    let alike = *rows.iter().rfind(|row| row.0 < 40.0).expect("a row");
    let finest = *rows.last().expect("a row");
    let handbook = perforated_plate(0.6, 0.8, 1667.0).expect("in its range");
    let handbook = handbook.loss_coefficient;
    println!(
        "hexagons: {alike:?} against {expected}, {finest:?} against the handbook's {handbook}"
    );
    let band = outside.number(row, "band") / expected;
    assert_close("K on its grid", alike.1, expected, band);
    assert_close("finest K", finest.1, handbook, 0.1);
    for pair in rows.windows(2) {
        let [coarse, fine] = [pair[0], pair[1]];
        let slope = (coarse.1 - fine.1) / (coarse.0.powi(-2) - fine.0.powi(-2));
        println!("slope over the square of the cell: {slope:.1}");
        assert_close("slope over the square of the cell", slope, 100.0, 0.05);
    }
}

#[test]
fn straight_and_turned_holes_come_down_alike() {
    let table = Table::read("heavy/repeat_grids.csv");
    for (shape, free_area_ratio) in [("hexagon", 0.6), ("hexagon", 0.42), ("triangle", 0.42)] {
        let straight = grids(&table, shape, free_area_ratio, 0.0);
        let turned = grids(&table, shape, free_area_ratio, 30.0);
        assert_eq!(straight.len(), turned.len());
        assert!(straight.len() >= 3);
        let ratios: Vec<f64> = straight
            .iter()
            .zip(&turned)
            .map(|(s, t)| t.1 / s.1)
            .collect();
        println!("{shape} {free_area_ratio}: turned over straight {ratios:?}");
        let finest = ratios[ratios.len() - 1];
        assert_close("turned over straight at 24 cells", ratios[1], finest, 0.05);
    }
}

#[test]
#[ignore = "slow: 15 s"]
fn coarsest_rows_are_what_the_table_says() {
    let table = Table::read("heavy/repeat_grids.csv");
    let limits = DriveLimits {
        tolerance: 0.01,
        other_doubts: 0.0,
        least_time: 4.0,
        longest_time: 16.0,
    };
    for twist in [0.0, 30.0] {
        let case = Case {
            twist,
            head_start: 5.0,
            reynolds_number: 1667.0,
            ..Case::straight("hexagon", 0.6, 16.0)
        };
        let solved = case.solve(&limits, Threads::Pool(2)).expect("it fits");
        let (_, expected) = grids(&table, "hexagon", 0.6, twist)[0];
        let loss = solved
            .outcome
            .drive
            .loss_coefficient
            .expect("it settles")
            .mean;
        println!(
            "{}: {loss} in {:.0} s",
            case.names().join(" "),
            solved.seconds
        );
        assert_close("K solved anew", loss, expected, 0.02);
    }
}
