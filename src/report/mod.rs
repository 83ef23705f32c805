//! The formats in which a result is told.
//!
//! `run` fills a [`StudyResult`](crate::result::StudyResult); each file of this folder writes one format of it into an `impl io::Write`.
//! Nothing here opens a file, prints, or has ever seen a running case.

pub use crate::likely::{Contribution, Likely, Warning};
pub use answer::Answer;
pub use bar::BarScale;
pub use doubt::biggest_doubt;
pub use duration::duration_in_words;
pub use page::{cut, harmless};
pub use reasons::why;
pub use table::compact;
pub use tie_letters::tie_letters;

mod air_path;
mod answer;
mod bar;
mod bench_notes;
mod bench_verdict;
mod budget_lines;
pub mod cautions;
mod contradiction;
pub mod details;
mod doubt;
pub mod doubts;
mod duration;
mod fan_view_lines;
mod fingers;
pub mod forum;
mod json_lines;
mod meter_lines;
mod oblique;
mod page;
mod pairs;
pub mod part_lines;
pub mod plan_sheet;
pub mod profile_lines;
pub mod ranking_csv;
pub mod ranking_json;
mod reasons;
pub mod rig_comparison;
pub mod run_files;
pub mod screen;
mod table;
mod tie_letters;
pub mod verdict;
mod warming;
mod warning_texts;
mod what_if;
mod words;
