//! Square meshes of round threads in three dimensions; `benches/heavy_thread_meshes.rs` wrote the table `tests/reference/heavy/thread_meshes.csv`, coarse rows of which are solved anew.
//!
//! Source: symmetry, which is exact (a quarter between mirrors is the whole mesh), and the conservation of momentum, by which K by force is K by momentum. For K itself published correlations of woven screens,
//! `tests/reference/screen_round_wire_blevins.csv` (read) and `tests/reference/woven_screen_correlations.csv` (from memory, printed only). They begin at a Reynolds number of 10 and differ among themselves by up to 40 %.
//! Tolerance: 2e-4 between quarter and whole, 0.5 % between momentum and force, density rise under 1 %, interval in time under 0.5 % of K. Against the correlation that was read, 40 % (the scatter of the correlations) for straight threads, 25 % for weaves.
//! 5 % between the two grids of straight threads, 7 % at a Reynolds number of 100, where the layer on a thread is as thin as a cell of the coarse grid (1/√100 of its 8 cells); 12 % for weaves, whose coarse grid has 6 or 7 cells across a thread; 1 % for rows solved anew.
//! From a Reynolds number of 1 to 0.5 K rises less than twice (creeping flow) and more than a lone cylinder's does (Lamb 1911, drag coefficient 8π / (Re ln(7.4 / Re)), from memory: 1.49 times), which very open meshes come near to.
//! Error seen: quarter and whole agree to six digits. Extrapolated, straight touching threads cost 5.2 to 8.0 % less than the lowest correlation at open fractions 0.5 and 0.7 and Reynolds numbers 20 and 100, and 21 to 29 % less than the one that was read;
//! weaves at 0.5 lie inside the scatter, 9 % (Re 20) and 17 % (Re 100) below the one that was read; at 0.7 and Re 20 they end 3 % under the lowest and 19 % below the one that was read (7 % below it at Re 100, on 6 cells across a thread).
//! A weave costs 1.19 times as much as straight threads at Re 1, 1.25 times at Re 20 (open fraction 0.5).
//! At 0.4 and 0.6 weaves (on one grid) are 9 % below to 7 % above the one that was read. At 0.3 they part: straight threads cost 40 to 45 % less than the one that was read, weaves 23 to 42 % more (10 cells across a thread),
//! and nothing is asserted there.
//! Grids: 10 to 16 cells across a straight thread 1.3 % (Re 1) to 3.7 % (Re 100), 8 to 12 at 0.6 open up to 5.4 % (Re 100); 7 to 10 across a woven one 0.8 to 9.6 %, 6 to 8 at 0.7 open 0.7 % (Re 1) to 7.2 % (Re 100).
//! Vortices that mirrors forbid hardly matter up to a Reynolds number of 100: whole pitches that may shed them cost 0.8 % more at 0.5 open and 5.4 % more at 0.7 (same cells); at Re 20, where nothing is shed, 0.4 % less, because their threads lie elsewhere on the grid (1 % is allowed for that). K at Re 0.5 is 1.77 (0.9 open) to 1.99 times that at Re 1. Rows solved anew 0.000 %.

use crate::common::assert_close;
use crate::common::table::Table;
use crate::threads::mesh::{Crossing, ThreadMesh, solve_mesh};
use crate::threads::row::ThreadSides;
use ventwright::measure::grid::{GridValue, smooth_grid_study};
use ventwright::measure::repeat::RepeatOutcome;
use ventwright::measure::series::StopReason;

/// Drives a mesh to rest and closes its books.
fn steady(mesh: &ThreadMesh) -> (f64, RepeatOutcome) {
    let outcome = solve_mesh(mesh);
    assert_eq!(outcome.drive.stop_reason, StopReason::Converged);
    let loss = outcome
        .drive
        .loss_coefficient
        .expect("it came to rest")
        .mean;
    assert_close(
        "K by force",
        outcome.drive.loss_coefficient_by_force,
        loss,
        1e-3,
    );
    assert!(
        outcome.drive.density_rise < 0.01 && outcome.drive.flow_error.abs() < 1e-3,
        "density rise {}, flow {}",
        outcome.drive.density_rise,
        outcome.drive.flow_error
    );
    (loss, outcome)
}

#[test]
fn a_quarter_between_mirrors_is_the_whole_mesh() {
    let quarter = ThreadMesh::new(0.5, Crossing::Touching, 5.0, 5.0);
    let whole = ThreadMesh {
        sides: ThreadSides::Periodic,
        ..quarter
    };
    let (expected, outcome) = steady(&quarter);
    let (loss, whole) = steady(&whole);
    println!("quarter {expected:.5}, whole {loss:.5}");
    assert_eq!(4 * outcome.drive.cell_count, whole.drive.cell_count);
    assert_close("K of the whole", loss, expected, 2e-4);
}

