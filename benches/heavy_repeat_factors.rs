//! K of holes in three dimensions over K of the hole view: shapes, twists, leans and oblique streams.
//!
//! `cargo bench --bench heavy_repeat_factors` writes `src/run/corrections/repeat_factors.csv`, the table of the quick setting; about an hour on two cores. Rows that
//! are there already are kept: remove the file to solve all of them anew.
//! `tests/validation/repeat_factors.rs` checks the table, and what the quick setting makes of the rows that are kept out of it.

mod case_table;
#[path = "../tests/common/free_area.rs"]
mod free_area;
mod holes;

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Mutex;

use case_table::{NAMES, write};
use holes::{Case, digits};
use rayon::prelude::*;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, drive};
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

const CELLS: f64 = 24.0;

/// Columns behind those that name a case.
const RESULTS: &[&str] = &[
    "K_static",
    "half_width_in_time",
    "K_total",
    "outflow_deg",
    "K_hole_view",
    "factor",
    "cells_across_hole",
    "density_rise",
    "stop_reason",
    "seconds",
    "role",
];

const LIMITS: DriveLimits = DriveLimits {
    tolerance: 0.015,
    other_doubts: 0.0,
    least_time: 8.0,
    longest_time: 16.0,
};

fn cases() -> Vec<(Case, &'static str)> {
    let straight = |shape, phi| Case::straight(shape, phi, CELLS);
    let mut cases = Vec::new();
    let mut add = |case: Case, role: &'static str| cases.push((case, role));
    for shape in ["round", "square", "hexagon", "triangle", "triangle up-down"] {
        for phi in [0.42, 0.6] {
            add(straight(shape, phi), "shape");
        }
    }
    for shape in ["round", "hexagon"] {
        add(straight(shape, 0.3), "shape");
        for thickness in [0.4, 1.6] {
            let case = straight(shape, 0.42);
            add(Case { thickness, ..case }, "shape");
        }
    }
    for (shape, phi) in [
        ("hexagon", 0.42),
        ("hexagon", 0.58),
        ("triangle", 0.42),
        ("square", 0.4),
    ] {
        for twist in [30.0, 60.0, 90.0] {
            let case = straight(shape, phi);
            add(Case { twist, ..case }, "twist");
        }
    }
    for phi in [0.42, 0.6] {
        for (lean, inflow) in [
            (0.0, 15.0),
            (0.0, 30.0),
            (0.0, 45.0),
            (15.0, 0.0),
            (15.0, 15.0),
            (15.0, 30.0),
            (15.0, -15.0),
            (15.0, -30.0),
            (30.0, 0.0),
            (30.0, 30.0),
            (30.0, -30.0),
        ] {
            let case = straight("hexagon", phi);
            add(
                Case {
                    lean,
                    inflow,
                    ..case
                },
                "incidence",
            );
        }
    }
    for (lean, inflow) in [(0.0, 30.0), (15.0, 0.0), (15.0, 30.0)] {
        let case = straight("hexagon", 0.6);
        add(
            Case {
                thickness: 1.6,
                lean,
                inflow,
                ..case
            },
            "incidence",
        );
    }
    open_patterns(&mut add);
    kept_out(&mut add);
    cases
}

/// Open patterns, which thin ribs make: every shape by itself, straight, met at an angle and twisted; two shapes leaned.
fn open_patterns(add: &mut dyn FnMut(Case, &'static str)) {
    for shape in ["triangle up-down", "hexagon", "square", "round"] {
        for phi in [0.6, 0.7, 0.8] {
            let straight = Case::straight(shape, phi, CELLS);
            if phi > 0.6 {
                add(straight, "shape");
            } else if shape != "triangle up-down" {
                continue;
            }
            for inflow in [30.0, 45.0] {
                let met = Case { inflow, ..straight };
                add(met, "incidence");
            }
            for &inflow in leaned(shape, phi) {
                let met = Case {
                    lean: 15.0,
                    inflow,
                    ..straight
                };
                add(met, "incidence");
            }
            if shape != "round" {
                let twist = 30.0;
                add(Case { twist, ..straight }, "twist");
            }
        }
    }
}

/// Angles at which open patterns that lean by 15 degrees are met.
fn leaned(shape: &str, free_area_ratio: f64) -> &'static [f64] {
    match shape {
        "hexagon" if (free_area_ratio - 0.7).abs() < 1e-9 => &[-30.0, 0.0, 30.0],
        "triangle up-down" if (free_area_ratio - 0.7).abs() < 1e-9 => &[0.0, 30.0],
        _ => &[],
    }
}

