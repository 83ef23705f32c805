//! Doubts about a drawing that can be made, but perhaps not well.
//!
//! The limits are common ones of filament printing: two lines of a 0.4 mm nozzle for a wall, holes of 2 mm, walls that overhang by at
//! most 45 degrees.

use std::f64::consts::FRAC_PI_4;

/// Thinnest wall that prints reliably, m: two lines of a 0.4 mm nozzle.
pub const MIN_RIB: f64 = 0.8e-3;

/// Narrowest hole that prints true to size, m.
pub const MIN_HOLE_WIDTH: f64 = 2e-3;

/// Steepest overhang that prints without support, radians from the print axis.
pub const STEEPEST_WALL: f64 = FRAC_PI_4;

/// A doubt about a drawing. Zones count from 1, from the inside out; lengths in m, angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum GrilleWarning {
    /// A wall gets thinner than [`MIN_RIB`] somewhere in the thickness.
    ThinRib {
        /// Zone.
        zone: usize,
        /// Least wall over the thickness.
        least_rib: f64,
    },
    /// Holes are narrower than [`MIN_HOLE_WIDTH`].
    SmallHole {
        /// Zone.
        zone: usize,
        /// Diameter of the largest circle inside.
        width: f64,
    },
    /// Walls overhang by more than [`STEEPEST_WALL`].
    SteepWall {
        /// Zone.
        zone: usize,
        /// Angle from the print axis.
        angle: f64,
    },
    /// Turned holes run into each other, as accepted in the drawing: areas and volume count them as if they did not.
    MergingHoles {
        /// Zone.
        zone: usize,
        /// Least wall over the thickness; negative.
        least_rib: f64,
    },
    /// The wall between two zones is thinner than [`MIN_RIB`].
    ThinWallBetweenZones {
        /// The outer of the two.
        zone: usize,
        /// Distance between the zones.
        gap: f64,
    },
    /// No bar holds the rings.
    LooseRings {
        /// Zone.
        zone: usize,
    },
}

impl GrilleWarning {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::ThinRib { .. } => "thin-rib",
            Self::SmallHole { .. } => "small-hole",
            Self::SteepWall { .. } => "steep-wall",
            Self::MergingHoles { .. } => "merging-holes",
            Self::ThinWallBetweenZones { .. } => "thin-wall-between-zones",
            Self::LooseRings { .. } => "loose-rings",
        }
    }

    /// What is doubtful, in plain words.
    pub fn message(&self) -> String {
        match self {
            Self::ThinRib { zone, least_rib } => {
                format!(
                    "zone {zone}: the thinnest wall between holes is {:.2} mm",
                    least_rib * 1e3
                )
            }
            Self::SmallHole { zone, width } => {
                format!("zone {zone}: holes are only {:.2} mm wide", width * 1e3)
            }
            Self::SteepWall { zone, angle } => {
                format!(
                    "zone {zone}: walls overhang by {:.0} degrees",
                    angle.to_degrees()
                )
            }
            Self::MergingHoles { zone, .. } => {
                format!("zone {zone}: turned holes run into each other; the areas ignore that")
            }
            Self::ThinWallBetweenZones { zone, gap } => {
                format!(
                    "only {:.2} mm separate zone {zone} from the one inside it",
                    gap * 1e3
                )
            }
            Self::LooseRings { zone } => format!("zone {zone}: nothing holds the rings"),
        }
    }

    /// What to do about it.
    pub fn advice(&self) -> String {
        match self {
            Self::ThinRib { .. } | Self::ThinWallBetweenZones { .. } => {
                format!(
                    "walls of {:.1} mm or more print reliably (two lines of a 0.4 mm nozzle)",
                    MIN_RIB * 1e3
                )
            }
            Self::SmallHole { .. } => format!(
                "holes under {:.0} mm print undersize; measure a print and enter the measured size",
                MIN_HOLE_WIDTH * 1e3
            ),
            Self::SteepWall { .. } => format!(
                "up to {:.0} degrees print without support: twist or lean less, or make the plate thicker",
                STEEPEST_WALL.to_degrees()
            ),
            Self::MergingHoles { .. } => "only the three-dimensional view can solve it".to_owned(),
            Self::LooseRings { .. } => "add radial bars".to_owned(),
        }
    }
}
