//! How the flow turns about the axes of the holes.

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