/// Rows to see what the table is worth between its rows.
fn kept_out(add: &mut dyn FnMut(Case, &'static str)) {
    let straight = |shape, phi| Case::straight(shape, phi, CELLS);
    add(straight("hexagon", 0.5), "kept out");
    add(
        Case {
            inflow: 30.0,
            ..straight("triangle", 0.42)
        },
        "kept out",
    );
    add(
        Case {
            lean: 15.0,
            ..straight("triangle", 0.42)
        },
        "kept out",
    );
    add(
        Case {
            inflow: 20.0,
            ..straight("square", 0.5)
        },
        "kept out",
    );
    add(
        Case {
            lean: 10.0,
            inflow: 25.0,
            ..straight("round", 0.5)
        },
        "kept out",
    );
    add(
        Case {
            twist: 45.0,
            ..straight("hexagon", 0.5)
        },
        "kept out",
    );
    for (shape, phi, inflow) in [
        ("triangle up-down", 0.66, 0.0),
        ("triangle up-down", 0.66, 35.0),
        ("hexagon", 0.75, 0.0),
        ("square", 0.75, 35.0),
        ("round", 0.75, 0.0),
    ] {
        let case = straight(shape, phi);
        add(Case { inflow, ..case }, "kept out");
    }
}

/// K of the hole view, with the same free-area ratio, thickness and Reynolds number.
fn hole_view(case: &Case) -> f64 {
    let domain = Domain {
        view: View::Hole,
        free_area_ratio: case.free_area_ratio,
        thickness: case.thickness,
        front_edge: EdgeShape::Sharp,
        rear_edge: EdgeShape::Sharp,
        reynolds_number: case.reynolds_number,
        cells_across_opening: 48.0,
        face_velocity: LatticeVelocity(0.075 * case.free_area_ratio),
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        has_subgrid: true,
        shift: 0.0,
    };
    let outcome = drive(&domain, &DriveLimits::default(), Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    outcome
        .drive
        .loss_coefficient
        .map_or(f64::NAN, |mean| mean.mean)
}

fn row(case: &Case, role: &str) -> Option<Vec<String>> {
    let solved = case.solve(&LIMITS, Threads::One)?;
    let outcome = &solved.outcome;
    let mean = outcome.drive.loss_coefficient?;
    let flat = hole_view(case);
    let angle = |tangent: f64| digits(tangent.atan().to_degrees(), 1);
    let mut row = case.names().to_vec();
    row.extend([
        digits(mean.mean, 4),
        digits(mean.half_width, 4),
        digits(outcome.total_loss_coefficient, 4),
        angle(outcome.outflow_tangents[0]),
        digits(flat, 4),
        digits(mean.mean / flat, 4),
        digits(outcome.layout.cells_across_hole, 2),
        digits(outcome.drive.density_rise, 4),
        outcome.drive.stop_reason.in_words(),
        digits(solved.seconds, 0),
        role.to_owned(),
    ]);
    Some(row)
}

/// The rows that are there already, by the columns that name them.
fn solved_before(path: &Path) -> Vec<Vec<String>> {
    let Ok(mut table) = csv::Reader::from_path(path) else {
        return Vec::new();
    };
    let rows = table.records().filter_map(Result::ok);
    rows.map(|row| row.iter().map(str::to_owned).collect())
        .collect()
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/run/corrections/repeat_factors.csv");
    let before = solved_before(&path);
    let rows = Mutex::new(BTreeMap::new());
    let all = cases();
    let mut waiting = Vec::new();
    for (number, (case, role)) in all.iter().enumerate() {
        let known = before.iter().find(|row| row[..NAMES.len()] == case.names());
        match known {
            Some(known) => {
                rows.lock()
                    .map_err(|_| "a run failed")?
                    .insert(number, known.clone());
            }
            None => waiting.push((number, case, role)),
        }
    }
    // In this order, and no thread takes more than one at a time: the slowest come first.
    waiting
        .iter()
        .par_bridge()
        .for_each(|(number, case, role)| {
            if let (Some(row), Ok(mut rows)) = (row(case, role), rows.lock()) {
                rows.insert(*number, row);
                // What is solved is kept, should the command be stopped.
                write(&path, RESULTS, rows.values()).ok();
            }
        });
    let rows = rows.into_inner().map_err(|_| "a run failed")?;
    write(&path, RESULTS, rows.values())
}
