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
