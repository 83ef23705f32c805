//! A prediction that is put down, dated and hashed before anything is measured, so that nobody can fit it to the readings later without its showing.
//!
//! ```text
//! { "format": "ventwright sealed prediction", "format_version": 1, "blake3": "…", "content": { … } }
//! ```
//!
//! The hash is that of the content as compact JSON with the keys of every object in alphabetical order: white space and line ends may change on the way, nothing else may.
//! It shows a change; it does not prove who made the file or when. Whoever wants that proved gives the hash to somebody else before printing.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::checksum;
use crate::likely::Likely;

/// What the file calls itself.
const FORMAT: &str = "ventwright sealed prediction";

/// Version of the file.
const FORMAT_VERSION: u64 = 1;

/// A range: best estimate and the ends of the 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Promised {
    /// Best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl From<Likely> for Promised {
    fn from(likely: Likely) -> Self {
        let Likely { value, low, high } = likely;
        Self { value, low, high }
    }
}

impl From<Promised> for Likely {
    fn from(promised: Promised) -> Self {
        let Promised { value, low, high } = promised;
        Self { value, low, high }
    }
}

/// What is promised of a design, or of the bare fan.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PromisedDesign {
    /// Name in the study.
    pub name: String,
    /// What it is, in words.
    pub description: String,
    /// Place, 1 = best; `None` without a number.
    pub rank: Option<u32>,
    /// Flow, m³/h.
    pub flow_m3_per_h: Option<Promised>,
    /// Flow in per cent of the bare fan.
    pub flow_percent: Option<Promised>,
    /// Pressure drop, Pa.
    pub pressure_drop_pa: Option<Promised>,
    /// Least and largest expected reading of the meter, m/s.
    pub meter_m_per_s: Option<[f64; 2]>,
    /// The same in per cent of the reading behind the bare fan.
    pub meter_percent: Option<[f64; 2]>,
    /// Names of the designs from which it cannot be told apart.
    pub tied_with: Vec<String>,
}

/// Everything that is sealed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sealed {
    /// When it was sealed: date and time in UTC.
    pub sealed_at: String,
    /// Version of the program that sealed it.
    pub code_version: String,
    /// Version of the program that solved it.
    pub solved_by_version: String,
    /// Name of the study.
    pub study: String,
    /// The study with every default, as TOML.
    pub study_toml: String,
    /// `quick`, `standard` or `overnight`.
    pub quality: String,
    /// `intake` or `exhaust`.
    pub side: String,
    /// Area that flow and mean air speed belong to, m².
    pub reference_area_m2: f64,
    /// What that area is, in words.
    pub reference_area_words: String,
    /// The flow that was given instead of a fan, m³/h.
    pub given_flow_m3_per_h: Option<f64>,
    /// The bare fan; `None` when a flow was given.
    pub bare_fan: Option<PromisedDesign>,
    /// The designs, best first.
    pub designs: Vec<PromisedDesign>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Why a sealed prediction cannot be trusted or read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealError {
    /// It is no sealed prediction.
    #[error("this is not a sealed prediction: {0}")]
    Content(#[from] serde_json::Error),
    /// It calls itself something else.
    #[error("this is not a sealed prediction: it lacks `format` = `{FORMAT}`")]
    Format,
    /// It has another version.
    #[error(
        "the sealed prediction has format version {found}, this program reads {FORMAT_VERSION}"
    )]
    Version {
        /// Version of the file, 0 if it has none.
        found: u64,
    },
    /// Its content is not what was sealed.
    #[error(
        "the seal is broken: the content was changed after sealing (its hash is now {found}, it was {sealed})"
    )]
    Broken {
        /// Hash that stands in the file.
        sealed: String,
        /// Hash of the content.
        found: String,
    },
    /// It is whole, but holds what cannot be: an area of nothing, a number beyond all bounds.
    #[error("the sealed prediction has no usable {what}")]
    Unusable {
        /// What cannot be used.
        what: &'static str,
    },
}

/// A content and its hash.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// What was sealed.
    pub content: Sealed,
    /// The hash, in hexadecimal digits.
    pub hash: String,
}

