//! A closed cylinder of which one end turns.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    dead_code,
    reason = "numbers of cells and steps are small and positive; not every program looks at all of the flow"
)]

use super::flow::{Shape, turning};
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::Side;
use ventwright::lattice::simulation::CellState;
use ventwright::lattice::step::Threads;
use ventwright::lattice::swirl::{SwirlLattice, SwirlSetup};
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

/// Velocity of the lid's edge: fast enough to be steady soon, slow enough for an error of compressibility below 1 %.
const EDGE: f64 = 0.08;

/// What counts as steady, see [`solve`].
pub(crate) const CHANGE: f64 = 2e-5;

/// The steady flow on its axis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OnAxis {
    /// Axial velocity of each column towards the end that turns, over the velocity of its edge.
    pub(crate) velocity: Vec<f64>,
    /// Largest velocity in the half towards the end at rest, by a parabola through the three highest columns.
    pub(crate) largest: f64,
    /// Its distance from the end at rest, over the height.
    pub(crate) place: f64,
    /// Where the air on the axis goes back, over the height: first and last.
    pub(crate) bubble: Option<(f64, f64)>,
    /// Steps until it was steady.
    pub(crate) steps: u64,
}

/// Solves the flow from rest: `rows` cells in the radius, which also is what the height is counted in.
///
/// Steady means that no velocity on the axis changes by more than `change` of the edge velocity while the lid's edge goes on by ten radii.
pub(crate) fn solve(
    rows: usize,
    height_over_radius: f64,
    reynolds_number: f64,
    change: f64,
    threads: Threads,
) -> OnAxis {
    let radius = rows as f64;
    let length = (height_over_radius * radius).round() as usize;
    let end = length as f64 - 0.5;
    let shape = Shape(move |x: f64, y: f64| {
        let speed = if x > end {
            EDGE * (y + 0.5) / radius
        } else {
            0.0
        };
        let is_wall = x < -0.5 || x > end || y > radius - 0.5;
        // The lid turns within the side that is at rest.
        let speed = if y > radius - 0.5 { 0.0 } else { speed };
        is_wall.then(|| turning(WallGroup::Rim, [0.0, 0.0, speed]))
    });
    let setup = SwirlSetup {
        extent: Extent::planar(length, rows),
        fluid: Fluid::new(LatticeViscosity(EDGE * radius / reynolds_number)).resolved(),
        along: Side::Open,
        outside: Side::Open,
        geometry: &shape,
        outlet_velocity: None,
        threads,
    };
    let mut lattice = SwirlLattice::new(&setup, |_, _| CellState {
        density: 0.0,
        velocity: [0.0; 3],
    });
    let pairs = (5.0 * radius / EDGE) as usize;
    let mut velocity = on_axis(&lattice);
    for _ in 0..200 {
        lattice.step_pairs(pairs);
        let now = on_axis(&lattice);
        let moved = now.iter().zip(&velocity).map(|(a, b)| (a - b).abs());
        let largest = moved.fold(0.0, f64::max);
        velocity = now;
        if largest < change && lattice.step_count() > 20 * pairs as u64 {
            break;
        }
    }
    told(velocity, lattice.step_count())
}

/// Axial velocity on the axis itself, from the two cells next to it: it goes with the square of the radius.
fn on_axis(lattice: &SwirlLattice) -> Vec<f64> {
    let cell = |x: usize, y: usize| f64::from(lattice.cell(x, y).velocity[0]) / EDGE;
    (0..lattice.extent().nx)
        .map(|x| (9.0 * cell(x, 0) - cell(x, 1)) / 8.0)
        .collect()
}

fn told(velocity: Vec<f64>, steps: u64) -> OnAxis {
    let length = velocity.len() as f64;
    let peak = (1..velocity.len() / 2)
        .max_by(|&a, &b| velocity[a].total_cmp(&velocity[b]))
        .unwrap_or(1);
    let (before, at, after) = (velocity[peak - 1], velocity[peak], velocity[peak + 1]);
    let shift = 0.5 * (before - after) / (before - 2.0 * at + after);
    let goes_back = |x: &usize| velocity[*x] < 0.0 && *x > peak;
    // Between the last column that goes on and the first that goes back.
    let crossing = |a: usize, b: usize| {
        let share = velocity[a] / (velocity[a] - velocity[b]);
        (a as f64 + share * (b as f64 - a as f64) + 0.5) / length
    };
    let first = (0..velocity.len()).find(goes_back);
    let last = (0..velocity.len() - 1).rev().find(goes_back);
    let bubble = first
        .zip(last)
        .map(|(first, last)| (crossing(first - 1, first), crossing(last + 1, last)));
    OnAxis {
        largest: at - 0.25 * (before - after) * shift,
        place: (peak as f64 + shift + 0.5) / length,
        bubble,
        steps,
        velocity,
    }
}
