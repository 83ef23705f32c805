//! How many pitch-times a repeat takes until the program lets it stop, over shape, free-area ratio, twist, lean and the angle of the air.
//!
//! `cargo bench --bench heavy_run_times` writes `tests/reference/heavy/run_times.csv`, which the forecast of time is checked by; some minutes on two cores.
//! The grids are coarse, but the runs end by the rule of the grid of quality `standard`: 24 cells across the hydraulic diameter.

mod case_table;
#[path = "../tests/common/free_area.rs"]
mod free_area;
mod holes;

use std::path::Path;

use case_table::write;
use holes::{Case, digits};
use rayon::prelude::*;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::run::corrections::repeat_grid::one_grid_half_width;

/// Cells across the hydraulic diameter.
const CELLS: f64 = 14.0;

/// Those of the grid whose doubt counts.
const CELLS_OF_STANDARD: f64 = 24.0;

/// Columns behind those that name a case.
const RESULTS: &[&str] = &[
    "cells_across_hole",
    "pitch_times",
    "K",
    "half_width_in_time",
    "million_cell_updates",
    "seconds",
    "stop_reason",
    "code_version",
];

fn cases() -> Vec<Case> {
    let mut cases = Vec::new();
    for free_area_ratio in [0.42, 0.6] {
        let straight = |shape| Case {
            head_start: 5.0,
            ..Case::straight(shape, free_area_ratio, CELLS)
        };
        for shape in ["round", "square", "hexagon", "triangle up-down"] {
            for inflow in [0.0, 25.0, 45.0] {
                cases.push(Case {
                    inflow,
                    ..straight(shape)
                });
            }
        }
        for (twist, lean, inflow) in [
            (30.0, 0.0, 0.0),
            (30.0, 0.0, 45.0),
            (60.0, 0.0, 30.0),
            (0.0, 15.0, 0.0),
            (0.0, 15.0, 45.0),
            (0.0, 30.0, 30.0),
            (0.0, -15.0, 30.0),
            (0.0, -15.0, 45.0),
        ] {
            cases.push(Case {
                twist,
                lean,
                inflow,
                ..straight("hexagon")
            });
        }
    }
    cases
}

fn row(case: &Case) -> Option<Vec<String>> {
    let is_turned = case.twist != 0.0 || case.lean != 0.0;
    // As `run::solved` limits a run.
    let limits = DriveLimits {
        tolerance: 0.015,
        other_doubts: one_grid_half_width(CELLS_OF_STANDARD, case.free_area_ratio, is_turned),
        least_time: 4.0,
        longest_time: 40.0,
    };
    let solved = case.solve(&limits, Threads::One)?;
    let outcome = &solved.outcome;
    let mean = outcome.drive.loss_coefficient?;
    let pitch_times = outcome.drive.history.last()?.time;
    let mut row = case.names().to_vec();
    row.extend([
        digits(outcome.layout.cells_across_hole, 2),
        digits(pitch_times, 1),
        digits(mean.mean, 4),
        digits(mean.half_width, 4),
        digits(
            outcome.drive.step_count as f64 * outcome.drive.cell_count as f64 / 1e6,
            0,
        ),
        digits(solved.seconds, 1),
        outcome.drive.stop_reason.in_words(),
        env!("CARGO_PKG_VERSION").to_owned(),
    ]);
    Some(row)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/run_times.csv");
    let cases = cases();
    let rows: Vec<Vec<String>> = cases.par_iter().with_max_len(1).filter_map(row).collect();
    write(&path, RESULTS, rows.iter())
}
