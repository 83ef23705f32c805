//! How the flow turns about the axes of the holes, and with what couple it pulls at them.

use crate::lattice::field::Extent;
use crate::measure::repeat::RepeatOutcome;
use crate::measure::volume_gradient::{VelocityGradient, helicity};
use crate::measure::wall_load::moment;

/// The axis of a hole of a repeat, lengths in hydraulic diameters, in the coordinates of [`crate::tunnel::repeat::Solid`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoleAxis {
    /// Where it meets the face that the flow meets first: y and z, in whatever repeat.
    pub centre: [f64; 2],
    /// By how much it moves along y and z per depth: the tangents of the lean.
    pub slope: [f64; 2],
    /// +1 or -1: by which hand the hole twists for a positive twist; +1 if it does not.
    pub hand: f64,
}

impl HoleAxis {
    /// Place at a depth within the plate of this thickness; beyond a face as at the face.
    pub fn at(&self, depth: f64, thickness: f64) -> [f64; 2] {
        let depth = depth.clamp(0.0, thickness);
        [0, 1].map(|axis| self.centre[axis] + depth * self.slope[axis])
    }
}

/// How the mean flow turns in a plane across it, mean over the holes.
///
/// A hole's share of the plane is what lies nearer to its axis than to any other; ahead of the plate and behind it the axis goes on straight along x.
/// Each hole counts by its hand: positive is turning as the hole itself does for a positive twist, from y towards z along the flow (the right hand).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwirlStation {
    /// Distance behind the face that the flow meets first, hydraulic diameters.
    pub x: f64,
    /// Swirl number of the mean flow, dimensionless.
    ///
    /// ```text
    /// S = ∫ u u_θ r dA / (R ∫ u² dA)      u: velocity along x;  u_θ, r: velocity around the hole's axis, and distance from it
    ///                                     R: half the hydraulic diameter
    /// ```
    pub swirl_number: f64,
    /// Mean helicity density of the mean flow over the air of the plane: velocity times vorticity over (face velocity)² / hydraulic diameter.
    pub helicity: f64,
}

/// The couple of the flow on the plate about the axis of each hole.
///
/// ```text
/// C = M / (½ rho U² A Dh)      M: moment about x of the force on the walls nearest to this axis, from y towards z (the right hand along the flow)
///                              U: face velocity;  A: share of a hole in the area of the repeat;  Dh: hydraulic diameter
/// ```
///
/// Not turned over by the hand of a hole. Mean over the samples of the fields.
pub fn torque_coefficients(outcome: &RepeatOutcome, holes: &[HoleAxis]) -> Vec<f64> {
    let mut sums = vec![0.0; holes.len()];
    let cells = outcome.layout.cells;
    let mut shares = Shares::none();
    for (at, force) in &outcome.wall_load.cells {
        let [x, y, z] = *at;
        shares.prepare(outcome, holes, x);
        for share in shares.of(y + cells.ny * z) {
            sums[share.hole] += share.weight * moment(share.arm, *force);
        }
    }
    let area = (cells.ny * cells.nz) as f64 / holes.len().max(1) as f64;
    let unit = 0.5 * outcome.face_velocity.powi(2) * area * outcome.layout.cells_across_hole;
    sums.into_iter().map(|sum| sum / unit).collect()
}

/// Swirl and helicity of the mean flow from one hydraulic diameter ahead of the plate to three pitches behind it, as far as the domain reaches; one station per column of cells.
pub fn swirl_profile(outcome: &RepeatOutcome, holes: &[HoleAxis]) -> Vec<SwirlStation> {
    let layout = &outcome.layout;
    let per_diameter = layout.cells_across_hole;
    let last = layout.front + outcome.thickness + 3.0 * layout.pitch;
    let mut shares = Shares::none();
    (0..layout.cells.nx)
        .filter(|&x| (layout.front - per_diameter..=last).contains(&(x as f64)))
        .map(|x| {
            shares.prepare(outcome, holes, x);
            station(outcome, holes, &shares, x)
        })
        .collect()
}

/// Sums over a hole's share of a plane.
#[derive(Debug, Clone, Copy, Default)]
struct HoleSums {
    angular: f64,
    axial: f64,
    helicity: f64,
    area: f64,
}

fn station(outcome: &RepeatOutcome, holes: &[HoleAxis], shares: &Shares, x: usize) -> SwirlStation {
    let (mean, cells) = (&outcome.mean, outcome.layout.cells);
    let mut sums = vec![HoleSums::default(); holes.len()];
    for (y, z) in (0..cells.nz).flat_map(|z| (0..cells.ny).map(move |y| (y, z))) {
        let cell = mean.index(x, y, z);
        if mean.is_solid[cell] {
            continue;
        }
        let velocity = mean.velocity[cell];
        let turning = VelocityGradient::at(mean, [x, y, z]).vorticity();
        let helicity = f64::from(helicity(velocity, turning));
        let velocity = velocity.map(f64::from);
        for share in shares.of(y + cells.ny * z) {
            let sum = &mut sums[share.hole];
            sum.angular += share.weight * velocity[0] * moment(share.arm, velocity);
            sum.axial += share.weight * velocity[0] * velocity[0];
            sum.helicity += share.weight * helicity;
            sum.area += share.weight;
        }
    }
    let per_diameter = outcome.layout.cells_across_hole;
    let helicity_unit = outcome.face_velocity.powi(2) / per_diameter;
    let count = holes.len().max(1) as f64;
    let mean_of = |value: &dyn Fn(&HoleSums) -> f64| {
        let by_hand = holes.iter().zip(&sums);
        by_hand
            .map(|(hole, sum)| hole.hand * value(sum))
            .sum::<f64>()
            / count
    };
    let ratio = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
    SwirlStation {
        x: (x as f64 - outcome.layout.front) / per_diameter,
        swirl_number: mean_of(&|sum| ratio(sum.angular, 0.5 * per_diameter * sum.axial)),
        helicity: mean_of(&|sum| ratio(sum.helicity, sum.area * helicity_unit)),
    }
}

