//! What a study says on the screen and in its files, with made-up results.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

mod charts;
#[path = "../common/checker.rs"]
mod checker;
mod document;
mod formats;
mod hostile;
mod published;
mod samples;
#[path = "../common/schema.rs"]
mod schema;
mod screen;
mod verdict;
