//! Density and viscosity of the air that the fan moves.

/// The state of the air: everything that the flow needs to know of it, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature, °C (kept for the record).
    pub temperature_c: f64,
    /// Absolute pressure, Pa.
    pub pressure: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Kinematic viscosity, m²/s.
    pub kinematic_viscosity: f64,
    /// Specific heat at constant pressure, J/(kg K).
    pub specific_heat: f64,
}
