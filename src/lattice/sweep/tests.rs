//! Several steps in one go give what whole steps give, bit by bit.

use crate::lattice::collision::Fluid;
use crate::lattice::field::Extent;
use crate::lattice::halo::{Side, Sides, VolumeSides};
use crate::lattice::row_collision::RowCollision;
use crate::lattice::simulation::{CellState, Lattice, PlaneLattice, PlaneSetup};
use crate::lattice::step::Threads;
use crate::lattice::swirl::{SwirlLattice, SwirlSetup};
use crate::lattice::volume::{VolumeLattice, VolumeSetup};
use crate::lattice::walls::{Geometry, WallForce, WallGroup, WallPoint};
use crate::units::LatticeViscosity;

/// An inlet, one ball across the border of the lattice, one at its far end, and a wall beyond every open side of y and z.
struct Obstacles {
    height: f64,
    has_floor: bool,
    depth: f64,
}

impl Geometry for Obstacles {
    fn wall_at(&self, [x, y, z]: [f64; 3]) -> Option<WallPoint> {
        let inlet = (x < -0.5).then_some([0.04, 0.01, 0.0]);
        let rim = self.has_floor && y < -0.5 || y > self.height || z > self.depth;
        let is_in = |a: f64, b: f64, c: f64, r: f64| (x - a).hypot(y - b).hypot(z - c) < r;
        let ball = is_in(14.3, 11.2, 0.4, 3.7) || is_in(39.6, 20.3, 5.2, 4.4);
        let velocity = inlet.or_else(|| (rim || ball).then_some([0.0; 3]))?;
        Some(WallPoint {
            group: if ball {
                WallGroup::Body
            } else {
                WallGroup::Rim
            },
            velocity,
        })
    }
}

/// A rough state that differs from cell to cell.
fn rough(x: usize, y: usize, z: usize) -> (f32, [f32; 3]) {
    let noise = |a: usize| ((x * 31 + y * 57 + z * 83 + a * 101) * 97 % 61) as f32 / 610.0 - 0.05;
    (0.2 * noise(0), [noise(1), noise(2), noise(3)])
}

fn force_bits(force: WallForce) -> Vec<f64> {
    force.body.into_iter().chain(force.rim).collect()
}

fn assert_same(
    case: &str,
    (states, force): &(Vec<u32>, WallForce),
    (plain, plain_force): &(Vec<u32>, WallForce),
) {
    assert!(states == plain, "{case}: states differ");
    for (a, b) in force_bits(*force).iter().zip(force_bits(*plain_force)) {
        assert!((a - b).abs() <= 1e-13 * (1.0 + b.abs()), "{case}: {a} {b}");
    }
}

/// As many pairs as go into two sweeps of four and one of a single pair, or the same step by step.
const PAIRS: usize = 9;

fn advance<C: RowCollision<Q>, const Q: usize>(
    lattice: &mut Lattice<C, Q>,
    swept: Option<Threads>,
) {
    if swept.is_some() {
        let mut left = PAIRS;
        while left > 0 {
            let done = lattice.sweep(left);
            assert!(done > 0, "this lattice can be swept");
            left -= done;
        }
    } else {
        // Single steps are never swept.
        for _ in 0..2 * PAIRS {
            lattice.step();
        }
    }
    assert_eq!(lattice.step_count(), 2 * PAIRS as u64);
}

/// States and force afterwards; without threads step by step.
fn volume(
    [nx, ny, nz]: [usize; 3],
    sides: VolumeSides,
    threads: Option<Threads>,
) -> (Vec<u32>, WallForce) {
    let beyond = |side: Side, cells: usize| match side {
        Side::Open => cells as f64 - 0.5,
        _ => f64::INFINITY,
    };
    let setup = VolumeSetup {
        extent: Extent { nx, ny, nz },
        fluid: Fluid::new(LatticeViscosity(0.02)).with_subgrid(),
        sides,
        geometry: &Obstacles {
            height: beyond(sides.top, ny),
            has_floor: sides.bottom == Side::Open,
            depth: beyond(sides.far, nz),
        },
        outlet_velocity: None,
        threads: threads.unwrap_or(Threads::One),
    };
    let mut lattice = VolumeLattice::new(&setup, |x, y, z| {
        let (density, velocity) = rough(x, y, z);
        CellState { density, velocity }
    });
    advance(&mut lattice, threads);
    let mut states = Vec::new();
    for z in 0..nz {
        for y in 0..ny {
            for x in lattice.fluid_runs(y, z).iter().cloned().flatten() {
                let state = lattice.cell(x, y, z);
                states.push(state.density.to_bits());
                states.extend(state.velocity.map(f32::to_bits));
            }
        }
    }
    (states, lattice.wall_force())
}

