//! Where the grid lies beneath a three-dimensional hole must not matter: straight round holes, hole Reynolds number 100, 24 cells across.
//!
//! Source: the flow does not know of the grid, exactly. `RepeatDomain::fitted` chooses the place of the pattern; from there it is moved by parts of a cell along all axes.
//! Tolerance: spread of K under 1 %, of which a third is the open area: it is a whole number of cells. Beside it K must lie within 2 % of the hole view (48 cells), which is another
//! lattice in another geometry, checked against finite elements (`tests/validation/hole_view.rs`).
//! Error seen: spread 0.77 % over five places; mean K 10.09 against 10.01 of the hole view (+0.8 %).
//! Seen besides, not asserted: straight edges along the grid hang on its place far more (square holes at 16 cells 8 %, triangles 5 %), because their open area in cells jumps by whole rows;
//! that is why the place is chosen.

use crate::common::assert_close;
use crate::common::repeat::{DIAMETER, THICKNESS, domain, drive, is_solid, with_free_area};
use rayon::prelude::*;
use std::ops::ControlFlow;
use ventwright::grille::{HolePattern, HoleShape, Layout, Turn};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

const FREE_AREA_RATIO: f64 = 0.42;

fn hole_view() -> f64 {
    let domain = Domain {
        view: View::Hole,
        free_area_ratio: FREE_AREA_RATIO,
        thickness: THICKNESS / DIAMETER,
        front_edge: EdgeShape::Sharp,
        rear_edge: EdgeShape::Sharp,
        reynolds_number: 100.0,
        cells_across_opening: 48.0,
        face_velocity: LatticeVelocity(0.03 * FREE_AREA_RATIO),
        pitches_ahead: 1.0,
        pitches_behind: 3.5,
        has_subgrid: true,
        shift: 0.0,
    };
    let limits = DriveLimits {
        least_time: 6.0,
        ..DriveLimits::default()
    };
    let outcome = ventwright::measure::drive::drive(&domain, &limits, Threads::One, &mut |_| {
        ControlFlow::Continue(())
    });
    outcome.drive.loss_coefficient.expect("it settles").mean
}

#[test]
#[ignore = "slow: 1 min"]
fn loss_does_not_hang_on_the_place_of_the_grid() {
    let solid = with_free_area(FREE_AREA_RATIO, |rib| HolePattern {
        shape: HoleShape::Round { diameter: DIAMETER },
        layout: Layout::Staggered,
        rib,
        turn: Turn::Straight,
        merging_accepted: false,
    });
    let mut fitted = domain(&solid, 24.0, 100.0).fitted(&|place| is_solid(&solid, place));
    fitted.face_velocity = LatticeVelocity(0.06 * FREE_AREA_RATIO);
    fitted.pitches_behind = 1.5;
    let shifts = [
        [0.0, 0.0, 0.0],
        [0.0, 0.5, 0.0],
        [0.0, 0.25, 0.25],
        [0.0, 0.1, 0.6],
        [0.3, 0.5, 0.5],
    ];
    // Side by side on one thread each: the bits are those of two threads, and none waits for the other after each step.
    let solve = |shift: [f64; 3]| {
        let mut moved = fitted;
        for (place, by) in moved.shift.iter_mut().zip(shift) {
            *place += by;
        }
        let outcome = drive(&solid, &moved, 4.0, Threads::One, &mut |_| {
            ControlFlow::Continue(())
        });
        let loss = outcome
            .drive
            .loss_coefficient
            .expect("the flow settles")
            .mean;
        println!("{shift:?}: {loss}, {:?}", outcome.layout);
        loss
    };
    let (flat, losses) = rayon::join(hole_view, || {
        let solved = shifts.into_par_iter().with_max_len(1).map(solve);
        solved.collect::<Vec<f64>>()
    });
    let mean = losses.iter().sum::<f64>() / losses.len() as f64;
    let highest = losses.iter().copied().fold(0.0, f64::max);
    let lowest = losses.iter().copied().fold(f64::INFINITY, f64::min);
    let spread = (highest - lowest) / mean;
    println!("spread {spread}, mean {mean}, hole view {flat}");
    assert!(spread < 0.01, "spread {spread}: {losses:?}");
    assert_close("mean K beside the hole view", mean, flat, 0.02);
}
