//! Which discrete velocities a lattice has.

/// A set of `Q` velocities with its weights; the squared speed of sound is 1/3 in all of them.
///
/// Velocities have three components in every set, so that the code around the collision is written once.
/// Direction 0 rests, 1 and 2 are opposites, 3 and 4, and so on; one that rests may stand at the end. Unused components are zero.
pub trait VelocitySet<const Q: usize>: Copy + Send + Sync + 'static {
    /// Velocity of each direction, cells per step.
    const VELOCITIES: [[i32; 3]; Q];
    /// Weight of each direction; they sum to 1 (those that carry angular momentum sum to 1 of their own).
    const WEIGHTS: [f64; Q];
    /// The direction that points the other way.
    const OPPOSITE: [usize; Q];
    /// Whether some velocity has a z component.
    const IS_THREE_DIMENSIONAL: bool;
    /// How many directions, the first ones, carry mass and momentum; those behind them carry angular momentum. All of them but with swirl.
    const FLOW: usize = Q;
}

/// Nine velocities in the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct D2Q9;

impl VelocitySet<9> for D2Q9 {
    const VELOCITIES: [[i32; 3]; 9] = [
        [0, 0, 0],
        [1, 0, 0],
        [-1, 0, 0],
        [0, 1, 0],
        [0, -1, 0],
        [1, 1, 0],
        [-1, -1, 0],
        [1, -1, 0],
        [-1, 1, 0],
    ];
    const WEIGHTS: [f64; 9] = [
        4.0 / 9.0,
        1.0 / 9.0,
        1.0 / 9.0,
        1.0 / 9.0,
        1.0 / 9.0,
        1.0 / 36.0,
        1.0 / 36.0,
        1.0 / 36.0,
        1.0 / 36.0,
    ];
    const OPPOSITE: [usize; 9] = [0, 2, 1, 4, 3, 6, 5, 8, 7];
    const IS_THREE_DIMENSIONAL: bool = false;
}

/// The nine velocities of the plane, and five more for what the air turns about the axis: four to the neighbours, and one at rest behind them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct D2Q9Swirl;

impl VelocitySet<14> for D2Q9Swirl {
    const VELOCITIES: [[i32; 3]; 14] = {
        let mut velocities = [[0; 3]; 14];
        let mut i = 0;
        while i < 9 {
            velocities[i] = D2Q9::VELOCITIES[i];
            i += 1;
        }
        while i < 13 {
            velocities[i] = D2Q9::VELOCITIES[i - 8];
            i += 1;
        }
        velocities
    };
    const WEIGHTS: [f64; 14] = {
        let mut weights = [1.0 / 6.0; 14];
        let mut i = 0;
        while i < 9 {
            weights[i] = D2Q9::WEIGHTS[i];
            i += 1;
        }
        weights[13] = 1.0 / 3.0;
        weights
    };
    const OPPOSITE: [usize; 14] = [0, 2, 1, 4, 3, 6, 5, 8, 7, 10, 9, 12, 11, 13];
    const IS_THREE_DIMENSIONAL: bool = false;
    const FLOW: usize = 9;
}

/// Nineteen velocities in space: rest, the six neighbours across a face, the twelve across an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct D3Q19;

impl VelocitySet<19> for D3Q19 {
    const VELOCITIES: [[i32; 3]; 19] = [
        [0, 0, 0],
        [1, 0, 0],
        [-1, 0, 0],
        [0, 1, 0],
        [0, -1, 0],
        [0, 0, 1],
        [0, 0, -1],
        [1, 1, 0],
        [-1, -1, 0],
        [1, -1, 0],
        [-1, 1, 0],
        [1, 0, 1],
        [-1, 0, -1],
        [1, 0, -1],
        [-1, 0, 1],
        [0, 1, 1],
        [0, -1, -1],
        [0, 1, -1],
        [0, -1, 1],
    ];
    const WEIGHTS: [f64; 19] = {
        let mut weights = [1.0 / 36.0; 19];
        weights[0] = 1.0 / 3.0;
        let mut i = 1;
        while i < 7 {
            weights[i] = 1.0 / 18.0;
            i += 1;
        }
        weights
    };
    const OPPOSITE: [usize; 19] = [
        0, 2, 1, 4, 3, 6, 5, 8, 7, 10, 9, 12, 11, 14, 13, 16, 15, 18, 17,
    ];
    const IS_THREE_DIMENSIONAL: bool = true;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_isotropic_to_fourth_order<V: VelocitySet<Q>, const Q: usize>(dimensions: usize) {
        let sum = |term: &dyn Fn([f64; 3]) -> f64| -> f64 {
            (0..Q)
                .map(|i| V::WEIGHTS[i] * term(V::VELOCITIES[i].map(f64::from)))
                .sum()
        };
        assert!((sum(&|_| 1.0) - 1.0).abs() < 1e-15);
        for a in 0..dimensions {
            assert!(sum(&|c| c[a]).abs() < 1e-15);
            for b in 0..dimensions {
                let expected = if a == b { 1.0 / 3.0 } else { 0.0 };
                assert!((sum(&|c| c[a] * c[b]) - expected).abs() < 1e-15);
                let fourth = if a == b { 1.0 / 3.0 } else { 1.0 / 9.0 };
                assert!((sum(&|c| c[a] * c[a] * c[b] * c[b]) - fourth).abs() < 1e-15);
            }
        }
    }

    #[test]
    fn nine_velocities_are_isotropic_to_fourth_order() {
        is_isotropic_to_fourth_order::<D2Q9, 9>(2);
    }

    #[test]
    fn nineteen_velocities_are_isotropic_to_fourth_order() {
        is_isotropic_to_fourth_order::<D3Q19, 19>(3);
    }

    fn has_opposites_in_pairs<V: VelocitySet<Q>, const Q: usize>() {
        for i in 0..Q {
            let opposite = V::VELOCITIES[V::OPPOSITE[i]];
            assert_eq!(V::VELOCITIES[i].map(|c| -c), opposite);
            assert_eq!(V::OPPOSITE[i].div_ceil(2), i.div_ceil(2));
            assert_eq!(V::OPPOSITE[i] < V::FLOW, i < V::FLOW);
        }
    }

    #[test]
    fn opposites_point_the_other_way_and_stand_side_by_side() {
        has_opposites_in_pairs::<D2Q9, 9>();
        has_opposites_in_pairs::<D2Q9Swirl, 14>();
        has_opposites_in_pairs::<D3Q19, 19>();
    }
}
