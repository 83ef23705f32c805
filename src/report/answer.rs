//! The answer in words, as files tell it.

use schemars::JsonSchema;
use serde::Serialize;

use crate::report::reasons::why;
use crate::report::verdict::{reservation, verdict};
use crate::result::StudyResult;

/// What to print, why, and what that must not be read without.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Answer {
    /// The verdict: what to print, what it gives, what that is ahead of; without the full stop.
    pub answer: String,
    /// Why the first grille leads, without the full stop; null where there is no other.
    pub why: Option<String>,
    /// What it must not be read without, in whole sentences; may be empty.
    pub reservation: String,
}

impl Answer {
    /// That of a result.
    pub fn of(result: &StudyResult) -> Self {
        // A no-break space keeps number and unit together on a screen; in a file it surprises.
        let plain = |text: String| text.replace('\u{a0}', " ");
        Self {
            answer: plain(verdict(result)),
            why: why(result).map(plain),
            reservation: plain(reservation(result)),
        }
    }
}
