//! The collision keeps what it must keep, whichever way the cell is turned.

use super::*;
use crate::lattice::collision::{self, RowConstants, Subgrid};
use crate::lattice::velocity_set::{D2Q9, D3Q19, VelocitySet};
use crate::units::LatticeViscosity;

fn fluid(viscosity: f64) -> Fluid<3> {
    Fluid::new(LatticeViscosity(viscosity))
}

fn moments(f: [f32; 19]) -> [f64; 4] {
    let mut sums = [0.0; 4];
    for (population, c) in f.map(f64::from).into_iter().zip(D3Q19::VELOCITIES) {
        sums[0] += population;
        for a in 0..3 {
            sums[a + 1] += f64::from(c[a]) * population;
        }
    }
    sums
}

fn sample() -> [f32; 19] {
    std::array::from_fn(|i| 0.002 * ((i * i * 5 + 3 * i) % 23) as f32 - 0.021)
}

fn assert_same(a: [f32; 19], b: [f32; 19], allowed: f32) {
    for i in 0..19 {
        assert!(
            (a[i] - b[i]).abs() <= allowed,
            "direction {i}: {} {}",
            a[i],
            b[i]
        );
    }
}

#[test]
fn collision_conserves_mass_and_momentum_and_adds_the_force() {
    let force = [1e-3, -2e-3, 3e-3];
    let forced = Fluid {
        force,
        ..fluid(0.02).with_subgrid()
    };
    let before = moments(sample());
    let free = VolumeConstants::new(&fluid(0.02).with_subgrid());
    let after = moments(collide::<true, false>(&free, sample()));
    let pushed = moments(collide::<true, true>(
        &VolumeConstants::new(&forced),
        sample(),
    ));
    for i in 0..4 {
        let gain = if i == 0 { 0.0 } else { force[i - 1] };
        assert!((before[i] - after[i]).abs() < 3e-8, "{before:?} {after:?}");
        assert!(
            (before[i] + gain - pushed[i]).abs() < 3e-8,
            "{before:?} {pushed:?}"
        );
    }
}

#[test]
fn equilibrium_has_its_moments_and_is_left_alone() {
    let (density, u) = (0.01, [0.08, -0.03, 0.05]);
    let f: [f32; 19] =
        std::array::from_fn(|i| equilibrium(D3Q19::VELOCITIES[i], density, u) as f32);
    let seen = moments(f);
    for (seen, expected) in seen.iter().zip([density, u[0], u[1], u[2]]) {
        assert!((seen - expected).abs() < 1e-8);
    }
    let constants = VolumeConstants::new(&fluid(0.5));
    assert_same(f, collide::<false, false>(&constants, f), 1e-8);
    let (density_seen, velocity) = constants.macroscopic(&f);
    assert!((f64::from(density_seen) - density).abs() < 1e-8);
    for (seen, expected) in velocity.iter().zip(u) {
        assert!((f64::from(*seen) - expected).abs() < 1e-8);
    }
}

#[test]
fn equilibrium_to_second_order_is_the_one_of_the_weights() {
    // Weights times 1 + 3 c·u + 4.5 (c·u)² − 1.5 u² up to fourth-order moments, which differ by design in terms of u² that cancel in every moment up to the third.
    let (density, u) = (0.02, [0.03, 0.02, -0.04]);
    let quadratic = |i: usize| {
        let c = D3Q19::VELOCITIES[i].map(f64::from);
        let drift: f64 = (0..3).map(|a| c[a] * u[a]).sum();
        let square: f64 = u.iter().map(|v| v * v).sum();
        D3Q19::WEIGHTS[i] * (density + 3.0 * drift + 4.5 * drift * drift - 1.5 * square)
    };
    for (a, b) in [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)] {
        let moment = |f: &dyn Fn(usize) -> f64| -> f64 {
            (0..19)
                .map(|i| {
                    let c = D3Q19::VELOCITIES[i];
                    f(i) * f64::from(c[a] * c[b])
                })
                .sum()
        };
        let own = moment(&|i| equilibrium(D3Q19::VELOCITIES[i], density, u));
        assert!((own - moment(&quadratic)).abs() < 1e-15);
    }
    for (i, w) in D3Q19::WEIGHTS.iter().enumerate() {
        assert!((equilibrium(D3Q19::VELOCITIES[i], 1.0, [0.0; 3]) - w).abs() < 1e-15);
    }
}

/// Where each direction goes under an axis permutation with signs.
fn turned(f: [f32; 19], axes: [usize; 3], signs: [i32; 3]) -> [f32; 19] {
    let mut result = [0.0; 19];
    for (population, c) in f.into_iter().zip(D3Q19::VELOCITIES) {
        let image = [0, 1, 2].map(|a| signs[a] * c[axes[a]]);
        let to = D3Q19::VELOCITIES.iter().position(|&v| v == image).unwrap();
        result[to] = population;
    }
    result
}

