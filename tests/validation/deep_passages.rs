//! Straight passages turn an oblique stream axial as they get deep, laminar: the outflow angle goes to zero, and the plate takes up the tangential momentum.
//!
//! Source: momentum balance of a periodic row (closed form): the side force on the plate is the tangential momentum that came in less what goes out; what a passage of many widths lets out is parallel to its walls.
//! The loss that the incidence adds has no such limit; it is printed beside tan² of the inflow (all of the tangential head lost), which `tests/reference/swirl_incidence_loss_limit.csv` gives as an orientation.
//! Tolerance: 1 % of the tangential momentum at seven widths of depth, as the side force by the walls' own exchange; 0.5 % between force and momentum at every depth (book-keeping); the angle must fall from two widths on (before, the skewed profile still turns it past the axis).
//! Error seen: side force 0.9988 of the tangential momentum at seven widths, outflow under 0.001 degrees; force and momentum 0.2 %. At 30 degrees K falls by 0.13 against the straight stream, so of the tangential head 0.20 is lost and not 0.33.

use crate::common::assert_close;
use crate::common::table::Table;
use rayon::prelude::*;
use ventwright::lattice::step::Threads;
use ventwright::measure::momentum::{flow_tangent, momentum_flux};
use ventwright::tunnel::LeanedRow;
use ventwright::units::LatticeVelocity;

const VELOCITY: f64 = 0.02;

/// Static K, tangent of the outflow, and side force over the axial momentum of the stream.
fn solve(depth: f64, inflow_tangent: f64) -> [f64; 3] {
    let row = LeanedRow {
        free_area_ratio: 0.6,
        thickness: depth,
        lean_tangent: 0.0,
        inflow_tangent,
        reynolds_number: 50.0,
        cells_across_slot: 24.0,
        face_velocity: LatticeVelocity(VELOCITY),
        pitches_ahead: 2.0,
        pitches_behind: 4.0,
    };
    let (mut lattice, layout) = row.build(Threads::One);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some thousands of steps"
    )]
    let pairs = |pitch_times: f64| (pitch_times * layout.pitch / VELOCITY / 2.0) as usize;
    lattice.step_pairs(pairs(14.0));
    // Sound still runs to and fro: averaged over one pitch-time.
    let mut sums = [0.0; 3];
    for _ in 0..100 {
        lattice.step_pairs(pairs(0.01));
        let drop = momentum_flux(&lattice, layout.ahead) - momentum_flux(&lattice, layout.behind);
        sums[0] += 2.0 * drop / (VELOCITY * VELOCITY) / 100.0;
        sums[1] += flow_tangent(&lattice, layout.behind, VELOCITY) / 100.0;
        sums[2] += lattice.wall_force().body[1] / layout.pitch / (VELOCITY * VELOCITY) / 100.0;
    }
    sums
}

#[test]
fn deep_straight_passages_turn_the_flow_axial() {
    let limit = Table::read("swirl_incidence_loss_limit.csv");
    let angles = [15.0, 30.0];
    let depths = [0.5, 1.0, 2.0, 4.0, 7.0];
    let jobs: Vec<(f64, f64)> = angles
        .iter()
        .flat_map(|&angle| depths.map(|depth| (angle, depth)))
        .collect();
    let straight: Vec<f64> = depths
        .par_iter()
        .map(|&depth| solve(depth, 0.0)[0])
        .collect();
    let solved: Vec<[f64; 3]> = jobs
        .par_iter()
        .map(|&(angle, depth): &(f64, f64)| solve(depth, angle.to_radians().tan()))
        .collect();
    for (&angle, rows) in angles.iter().zip(solved.chunks_exact(depths.len())) {
        let inflow = angle.to_radians().tan();
        let head = (0..limit.rows())
            .find(|&row| (limit.number(row, "swirl_angle_deg") - angle).abs() < 1e-9)
            .map(|row| limit.number(row, "added_K_on_axial_velocity = tan^2"))
            .expect("the angle stands in the table");
        assert_close("tan²", head, inflow * inflow, 1e-3);
        let mut last = inflow;
        for ((&depth, [loss, outflow, side]), straight) in depths.iter().zip(rows).zip(&straight) {
            println!(
                "{angle} degrees, {depth} widths deep: out {:.3} degrees, side force {:.4} of the tangential momentum, K {loss:.3}, {:+.3} over the straight stream's, tan² {head:.3}",
                outflow.atan().to_degrees(),
                side / inflow,
                loss - straight,
            );
            assert_close("side force and momentum", side + outflow, inflow, 0.005);
            if depth > 2.0 {
                assert!(outflow.abs() < last.abs(), "{angle} {depth}: {outflow}");
            }
            last = *outflow;
        }
        let [_, _, side] = rows[rows.len() - 1];
        assert_close("side force of a deep row", side, inflow, 0.01);
    }
}