#[test]
fn threads_in_one_plane_cost_more_than_threads_behind_each_other() {
    let [one_plane, touching] = [Crossing::OnePlane, Crossing::Touching]
        .map(|crossing| steady(&ThreadMesh::new(0.5, crossing, 5.0, 5.0)).0);
    println!("one plane {one_plane:.4}, touching {touching:.4}");
    assert!(one_plane > 1.1 * touching);
}

/// K of the table's rows of a mesh between mirrors, coarse grid first.
fn grids(table: &Table, crossing: &str, open_fraction: f64, reynolds: f64) -> Vec<GridValue> {
    let is = |row: usize, column: &str, value: f64| {
        (table.number(row, column) - value).abs() < 1e-9 * value
    };
    (0..table.rows())
        .filter(|&row| {
            table.text(row, "crossing") == crossing
                && table.text(row, "sides") == "mirrors"
                && is(row, "open_fraction", open_fraction)
                && is(row, "thread_reynolds_number", reynolds)
        })
        .map(|row| GridValue {
            cells: table.number(row, "cells_per_pitch"),
            value: table.number(row, "K"),
        })
        .collect()
}

/// K of a published column, where it has one.
fn published(name: &str, columns: [&str; 3], open_fraction: f64, reynolds: f64) -> Option<f64> {
    let table = Table::read(name);
    let [open, thread, loss] = columns;
    let row = (0..table.rows()).find(|&row| {
        (table.number(row, open) - open_fraction).abs() < 1e-9
            && (table.number(row, thread) - reynolds).abs() < 1e-9
    })?;
    table.text(row, loss).parse().ok()
}

#[test]
fn the_table_closes_its_books() {
    let table = Table::read("heavy/thread_meshes.csv");
    assert!(table.rows() >= 40);
    for row in 0..table.rows() {
        let (loss, by_force) = (table.number(row, "K"), table.number(row, "K_by_force"));
        assert_close(&format!("K by force, row {row}"), by_force, loss, 5e-3);
        assert!(table.number(row, "density_rise") < 0.01);
        assert!(table.number(row, "flow_error").abs() < 1e-3);
        // Some rows at a Reynolds number of 100 still swing a little at the end of their time.
        assert!(table.number(row, "half_width_in_time") < 5e-3 * loss);
    }
}

