//! What a printer does to a part, so that the part can be drawn against it.

/// A maker's printer.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Printer {
    /// Width of a printed hole less its width as drawn, m; negative where holes come out small.
    pub hole_error: f64,
}

impl Printer {
    /// How far each wall of an opening is moved into the plastic, m, so that the opening comes out as wide as it should: half of the error, against it.
    pub fn wall_offset(&self) -> f64 {
        -0.5 * self.hole_error
    }
}
