//! States of half-done runs: going on from them, and refusing those that are damaged.

#[path = "../common/face.rs"]
mod face;
#[path = "../common/free_area.rs"]
mod free_area;
#[path = "../common/repeat.rs"]
#[expect(dead_code, reason = "only a part of it is needed")]
mod repeat;
#[path = "../common/views.rs"]
#[expect(dead_code, reason = "only a part of it is needed")]
mod views;

mod damaged;
mod goes_on;
mod other_engine;
