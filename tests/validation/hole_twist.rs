//! Twisted holes by both hands, and straight ones: swirl, helicity and couple on the plate, laminar (hole Reynolds number 100).
//!
//! Source: mirror symmetry, which is exact: seen in a mirror a right-hand twist is a left-hand one, so K is the same, and swirl, helicity and couple turn their signs over.
//! A straight hole is its own image and has none of the three. The couple of a plate that turns the air by the right hand is a left-hand one (reaction).
//! Tolerance: the repeat has an even number of cells along y, so the grid is its own image too and only rounding of single precision is left: 1e-4.
//! Error seen: K of both hands differs by 7e-10, the couples by 2e-7; the couple of the straight hole is 1e-7 of theirs.
//! Printed for looking at: 20 degrees by the right hand at 11.6 cells make swirl number 0.037 half-way through the hole and 0.025 half a diameter behind it, couple -0.077; K 10.62 against 10.56 straight.

use crate::common::assert_close;
use crate::common::repeat::{Solved, solve, triangles, twisted};
use ventwright::grille::Turn;
use ventwright::measure::hole_swirl::{SwirlStation, swirl_profile, torque_coefficients};

/// K, couple of each hole, stations.
struct Seen {
    loss: f64,
    torques: Vec<f64>,
    stations: Vec<SwirlStation>,
    side_force: [f64; 2],
}

fn seen(turn: Turn) -> Seen {
    let Solved { outcome, holes, .. } = solve(triangles(turn), 11.6, 100.0, 9.0);
    assert_eq!(outcome.layout.cells.ny % 2, 0, "{:?}", outcome.layout);
    Seen {
        loss: outcome
            .drive
            .loss_coefficient
            .expect("the flow settles")
            .mean,
        torques: torque_coefficients(&outcome, &holes),
        stations: swirl_profile(&outcome, &holes),
        side_force: outcome.side_force,
    }
}

fn largest(stations: &[SwirlStation], value: impl Fn(&SwirlStation) -> f64) -> f64 {
    stations.iter().map(|s| value(s).abs()).fold(0.0, f64::max)
}

#[test]
#[ignore = "slow: 30 s"]
fn twist_by_the_other_hand_is_the_mirror_image() {
    let [straight, right, left] = [Turn::Straight, twisted(20.0), twisted(-20.0)].map(seen);
    assert_close("K of the other hand", left.loss, right.loss, 1e-4);
    for (l, r) in left.torques.iter().zip(&right.torques) {
        assert_close("couple of the other hand", -l, *r, 1e-4);
        assert!(*r < 0.0, "the couple {r} is no reaction");
    }
    let [y, z] = right.side_force;
    let [mirrored_y, same_z] = left.side_force;
    assert!(
        y.hypot(z) > 1e-3,
        "{:?}: three corners that twist pull aside",
        right.side_force
    );
    assert_close("side force along y", -mirrored_y, y, 1e-4);
    assert_close("side force along z", same_z, z, 1e-4);
    let swirl = largest(&right.stations, |s| s.swirl_number);
    let helicity = largest(&right.stations, |s| s.helicity);
    for (l, r) in left.stations.iter().zip(&right.stations) {
        assert!((l.swirl_number + r.swirl_number).abs() < 1e-4 * swirl);
        assert!((l.helicity + r.helicity).abs() < 1e-4 * helicity);
    }
    assert!(largest(&straight.stations, |s| s.swirl_number) < 1e-4 * swirl);
    assert!(largest(&straight.stations, |s| s.helicity) < 1e-4 * helicity);
    for (s, r) in straight.torques.iter().zip(&right.torques) {
        assert!(s.abs() < 1e-4 * r.abs(), "{s} {r}");
    }
    let behind = right.stations.iter().filter(|s| (0.8..2.0).contains(&s.x));
    assert!(
        behind.clone().count() > 10 && behind.clone().all(|s| s.swirl_number > 0.01),
        "air follows the walls by the right hand"
    );
}
