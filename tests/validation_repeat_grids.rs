//! K of straight and turned holes on rising grids of 16, 24 and 32 cells, as `benches/heavy_repeat_grids.rs` wrote it down; its coarsest rows are solved anew.
//!
//! Source: momentum is conserved, so K by momentum and by force are one; and the independent three-dimensional computation of `tests/reference/cell3d/hole_cell.csv` for straight hexagons at a
//! free-area ratio of 0.60 (`band` is its judged whole error).
//! Tolerance: 0.5 % between momentum and force (both are means over the same samples of a flow that swings); `band` on the finest grid; 2 % for the rows solved anew, twice the half-width that they run to.
//! Straight and turned holes must come down alike: their ratio may change by 5 % from 24 cells to the finest grid, which is what the ranges of the ranking allow for.
//! Error seen: momentum and force 0.16 %; hexagons at 0.60 on 31 cells -2.4 %; turned over straight, 24 against 32 cells: +1.5 % (hexagons 0.60), +2.5 % (0.42), -1.8 % (triangles); rows solved anew 0.0 %.

mod common;

#[path = "../benches/holes/mod.rs"]
mod holes;

use common::assert_close;
use common::free_area;
use common::table::Table;
use holes::{Case, digits};
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
    let finest = *grids(&table, "hexagon", 0.6, 0.0).last().expect("a row");
    println!(
        "hexagons at {} cells: {} against {expected}",
        finest.0, finest.1
    );
    assert_close(
        "finest K",
        finest.1,
        expected,
        outside.number(row, "band") / expected,
    );
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
        let loss = solved.outcome.loss_coefficient.expect("it settles").mean;
        println!(
            "{}: {loss} in {:.0} s",
            case.names().join(" "),
            solved.seconds
        );
        assert_close("K solved anew", loss, expected, 0.02);
    }
}
