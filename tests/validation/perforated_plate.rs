//! The hole view at the Reynolds numbers of real grilles beside the handbook's thick perforated plate.
//!
//! Source: I. E. Idelchik, Handbook of Hydraulic Resistance, diagram 4-15, formula read in an open library (`tests/reference/README.md`, `ventwright::handbook`).
//! It is meant for hole Reynolds numbers above 1000, has a scatter of 10 to 15 %, and knows no dependence on the Reynolds number.
//! The table `tests/reference/heavy/perforated_plate.csv` (command: `cargo bench --bench heavy_perforated_plate`) is the view's error and stands on two grids.
//! Tolerance: no limit on the difference, which is published as it is; asserted are the order in the free-area ratio at every thickness and Reynolds number (the handbook's K differ by 40 % and
//! more between neighbours) and that K stays within 35 % of the handbook, beyond which one of the two would be wrong. One row is solved again: within 3 %, the scatter of an
//! unsteady jet between two builds.
//! Errors seen at 72 cells: thickness 1, -10.5 to +2.9 %, within 3 % in eight of twelve rows; thickness 0.5, -27 to -3 %, the lower the Reynolds number the lower.
//! The rows above 15 % stand on two grids in the table: they move by up to 4 %, so it is not the grid. Six runs at 5000 and 10,000 do not settle to 1 % within the longest time;
//! their intervals are in the table.

use crate::common::assert_close;
use crate::common::table::Table;
use crate::common::views::sharp;
use std::ops::ControlFlow;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, drive};
use ventwright::tunnel::{Domain, View};
use ventwright::units::LatticeVelocity;

const TABLE: &str = "heavy/perforated_plate.csv";

#[test]
fn order_in_the_free_area_ratio_is_the_handbooks() {
    let table = Table::read(TABLE);
    for row in 0..table.rows() {
        let number = |column: &str| table.number(row, column);
        let (solved, handbook) = (number("K_at_72_cells"), number("K_handbook"));
        assert!(
            (solved / handbook - 1.0).abs() < 0.35,
            "row {row}: {solved} beside {handbook}"
        );
        let alike = |other: usize| {
            ["thickness_over_diameter", "hole_reynolds_number"]
                .iter()
                .all(|column| table.text(row, column) == table.text(other, column))
        };
        for other in (0..table.rows()).filter(|&other| alike(other)) {
            if table.number(other, "free_area_ratio") > number("free_area_ratio") {
                assert!(
                    table.number(other, "K_at_72_cells") < solved,
                    "rows {row} and {other}"
                );
            }
        }
    }
}

#[test]
fn a_row_of_the_table_can_be_solved_again() {
    let table = Table::read(TABLE);
    let row = (0..table.rows())
        .find(|&row| {
            table.text(row, "free_area_ratio") == "0.5"
                && table.text(row, "thickness_over_diameter") == "1"
                && table.text(row, "hole_reynolds_number") == "2000"
        })
        .expect("the row stands in the table");
    let domain = Domain {
        cells_across_opening: 48.0,
        face_velocity: LatticeVelocity(0.03),
        has_subgrid: true,
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        ..sharp(View::Hole, 0.5, 1.0, 2000.0)
    };
    let outcome = drive(&domain, &DriveLimits::default(), Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    let mean = outcome.drive.loss_coefficient.expect("the flow settles");
    assert_close("K", mean.mean, table.number(row, "K_at_48_cells"), 0.03);
}
