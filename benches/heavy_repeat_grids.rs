//! Heavy validation: K of straight and turned holes on four grids, at 3 m/s through holes of 5 mm in a plate of 4 mm.
//!
//! `cargo bench --bench heavy_repeat_grids` goes on with `tests/reference/heavy/repeat_grids.csv` where it ends: ten minutes up to 32 cells on two idle cores, half an hour more for 48. Delete the file to begin anew.
//! `tests/validation/repeat_grids.rs` checks the table and recomputes a coarse row of it.

mod case_table;
#[path = "../tests/common/free_area.rs"]
mod free_area;
mod holes;
mod kept_rows;

use std::path::Path;

use case_table::{NAMES, write};
use holes::{Case, digits};
use kept_rows::kept_rows;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::grid::{GridValue, grid_study};

/// Finest last: what is cheap is there first.
const GRIDS: [f64; 4] = [16.0, 24.0, 32.0, 48.0];

/// Columns behind those that name a case.
const RESULTS: &[&str] = &[
    "cells_across_hole",
    "K",
    "half_width_in_time",
    "K_by_force",
    "observed_order",
    "half_width_of_grid",
    "cell_count",
    "step_count",
    "seconds",
    "stop_reason",
    "code_version",
];

const LIMITS: DriveLimits = DriveLimits {
    tolerance: 0.01,
    other_doubts: 0.0,
    least_time: 4.0,
    longest_time: 16.0,
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let patterns = [
        ("hexagon", 0.6, 0.0),
        ("hexagon", 0.6, 30.0),
        ("hexagon", 0.42, 0.0),
        ("hexagon", 0.42, 30.0),
        ("triangle", 0.42, 0.0),
        ("triangle", 0.42, 30.0),
    ];
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/repeat_grids.csv");
    let mut solved: [Vec<GridValue>; 6] = Default::default();
    let mut kept = kept_rows(&path)?.into_iter();
    let mut rows: Vec<Vec<String>> = Vec::new();
    for cells in GRIDS {
        for (&(shape, free_area_ratio, twist), grids) in patterns.iter().zip(&mut solved) {
            if let Some(row) = kept.next() {
                let [cells, value] =
                    [NAMES.len(), NAMES.len() + 1].map(|column| row[column].parse());
                grids.insert(
                    0,
                    GridValue {
                        cells: cells?,
                        value: value?,
                    },
                );
                rows.push(row);
                continue;
            }
            let case = Case {
                twist,
                head_start: 5.0,
                reynolds_number: (1000.0_f64 / free_area_ratio).round(),
                ..Case::straight(shape, free_area_ratio, cells)
            };
            let Some(run) = case.solve(&LIMITS, Threads::Pool(2)) else {
                continue;
            };
            let outcome = &run.outcome;
            let Some(mean) = outcome.drive.loss_coefficient else {
                continue;
            };
            grids.insert(
                0,
                GridValue {
                    cells: outcome.layout.cells_across_hole,
                    value: mean.mean,
                },
            );
            let study = (grids.len() > 1).then(|| grid_study(grids));
            let number = |value: Option<f64>, decimals| {
                value.map_or(String::new(), |value| digits(value, decimals))
            };
            let mut row = case.names().to_vec();
            row.extend([
                digits(outcome.layout.cells_across_hole, 2),
                digits(mean.mean, 4),
                digits(mean.half_width, 4),
                digits(outcome.drive.loss_coefficient_by_force, 4),
                number(study.as_ref().and_then(|s| s.order), 2),
                number(study.as_ref().map(|s| s.half_width), 4),
                outcome.drive.cell_count.to_string(),
                outcome.drive.step_count.to_string(),
                digits(run.seconds, 0),
                outcome.drive.stop_reason.in_words(),
                env!("CARGO_PKG_VERSION").to_owned(),
            ]);
            rows.push(row);
            write(&path, RESULTS, rows.iter())?;
        }
    }
    Ok(())
}
