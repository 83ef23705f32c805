//! Running until a flow is steady.

use ventwright::lattice::row_collision::RowCollision;
use ventwright::lattice::simulation::Lattice;

/// Advances in blocks of `pairs` pairs of steps until `value` changes by less than `tolerance` of itself over a block; returns the value.
///
/// Fails after `most_blocks` blocks: a test never judges a flow that still moves.
#[track_caller]
pub(crate) fn settle<C: RowCollision<Q>, const Q: usize>(
    lattice: &mut Lattice<C, Q>,
    pairs: usize,
    most_blocks: usize,
    tolerance: f64,
    value: impl Fn(&Lattice<C, Q>) -> f64,
) -> f64 {
    let mut last = f64::NAN;
    for _ in 0..most_blocks {
        lattice.step_pairs(pairs);
        let now = value(lattice);
        if (now - last).abs() <= tolerance * now.abs() {
            return now;
        }
        last = now;
    }
    panic!("not steady after {most_blocks} blocks of {pairs} pairs of steps: {last}");
}
