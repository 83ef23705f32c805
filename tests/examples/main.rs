//! What documents show and promise: the studies in `cases/` and the README.

#[path = "../common/folder.rs"]
mod folder;

mod cases;
mod demo;
mod readme;
