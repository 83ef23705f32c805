//! The whole fan face at the operating point of each ranked grille, and of the bare fan: what the grille does to the air behind it.

pub mod foreseen;
pub mod plan;
mod result;
mod rings;
