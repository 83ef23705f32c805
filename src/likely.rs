//! A number, how far it may be off, and what it is that makes it so: plain data that every later module shares.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

/// Reads a number that is not finite, which JSON writes as null.
///
/// # Errors
/// What the deserializer reports of anything that is neither a number nor null.
pub fn null_is_nan<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    Ok(Option::deserialize(deserializer)?.unwrap_or(f64::NAN))
}

/// Half-width of the 95 % interval of a normal distribution, in standard deviations.
///
/// Source: ISO/IEC Guide 98-3 (GUM), annex G, table G.1 (quoted from memory; it is the 0.975 quantile).
pub const HALF_WIDTH_95: f64 = 1.959_963_984_540_054;

/// A value with the range in which the true one lies 95 times in 100, all three in the unit of the key that holds them; null where not finite.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Likely {
    /// Best estimate, in the unit of the key that holds it.
    #[serde(deserialize_with = "null_is_nan")]
    pub value: f64,
    /// Lower end of the 95 % interval, in the same unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub low: f64,
    /// Upper end of the 95 % interval, in the same unit.
    #[serde(deserialize_with = "null_is_nan")]
    pub high: f64,
}

impl Likely {
    /// A value without doubt: the interval has no width.
    pub fn exact(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// A value and the half-width of its interval, the same on both sides.
    pub fn symmetric(value: f64, half_width: f64) -> Self {
        Self {
            value,
            low: value - half_width,
            high: value + half_width,
        }
    }

    /// What a rising function makes of value and ends.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self {
            value: rising(self.value),
            low: rising(self.low),
            high: rising(self.high),
        }
    }

    /// The same in another unit: everything times `factor`, which must be positive.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        self.map(|value| value * factor)
    }

    /// Whether `value` lies within the interval, ends included.
    pub fn includes(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// The larger of the two half-widths.
    pub fn half_width(&self) -> f64 {
        (self.high - self.value).max(self.value - self.low)
    }
}

/// A part of an interval.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Contribution {
    /// What it comes from, in plain words: "simplified view", "grid", "fluctuation in time", "fan curve", "air speed limit of the solver".
    pub source: String,
    /// Half of the width of this part alone, per cent of the flow, or of the pressure drop at a given flow.
    #[schemars(range(min = 0))]
    #[serde(deserialize_with = "null_is_nan")]
    pub half_width_percent: f64,
}

/// A doubt about a number: travels with it into every output.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub struct Warning {
    /// Fixed short code, such as few-cells; `ventwright doubts` and the README list them.
    #[schemars(regex(pattern = "^[a-z0-9]+(-[a-z0-9]+)*$"))]
    pub code: Cow<'static, str>,
    /// What is doubtful, in plain words.
    pub message: String,
    /// What to do about it.
    pub advice: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_uneven_range_is_as_wide_as_its_wider_half() {
        let of = |low: f64, high: f64| Likely {
            value: 5.0,
            low,
            high,
        };
        assert!((of(4.0, 8.0).half_width() - 3.0).abs() < 1e-12);
        assert!((of(1.5, 6.0).half_width() - 3.5).abs() < 1e-12);
        assert!(Likely::exact(5.0).half_width().abs() < 1e-12);
    }

    #[test]
    fn a_range_reaches_its_half_width_to_both_sides_and_holds_its_ends() {
        let range = Likely::symmetric(5.0, 2.0);
        assert_eq!((range.low, range.high), (3.0, 7.0));
        assert!(range.includes(3.0) && range.includes(5.0) && range.includes(7.0));
        assert!(!range.includes(2.9) && !range.includes(7.1));
        // 5 m³/h with 2 to both sides, in litres per hour.
        let litres = range.scaled(1000.0);
        assert_eq!(
            (litres.value, litres.low, litres.high),
            (5000.0, 3000.0, 7000.0)
        );
        let squared = range.map(|value| value * value);
        assert_eq!(
            (squared.value, squared.low, squared.high),
            (25.0, 9.0, 49.0)
        );
    }

    #[test]
    fn null_is_read_as_no_number_and_words_are_refused() {
        let read: Likely =
            serde_json::from_str(r#"{"value": 2.5, "low": null, "high": 4.0}"#).unwrap();
        assert!((read.value - 2.5).abs() < 1e-12 && (read.high - 4.0).abs() < 1e-12);
        assert!(read.low.is_nan());
        assert!(
            serde_json::from_str::<Likely>(r#"{"value": "much", "low": 1, "high": 2}"#).is_err()
        );
    }
}