fn plane(
    [nx, ny]: [usize; 2],
    sides: Sides,
    is_axisymmetric: bool,
    threads: Option<Threads>,
) -> (Vec<u32>, WallForce) {
    let setup = PlaneSetup {
        extent: Extent::planar(nx, ny),
        fluid: Fluid::new(LatticeViscosity(0.02)).with_subgrid(),
        is_axisymmetric,
        sides,
        geometry: &Obstacles {
            height: match sides.top {
                Side::Open => ny as f64 - 0.5,
                _ => f64::INFINITY,
            },
            has_floor: sides.bottom == Side::Open,
            depth: f64::INFINITY,
        },
        outlet_velocity: Some([0.04, 0.01]),
        threads: threads.unwrap_or(Threads::One),
    };
    let mut lattice = PlaneLattice::new(&setup, |x, y| {
        let (density, [u, v, _]) = rough(x, y, 0);
        CellState {
            density,
            velocity: [u, v],
        }
    });
    advance(&mut lattice, threads);
    let mut states = Vec::new();
    for y in 0..ny {
        for x in lattice.fluid_runs(y).iter().cloned().flatten() {
            let state = lattice.cell(x, y);
            states.push(state.density.to_bits());
            states.extend(state.velocity.map(f32::to_bits));
        }
    }
    (states, lattice.wall_force())
}

/// The same with swirl, an outlet, and bodies that turn.
fn swirl([nx, ny]: [usize; 2], outside: Side, threads: Option<Threads>) -> (Vec<u32>, WallForce) {
    let setup = SwirlSetup {
        extent: Extent::planar(nx, ny),
        fluid: Fluid::new(LatticeViscosity(0.02)).with_subgrid(),
        along: Side::Open,
        outside,
        geometry: &Turning(Obstacles {
            height: match outside {
                Side::Open => ny as f64 - 0.5,
                _ => f64::INFINITY,
            },
            has_floor: false,
            depth: f64::INFINITY,
        }),
        outlet_velocity: Some(0.04),
        threads: threads.unwrap_or(Threads::One),
    };
    let mut lattice = SwirlLattice::new(&setup, |x, y| {
        let (density, velocity) = rough(x, y, 0);
        CellState { density, velocity }
    });
    advance(&mut lattice, threads);
    let mut states = Vec::new();
    for y in 0..ny {
        for x in lattice.fluid_runs(y).iter().cloned().flatten() {
            let state = lattice.cell(x, y);
            states.push(state.density.to_bits());
            states.extend(state.velocity.map(f32::to_bits));
        }
    }
    (states, lattice.wall_force())
}

/// Everything turns about the axis too.
struct Turning(Obstacles);

impl Geometry for Turning {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        let mut wall = self.0.wall_at(point)?;
        wall.velocity[2] = 0.001 * point[1];
        Some(wall)
    }
}

#[test]
fn a_swept_swirl_is_the_swirl_stepped_bit_by_bit() {
    for outside in [Side::Mirror, Side::Open] {
        let plain = swirl([53, 103], outside, None);
        assert!(plain.1.body[2].abs() > 0.0);
        for threads in COUNTS {
            let swept = swirl([53, 103], outside, Some(threads));
            assert_same(&format!("{outside:?} {threads:?}"), &swept, &plain);
        }
    }
}

const COUNTS: [Threads; 4] = [
    Threads::One,
    Threads::Pool(2),
    Threads::Pool(3),
    Threads::Pool(5),
];

#[test]
fn a_swept_plane_is_the_plane_stepped_bit_by_bit() {
    let pairs = [
        (Side::Periodic, Side::Periodic),
        (Side::Mirror, Side::Mirror),
        (Side::Mirror, Side::Open),
        (Side::Open, Side::Open),
    ];
    for (bottom, top) in pairs {
        for is_axisymmetric in [false, true] {
            if is_axisymmetric && bottom != Side::Mirror {
                continue;
            }
            let sides = Sides {
                along: Side::Open,
                bottom,
                top,
            };
            let plain = plane([53, 103], sides, is_axisymmetric, None);
            assert!(plain.1.body[0].abs() > 0.0);
            for threads in COUNTS {
                let swept = plane([53, 103], sides, is_axisymmetric, Some(threads));
                assert_same(&format!("{sides:?} {threads:?}"), &swept, &plain);
            }
        }
    }
}

#[test]
fn a_swept_volume_is_the_volume_stepped_bit_by_bit() {
    use Side::{Mirror, Open, Periodic};
    let sides = [
        [Periodic, Periodic, Periodic, Periodic],
        [Mirror, Mirror, Periodic, Periodic],
        [Periodic, Periodic, Mirror, Open],
        [Open, Mirror, Mirror, Mirror],
    ];
    for [bottom, top, near, far] in sides {
        let sides = VolumeSides {
            along: Side::Open,
            bottom,
            top,
            near,
            far,
        };
        let plain = volume([45, 23, 37], sides, None);
        assert!(plain.1.body[0].abs() > 0.0);
        for threads in COUNTS {
            let swept = volume([45, 23, 37], sides, Some(threads));
            assert_same(&format!("{sides:?} {threads:?}"), &swept, &plain);
        }
    }
}
