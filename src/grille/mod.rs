//! A grille as the maker draws it, and the numbers that follow from the drawing.
//!
//! A [`Grille`] is one printed part: a plate of some thickness in a round bore, with one or more [`Zone`]s that carry a pattern of
//! holes, ring slots or bars, or in a rectangular vent with a pattern of holes. This module knows nothing of flow: it gives outlines, areas, counts and clearances.
//! All lengths are in m, all angles in radians, x along the flow is not used here: outlines live in the (y, z) plane of the face.

mod bars;
mod checks;
mod clearance;
mod convex;
mod cut_out;
mod edges;
mod fault;
mod flow;
mod layout;
mod openings;
mod outline;
mod part;
mod passes;
mod placement;
mod printer;
mod resolve;
mod room;
mod sight;
mod solid;
mod turning;
mod volume;
mod warning;
mod zone_numbers;

pub use cut_out::CutOut;
pub use fault::GrilleError;
pub use flow::{FlowKind, OpeningShape, ZoneFlow};
pub use layout::{Repeat, RepeatHole};
pub use outline::{HoleLength, Outline};
pub use part::{GrilleBody, Meets, OpeningWall, PartFault, PartWalls, WallRing, ZoneWalls};
pub use passes::Passage;
pub use printer::Printer;
pub use resolve::GrilleGeometry;
pub use solid::{RepeatSection, RepeatSolid, RepeatSolidError, SolidHole};
pub use turning::TwistLimit;
pub use warning::{GrilleWarning, MIN_HOLE_WIDTH, MIN_RIB, STEEPEST_WALL};
pub use zone_numbers::ZoneGeometry;

/// One printed part.
#[derive(Debug, Clone, PartialEq)]
pub struct Grille {
    /// Name as the maker gave it, unique in a study.
    pub name: String,
    /// The opening that the plate covers.
    pub cut_out: CutOut,
    /// Plate thickness, m.
    pub thickness: f64,
    /// Width of the solid ring at the edge of the cut-out, m.
    pub border: f64,
    /// Diameter of the solid disc in the centre, m; 0 if there is none, as in every vent.
    pub centre_disc_diameter: f64,
    /// What becomes of holes that cross the border or a zone's edge.
    pub crossing_holes: CrossingHoles,
    /// Edge that meets the air first or last on the outer side of the PC case.
    pub front_edge: Edge,
    /// Edge on the fan's side.
    pub back_edge: Edge,
    /// Zones from the inside out; they do not overlap. A vent has one, which reaches from the middle to its corners.
    pub zones: Vec<Zone>,
}

/// A ring of the face with a pattern of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Inner radius, m.
    pub inner_radius: f64,
    /// Outer radius, m.
    pub outer_radius: f64,
    /// What the zone carries.
    pub pattern: Pattern,
}

/// What a zone carries.
#[derive(Debug, Clone, PartialEq)]
pub enum Pattern {
    /// A regular array of equal holes.
    Holes(HolePattern),
    /// Concentric ring slots, interrupted by radial bars.
    Rings(RingPattern),
    /// Radial bars only.
    Bars(BarPattern),
}

/// A regular array of equal holes.
#[derive(Debug, Clone, PartialEq)]
pub struct HolePattern {
    /// Outline of a hole.
    pub shape: HoleShape,
    /// How the holes are laid out.
    pub layout: Layout,
    /// Least wall between neighbouring holes as drawn, m.
    pub rib: f64,
    /// How the holes turn through the thickness.
    pub turn: Turn,
    /// Whether turned holes may run into each other.
    pub merging_accepted: bool,
}

/// Outline of a hole, by its size as drawn, in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HoleShape {
    /// A circle.
    Round {
        /// Diameter.
        diameter: f64,
    },
    /// A square with sides along y and z.
    Square {
        /// Side.
        side: f64,
    },
    /// A regular hexagon.
    Hexagon {
        /// Distance between opposite flats.
        across_flats: f64,
    },
    /// An equilateral triangle.
    Triangle {
        /// Side.
        side: f64,
    },
    /// A rhombus with its diagonals along y and z.
    Rhombus {
        /// Diagonal along y.
        along: f64,
        /// Diagonal along z.
        across: f64,
    },
    /// A slot with rounded ends, long side along y.
    Slot {
        /// Width.
        width: f64,
        /// Length, ends included.
        length: f64,
    },
}

/// How holes are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// Rows and columns.
    Square,
    /// Every other row shifted by half a pitch (hexagonal for equal pitches).
    Staggered,
    /// Triangles that point up and down in turn.
    UpDown,
}

/// Edge of a hole on one face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// As printed: sharp.
    Sharp,
    /// Rounded with this radius, m.
    Rounded(f64),
    /// A 45 degree chamfer of this depth, m.
    Chamfered(f64),
}

/// What becomes of holes that cross an edge of their zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CrossingHoles {
    /// They are left out.
    Drop,
    /// They are cut off at the edge.
    Clip,
}

/// How a hole turns through the thickness; angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Turn {
    /// Not at all.
    Straight,
    /// About the hole's own axis; positive = right-handed along the flow.
    Twist {
        /// From one face to the other.
        angle: f64,
        /// Where the drawn outline lies.
        counted_from: CountedFrom,
        /// Whether neighbours turn alike.
        hands: Hands,
    },
    /// The axis leans tangentially about the fan axis; positive = with the fan's rotation, followed along the flow.
    Lean {
        /// Between the hole's axis and the fan axis.
        angle: f64,
    },
    /// The whole pattern turns about the fan axis.
    PatternTwist {
        /// From one face to the other.
        angle: f64,
    },
}

/// Where the drawn outline of a twisted hole lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountedFrom {
    /// In the middle of the thickness: the faces are turned by half the angle each way.
    MidDepth,
    /// At the front face.
    Front,
    /// At the back face.
    Back,
}

/// Whether neighbouring holes twist by the same hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hands {
    /// All alike.
    Same,
    /// Neighbours by opposite hands.
    Alternate,
}

/// Concentric ring slots with radial bars that hold the rings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingPattern {
    /// Radial width of a slot, m.
    pub slot_width: f64,
    /// Radial width of a ring, m.
    pub rib: f64,
    /// Number of radial bars; 0 if none.
    pub bar_count: u32,
    /// Width of a bar, m.
    pub bar_width: f64,
    /// Lean of the ring walls is not foreseen; the bars may turn.
    pub turn: Turn,
}

/// Radial bars only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarPattern {
    /// Number of bars.
    pub bar_count: u32,
    /// Width of a bar, m.
    pub bar_width: f64,
    /// How the bars lean.
    pub turn: Turn,
}
