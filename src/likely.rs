//! A number, how far it may be off, and what it is that makes it so: plain data that every later module shares.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// Half-width of the 95 % interval of a normal distribution, in standard deviations.
///
/// Source: ISO/IEC Guide 98-3 (GUM), annex G, table G.1 (quoted from memory; it is the 0.975 quantile).
pub const HALF_WIDTH_95: f64 = 1.959_963_984_540_054;

/// A value with its likely range (95 %).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Likely {
    /// Best estimate.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
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

    /// The same in another unit: everything times `factor`, which must be positive.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
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
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contribution {
    /// Plain words: "simplified view", "grid", "fluctuation in time", "fan curve", "air speed limit of the solver".
    pub source: String,
    /// Half-width at 95 %, per cent of the flow.
    pub half_width_percent: f64,
}

/// A doubt about a number: travels with it into every output.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Warning {
    /// Fixed short code, such as `few-cells`.
    pub code: Cow<'static, str>,
    /// What is doubtful, in plain words.
    pub message: String,
    /// What to do about it.
    pub advice: String,
}
