//! A repeat that begins with the flow of a coarser grid comes to the same K as one that begins with the undisturbed stream, sooner; and no other way to save time changes K by more than it says.
//!
//! Source: the same repeat of straight hexagons (free-area ratio 0.60, 16 cells) from the undisturbed stream, run for 16 pitch-times; both starts are ours, so this shows that the start is forgotten, not that K is right.
//! For the other ways `tests/reference/heavy/time_to_answer.csv` (command: `cargo bench --bench heavy_time_to_answer`).
//! Tolerance: 1 % for every mean over a pitch-time from the second one on, and 1 % for the settled means: under the 1.5 % that a repeat is run to.
//! In the table 1 % for repeats; 2.5 % for the hole view, which is the least that its grid counts for, because the lattice velocity shifts an unsteady axisymmetric jet as another grid does.
//! Error seen: every pitch-time from the second on within 0.4 %, the settled means 0.1 % (1.7744 against 1.7726). In the table repeats 0.6 %, the hole view 1.4 %, all of it from the velocity.

use crate::common::assert_close;
use crate::common::table::Table;
use crate::holes::{Case, digits};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, Sample};

/// Means of K over whole pitch-times.
fn means(history: &[Sample]) -> Vec<f64> {
    let mean = |samples: &[Sample]| {
        samples.iter().map(|s| s.loss_coefficient).sum::<f64>() / samples.len() as f64
    };
    history.chunks_exact(60).map(mean).collect()
}

#[test]
fn saving_time_leaves_k_within_its_interval() {
    let table = Table::read("heavy/time_to_answer.csv");
    let mut all_measures = (0.0, 0.0);
    for row in 0..table.rows() {
        let number = |column: &str| table.number(row, column);
        let answer = (number("K"), number("million_cell_updates"));
        let name = format!(
            "{} {}",
            table.text(row, "view"),
            table.text(row, "measures")
        );
        if table.text(row, "measures") == "all measures" {
            all_measures = answer;
            continue;
        }
        let allowed = if table.text(row, "view") == "hole view" {
            0.025
        } else {
            0.01
        };
        assert_close(&name, answer.0, all_measures.0, allowed);
        assert!(answer.1 > all_measures.1, "{name} is no measure");
    }
}

#[test]
fn the_start_is_forgotten_within_a_pitch_time() {
    let solve = |head_start: f64, time: f64| {
        let case = Case {
            head_start,
            reynolds_number: 1667.0,
            ..Case::straight("hexagon", 0.6, 16.0)
        };
        let limits = DriveLimits {
            tolerance: 1e-6,
            other_doubts: 0.0,
            least_time: time,
            longest_time: time,
        };
        let solved = case.solve(&limits, Threads::Pool(2)).expect("it fits");
        println!(
            "{}, head start {}: {} s",
            case.names().join(" "),
            digits(head_start, 0),
            digits(solved.seconds, 1)
        );
        solved.outcome
    };
    let (from_rest, ahead) = (solve(0.0, 16.0), solve(5.0, 5.0));
    let settled = from_rest.drive.loss_coefficient.expect("it settles").mean;
    let means_ahead = means(&ahead.drive.history);
    println!(
        "from the undisturbed stream: {settled:.4}, {:?}",
        means(&from_rest.drive.history)
    );
    println!(
        "with a head start: {:?}, {means_ahead:?}",
        ahead.drive.loss_coefficient
    );
    for mean in &means_ahead[1..] {
        assert_close("K over a pitch-time", *mean, settled, 0.01);
    }
    let early = ahead.drive.loss_coefficient.expect("it settles").mean;
    assert_close("K after a head start", early, settled, 0.01);
}
