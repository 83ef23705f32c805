//! The law of a fabric from its threads beside published screen formulas, and slow flow past a row beside independent finite elements.
//!
//! Source: `screen_round_wire_blevins.csv`, R. D. Blevins, Applied Fluid Dynamics Handbook (1984), read through an open library, Re 20 to 400: the formula itself must be met as
//! printed (tolerance 1e-4, five digits; error seen 3.6e-5), the fitted law a U + b U^2 at 2 m/s within 8 % (seen 6.2 %): it is one curve of two terms through the table.
//! `fem/fibre_row.csv`, derived with an independent finite-element library, uncertainty 1e-4: slow flow past a row at open shares 0.6 and 0.8, tolerance 0.2 % because
//! the series is cut after its sixth power (seen 0.10 %).
//! `woven_screen_correlations.csv`: the columns from memory are printed beside ours and no build fails on them; ours is above Brundrett by 2 to 5 % at Re 10 and by
//! 19 % at Re 20, and off Bailey by -16 to +50 % and +7 to +67 %, most where little is open.

mod common;

use common::assert_close;
use common::table::Table;
use ventwright::air::Air;
use ventwright::fabric::{Grid, slow_row_loss};

/// A square mesh of unit pitch with this open fraction.
fn square(open_fraction: f64, pitch: f64) -> Grid {
    Grid {
        thread: pitch * (1.0 - open_fraction.sqrt()),
        pitches: [pitch; 2],
        open_fraction,
    }
}

#[test]
fn within_its_range_the_handbook_is_met() {
    let table = Table::read("screen_round_wire_blevins.csv");
    let mut count = 0;
    let mut worst: f64 = 0.0;
    for row in 0..table.rows() {
        if table.number(row, "inclination_deg") > 0.0 {
            continue;
        }
        let open = table.number(row, "open_area_ratio");
        let reynolds = table.number(row, "Re_wire");
        let expected = table.number(row, "K_on_approach_velocity");
        let loss = square(open, 1.0).loss_coefficient(reynolds);
        worst = worst.max((loss / expected - 1.0).abs());
        assert_close(&format!("open {open}, Re {reynolds}"), loss, expected, 1e-4);
        count += 1;
    }
    eprintln!("formula off the handbook by at most {worst:.1e}");
    assert_eq!(count, 48);
}

#[test]
fn one_law_goes_through_the_handbooks_table() {
    let air = Air::new(20.0, 101_325.0, None).unwrap();
    let table = Table::read("screen_round_wire_blevins.csv");
    let mut worst: f64 = 0.0;
    for row in 0..table.rows() {
        if table.number(row, "inclination_deg") > 0.0 {
            continue;
        }
        let open = table.number(row, "open_area_ratio");
        let reynolds = table.number(row, "Re_wire");
        let expected = table.number(row, "K_on_approach_velocity");
        // The wire that runs at this Reynolds number at 2 m/s, a usual speed at a fan.
        let velocity = 2.0;
        let thread = reynolds * air.kinematic_viscosity / velocity;
        let grid = square(open, thread / (1.0 - open.sqrt()));
        let (a, b) = grid.coefficients(&air);
        let loss = (a * velocity + b * velocity * velocity) / air.dynamic_pressure(velocity);
        worst = worst.max((loss / expected - 1.0).abs());
        assert_close(&format!("open {open}, Re {reynolds}"), loss, expected, 0.08);
    }
    eprintln!(
        "fitted law off the handbook by at most {:.1} %",
        100.0 * worst
    );
}

#[test]
fn slow_flow_past_a_row_is_that_of_finite_elements() {
    let table = Table::read("fem/fibre_row.csv");
    let mut count = 0;
    for row in 0..table.rows() {
        if table.number(row, "Re_f") > 0.0 {
            continue;
        }
        let open = table.number(row, "phi");
        let expected = 2.0 * table.number(row, "half_K_times_Re_f");
        let found = slow_row_loss(open);
        eprintln!("open {open}: {found} beside {expected}");
        assert_close(&format!("open {open}"), found, expected, 2e-3);
        count += 1;
    }
    assert_eq!(count, 2);
}

#[test]
fn below_the_handbook_other_formulas_stand_beside_ours() {
    let table = Table::read("woven_screen_correlations.csv");
    let mut compared = 0;
    for row in 0..table.rows() {
        let open = table.number(row, "open_area_ratio");
        let reynolds = table.number(row, "Re = U_approach*d_wire/nu");
        if reynolds > 20.0 {
            continue;
        }
        let ours = square(open, 1.0).loss_coefficient(reynolds);
        for column in ["K_brundrett1993", "K_bailey2003"] {
            let theirs = table.number(row, column);
            eprintln!(
                "open {open}, Re {reynolds}: ours {ours:.3}, {column} {theirs}, {:+.0} %",
                100.0 * (ours / theirs - 1.0)
            );
            compared += 1;
        }
    }
    assert_eq!(compared, 20);
}
