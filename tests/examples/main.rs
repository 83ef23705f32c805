//! What documents show and promise: the studies in `cases/`, the README and the pages beside the studies.

#[path = "../common/folder.rs"]
mod folder;

mod cases;
mod demo;
mod pages;
mod readme;
