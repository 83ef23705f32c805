//! Numbers and words against what their key allows.

use std::ops::Range;

use toml::Spanned;

use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::Key;
use crate::study::tree::{Value, shown};

/// A number as it is written, in the unit of its key, and in SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amount {
    pub(super) written: f64,
    pub(super) si: f64,
}

/// The number that a value is, if it is one.
pub(super) fn as_number(value: &Spanned<Value>) -> Option<f64> {
    match value.get_ref() {
        Value::Number(number) => Some(*number),
        Value::Whole(whole) => Some(*whole as f64),
        _ => None,
    }
}

/// A number of a key.
pub(super) fn amount(key: &Key, written: f64) -> Amount {
    let si = key.si(written);
    Amount { written, si }
}

/// A number for a key, if it is finite and in its range.
pub(super) fn within(
    diagnostics: &mut Diagnostics<'_>,
    key: &Key,
    span: &Range<usize>,
    number: f64,
) -> Option<Amount> {
    let limits = key.limits();
    let kind = if !number.is_finite() {
        FaultKind::NotFinite {
            key: key.name,
            value: number,
        }
    } else if !limits.include(number) {
        FaultKind::OutOfRange {
            key: key.name,
            value: number,
            low: limits.low,
            high: limits.high,
            unit: limits.unit.text,
            hint: key.hint,
        }
    } else {
        return Some(amount(key, number + 0.0));
    };
    diagnostics.report_value(key, span, kind);
    None
}

/// What a word stands for. `None` only after a fault.
pub(super) fn meaning<T: Copy>(
    diagnostics: &mut Diagnostics<'_>,
    key: &Key,
    value: &Spanned<Value>,
    meanings: &[(&'static str, T)],
) -> Option<T> {
    let Value::Text(text) = value.get_ref() else {
        return None;
    };
    let known = meanings.iter().find(|(word, _)| word == text);
    if known.is_none() {
        let kind = FaultKind::UnknownWord {
            key: key.name,
            value: shown(text),
            allowed: meanings.iter().map(|(word, _)| *word).collect(),
        };
        diagnostics.report_value(key, &value.span(), kind);
    }
    known.map(|(_, meaning)| *meaning)
}

/// A count that its key allows.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count within the limits of its key"
)]
pub(super) fn whole_of(number: f64) -> u32 {
    number as u32
}
