//! From fields to numbers: the momentum balance, means with an honest interval, the end of a run.

pub mod momentum;

pub mod series;

pub mod mean_fields;

mod settle;

pub mod drive;

pub mod repeat;

pub mod grid;
