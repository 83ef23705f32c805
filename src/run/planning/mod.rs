//! The runs of a study: where the fan is expected to settle, which views and grids each zone gets, how finely and how fast.

mod depth;
pub(super) mod expected;
mod flat_plan;
mod other_doubts;
pub(super) mod panel_grille;
pub mod panels;
pub mod plan;
pub(super) mod repeat_plan;
