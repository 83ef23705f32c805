//! Puts a section of a grille into a lattice: which cells, which walls, which planes to measure in.
//!
//! A [`PlateSection`] is what both flat views see: an opening between a mirror plane (or the axis) and a second mirror plane, in a plate of some thickness.
//! Seen as a plane it is half a slot ([`View::Slice`]); turned about the mirror plane it is a hole ([`View::Hole`]).
//! A [`RepeatDomain`] is one repeat of the pattern in space, a [`FanFace`] all of the fan's face.

pub mod section;

pub mod leaned;

pub mod repeat;

mod fit;

mod opening;

pub mod domain;

pub mod face;

mod face_walls;

pub use domain::{Domain, Layout, View};
pub use face::{Behind, FaceFlow, FaceGrille, FaceLayout, FaceStream, FaceZone, FanFace};
pub use fit::OpeningsAt;
pub use leaned::LeanedRow;
pub use opening::Opening;
pub use repeat::{RepeatDomain, RepeatLayout, Solid};
pub use section::{EdgeShape, PlateSection};
