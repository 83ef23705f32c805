//! Holds a `ranking.json` against the schema that is published with it, by a validator that is not ours.

use serde_json::Value;
use ventwright::report::ranking_json;

/// The schema as data.
pub(crate) fn schema() -> Value {
    serde_json::from_str(&ranking_json::schema()).expect("the schema is JSON")
}

/// Faults of a ranking, each with its place; none where the schema allows it.
pub(crate) fn faults(ranking: &Value) -> Vec<String> {
    let validator = jsonschema::draft202012::new(&schema()).expect("the schema is a schema");
    let errors = validator.iter_errors(ranking);
    errors
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}
