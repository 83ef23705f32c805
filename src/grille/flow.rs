//! What a flow view needs to know of each zone.

use crate::grille::{Edge, Grille, GrilleGeometry, HoleShape, Pattern, Turn};

/// How many widths long a slot must be to count as an endless one.
const LONG_SLOT: f64 = 4.0;

/// What kind of flow view suits an opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlowKind {
    /// A hole: axisymmetric view of a tube with the hole's hydraulic diameter in a round repeat with the pattern's free-area ratio.
    Hole,
    /// A long slot: planar half slot.
    Slot {
        /// Width of the slot, m (half the hydraulic diameter between radial bars, whose gap grows with the radius).
        width: f64,
        /// Distance from slot to slot that keeps the pattern's free-area ratio, m: width ÷ free-area ratio.
        pitch: f64,
    },
}

/// Family of an opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OpeningShape {
    /// Circle.
    Round,
    /// Square.
    Square,
    /// Regular hexagon.
    Hexagon,
    /// Equilateral triangle.
    Triangle,
    /// Rhombus.
    Rhombus,
    /// Slot with rounded ends.
    Slot,
    /// Concentric ring slot.
    Ring,
    /// Between radial bars.
    Bars,
}

/// One zone as a flow view sees it: lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneFlow {
    /// Family of the opening.
    pub shape: OpeningShape,
    /// What kind of view suits it.
    pub kind: FlowKind,
    /// Free-area ratio of the endless pattern, 0 to 1.
    pub free_area_ratio: f64,
    /// Hydraulic diameter of one opening.
    pub hydraulic_diameter: f64,
    /// Plate thickness.
    pub thickness: f64,
    /// Edge on the front face.
    pub front_edge: Edge,
    /// Edge on the back face (fan side).
    pub back_edge: Edge,
    /// How the holes turn.
    pub turn: Turn,
    /// Where the zone's room begins.
    pub inner_radius: f64,
    /// Where the zone's room ends.
    pub outer_radius: f64,
    /// Area of the zone, m².
    pub zone_area: f64,
    /// Open area as placed, m².
    pub open_area: f64,
}

impl ZoneFlow {
    /// Mean radius of a zone, each part weighted by its area.
    ///
    /// ```text
    /// R = 2/3 (Ro³ - Ri³) / (Ro² - Ri²)
    /// ```
    pub fn mean_radius(&self) -> f64 {
        let (inner, outer) = (self.inner_radius, self.outer_radius);
        2.0 / 3.0 * (outer.powi(3) - inner.powi(3)) / (outer.powi(2) - inner.powi(2))
    }
}

impl Grille {
    /// The zones as flow views see them; `geometry` as [`Grille::resolve`] gave it for this grille.
    ///
    /// Velocity in front of a zone: the flow through it ÷ (open area ÷ free-area ratio of the endless pattern), so that the velocity in
    /// the holes is that of the real part.
    pub fn flow_geometry(&self, geometry: &GrilleGeometry) -> Vec<ZoneFlow> {
        self.zones
            .iter()
            .zip(&geometry.zones)
            .map(|(zone, numbers)| {
                let free_area_ratio = numbers.pattern_free_area_ratio;
                let slot = |width: f64| FlowKind::Slot {
                    width,
                    pitch: width / free_area_ratio,
                };
                let (shape, kind, turn) = match &zone.pattern {
                    Pattern::Holes(pattern) => {
                        let (shape, kind) = match pattern.shape {
                            HoleShape::Round { .. } => (OpeningShape::Round, FlowKind::Hole),
                            HoleShape::Square { .. } => (OpeningShape::Square, FlowKind::Hole),
                            HoleShape::Hexagon { .. } => (OpeningShape::Hexagon, FlowKind::Hole),
                            HoleShape::Triangle { .. } => (OpeningShape::Triangle, FlowKind::Hole),
                            HoleShape::Rhombus { .. } => (OpeningShape::Rhombus, FlowKind::Hole),
                            HoleShape::Slot { width, length } if length >= LONG_SLOT * width => {
                                (OpeningShape::Slot, slot(width))
                            }
                            HoleShape::Slot { .. } => (OpeningShape::Slot, FlowKind::Hole),
                        };
                        (shape, kind, pattern.turn)
                    }
                    Pattern::Rings(pattern) => {
                        (OpeningShape::Ring, slot(pattern.slot_width), pattern.turn)
                    }
                    Pattern::Bars(pattern) => (
                        OpeningShape::Bars,
                        slot(0.5 * numbers.hydraulic_diameter),
                        pattern.turn,
                    ),
                };
                ZoneFlow {
                    shape,
                    kind,
                    free_area_ratio,
                    hydraulic_diameter: numbers.hydraulic_diameter,
                    thickness: self.thickness,
                    front_edge: self.front_edge,
                    back_edge: self.back_edge,
                    turn,
                    inner_radius: numbers.inner_radius,
                    outer_radius: numbers.outer_radius,
                    zone_area: numbers.zone_area,
                    open_area: numbers.open_area,
                }
            })
            .collect()
    }
}
