//! Why a grille cannot be made as one part.

/// What is in the way, by the drawing alone. Zones count from 1, from the inside out; lengths in m.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PartFault {
    /// [`crate::grille::Grille::resolve`] refuses it.
    #[error("it cannot be made as drawn; `ventwright check` says why")]
    Refused,
    /// Rings that nothing holds.
    #[error(
        "zone {zone} has rings that nothing holds: give it radial bars (bar_count = 3, bar_width_mm = 2)"
    )]
    NoSpokes {
        /// Zone.
        zone: usize,
    },
    /// What the printer's error asks for leaves no rib.
    #[error("zone {zone} has ribs of {:.2} mm, of which a printed_hole_error_mm of {:.2} takes all; widen the rib, or measure a printed hole again", 1e3 * rib, -1e3 * moved)]
    NoRibLeft {
        /// Zone.
        zone: usize,
        /// Rib as drawn.
        rib: f64,
        /// What the walls on both sides take of it.
        moved: f64,
    },
    /// An opening reaches the outline of the plate.
    #[error("zone {zone} breaks through the rim of the plate: the border is {:.2} mm wide and the edges take {:.2} mm of it; give it a wider border_mm", 1e3 * border, 1e3 * edge)]
    ThroughFrame {
        /// Zone.
        zone: usize,
        /// Border.
        border: f64,
        /// How far the edges reach.
        edge: f64,
    },
}