#[test]
fn meshes_cost_what_published_correlations_say_within_their_scatter() {
    let table = Table::read("heavy/thread_meshes.csv");
    let screens = "woven_screen_correlations.csv";
    let others = ["K_wieghardt1953", "K_brundrett1993", "K_bailey2003"];
    let mut compared = 0;
    for open_fraction in [0.3, 0.4, 0.5, 0.6, 0.7] {
        for reynolds in [1.0, 5.0, 20.0, 100.0] {
            let remembered = others.map(|column| {
                let columns = ["open_area_ratio", "Re = U_approach*d_wire/nu", column];
                published(screens, columns, open_fraction, reynolds)
            });
            let columns = ["open_area_ratio", "Re_wire", "K_on_approach_velocity"];
            let name = "screen_round_wire_blevins.csv";
            let read = published(name, columns, open_fraction, reynolds);
            for crossing in ["touching", "woven"] {
                let rows = grids(&table, crossing, open_fraction, reynolds);
                let Some((finest, coarser)) = rows.split_last() else {
                    continue;
                };
                let best = coarser.last().map_or(finest.value, |coarse| {
                    let change = match crossing {
                        "woven" => 0.12,
                        _ if reynolds < 100.0 => 0.05,
                        _ => 0.07,
                    };
                    assert_close("the coarse grid", coarse.value, finest.value, change);
                    smooth_grid_study(*finest, *coarse).extrapolated
                });
                println!(
                    "open {open_fraction} Re {reynolds} {crossing}: {:?}, extrapolated {best:.4}; read {read:?}, remembered {remembered:?}",
                    rows.iter()
                        .map(|grid| (grid.cells, grid.value))
                        .collect::<Vec<_>>()
                );
                // Denser meshes are shown only, see the head.
                if let Some(read) = read.filter(|_| open_fraction > 0.35) {
                    let name = format!("{crossing}, open {open_fraction}, Re {reynolds}");
                    let scatter = if crossing == "woven" { 0.25 } else { 0.4 };
                    assert_close(&name, best, read, scatter);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared >= 15, "{compared} compared");
}

#[test]
fn meshes_cost_less_the_more_open_they_are_and_the_faster_the_air_is() {
    let table = Table::read("heavy/thread_meshes.csv");
    let reynolds_numbers = [0.5, 1.0, 5.0, 20.0, 50.0, 100.0];
    let loss = |open_fraction: f64, reynolds: f64| {
        let rows = grids(&table, "touching", open_fraction, reynolds);
        rows.first().map(|coarse| coarse.value)
    };
    let open_fractions: Vec<f64> = [0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]
        .into_iter()
        .filter(|&open_fraction| {
            let there = |&reynolds: &f64| loss(open_fraction, reynolds).is_some();
            reynolds_numbers.iter().all(there)
        })
        .collect();
    assert!(open_fractions.len() >= 5, "{open_fractions:?}");
    let losses: Vec<Vec<f64>> = open_fractions
        .iter()
        .map(|&open| {
            reynolds_numbers
                .iter()
                .filter_map(|&re| loss(open, re))
                .collect()
        })
        .collect();
    for losses in &losses {
        assert!(
            losses.windows(2).all(|pair| pair[1] < pair[0]),
            "{losses:?}"
        );
        // Where viscosity rules, K goes with the inverse of the Reynolds number, and never falls faster; that of a lone cylinder falls least.
        let ratio = losses[0] / losses[1];
        let lone = 2.0 * 7.4_f64.ln() / (7.4_f64 / 0.5).ln();
        assert!(ratio < 2.0 && ratio > lone, "{ratio}, lone {lone}");
    }
    for pair in losses.windows(2) {
        assert!(
            pair[0]
                .iter()
                .zip(&pair[1])
                .all(|(dense, open)| open < dense)
        );
    }
}

#[test]
#[ignore = "slow: 30 s"]
fn coarse_rows_are_what_the_table_says() {
    let table = Table::read("heavy/thread_meshes.csv");
    for (name, crossing, open_fraction, reynolds, cells) in [
        ("touching", Crossing::Touching, 0.5, 1.0, 10.0),
        ("touching", Crossing::Touching, 0.7, 20.0, 8.0),
        ("woven", Crossing::Woven, 0.5, 20.0, 7.0),
    ] {
        let expected = grids(&table, name, open_fraction, reynolds)[0];
        let mesh = ThreadMesh::new(open_fraction, crossing, reynolds, cells);
        let (loss, outcome) = steady(&mesh);
        assert!((mesh.cells_per_pitch - expected.cells).abs() < 1e-9);
        println!(
            "{name} {open_fraction} {reynolds}: {loss:.5}, {} steps",
            outcome.drive.step_count
        );
        assert_close("K solved anew", loss, expected.value, 0.01);
    }
}

#[test]
fn vortices_that_mirrors_forbid_matter_little_up_to_a_reynolds_number_of_a_hundred() {
    let table = Table::read("heavy/thread_meshes.csv");
    let loss = |sides: &str, open_fraction: f64, reynolds: f64| {
        let is_it = |row: &usize| {
            table.text(*row, "crossing") == "touching"
                && table.text(*row, "sides") == sides
                && (table.number(*row, "open_fraction") - open_fraction).abs() < 1e-9
                && (table.number(*row, "thread_reynolds_number") - reynolds).abs() < 1e-9
        };
        let row = (0..table.rows()).find(is_it).unwrap();
        table.number(row, "K")
    };
    // A row of the coarse grid comes first; whole pitches are solved on it.
    for (open_fraction, reynolds, most) in
        [(0.5, 20.0, 0.002), (0.5, 100.0, 0.02), (0.7, 100.0, 0.08)]
    {
        let [mirrors, whole] =
            ["mirrors", "periodic"].map(|sides| loss(sides, open_fraction, reynolds));
        println!("open {open_fraction} Re {reynolds}: between mirrors {mirrors}, whole {whole}");
        // The threads lie elsewhere on the grid.
        assert!(whole > 0.99 * mirrors && whole < (1.0 + most) * mirrors);
    }
}

/// Share of the face that no thread covers.
fn open_share(mesh: &ThreadMesh) -> f64 {
    let steps = 80;
    let places = |count: u32| (0..count).map(move |n| (f64::from(n) + 0.5) / f64::from(count));
    let open = places(2 * steps)
        .flat_map(|y| places(2 * steps).map(move |z| (2.0 * y, 2.0 * z)))
        .filter(|&(y, z)| {
            places(steps).all(|depth| !mesh.is_solid([depth * mesh.thickness(), y, z]))
        })
        .count();
    open as f64 / f64::from(4 * steps * steps)
}

#[test]
fn every_crossing_leaves_the_open_fraction() {
    for crossing in [Crossing::Woven, Crossing::Touching, Crossing::OnePlane] {
        let mesh = ThreadMesh::new(0.5, crossing, 1.0, 8.0);
        let share = open_share(&mesh);
        assert!((share - 0.5).abs() < 0.02, "{crossing:?}: {share}");
    }
}

#[test]
fn woven_threads_touch_where_they_cross_and_nothing_stands_out() {
    let mesh = ThreadMesh::new(0.5, Crossing::Woven, 1.0, 8.0);
    let diameter = mesh.diameter();
    for (y, z) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (3.0, -2.0)] {
        for depth in [0.02, 0.98, 1.02, 1.98] {
            assert!(mesh.is_solid([depth * diameter, y, z]), "{depth} {y} {z}");
        }
        for depth in [-0.02, 2.02] {
            assert!(!mesh.is_solid([depth * diameter, y, z]), "{depth} {y} {z}");
        }
    }
    assert!(mesh.is_solid([diameter, 0.0, 0.5]));
    assert!(!mesh.is_solid([0.4 * diameter, 0.0, 0.5]));
}
