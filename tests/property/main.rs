//! What must hold for inputs that nobody chose.

#[path = "../common/mod.rs"]
mod common;

mod exhaust;
mod fabric;
mod grille;
mod operating_point;
mod part;
mod ranking;
mod repeat_solid;
mod schedule;
mod study;