/// The text of the file of a prediction.
///
/// # Errors
/// [`SealError::Content`] when a number is not finite.
pub fn seal(content: &Sealed) -> Result<String, SealError> {
    let value = serde_json::to_value(content)?;
    let file = serde_json::json!({
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "blake3": checksum::of_json(&value),
        "content": value,
    });
    Ok(serde_json::to_string_pretty(&file)? + "\n")
}

/// Reads a sealed prediction and checks that it is whole.
///
/// # Errors
/// [`SealError`].
///
/// # Examples
/// ```
/// use ventwright::rig::sealed::{open, SealError};
/// assert!(matches!(open("{}"), Err(SealError::Format)));
/// ```
pub fn open(text: &str) -> Result<Opened, SealError> {
    let file: Value = serde_json::from_str(text)?;
    if file.get("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(SealError::Format);
    }
    let found = file.get("format_version").and_then(Value::as_u64);
    if found != Some(FORMAT_VERSION) {
        let found = found.unwrap_or(0);
        return Err(SealError::Version { found });
    }
    let sealed = file.get("blake3").and_then(Value::as_str).unwrap_or("");
    let content = file.get("content").cloned().unwrap_or(Value::Null);
    let found = checksum::of_json(&content);
    if sealed != found {
        let sealed = sealed.to_owned();
        return Err(SealError::Broken { sealed, found });
    }
    let content: Sealed = serde_json::from_value(content)?;
    let is_area = content.reference_area_m2.is_finite() && content.reference_area_m2 > 0.0;
    if !is_area {
        return Err(SealError::Unusable {
            what: "reference area",
        });
    }
    Ok(Opened {
        content,
        hash: found,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn content() -> Sealed {
        let range = |value: f64| Promised {
            value,
            low: value - 2.1,
            high: value + 1.9,
        };
        let design = PromisedDesign {
            name: "honeycomb, \"fine\"".to_owned(),
            rank: Some(1),
            flow_m3_per_h: Some(range(81.3)),
            flow_percent: Some(range(87.654_321)),
            ..PromisedDesign::default()
        };
        Sealed {
            sealed_at: "2031-02-03 04:05:06 UTC".to_owned(),
            code_version: "0.1.0".to_owned(),
            solved_by_version: "0.1.0".to_owned(),
            study: "desk".to_owned(),
            study_toml: "format = 1\n".to_owned(),
            quality: "quick".to_owned(),
            side: "intake".to_owned(),
            reference_area_m2: 0.0123,
            reference_area_words: "bore".to_owned(),
            given_flow_m3_per_h: None,
            bare_fan: None,
            designs: vec![design],
            cautions: Vec::new(),
        }
    }

    #[test]
    fn what_was_sealed_comes_back_and_white_space_does_not_matter() {
        let text = seal(&content()).unwrap();
        let opened = open(&text).unwrap();
        assert_eq!(opened.content, content());
        let compact = serde_json::from_str::<Value>(&text).unwrap().to_string();
        assert_eq!(open(&compact).unwrap(), opened);
        assert_eq!(open(&text.replace('\n', "\r\n")).unwrap(), opened);
    }

    #[test]
    fn every_change_of_the_content_breaks_the_seal() {
        let text = seal(&content()).unwrap();
        for (from, to) in [
            ("87.654321", "87.654322"),
            ("2031-02-03", "2031-02-02"),
            ("honeycomb", "Honeycomb"),
            ("\"rank\": 1", "\"rank\": 2"),
            ("format = 1", "format = 2"),
            ("\"designs\"", "\"other\": 1, \"designs\""),
        ] {
            let changed = text.replacen(from, to, 1);
            assert_ne!(changed, text, "{from}");
            assert!(
                matches!(open(&changed), Err(SealError::Broken { .. })),
                "{from}"
            );
        }
    }

    #[test]
    fn what_is_none_is_said_to_be_none() {
        assert!(matches!(open("nonsense"), Err(SealError::Content(_))));
        assert!(matches!(open("[1]"), Err(SealError::Format)));
        let later = seal(&content())
            .unwrap()
            .replace("\"format_version\": 1", "\"format_version\": 2");
        assert!(matches!(open(&later), Err(SealError::Version { found: 2 })));
    }
}
