//! The opening that a plate covers.

use std::f64::consts::PI;

/// The opening in the wall that a plate covers, about the middle of the face; lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CutOut {
    /// The bore of a fan.
    Bore {
        /// Its diameter.
        diameter: f64,
    },
    /// A rectangular vent, with no fan in it.
    Vent {
        /// Extent along y.
        width: f64,
        /// Extent along z.
        height: f64,
    },
}

impl CutOut {
    /// Area, m².
    ///
    /// ```
    /// use ventwright::grille::CutOut;
    /// let vent = CutOut::Vent { width: 0.08, height: 0.05 };
    /// assert!((vent.area() - 0.004).abs() < 1e-15);
    /// ```
    pub fn area(&self) -> f64 {
        match *self {
            Self::Bore { diameter } => PI * diameter * diameter / 4.0,
            Self::Vent { width, height } => width * height,
        }
    }

    /// Largest distance from the middle, m: half the diameter, or half the diagonal.
    pub fn reach(&self) -> f64 {
        match *self {
            Self::Bore { diameter } => 0.5 * diameter,
            Self::Vent { width, height } => 0.5 * width.hypot(height),
        }
    }

    /// Whether it is a rectangle without a fan, whose face has no axis and no rings.
    pub fn is_vent(&self) -> bool {
        matches!(self, Self::Vent { .. })
    }

    /// What is left of it inside a border of this width, m.
    #[must_use]
    pub fn inside(&self, border: f64) -> Self {
        match *self {
            Self::Bore { diameter } => Self::Bore {
                diameter: diameter - 2.0 * border,
            },
            Self::Vent { width, height } => Self::Vent {
                width: width - 2.0 * border,
                height: height - 2.0 * border,
            },
        }
    }
}
