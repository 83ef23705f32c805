//! What follows from the runs of a study: K of every grille over the air speed, its flow with a range, ties, and what else the air goes through.

pub mod air_path;
pub mod conclude;
mod level;
pub(super) mod loss;
mod pairs;
mod solved_panels;
pub mod what_if;
mod zone_results;
