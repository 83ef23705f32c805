//! Developed laminar flow between plates and in a round pipe, driven by a uniform force, with walls anywhere between the cells.
//!
//! Source: the exact friction factors times Reynolds number of `tests/reference/duct_laminar_fRe.csv` (Darcy, on the hydraulic diameter).
//!
//! Order: 1.8 at least from each grid of 10, 20, 40 cells (across the gap, along the radius) to the next; a second-order scheme shows 1.9 to 2.1 before single
//! precision comes in. Seen, half-way: plates 2.0 and 2.1, pipe 2.0; worst of eight positions of the walls: plates 1.9 and 2.0, pipe 1.9 and 2.0.
//! Size at 40 cells: half-way plates 0.1 % (seen 0.055 %), half-way pipe 0.01 % (seen under 0.001 %); walls anywhere 0.5 %, what the lattice
//! promises for a square duct of 40 cells (seen 0.16 % and 0.07 % at viscosity 0.2; 0.22 % and 0.14 % at 0.02).
//!
//! The order is taken at viscosity 0.2: at 0.02 and 40 cells f Re stops falling with the cell, about 0.05 % off. The likely cause, not proven, is rounding: there the force adds
//! 1.6e-6 per step to a momentum of 0.01, whose last digit in single precision is 1e-9.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of cells and steps are small and positive; states are single precision"
)]

use crate::flow::{Shape, assert_error, wall};
use crate::reference;
use crate::steady;
use ventwright::lattice::collision::Fluid;
use ventwright::lattice::field::Extent;
use ventwright::lattice::halo::{Side, Sides};
use ventwright::lattice::simulation::{CellState, PlaneLattice, PlaneSetup};
use ventwright::lattice::step::Threads;
use ventwright::lattice::walls::WallGroup;
use ventwright::units::LatticeViscosity;

/// A straight duct along x.
#[derive(Clone, Copy)]
enum Duct {
    /// Walls at these two heights.
    Plates { low: f64, high: f64 },
    /// Radius from the axis at y = -1/2.
    Pipe { radius: f64 },
}

impl Duct {
    fn span(self) -> (f64, f64) {
        match self {
            Self::Plates { low, high } => (low, high),
            Self::Pipe { radius } => (-0.5, radius - 0.5),
        }
    }

    /// Hydraulic diameter: twice the gap, or the diameter.
    fn hydraulic_diameter(self) -> f64 {
        let (low, high) = self.span();
        2.0 * (high - low)
    }

    fn section_name(self) -> &'static str {
        match self {
            Self::Plates { .. } => "parallel_plates",
            Self::Pipe { .. } => "circle",
        }
    }

    /// f Re of the developed flow at this viscosity, over the exact one, less 1.
    fn friction_error(self, viscosity: f64) -> f64 {
        let (low, high) = self.span();
        let diameter = self.hydraulic_diameter();
        let rows = high.ceil() as usize + 1;
        let is_round = matches!(self, Self::Pipe { .. });
        let gradient = 0.5 * viscosity / (diameter * diameter);
        let shape = Shape(move |_, y| {
            let is_fluid = (is_round || y > low) && y < high;
            (!is_fluid).then(|| wall(WallGroup::Rim, [0.0; 2]))
        });
        let setup = PlaneSetup {
            extent: Extent::planar(1, rows),
            fluid: Fluid {
                force: [gradient, 0.0],
                ..Fluid::new(LatticeViscosity(viscosity))
            },
            is_axisymmetric: is_round,
            sides: Sides {
                along: Side::Periodic,
                bottom: if is_round { Side::Mirror } else { Side::Open },
                top: Side::Open,
            },
            geometry: &shape,
            outlet_velocity: None,
            threads: Threads::One,
        };
        let mut lattice = PlaneLattice::new(&setup, |_, _| CellState::default());
        let pairs = (0.02 * diameter * diameter / viscosity).ceil() as usize;
        let mean = steady::settle(&mut lattice, pairs, 60, 1e-5, |l| self.mean_velocity(l));
        let friction = 2.0 * diameter * diameter * gradient / (viscosity * mean);
        let exact = reference::table("duct_laminar_fRe.csv")
            .iter()
            .find(|row| row["section"] == self.section_name())
            .map(|row| reference::number(row, "darcy_f_times_Re_Dh"));
        friction / exact.expect("the section is in the table") - 1.0
    }

    /// Mean velocity of the exact profile that fits the cells best (least squares): no error of a quadrature near the walls comes in.
    fn mean_velocity(self, lattice: &PlaneLattice) -> f64 {
        let (low, high) = self.span();
        let (mut product, mut square) = (0.0, 0.0);
        for y in 0..lattice.extent().ny {
            let height = y as f64;
            if height <= low || height >= high {
                continue;
            }
            let (exact, weight) = match self {
                Self::Plates { .. } => (
                    6.0 * (height - low) * (high - height) / (high - low).powi(2),
                    1.0,
                ),
                Self::Pipe { radius } => (
                    2.0 * (1.0 - ((height + 0.5) / radius).powi(2)),
                    height + 0.5,
                ),
            };
            product += weight * exact * f64::from(lattice.cell(0, y).velocity[0]);
            square += weight * exact * exact;
        }
        product / square
    }
}

/// Largest error over eight positions of the walls between the cells.
fn worst_error(is_round: bool, cells: f64, viscosity: f64) -> f64 {
    let error = |shift: f64| {
        let duct = if is_round {
            Duct::Pipe {
                radius: cells + shift,
            }
        } else {
            Duct::Plates {
                low: shift - 0.5,
                high: cells - 0.5 + 1.7 * shift,
            }
        };
        duct.friction_error(viscosity).abs()
    };
    [0.0, 0.1, 0.2, 0.35, 0.5, 0.6, 0.75, 0.9]
        .map(error)
        .into_iter()
        .fold(0.0, f64::max)
}

fn assert_second_order(name: &str, errors: [f64; 3]) {
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!(
            order >= 1.8,
            "{name}: order {order:.2}, errors {errors:.6?}"
        );
    }
}

#[test]
fn half_way_walls_converge_at_second_order() {
    let errors = [10.0, 20.0, 40.0].map(|cells| {
        Duct::Plates {
            low: -0.5,
            high: cells - 0.5,
        }
        .friction_error(0.2)
    });
    assert_second_order("plates", errors);
    assert_error("plates at 40 cells", errors[2], 1e-3);
    // In the pipe the error sinks into the noise of single precision at 40 cells.
    let errors = [10.0, 20.0, 40.0].map(|radius| Duct::Pipe { radius }.friction_error(0.2));
    let order = (errors[0] / errors[1]).log2();
    assert!(order >= 1.8, "pipe: order {order:.2}, errors {errors:.6?}");
    assert_error("pipe at 40 cells", errors[2], 1e-4);
}

#[test]
fn walls_anywhere_between_cells_keep_second_order() {
    for (name, is_round) in [("plates", false), ("pipe", true)] {
        let errors = [10.0, 20.0, 40.0].map(|cells| worst_error(is_round, cells, 0.2));
        assert_second_order(name, errors);
        assert_error(&format!("worst {name} at 40 cells"), errors[2], 5e-3);
    }
}

#[test]
fn low_viscosity_keeps_the_friction() {
    for (name, is_round) in [("plates", false), ("pipe", true)] {
        let error = worst_error(is_round, 40.0, 0.02);
        assert_error(&format!("worst {name} at viscosity 0.02"), error, 5e-3);
    }
}
