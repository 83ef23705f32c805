//! A closed cylinder of which one end turns: the jet on its axis, and whether a bubble of air that goes back sits behind it.
//!
//! Source: `tests/reference/rotating_lid_cylinder.csv` and `rotating_lid_axis_profile_recomputed.csv`, recomputed columns (stream function, vorticity and circulation, Newton, extrapolated). The published experiment in
//! the table is unconfirmed and not used.
//!
//! Tolerance: 2 % of the jet's velocity, 0.01 of the height for its place, the bubble's ends 0.02; profile on the axis 2 % of the jet up to 0.85 of the height (asked at 100 cells per radius, met at 60).
//! The layer that the lid drags along is a thirtieth of the radius thick, two cells at 60: there the profile is not judged.
//! The heavy table, written by `cargo bench --bench heavy_rotating_lid`, is held to the same, and its coarsest row is recomputed to 0.2 %.
//! Seen, on 60 and 100 cells: jet 0.9 and 0.5 % at 990, 0.3 and 0.3 % at 1290; place 0.001 and 0.0004, 0.002 and 0.001 of the height; bubble from 0.320 and 0.324 to 0.466 and 0.462 (0.325 to 0.458); profile 1.0 % on 60 cells;
//! at 0.95 of the height 3.6 % of the jet on 60 cells, 1.6 % on 80.
use crate::flow::assert_error;
use crate::lid::{CHANGE, OnAxis, solve};
use crate::reference::{Row, number, table};
use ventwright::lattice::step::Threads;

const HEIGHT: f64 = 1.5;

/// The row of a table at this Reynolds number.
fn row_at(rows: Vec<Row>, reynolds_number: f64) -> Row {
    rows.into_iter()
        .find(|row| (number(row, "Re") - reynolds_number).abs() < 0.5)
        .expect("the Reynolds number is in the table")
}

/// Jet and bubble against the table.
fn assert_jet(name: &str, [largest, place]: [f64; 2], reynolds_number: f64) {
    let row = row_at(table("rotating_lid_cylinder.csv"), reynolds_number);
    let expected = number(&row, "umax_axis_over_OmegaR_recomputed");
    assert_error(&format!("{name}: jet"), largest / expected - 1.0, 0.02);
    let expected = number(&row, "distance_from_stationary_wall_over_H_recomputed");
    assert_error(&format!("{name}: its place"), place - expected, 0.01);
}

/// Velocity on the axis against the profile.
fn assert_profile(on_axis: &OnAxis, reynolds_number: f64) {
    let at = |share: f64| {
        let place = share * on_axis.velocity.len() as f64 - 0.5;
        let (mut before, mut distance) = (0, place);
        while distance >= 1.0 {
            before += 1;
            distance -= 1.0;
        }
        let [a, b] = [before, before + 1].map(|x| on_axis.velocity[x]);
        a + distance * (b - a)
    };
    let mut count = 0;
    let mut worst = 0.0_f64;
    for row in table("rotating_lid_axis_profile_recomputed.csv") {
        let place = number(&row, "distance_from_stationary_wall_over_H");
        if (number(&row, "Re") - reynolds_number).abs() > 0.5 || !(0.04..0.86).contains(&place) {
            continue;
        }
        let expected = number(&row, "axial_velocity_towards_rotating_wall_over_OmegaR");
        worst = worst.max((at(place) - expected).abs());
        count += 1;
    }
    assert_eq!(count, 17);
    assert_error("profile", worst / on_axis.largest, 0.02);
}

#[test]
#[ignore = "slow: 1 min"]
fn no_air_goes_back_at_990() {
    let on_axis = solve(60, HEIGHT, 990.0, CHANGE, Threads::Pool(2));
    assert_jet("60 cells", [on_axis.largest, on_axis.place], 990.0);
    assert_eq!(on_axis.bubble, None);
    assert_profile(&on_axis, 990.0);
}

#[test]
fn the_table_has_the_jets_and_one_bubble() {
    let row = row_at(table("rotating_lid_cylinder.csv"), 1290.0);
    let ends: Vec<f64> = row["reversed_axis_flow_recomputed_dist_from_stationary_wall_over_H"]
        .split("..")
        .map(|end| end.parse().expect("two numbers"))
        .collect();
    let mut finest = 0.0_f64;
    for row in table("heavy/rotating_lid.csv") {
        let rows = number(&row, "cells_in_radius");
        finest = finest.max(rows);
        if rows < 60.0 {
            continue;
        }
        let reynolds_number = number(&row, "reynolds_number");
        let name = format!("{rows} cells, {reynolds_number}");
        let jet = ["jet_over_edge_velocity", "place_over_height"].map(|name| number(&row, name));
        assert_jet(&name, jet, reynolds_number);
        let bubble = ["bubble_from", "bubble_to"];
        if reynolds_number < 1000.0 {
            assert!(bubble.iter().all(|end| row[*end].is_empty()), "{row:?}");
        } else {
            for (end, expected) in bubble.iter().zip(&ends) {
                let error = number(&row, end) - expected;
                assert_error(&format!("{name}: {end}"), error, 0.02);
            }
        }
    }
    assert!(finest >= 100.0, "{finest} cells");
}

#[test]
#[ignore = "slow: 1 min"]
fn the_coarsest_row_comes_out_again() {
    let rows = table("heavy/rotating_lid.csv").into_iter();
    let row = rows
        .filter(|row| number(row, "reynolds_number") > 1000.0)
        .min_by(|a, b| number(a, "cells_in_radius").total_cmp(&number(b, "cells_in_radius")))
        .expect("the table has rows");
    assert_eq!(row["cells_in_radius"], "40");
    let on_axis = solve(40, HEIGHT, 1290.0, CHANGE, Threads::Pool(2));
    let error = on_axis.largest / number(&row, "jet_over_edge_velocity") - 1.0;
    assert_error("jet", error, 2e-3);
    let error = on_axis.place - number(&row, "place_over_height");
    assert_error("its place", error, 2e-3);
}