#[test]
fn collision_commutes_with_all_symmetries_of_the_cube() {
    let force = [1e-3, -2e-3, 3e-3];
    let mut count = 0;
    for axes in [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ] {
        for code in 0..8 {
            let signs = [0, 1, 2].map(|a| if code >> a & 1 == 1 { -1 } else { 1 });
            let own = Fluid {
                force,
                ..fluid(0.01).with_subgrid()
            };
            let image = Fluid {
                force: [0, 1, 2].map(|a| f64::from(signs[a]) * force[axes[a]]),
                ..own
            };
            let after = collide::<true, true>(&VolumeConstants::new(&own), sample());
            let first_turned =
                collide::<true, true>(&VolumeConstants::new(&image), turned(sample(), axes, signs));
            assert_same(turned(after, axes, signs), first_turned, 2e-8);
            count += 1;
        }
    }
    assert_eq!(count, 48);
}

#[test]
fn what_does_not_change_along_z_collides_as_in_the_plane() {
    // Populations of the plane, spread over the third axis as the weights are: moments of z² follow from them.
    let flat: [f32; 9] = std::array::from_fn(|i| {
        let c = D2Q9::VELOCITIES[i];
        let w = D2Q9::WEIGHTS[i];
        let stress = 2e-3 * f64::from(c[0] * c[1]) + 1e-3 * f64::from(c[0].pow(2) - c[1].pow(2));
        (collision::equilibrium(c, w, 0.01, [0.06, -0.04]) + w * stress) as f32
    });
    let mass: f32 = flat.iter().sum();
    // c_z = ±1 takes a third of the mass of each column of cells: only the moments of the plane and ⟨z²⟩, ⟨x²z²⟩, ⟨y²z²⟩ matter.
    // At a viscosity at which third-order moments are not remembered: how memory fades differs.
    let viscosity = MAGIC_PARAMETER / 1.5;
    let row = RowConstants::new(&Fluid::new(LatticeViscosity(viscosity)), 1.0, false);
    let after_flat = collision::collide::<false, false, false>(&row, flat);
    let constants = VolumeConstants::new(&fluid(viscosity));
    let after = collide::<false, false>(&constants, lifted(flat, mass));
    for (c, expected) in D2Q9::VELOCITIES.iter().zip(after_flat) {
        let sum: f32 = (0..19)
            .filter(|&j| D3Q19::VELOCITIES[j][..2] == c[..2])
            .map(|j| after[j])
            .sum();
        assert!((sum - expected).abs() < 2e-8, "{c:?}: {sum} {expected}");
    }
}

/// Nineteen populations whose sums over z are `flat`, with ⟨z²⟩ a third of the mass and ⟨x z²⟩ a third of the momentum.
fn lifted(flat: [f32; 9], mass: f32) -> [f32; 19] {
    let axis = |plus: usize, minus: usize, a: usize| {
        let diagonal = |sign: i32| -> f32 {
            (5..9)
                .filter(|&i| D2Q9::VELOCITIES[i][a] == sign)
                .map(|i| flat[i])
                .sum()
        };
        // A third of what moves along ±a in all, half of it up and half down.
        [
            (flat[plus] + diagonal(1)) / 6.0,
            (flat[minus] + diagonal(-1)) / 6.0,
        ]
    };
    let [up_x, down_x] = axis(1, 2, 0);
    let [up_y, down_y] = axis(3, 4, 1);
    let edges = 2.0 * (up_x + down_x + up_y + down_y);
    let along_z = 0.5 * (mass / 3.0 - edges);
    [
        flat[0] - 2.0 * along_z,
        flat[1] - 2.0 * up_x,
        flat[2] - 2.0 * down_x,
        flat[3] - 2.0 * up_y,
        flat[4] - 2.0 * down_y,
        along_z,
        along_z,
        flat[5],
        flat[6],
        flat[7],
        flat[8],
        up_x,
        down_x,
        up_x,
        down_x,
        up_y,
        down_y,
        up_y,
        down_y,
    ]
}

#[test]
fn subgrid_model_is_exactly_off_below_its_threshold() {
    let mut without_eddies = fluid(0.02);
    without_eddies.subgrid = Some(Subgrid {
        constant: 0.0,
        threshold: 0.0,
    });
    let plain = VolumeConstants::new(&without_eddies);
    let modelled = VolumeConstants::new(&fluid(0.02).with_subgrid());
    let shear_of = |cell_reynolds_number: f64| -> [f32; 19] {
        let stress = -(0.5 + 3.0 * 0.02) / 3.0 * cell_reynolds_number * 0.02;
        std::array::from_fn(|i| {
            let c = D3Q19::VELOCITIES[i];
            let shear = D3Q19::WEIGHTS[i] * 9.0 * f64::from(c[1] * c[2]) * stress;
            (equilibrium(c, 0.0, [0.05, 0.0, 0.02]) + shear) as f32
        })
    };
    let bits = |f: [f32; 19]| f.map(f32::to_bits);
    let both = |f| {
        (
            bits(collide::<true, false>(&plain, f)),
            bits(collide::<true, false>(&modelled, f)),
        )
    };
    let (off, below) = both(shear_of(1.9));
    assert_eq!(off, below);
    let (off, above) = both(shear_of(2.1));
    assert_ne!(off, above);
}
