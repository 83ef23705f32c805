//! What a zone of a grille looks like to a flat view.

use crate::grille::{Edge, FlowKind, ZoneFlow};
use crate::result;
use crate::study::Side;
use crate::tunnel::{EdgeShape, View};

/// A zone as a flat view sees it: lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneView {
    /// Which view.
    pub view: View,
    /// Diameter of the hole, width of the slot.
    pub opening: f64,
    /// Free-area ratio of the endless pattern.
    pub free_area_ratio: f64,
    /// Hydraulic diameter.
    pub hydraulic_diameter: f64,
    /// Plate thickness.
    pub thickness: f64,
    /// Edge that meets the flow first, over the opening.
    pub front_edge: EdgeShape,
    /// Edge at the far face, over the opening.
    pub rear_edge: EdgeShape,
}

impl From<View> for result::View {
    fn from(view: View) -> Self {
        match view {
            View::Hole => Self::Hole,
            View::Slice => Self::Slice,
        }
    }
}

impl ZoneView {
    /// The view that suits a zone, with the air coming from the side that the study says.
    pub fn of(flow: &ZoneFlow, side: Side) -> Self {
        let (view, opening) = match flow.kind {
            FlowKind::Hole => (View::Hole, flow.hydraulic_diameter),
            FlowKind::Slot { width, .. } => (View::Slice, width),
        };
        let shape = |edge: Edge| match edge {
            Edge::Sharp => EdgeShape::Sharp,
            Edge::Rounded(radius) => EdgeShape::Rounded(radius / opening),
            Edge::Chamfered(depth) => EdgeShape::Chamfered(depth / opening),
        };
        let (first, last) = match side {
            Side::Intake => (flow.front_edge, flow.back_edge),
            Side::Exhaust => (flow.back_edge, flow.front_edge),
        };
        Self {
            view,
            opening,
            free_area_ratio: flow.free_area_ratio,
            hydraulic_diameter: flow.hydraulic_diameter,
            thickness: flow.thickness,
            front_edge: shape(first),
            rear_edge: shape(last),
        }
    }

    /// Width of the rib between two openings of the view, over the opening.
    pub fn rib_over_opening(&self) -> f64 {
        match self.view {
            View::Hole => self.free_area_ratio.sqrt().recip() - 1.0,
            View::Slice => self.free_area_ratio.recip() - 1.0,
        }
    }

    /// Reynolds number of the opening as the view counts it, on its diameter or width.
    pub fn opening_reynolds_number(&self, face_velocity: f64, kinematic_viscosity: f64) -> f64 {
        face_velocity / self.free_area_ratio * self.opening / kinematic_viscosity
    }

    /// Reynolds number of the hole on its hydraulic diameter.
    pub fn hole_reynolds_number(&self, face_velocity: f64, kinematic_viscosity: f64) -> f64 {
        face_velocity / self.free_area_ratio * self.hydraulic_diameter / kinematic_viscosity
    }
}
