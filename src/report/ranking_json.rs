//! The whole result for other programs (`ranking.json`), and read back.
//!
//! The file is the tree of [`crate::result`] under a head that says what it is and what follows from it.
//! All before `this_run`, its last object but for the checksum, is the same byte for byte in every run of the same study. A number that is missing or not finite is `null`.

use std::io::Write;

use schemars::generate::SchemaSettings;
use schemars::transform::transform_subschemas;
use schemars::{JsonSchema, Schema};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::checksum;
use crate::report::Answer;
use crate::report::cautions::CAUTIONS;
use crate::report::contradiction::ranking_contradiction;
use crate::report::json_lines::write_folded;
use crate::result::StudyResult;

/// What the file calls itself.
const FORMAT: &str = "ventwright ranking";

/// Version of the ranking files.
pub const FORMAT_VERSION: u32 = 10;

/// What a study found. All before `this_run` is the same, byte for byte, in every run of the same study. A number that is missing or not finite is null.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Ranking")]
struct Ranking<'a> {
    /// What kind of file this is.
    #[schemars(extend("const" = FORMAT))]
    format: &'static str,
    /// Version of this format: keys are added, renamed or taken away only with a new one.
    #[schemars(extend("const" = FORMAT_VERSION))]
    format_version: u32,
    /// Key of each grille by which they are ranked: the flow, or at a given flow the pressure drop.
    ranked_by: RankedBy,
    #[serde(flatten)]
    answer: Answer,
    /// Cautions that always travel with the numbers.
    cautions: [&'static str; CAUTIONS.len()],
    #[serde(flatten)]
    result: &'a StudyResult,
    /// Checksum (BLAKE3) of all the rest as compact JSON with sorted keys: it finds damage, not forgery.
    blake3: String,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum RankedBy {
    FlowPercent,
    PressureDropPa,
}

/// Writes the result as indented JSON, short things on one line, with a line end at the end.
///
/// # Errors
/// What `out` reports.
pub fn write_ranking_json(
    result: &StudyResult,
    mut out: impl Write,
) -> Result<(), serde_json::Error> {
    let mut ranking = Ranking {
        format: FORMAT,
        format_version: FORMAT_VERSION,
        ranked_by: if result.is_flow_given() {
            RankedBy::PressureDropPa
        } else {
            RankedBy::FlowPercent
        },
        answer: Answer::of(result),
        cautions: CAUTIONS,
        result,
        blake3: String::new(),
    };
    ranking.blake3 = checksum::of_json(&serde_json::to_value(&ranking)?);
    write_folded(&ranking, &mut out)
}

/// Why a `ranking.json` cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RankingFileError {
    /// It is no ranking, or damaged.
    #[error("this is no ranking: {0}")]
    Content(#[from] serde_json::Error),
    /// It says that it is something else.
    #[error("this is no ranking: it calls itself `{found}`")]
    Format {
        /// What it says.
        found: String,
    },
    /// It is not as it was written.
    #[error(transparent)]
    Damage(#[from] checksum::Damage),
    /// Its numbers contradict each other.
    #[error("its numbers contradict each other: {0}")]
    Contradiction(String),
    /// Another version of the program wrote it.
    #[error("the ranking has format version {found}, this program reads {FORMAT_VERSION}")]
    Version {
        /// Version of the file.
        found: u32,
    },
}

/// Reads a `ranking.json`.
///
/// # Errors
/// [`RankingFileError`] for what is no ranking, or one of another version.
pub fn read_ranking(text: &str) -> Result<StudyResult, RankingFileError> {
    // The head first: a file of another version has other keys, and that is what has to be said.
    #[derive(Deserialize)]
    struct Head {
        format: String,
        format_version: u32,
    }
    let value: Value = serde_json::from_str(text)?;
    let head = Head::deserialize(&value)?;
    if head.format != FORMAT {
        return Err(RankingFileError::Format { found: head.format });
    }
    if head.format_version != FORMAT_VERSION {
        let found = head.format_version;
        return Err(RankingFileError::Version { found });
    }
    checksum::check_json(&value)?;
    let result = StudyResult::deserialize(value)?;
    match ranking_contradiction(&result) {
        None => Ok(result),
        Some(what) => Err(RankingFileError::Contradiction(what)),
    }
}

/// What stands in a `ranking.json`, every key with its meaning and its unit: JSON Schema, draft 2020-12, with a line end at the end.
pub fn schema() -> String {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let generator = settings
        .with_transform(as_written as fn(&mut Schema))
        .into_generator();
    let mut schema = generator.into_root_schema_for::<Ranking<'_>>();
    schema.insert(
        "title".to_owned(),
        json!(format!(
            "Ventwright ranking, format version {FORMAT_VERSION}"
        )),
    );
    format!("{:#}\n", schema.to_value())
}

/// No other keys, and `null` for a number that is not finite.
fn as_written(schema: &mut Schema) {
    if schema.get("properties").is_some() {
        schema.insert("additionalProperties".to_owned(), json!(false));
    }
    // How wide the program's own numbers are is nobody's concern.
    schema.remove("format");
    if schema.get("type").and_then(Value::as_str) == Some("number") {
        schema.insert("type".to_owned(), json!(["number", "null"]));
    }
    transform_subschemas(&mut (as_written as fn(&mut Schema)), schema);
}
