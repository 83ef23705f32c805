//! What a flat view, a grid and a row of a table are worth: factors on K with their half-widths.

pub mod flat_view;
pub mod repeat_grid;
pub mod repeat_table;
pub(super) mod tabled;
