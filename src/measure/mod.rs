//! From fields to numbers: the momentum balance, means with an honest interval, the end of a run.

pub mod momentum;

pub mod swirl;

pub mod series;

pub mod mean_fields;

pub mod volume_fields;

pub mod volume_gradient;

pub mod wall_load;

pub mod engine;

mod settle;

pub mod attendant;

pub mod drive;

pub mod hole_swirl;

mod head_start;

pub mod repeat;

pub mod face_fields;

pub mod flat_gradient;

pub mod face_jet;

pub mod face;

pub mod grid;