/// What of a cell of a plane belongs to a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Share {
    hole: usize,
    /// 1, or less where axes are equally near.
    weight: f64,
    /// From the axis to the cell's centre along y and z, cells.
    arm: [f64; 2],
}

/// The shares of all cells of a plane.
#[derive(Debug, Clone)]
struct Shares {
    /// Where the axes are, cells.
    axes: Vec<[f64; 2]>,
    parts: Vec<Share>,
    first_of_cell: Vec<usize>,
}

impl Shares {
    fn none() -> Self {
        Self {
            axes: Vec::new(),
            parts: Vec::new(),
            first_of_cell: Vec::new(),
        }
    }

    /// Finds the shares of column `x`, unless the axes are where they were.
    fn prepare(&mut self, outcome: &RepeatOutcome, holes: &[HoleAxis], x: usize) {
        let layout = &outcome.layout;
        let per_diameter = layout.cells_across_hole;
        let thickness = outcome.thickness / per_diameter;
        let depth = (x as f64 - layout.front) / per_diameter;
        let axes: Vec<[f64; 2]> = holes
            .iter()
            .map(|hole| {
                let [y, z] = hole.at(depth, thickness);
                // Cells are centred at whole numbers, and the pattern begins at the edge of the first one.
                [
                    y * per_diameter - 0.5 + layout.shift[0],
                    z * per_diameter * layout.stretch - 0.5 + layout.shift[1],
                ]
            })
            .collect();
        if self.first_of_cell.is_empty() || axes != self.axes {
            *self = Self::of_axes(axes, layout.cells);
        }
    }

    fn of_axes(axes: Vec<[f64; 2]>, cells: Extent) -> Self {
        let mut parts = Vec::new();
        let mut first_of_cell = vec![0];
        for (y, z) in (0..cells.nz).flat_map(|z| (0..cells.ny).map(move |y| (y, z))) {
            share_out(&mut parts, &axes, cells, [y as f64, z as f64]);
            first_of_cell.push(parts.len());
        }
        Self {
            axes,
            parts,
            first_of_cell,
        }
    }

    /// The shares of a cell, numbered along y first.
    fn of(&self, cell: usize) -> &[Share] {
        &self.parts[self.first_of_cell[cell]..self.first_of_cell[cell + 1]]
    }
}

/// Adds the shares of a cell: the axes that are nearest, in whatever repeat, alike.
fn share_out(shares: &mut Vec<Share>, axes: &[[f64; 2]], cells: Extent, cell: [f64; 2]) {
    let extent = [cells.ny as f64, cells.nz as f64];
    let first = shares.len();
    let mut nearest = f64::INFINITY;
    for (hole, axis) in axes.iter().enumerate() {
        let arm = [0, 1].map(|side| {
            let away = cell[side] - axis[side];
            away - extent[side] * (away / extent[side]).round()
        });
        for (row, column) in [-1.0, 0.0, 1.0]
            .into_iter()
            .flat_map(|row| [-1.0, 0.0, 1.0].map(|column| (row, column)))
        {
            let arm = [arm[0] + column * extent[0], arm[1] + row * extent[1]];
            let distance = arm[0].hypot(arm[1]);
            if distance < nearest - 1e-6 {
                shares.truncate(first);
                nearest = distance;
            }
            if distance <= nearest + 1e-6 {
                shares.push(Share {
                    hole,
                    weight: 1.0,
                    arm,
                });
            }
        }
    }
    let count = (shares.len() - first) as f64;
    for share in &mut shares[first..] {
        share.weight = 1.0 / count;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_shared_out_without_rest_and_evenly_about_the_axes() {
        let cells = Extent {
            nx: 1,
            ny: 8,
            nz: 14,
        };
        // Two holes of shifted rows; one lies in another repeat.
        let shares = Shares::of_axes(vec![[1.5, 3.0], [13.5, -4.0]], cells);
        let mut areas = [0.0; 2];
        let mut arms = [[0.0; 2]; 2];
        for cell in 0..8 * 14 {
            let parts = shares.of(cell);
            assert!((parts.iter().map(|s| s.weight).sum::<f64>() - 1.0).abs() < 1e-12);
            for share in parts {
                areas[share.hole] += share.weight;
                for (sum, arm) in arms[share.hole].iter_mut().zip(share.arm) {
                    *sum += share.weight * arm;
                }
            }
        }
        for hole in 0..2 {
            assert!((areas[hole] - 56.0).abs() < 1e-9, "{areas:?}");
            // A hole's share looks the same from both sides.
            assert!(arms[hole].iter().all(|sum| sum.abs() < 1e-9), "{arms:?}");
        }
    }

    #[test]
    fn an_axis_leans_within_the_plate_only() {
        let axis = HoleAxis {
            centre: [1.0, 2.0],
            slope: [0.5, 0.0],
            hand: 1.0,
        };
        let y = |depth: f64| axis.at(depth, 0.8)[0];
        assert!((y(-3.0) - 1.0).abs() < 1e-12);
        assert!((y(0.4) - 1.2).abs() < 1e-12);
        assert!((y(5.0) - 1.4).abs() < 1e-12);
    }
}
