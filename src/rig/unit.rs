//! Units of readings, and what they are units of.

use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Volume flow.
    Flow,
    /// Air speed at a meter.
    Speed,
    /// Per cent of the bare fan, reckoned by the maker.
    Percent,
}

impl Quantity {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Flow => "flow",
            Self::Speed => "air speed",
            Self::Percent => "per cent of the bare fan",
        }
    }
}

/// Unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// m³/h.
    CubicMetresPerHour,
    /// CFM.
    CubicFeetPerMinute,
    /// l/s.
    LitresPerSecond,
    /// m/s.
    MetresPerSecond,
    /// ft/min.
    FeetPerMinute,
    /// Per cent of the bare fan.
    Percent,
}

impl Unit {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::CubicMetresPerHour,
        Self::CubicFeetPerMinute,
        Self::LitresPerSecond,
        Self::MetresPerSecond,
        Self::FeetPerMinute,
        Self::Percent,
    ];

    /// How it is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::CubicMetresPerHour => "m3/h",
            Self::CubicFeetPerMinute => "CFM",
            Self::LitresPerSecond => "l/s",
            Self::MetresPerSecond => "m/s",
            Self::FeetPerMinute => "ft/min",
            Self::Percent => "%",
        }
    }

    /// The unit that is written so; capital letters do not matter.
    pub fn of_word(word: &str) -> Option<Self> {
        match word.trim().to_lowercase().as_str() {
            "m3/h" | "m³/h" | "m^3/h" | "m3h" | "cbm/h" => Some(Self::CubicMetresPerHour),
            "cfm" | "ft3/min" | "ft³/min" => Some(Self::CubicFeetPerMinute),
            "l/s" => Some(Self::LitresPerSecond),
            "m/s" => Some(Self::MetresPerSecond),
            "ft/min" | "fpm" => Some(Self::FeetPerMinute),
            "%" | "percent" | "per cent" => Some(Self::Percent),
            _ => None,
        }
    }

    /// What it is a unit of.
    pub fn quantity(self) -> Quantity {
        match self {
            Self::CubicMetresPerHour | Self::CubicFeetPerMinute | Self::LitresPerSecond => {
                Quantity::Flow
            }
            Self::MetresPerSecond | Self::FeetPerMinute => Quantity::Speed,
            Self::Percent => Quantity::Percent,
        }
    }

    /// One of it in m³/s, m/s or per cent.
    pub fn in_si(self) -> f64 {
        match self {
            Self::CubicMetresPerHour => CUBIC_METRES_PER_HOUR.recip(),
            Self::CubicFeetPerMinute => CUBIC_FEET_PER_MINUTE.recip(),
            Self::LitresPerSecond => 1e-3,
            Self::MetresPerSecond | Self::Percent => 1.0,
            Self::FeetPerMinute => 0.3048 / 60.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_what_they_are_defined_to_be() {
        // 1 CFM = 1.699 m³/h, 1 m/s = 196.85 ft/min: definitions of foot and minute.
        let si = |unit: Unit| unit.in_si();
        assert!(
            (si(Unit::CubicFeetPerMinute) / si(Unit::CubicMetresPerHour) - 1.699_010_796).abs()
                < 1e-8
        );
        assert!((si(Unit::MetresPerSecond) / si(Unit::FeetPerMinute) - 196.850_394).abs() < 1e-5);
        for unit in Unit::ALL {
            assert_eq!(Unit::of_word(unit.word()), Some(unit));
        }
    }
}
