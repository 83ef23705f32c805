//! What documents show and promise: the studies in `cases/`, the README and the pages beside the studies.

#[path = "../common/checker.rs"]
mod checker;
#[path = "../common/folder.rs"]
mod folder;

mod cases;
mod demo;
mod pages;
mod parts;
mod readme;
