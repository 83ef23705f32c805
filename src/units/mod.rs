//! The one place where SI and lattice units meet.
//!
//! In SI modules a bare `f64` is in SI base units.
//! In `lattice` everything is counted in cells, steps and the density of resting air.
//! What crosses that border is a newtype of this module, converted by a [`Scale`].

mod figure;
mod written;

pub use figure::figure;
pub use written::{FlowUnit, OutputUnits, PressureUnit};

/// A speed in m/s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MetresPerSecond(pub f64);

/// A speed in cells per step.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LatticeVelocity(pub f64);

/// A length in m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Metres(pub f64);

/// A length in cells.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LatticeLength(pub f64);

/// A kinematic viscosity in m²/s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct SquareMetresPerSecond(pub f64);

/// A kinematic viscosity in cells² per step.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LatticeViscosity(pub f64);

/// A pressure difference in Pa.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Pascals(pub f64);

/// A pressure difference in units of (resting density) × (cell / step)².
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LatticePressure(pub f64);

/// A time in s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Seconds(pub f64);

/// A time in steps.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LatticeTime(pub f64);

/// How long a cell, how long a step and how dense the air is: converts both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Length of a cell, m.
    pub cell: f64,
    /// Duration of a step, s.
    pub step: f64,
    /// Density of the air, kg/m³.
    pub density: f64,
}

impl Scale {
    /// The scale at which `cells` cells span `length` and `velocity` becomes `lattice_velocity`.
    ///
    /// ```
    /// use ventwright::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};
    /// let scale = Scale::new(Metres(0.005), 50.0, MetresPerSecond(3.0), LatticeVelocity(0.03), 1.2);
    /// assert!((scale.cell - 1e-4).abs() < 1e-12);
    /// assert!((scale.step - 1e-6).abs() < 1e-14);
    /// ```
    pub fn new(
        length: Metres,
        cells: f64,
        velocity: MetresPerSecond,
        lattice_velocity: LatticeVelocity,
        density: f64,
    ) -> Self {
        let cell = length.0 / cells;
        let step = cell * lattice_velocity.0 / velocity.0;
        Self {
            cell,
            step,
            density,
        }
    }

    /// Cells per step from m/s.
    pub fn lattice_velocity(&self, velocity: MetresPerSecond) -> LatticeVelocity {
        LatticeVelocity(velocity.0 * self.step / self.cell)
    }

    /// m/s from cells per step.
    pub fn velocity(&self, velocity: LatticeVelocity) -> MetresPerSecond {
        MetresPerSecond(velocity.0 * self.cell / self.step)
    }

    /// Cells from m.
    pub fn lattice_length(&self, length: Metres) -> LatticeLength {
        LatticeLength(length.0 / self.cell)
    }

    /// m from cells.
    pub fn length(&self, length: LatticeLength) -> Metres {
        Metres(length.0 * self.cell)
    }

    /// Lattice viscosity from m²/s.
    pub fn lattice_viscosity(&self, viscosity: SquareMetresPerSecond) -> LatticeViscosity {
        LatticeViscosity(viscosity.0 * self.step / (self.cell * self.cell))
    }

    /// Pa from lattice units.
    pub fn pressure(&self, pressure: LatticePressure) -> Pascals {
        let speed = self.cell / self.step;
        Pascals(pressure.0 * self.density * speed * speed)
    }

    /// s from steps.
    pub fn time(&self, time: LatticeTime) -> Seconds {
        Seconds(time.0 * self.step)
    }
}

/// Cubic metres per hour in one m³/s (an hour has 3600 s).
pub const CUBIC_METRES_PER_HOUR: f64 = 3600.0;

/// Cubic feet per minute in one m³/s: 60 / 0.3048³, the international foot being 0.3048 m exactly.
pub const CUBIC_FEET_PER_MINUTE: f64 = 60.0 / (0.3048 * 0.3048 * 0.3048);

/// Pascals in one millimetre of water: the conventional 9.80665 Pa.
pub const PASCALS_PER_MILLIMETRE_OF_WATER: f64 = 9.806_65;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scale_converts_there_and_back() {
        let scale = Scale::new(
            Metres(0.004),
            32.0,
            MetresPerSecond(2.0),
            LatticeVelocity(0.04),
            1.2,
        );
        let there = scale.lattice_velocity(MetresPerSecond(3.5));
        assert!((scale.velocity(there).0 - 3.5).abs() < 1e-12);
        let length = scale.lattice_length(Metres(0.003));
        assert!((scale.length(length).0 - 0.003).abs() < 1e-15);
    }

    #[test]
    fn reynolds_number_is_the_same_in_both_units() {
        let scale = Scale::new(
            Metres(0.004),
            32.0,
            MetresPerSecond(2.0),
            LatticeVelocity(0.04),
            1.2,
        );
        let lattice = 0.04 * 32.0 / scale.lattice_viscosity(SquareMetresPerSecond(1.5e-5)).0;
        assert!((lattice - 2.0 * 0.004 / 1.5e-5).abs() < 1e-9);
    }

    #[test]
    fn one_cfm_is_the_defined_1_699_m3_per_hour() {
        assert!((CUBIC_METRES_PER_HOUR / CUBIC_FEET_PER_MINUTE - 1.699_010_795_52).abs() < 1e-9);
    }
}
