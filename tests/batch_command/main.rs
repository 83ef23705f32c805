//! A batch that is stopped, killed, shared and damaged: the real binary on tiny studies.
//!
//! Outside reference throughout: the same study solved once by a program that nobody disturbed. What must be equal is equal byte by byte, times aside.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

mod apart;
mod beside;
mod disk;
#[path = "../common/folder.rs"]
mod folder;
mod killed;
mod machines;
mod shared;
#[path = "../run_command/stage.rs"]
#[expect(dead_code, reason = "only a part of it is needed")]
mod stage;
mod stopped;
