//! `seal`, `plan` and `compare` as a maker meets them: the real binary on a made-up ranking, readings that are made up too.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

mod compare;
mod hostile_names;
#[cfg(unix)]
mod not_a_file;
mod plan;
#[expect(dead_code, reason = "the tests of the outputs need all of them")]
#[path = "../report_outputs/samples.rs"]
mod samples;
mod seal;
mod stage;
