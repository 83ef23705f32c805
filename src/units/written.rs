//! Units in which people write flows and pressures.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR, PASCALS_PER_MILLIMETRE_OF_WATER};

/// Unit of a flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub enum FlowUnit {
    /// m³/h.
    #[default]
    #[serde(rename = "m3/h")]
    CubicMetresPerHour,
    /// ft³/min.
    #[serde(rename = "CFM")]
    CubicFeetPerMinute,
    /// l/s.
    #[serde(rename = "l/s")]
    LitresPerSecond,
}

impl FlowUnit {
    /// Name of a column or key in this unit.
    pub fn column_name(self) -> &'static str {
        match self {
            Self::CubicMetresPerHour => "flow_m3_per_h",
            Self::CubicFeetPerMinute => "flow_cfm",
            Self::LitresPerSecond => "flow_l_per_s",
        }
    }

    /// As people write it.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::CubicMetresPerHour => "m³/h",
            Self::CubicFeetPerMinute => "CFM",
            Self::LitresPerSecond => "l/s",
        }
    }

    /// How many of this unit make one m³/s.
    pub fn per_si(self) -> f64 {
        match self {
            Self::CubicMetresPerHour => CUBIC_METRES_PER_HOUR,
            Self::CubicFeetPerMinute => CUBIC_FEET_PER_MINUTE,
            Self::LitresPerSecond => 1000.0,
        }
    }

    /// A flow in m³/h in this unit.
    pub fn of_m3_per_h(self, flow: f64) -> f64 {
        flow / CUBIC_METRES_PER_HOUR * self.per_si()
    }
}

/// Unit of a pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub enum PressureUnit {
    /// Pa.
    #[default]
    #[serde(rename = "Pa")]
    Pascals,
    /// Conventional millimetres of water.
    #[serde(rename = "mmH2O")]
    MillimetresOfWater,
}

impl PressureUnit {
    /// Name of a column or key in this unit.
    pub fn column_name(self) -> &'static str {
        match self {
            Self::Pascals => "pressure_pa",
            Self::MillimetresOfWater => "pressure_mmh2o",
        }
    }

    /// As people write it.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Pascals => "Pa",
            Self::MillimetresOfWater => "mmH2O",
        }
    }

    /// How many of this unit make one Pa.
    pub fn per_si(self) -> f64 {
        match self {
            Self::Pascals => 1.0,
            Self::MillimetresOfWater => 1.0 / PASCALS_PER_MILLIMETRE_OF_WATER,
        }
    }
}

/// The units in which results are told first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct OutputUnits {
    /// Unit of flows.
    pub flow: FlowUnit,
    /// Unit of pressures.
    pub pressure: PressureUnit,
}
