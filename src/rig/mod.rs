//! What a maker's own bench says beside what was predicted: a sealed prediction, readings, their statistics, and a plan of what to measure.
//!
//! Nothing here knows how a prediction came about, or opens a file.

pub mod student;

pub mod power;

pub mod scatter;

pub mod unlike;

pub mod outlier;

pub mod sealed;

mod reading_fault;

pub mod unit;

mod reading_line;

pub mod readings;

pub mod plausible;

pub mod impossible;

pub mod compared;

mod same_speed;

mod bare;

mod design;

mod pairs;

mod doubts;

pub mod compare;

mod shuffle;

pub mod plan;

pub use reading_fault::{ReadingFault, ReadingFaultKind};
