//! A solved three-dimensional repeat as files for the eye: fields and the solid's surface for an external viewer, and a picture; and cuts through the kept fields of every view, side by side and as profiles.
//!
//! Lengths in m, x along the flow with its origin at the face that the air meets first, y and z from the middle of the repeat, as it was solved: a repeat that was stretched
//! to a whole number of cells keeps its stretch.

mod image;

mod surface;

mod picture;

mod kept_cut;

mod side_by_side;

use crate::grille::RepeatSolid;
use crate::measure::hole_swirl::HoleAxis;
use crate::measure::repeat::RepeatOutcome;
use crate::units::Scale;

pub use image::{write_last, write_mean};
pub use kept_cut::{KeptCut, KeptView, Quantity, profile_behind};
pub use picture::write_picture;
pub use side_by_side::{KeptPanel, common_range, tiles_side_by_side, write_side_by_side};
pub use surface::{PlateShape, plate_surface, ring, write_plate};

/// What was solved, and how long a cell is.
#[derive(Debug, Clone, Copy)]
pub struct SolvedRepeat<'a> {
    /// The outcome of [`crate::measure::repeat::drive_repeat`].
    pub outcome: &'a RepeatOutcome,
    /// Length of a cell, duration of a step, density of the air.
    pub scale: Scale,
    /// Axes of the holes.
    pub holes: &'a [HoleAxis],
}

impl SolvedRepeat<'_> {
    /// Lowest corner of the domain, m.
    fn origin(&self) -> [f64; 3] {
        let layout = &self.outcome.layout;
        [
            -(layout.front + 0.5) * self.scale.cell,
            -0.5 * layout.cells.ny as f64 * self.scale.cell,
            -0.5 * layout.cells.nz as f64 * self.scale.cell,
        ]
    }
}

/// The axes of the holes of a repeat whose front face the flow meets first, for a hydraulic diameter in m.
///
/// The centre of a hole is the mean of its outline's corners, which turning leaves in place and leaning moves evenly.
pub fn hole_axes(solid: &RepeatSolid, diameter: f64) -> Vec<HoleAxis> {
    let [front, back] = [0.0, solid.thickness()].map(|depth| solid.outlines_at(depth));
    let middle = |corners: &[[f64; 2]]| {
        let count = corners.len().max(1) as f64;
        [0, 1].map(|axis| corners.iter().map(|corner| corner[axis]).sum::<f64>() / count)
    };
    let holes = solid.holes().iter().zip(front.iter().zip(&back));
    holes
        .map(|(hole, (front, back))| {
            let (front, back) = (middle(&front.core), middle(&back.core));
            HoleAxis {
                centre: front.map(|place| place / diameter),
                slope: [0, 1].map(|axis| (back[axis] - front[axis]) / solid.thickness()),
                hand: hole.hand,
            }
        })
        .collect()
}
