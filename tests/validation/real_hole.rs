//! The hole view at the Reynolds number of a real grille against a three-dimensional hole.
//!
//! Source: independent three-dimensional computation, `tests/reference/cell3d/hole_cell.csv`, round holes at a free-area ratio of 0.42 (whole error judged 0.15 in K).
//! Tolerance: 5 %: the table's own 3 %, and the grid scatter of an unsteady axisymmetric jet, which is 2 % between 32 and 96 cells.
//! Error seen: -0.2 % at 48 cells, which the test solves; -1.5 % at 40 and +5.5 % at 96 cells: rings that cannot break up in an axisymmetric flow grow stronger
//! as the grid resolves them. (Hexagons at 0.60 are another shape and lie 8 % above the round view; see `run::view::view_correction`.)

use crate::common::assert_close;
use crate::common::table::Table;
use crate::common::views::sharp;
use std::ops::ControlFlow;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, drive};
use ventwright::measure::series::StopReason;
use ventwright::tunnel::{Domain, View};
use ventwright::units::LatticeVelocity;

#[test]
fn round_hole_meets_the_three_dimensional_one() {
    let table = Table::read("cell3d/hole_cell.csv");
    let row = (0..table.rows())
        .find(|&row| table.text(row, "shape") == "round")
        .unwrap();
    let number = |column: &str| table.number(row, column);
    let thickness = number("thickness_mm") / number("hydraulic_diameter_mm");
    let domain = Domain {
        cells_across_opening: 48.0,
        face_velocity: LatticeVelocity(0.03),
        has_subgrid: true,
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        ..sharp(
            View::Hole,
            number("free_area_ratio"),
            thickness,
            number("hole_reynolds"),
        )
    };
    let outcome = drive(&domain, &DriveLimits::default(), Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    assert_eq!(outcome.drive.stop_reason, StopReason::Converged);
    let mean = outcome.drive.loss_coefficient.unwrap();
    println!(
        "K {:.3} ± {:.3}, by force {:.3}",
        mean.mean, mean.half_width, outcome.drive.loss_coefficient_by_force
    );
    assert_close("K", mean.mean, number("K_static"), 0.05);
    assert_close(
        "K by force",
        outcome.drive.loss_coefficient_by_force,
        mean.mean,
        0.005,
    );
    assert!(
        outcome.drive.flow_error.abs() < 1e-3,
        "flow {}",
        outcome.drive.flow_error
    );
    assert!(outcome.drive.density_rise < 0.01);
}
