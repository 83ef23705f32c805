//! The repeat view: straight hexagons in three dimensions, with axial and oblique inflow, at the Reynolds number of a real grille.
//!
//! Source: independent three-dimensional computation, `tests/reference/cell3d/hole_cell.csv` (another lattice, 32 to 48 cells, no subgrid model); `band` is its judged whole error.
//! Tolerance: that band for static K (5 %); for total K of the oblique row the same band. K by momentum and by force agree within 0.5 %, flow ahead and behind within 0.1 %.
//! Error seen: axial 1.595 at 32 cells (+1.6 %; 1.685 at 23 cells), oblique static 2.185 (-0.7 %) and total 2.503 (-0.3 %) at 23 cells.
//! Not asserted yet: the round hole at a free-area ratio of 0.42 is 5.27, 4.99 at 20, 31 cells against 4.75 +- 0.15: it converges from above, and needs finer cells or better walls.

mod common;

use common::assert_close;
use common::table::Table;
use std::ops::ControlFlow;
use ventwright::grille::{Edge, HolePattern, HoleShape, Layout, RepeatSolid, Turn};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::repeat::{RepeatOutcome, drive_repeat};
use ventwright::measure::series::StopReason;
use ventwright::tunnel::RepeatDomain;
use ventwright::units::LatticeVelocity;

/// Solves a row of the table.
fn solve(table: &Table, row: usize, cells: f64) -> RepeatOutcome {
    let number = |column: &str| table.number(row, column);
    let diameter = 1e-3 * number("hydraulic_diameter_mm");
    let thickness = 1e-3 * number("thickness_mm");
    let free_area_ratio = number("free_area_ratio");
    let pattern = HolePattern {
        shape: HoleShape::Hexagon {
            across_flats: diameter,
        },
        layout: Layout::Staggered,
        rib: diameter * (free_area_ratio.sqrt().recip() - 1.0),
        turn: Turn::Straight,
        merging_accepted: false,
    };
    let solid = RepeatSolid::of(&pattern, thickness, Edge::Sharp, Edge::Sharp, 0.0)
        .expect("straight hexagons have a repeat");
    assert_close(
        "free-area ratio",
        solid.free_area_ratio(),
        free_area_ratio,
        1e-9,
    );
    let domain = RepeatDomain {
        extent: solid.extent().map(|width| width / diameter),
        pitch: free_area_ratio.sqrt().recip(),
        thickness: thickness / diameter,
        free_area_ratio,
        reynolds_number: number("hole_reynolds"),
        inflow_tangents: [number("inflow_angle_deg").to_radians().tan(), 0.0],
        cells_across_hole: cells,
        face_velocity: LatticeVelocity(0.1 * free_area_ratio),
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        has_subgrid: true,
        shift: [0.0; 3],
    };
    let is_solid =
        |[depth, y, z]: [f64; 3]| solid.is_solid(depth * diameter, y * diameter, z * diameter);
    let limits = DriveLimits {
        tolerance: 0.015,
        least_time: 8.0,
        longest_time: 20.0,
    };
    drive_repeat(&domain, &is_solid, &limits, Threads::Pool(2), &mut |_| {
        ControlFlow::Continue(())
    })
}

fn check(case: &str, cells: f64) {
    let table = Table::read("cell3d/hole_cell.csv");
    let row = (0..table.rows())
        .find(|&row| table.text(row, "case") == case)
        .expect("the case stands in the table");
    let outcome = solve(&table, row, cells);
    assert_eq!(outcome.stop_reason, StopReason::Converged);
    let loss = outcome.loss_coefficient.expect("the flow settles").mean;
    let band = table.number(row, "band");
    assert_close(
        "static K",
        loss,
        table.number(row, "K_static"),
        band / table.number(row, "K_static"),
    );
    assert_close(
        "total K",
        outcome.total_loss_coefficient,
        table.number(row, "K_total"),
        band / table.number(row, "K_total"),
    );
    assert_close("K by force", outcome.loss_coefficient_by_force, loss, 5e-3);
    assert!(
        outcome.flow_error.abs() < 1e-3,
        "flow {}",
        outcome.flow_error
    );
}

#[test]
#[ignore = "slow: 1 min"]
fn straight_hexagons_meet_the_independent_solution() {
    check("hexagon_060", 32.0);
}

#[test]
#[ignore = "slow: 20 s"]
fn hexagons_in_an_oblique_stream_meet_the_independent_solution() {
    check("hexagon_060_oblique", 24.0);
}
