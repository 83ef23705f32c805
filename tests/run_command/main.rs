//! `run` as a maker meets it: the real binary in an empty folder, tiny studies.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

#[path = "../common/checker.rs"]
mod checker;
mod damage;
mod doubts;
mod events;
mod exhaust;
mod fan_views;
mod fields;
#[path = "../common/folder.rs"]
mod folder;
mod output;
mod pictures;
mod repeats;
mod report;
mod reuse;
mod second_grille;
mod smoke;
mod stage;
mod trouble;
