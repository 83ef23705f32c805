//! Which flow model of a grille a run solves.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A kind of view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum View {
    /// One hole in a round piece of plate, the same all around its axis.
    #[serde(rename = "hole view")]
    Hole,
    /// Half a slot between two mirrors, in the plane.
    #[serde(rename = "slice view")]
    Slice,
    /// The smallest repeating piece in three dimensions.
    #[serde(rename = "repeat view")]
    Repeat,
    /// The whole fan face, the grille as a zone that brakes and turns the air.
    #[serde(rename = "fan view")]
    Fan,
    /// The whole fan face with the ribs of a ring grille.
    #[serde(rename = "fan view with ribs")]
    FanWithRibs,
    /// The whole fan face with rings in the place of holes.
    #[serde(rename = "fan view with rings for holes")]
    FanWithRings,
}

impl View {
    /// As it is written in every output.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Hole => "hole view",
            Self::Slice => "slice view",
            Self::Repeat => "repeat view",
            Self::Fan => "fan view",
            Self::FanWithRibs => "fan view with ribs",
            Self::FanWithRings => "fan view with rings for holes",
        }
    }
}

impl fmt::Display for View {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.in_words())
    }
}
