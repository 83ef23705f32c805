//! The fan: what pressure it makes at what flow, and where it settles.
//!
//! A [`Supply`] becomes a [`FanBand`]: one [`Characteristic`] (pressure at every flow) that is believed in, and others that it may be.
//! [`operating_points`] are the flows at which a characteristic meets what the air's way costs.
//! A [`FanExit`] is the air that leaves it: fast or slow, turning, and sucking in its core.

mod band;
mod characteristic;
mod curve;
mod curve_csv;
mod curve_fault;
mod exit;
mod exit_profile;
mod operating_point;
mod suction;

pub use crate::units::{FlowUnit, PressureUnit};
pub use band::FanBand;
pub use characteristic::Characteristic;
pub use curve_fault::{
    CurveFault, CurveFaultKind, CurvePlace, LARGEST_FLOW, LARGEST_PRESSURE, LONGEST_TEXT,
    MOST_POINTS,
};
pub use exit::{FanExit, HYDRAULIC_EFFICIENCY, SwirlSource};
pub use exit_profile::{ExitPoint, ExitProfile};
pub use operating_point::{NoOperatingPoint, OperatingPoint, OperatingPoints, operating_points};
pub use suction::{mean_suction, radial_pressure};

/// A fan as the study describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fan {
    /// Name, invented or the maker's own.
    pub name: String,
    /// Diameter of the bore in which it runs, m; 0 for a fan elsewhere in the box, of which only the flow and the pressure count.
    pub bore_diameter: f64,
    /// Hub diameter, m; 0 for such a fan, too.
    pub hub_diameter: f64,
    /// Rotational speed at which the curve holds, 1/s (revolutions per second), when known.
    pub speed: Option<f64>,
    /// Number of blades, when known.
    pub blade_count: Option<u32>,
    /// Angle against the axis at which the air leaves it, at the radius within which half of the annulus lies, radians, positive = with its rotation;
    /// when it was given.
    pub swirl_angle: Option<f64>,
    /// Hydraulic efficiency of its blades, for Euler's equation where no angle was given.
    pub hydraulic_efficiency: f64,
    /// How the air that leaves it is spread between hub and tip.
    pub exit_profile: ExitProfile,
    /// What it delivers.
    pub supply: Supply,
}

/// What drives the air.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    /// Points of a static-pressure curve.
    Curve(FanCurve),
    /// Only the two numbers on the box.
    TwoNumbers {
        /// Flow at no pressure, m³/s.
        free_flow: f64,
        /// Pressure at no flow, Pa.
        shut_off_pressure: f64,
    },
    /// No fan: this flow, m³/s.
    GivenFlow(f64),
}

/// A static-pressure curve: points sorted by flow.
#[derive(Debug, Clone, PartialEq)]
pub struct FanCurve {
    /// Volume flow, m³/s, strictly rising.
    pub flow: Vec<f64>,
    /// Static pressure, Pa.
    pub pressure: Vec<f64>,
}
