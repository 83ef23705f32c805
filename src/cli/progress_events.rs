//! Progress for programs: one JSON object per line on stderr, each with the version of the format.
//!
//! `cases/many-machines/README.md` lists the events and their keys. A change that a reader could stumble over raises [`FORMAT`]; new keys and new events do not.

use clap::ValueEnum;
use jiff::Timestamp;
use serde_json::{Map, Value, json};

use crate::likely::Likely;
use crate::run::planned::Run;

/// Version of the format.
const FORMAT: u32 = 1;

/// Working time between two events about the same run, s.
pub(super) const LEAST_SECONDS: f64 = 2.0;

/// How progress is told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum ProgressForm {
    /// A bar and a line per run on a terminal, plain lines elsewhere
    #[default]
    Auto,
    /// Plain lines, on a terminal too
    Lines,
    /// One JSON object per line, everything else that goes to stderr included
    Json,
}

/// One event as a line of text.
pub(super) fn line(event: &str, keys: Value) -> String {
    let mut object = match keys {
        Value::Object(object) => object,
        _ => Map::new(),
    };
    object.insert("format".to_owned(), json!(FORMAT));
    object.insert("event".to_owned(), json!(event));
    object.insert("time".to_owned(), json!(now()));
    // One write: lines of several threads must not mix.
    format!("{}\n", Value::Object(object))
}

/// The time of day, in UTC, to the second.
fn now() -> String {
    Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// What names a run.
pub(super) fn of_run(run: &Run) -> Value {
    json!({
        "key": run.key,
        "grille": run.grille,
        "view": run.view(),
        "face_velocity_m_per_s": run.face_velocity,
    })
}

/// K with its range; `null` while there is none.
pub(super) fn of_loss(loss: Option<Likely>) -> Value {
    let known = loss.filter(|loss| loss.value.is_finite());
    known.map_or(
        Value::Null,
        |loss| json!({ "value": loss.value, "low": loss.low, "high": loss.high }),
    )
}

/// Two objects as one.
pub(super) fn joined(first: Value, second: Value) -> Value {
    match (first, second) {
        (Value::Object(mut first), Value::Object(second)) => {
            first.extend(second);
            Value::Object(first)
        }
        (first, _) => first,
    }
}
