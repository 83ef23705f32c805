//! The outlet lets sound and vortices leave air that turns, without sending anything back.
//!
//! Source: no table. Sound: the linearised equations, as in `outlet.rs`. Vortices: the same flow in a tube twice as long, whose outlet has not been reached yet, is what a tube without an end would show.
//!
//! Tolerance, the design's own: a plane pulse comes back with at most 2 %; a swirl that leaves moves the mean pressure upstream by less than 1 % of the stream's dynamic pressure. A column of swirl that stands
//! in the outlet may not draw air in: the axial velocity in the last column is at most 1 % of the stream off that at the same place in a tube twice as long.
//! Seen: pulses 0.6 to 1.6 %, as in air that does not turn; a short swirl, as fast as the stream at most, 0.16 and 0.39 %; a column of swirl 0.18 % in velocity, under 0.001 % in pressure.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error, turning};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::measure::swirl::swirl_plane;
use ventwright::units::LatticeViscosity;

const SOUND: f64 = 0.577_350_269_189_625_8;
const VELOCITY: f64 = 0.05;
const ROWS: usize = 24;

fn tube(
    length: usize,
    viscosity: f64,
    inlet: impl Fn(f64) -> f64 + Copy,
    initial: impl FnMut(usize, usize) -> CellState<3>,
) -> SwirlLattice {
    let shape = Shape(move |x: f64, y: f64| {
        (x < -0.5).then(|| turning(WallGroup::Rim, [VELOCITY, 0.0, inlet(y + 0.5)]))
    });
    let setup = SwirlSetup {
        extent: Extent::planar(length, ROWS),
        fluid: Fluid::new(LatticeViscosity(viscosity)),
        along: Side::Open,
        outside: Side::Mirror,
        geometry: &shape,
        outlet_velocity: Some(VELOCITY),
        threads: Threads::One,
    };
    SwirlLattice::new(&setup, initial)
}

/// Largest pressure of what comes back of a plane pulse in air that turns as a whole, as fast at the side as it flows; over that of the pulse.
fn reflection(length: usize, width: f64) -> f64 {
    let amplitude = 1e-4;
    let rotation = VELOCITY / ROWS as f64;
    let centre = 0.5 * length as f64;
    let root = VELOCITY.hypot(SOUND);
    let (ahead, back) = (VELOCITY + root, VELOCITY - root);
    let pulse = |x: usize| amplitude * (-((x as f64 - centre) / width).powi(2)).exp();
    let mean_square = 0.5 * VELOCITY * VELOCITY * (1.0 - 0.5 / (ROWS * ROWS) as f64);
    let mut lattice = tube(
        length,
        0.01,
        |r| rotation * r,
        |x, y| {
            let swirl = rotation * (y as f64 + 0.5);
            let pressure = pulse(x) + 0.5 * (swirl * swirl - mean_square);
            CellState {
                density: (3.0 * pressure) as f32,
                velocity: [
                    (VELOCITY + 3.0 * ahead * pulse(x)) as f32,
                    0.0,
                    swirl as f32,
                ],
            }
        },
    );
    // The pulse has left after half a length; what comes back reaches the middle after one.
    let mut worst = 0.0_f64;
    while lattice.step_count() as f64 <= 0.5 * length as f64 * (1.0 / ahead - 2.0 / back) {
        lattice.step_pairs(1);
        let plane = swirl_plane(&lattice, length / 2);
        let own = plane.velocity - VELOCITY;
        let returning = (3.0 * ahead * plane.pressure - own) / (3.0 * (ahead - back));
        if lattice.step_count() as f64 > 0.5 * length as f64 / ahead {
            worst = worst.max(returning.abs());
        }
    }
    worst / amplitude
}

#[test]
fn plane_pulse_leaves_air_that_turns() {
    for length in [200, 400] {
        for share in [0.025, 0.05, 0.1] {
            let error = reflection(length, share * length as f64);
            let name = format!("pulse of {share} times {length} cells");
            assert_error(&name, error, 0.02);
        }
    }
}

/// A vortex that turns fastest, with `fastest`, at a third of the tube's radius, and dies out towards its side.
fn vortex(r: f64, fastest: f64) -> f64 {
    let s = 3.0 * r / ROWS as f64;
    fastest * s * (0.5 * (1.0 - s * s)).exp()
}

#[test]
fn a_short_swirl_leaves() {
    let length = 240;
    for share in [0.5, 1.0] {
        let state = |x: usize, y: usize| {
            let along = (x as f64 - 0.5 * length as f64) / ROWS as f64;
            let swirl = vortex(y as f64 + 0.5, share * VELOCITY) * (-along * along).exp();
            CellState {
                density: 0.0,
                velocity: [VELOCITY as f32, 0.0, swirl as f32],
            }
        };
        let mut short = tube(length, 0.005, |_| 0.0, state);
        let mut long = tube(2 * length, 0.005, |_| 0.0, state);
        let mut worst = 0.0_f64;
        // The sound of the start has died out in both before the swirl reaches the end.
        let leaves = (0.25 * length as f64 / VELOCITY) as u64;
        while short.step_count() < 4 * leaves {
            short.step_pairs(20);
            long.step_pairs(20);
            if short.step_count() > leaves {
                let pressure = |l| swirl_plane(l, length / 5).pressure;
                worst = worst.max((pressure(&short) - pressure(&long)).abs());
            }
        }
        let dynamic = 0.5 * VELOCITY * VELOCITY;
        let name = format!("swirl of {share} of the stream");
        assert_error(&name, worst / dynamic, 0.01);
    }
}

#[test]
fn a_column_of_swirl_stands_in_the_outlet() {
    let length = 160;
    let inlet = |r: f64| vortex(r, 0.8 * VELOCITY);
    let still = |_: usize, _: usize| CellState {
        density: 0.0,
        velocity: [VELOCITY as f32, 0.0, 0.0],
    };
    let [short, long] = [length, 2 * length].map(|length| {
        let mut lattice = tube(length, 0.005, inlet, still);
        lattice.step_pairs(12_000);
        lattice
    });
    let (mut worst, mut slowest) = (0.0_f64, f64::MAX);
    for y in 0..ROWS {
        let axial = |l: &SwirlLattice| f64::from(l.cell(length - 1, y).velocity[0]);
        worst = worst.max((axial(&short) - axial(&long)).abs());
        slowest = slowest.min(axial(&short));
    }
    assert_error("axial velocity in the outlet", worst / VELOCITY, 0.01);
    assert!(slowest > 0.5 * VELOCITY, "nothing flows back: {slowest}");
    let dynamic = 0.5 * VELOCITY * VELOCITY;
    let pressure = |l| swirl_plane(l, 10).pressure - swirl_plane(l, length - 10).pressure;
    let error = (pressure(&short) - pressure(&long)) / dynamic;
    assert_error("pressure along the tube", error, 0.01);
}
