//! Density, viscosity and specific heat of the air that the fan moves.

/// Zero of the Celsius scale, K. Exact by definition of the scale.
pub const CELSIUS_ZERO: f64 = 273.15;

/// Specific gas constant of dry air, J/(kg K): 8314.32 J/(kmol K) over 28.9644 kg/kmol.
/// Source: U.S. Standard Atmosphere, 1976, tables 2 and 3.
pub const GAS_CONSTANT_DRY_AIR: f64 = 8314.32 / 28.9644;

/// Specific gas constant of water vapour, J/(kg K): 8314.32 J/(kmol K) over 18.0153 kg/kmol (molar mass from memory).
pub const GAS_CONSTANT_VAPOUR: f64 = 8314.32 / 18.0153;

/// Ratio of the specific heats of dry air. Source: U.S. Standard Atmosphere, 1976, section 1.3.
pub const HEAT_CAPACITY_RATIO: f64 = 1.4;

/// Specific heat of water vapour at constant pressure, J/(kg K), between 0 and 50 °C (handbook value, from memory).
pub const SPECIFIC_HEAT_VAPOUR: f64 = 1860.0;

/// Factor of Sutherland's law for air, kg/(s m √K). Source: U.S. Standard Atmosphere, 1976, equation 51.
pub const SUTHERLAND_FACTOR: f64 = 1.458e-6;

/// Sutherland's temperature for air, K. Source: U.S. Standard Atmosphere, 1976, equation 51.
pub const SUTHERLAND_TEMPERATURE: f64 = 110.4;

/// Viscosity of water vapour at 0 °C, Pa s, and its rise per kelvin, Pa s/K.
///
/// A line through two values of the saturated vapour, 9.544e-6 Pa s at 20 °C and 1.0516e-5 Pa s at 50 °C (formulation of the
/// International Association for the Properties of Water and Steam, 2008, as computed by the Python library `CoolProp` 8.0.0).
pub const VISCOSITY_VAPOUR: (f64, f64) = (8.896e-6, 3.240e-8);

/// Temperatures that [`Air::new`] accepts, °C.
pub const TEMPERATURE_RANGE_C: (f64, f64) = (-40.0, 80.0);

/// Absolute pressures that [`Air::new`] accepts, Pa: from above the highest towns to a pressurised cabin on the Dead Sea.
pub const PRESSURE_RANGE: (f64, f64) = (45_000.0, 120_000.0);

/// The state of the air: everything that the flow needs to know of it, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature, °C (kept for the record).
    pub temperature_c: f64,
    /// Absolute pressure, Pa.
    pub pressure: f64,
    /// Relative humidity, 0 to 1, where it is known (kept for the record); else the air is taken as dry.
    pub relative_humidity: Option<f64>,
    /// Density, kg/m³.
    pub density: f64,
    /// Kinematic viscosity, m²/s.
    pub kinematic_viscosity: f64,
    /// Specific heat at constant pressure, J/(kg K).
    pub specific_heat: f64,
}

/// A state in which no PC runs, or a slip of the unit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AirError {
    /// Outside [`TEMPERATURE_RANGE_C`], or not a number.
    #[error("air temperature is {0} °C, but must be between {low} and {high} °C", low = TEMPERATURE_RANGE_C.0, high = TEMPERATURE_RANGE_C.1)]
    Temperature(f64),
    /// Outside [`PRESSURE_RANGE`], or not a number.
    #[error("air pressure is {0} Pa, but must be between {low} and {high} Pa", low = PRESSURE_RANGE.0, high = PRESSURE_RANGE.1)]
    Pressure(f64),
    /// Not within 0 to 1.
    #[error("relative humidity is {0}, but must be between 0 and 1")]
    Humidity(f64),
}

impl AirError {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Temperature(_) => "air-temperature",
            Self::Pressure(_) => "air-pressure",
            Self::Humidity(_) => "air-humidity",
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Temperature(_) => "give the temperature in degrees Celsius",
            Self::Pressure(_) => {
                "give the absolute pressure in pascals (1013 hPa is 101300 Pa), not the one reduced to sea level"
            }
            Self::Humidity(_) => "give the relative humidity as a fraction: 0.5 for 50 per cent",
        }
    }
}

impl Air {
    /// Air at a temperature (°C), an absolute pressure (Pa) and, if it is known, a relative humidity (0 to 1).
    ///
    /// ```text
    /// rho = (p - e) / (R_d T) + e / (R_v T)      e: partial pressure of the vapour, 0 for dry air
    /// mu  = beta T^1.5 / (T + S)                 Sutherland's law for dry air; mixed with the vapour's by Wilke's rule
    /// nu  = mu / rho
    /// c_p = (1 - q) c_pd + q c_pv                q: mass fraction of vapour, c_pd = R_d gamma / (gamma - 1)
    /// ```
    ///
    /// Without humidity the air is taken as dry.
    ///
    /// # Errors
    /// [`AirError`] for the first of the three that is out of range.
    ///
    /// # Validity
    /// Ideal gas: within 0.1 % in density up to 50 °C and sea-level pressure.
    ///
    /// # References
    /// U.S. Standard Atmosphere, 1976, equations 42 and 51 to 52.
    /// Mixture: C. R. Wilke, J. Chem. Phys. 18 (1950) 517, equations 13 and 14 (from memory).
    /// Vapour pressure: O. A. Alduchov, R. E. Eskridge, J. Appl. Meteorol. 35 (1996) 601, equation 21 (constants from memory).
    ///
    /// # Examples
    /// ```
    /// let air = ventwright::air::Air::new(15.0, 101_325.0, None)?;
    /// assert!((air.density - 1.2250).abs() < 5e-5);
    /// # Ok::<(), ventwright::air::AirError>(())
    /// ```
    pub fn new(
        temperature_c: f64,
        pressure: f64,
        relative_humidity: Option<f64>,
    ) -> Result<Self, AirError> {
        if !is_within(temperature_c, TEMPERATURE_RANGE_C) {
            return Err(AirError::Temperature(temperature_c));
        }
        if !is_within(pressure, PRESSURE_RANGE) {
            return Err(AirError::Pressure(pressure));
        }
        let humidity = relative_humidity.unwrap_or(0.0);
        if !is_within(humidity, (0.0, 1.0)) {
            return Err(AirError::Humidity(humidity));
        }
        let temperature = temperature_c + CELSIUS_ZERO;
        let vapour_pressure = humidity * saturation_pressure(temperature_c);
        let vapour_density = vapour_pressure / (GAS_CONSTANT_VAPOUR * temperature);
        let density =
            (pressure - vapour_pressure) / (GAS_CONSTANT_DRY_AIR * temperature) + vapour_density;
        let vapour_share = vapour_density / density;
        let specific_heat_dry =
            GAS_CONSTANT_DRY_AIR * HEAT_CAPACITY_RATIO / (HEAT_CAPACITY_RATIO - 1.0);
        Ok(Self {
            temperature_c,
            pressure,
            relative_humidity,
            density,
            kinematic_viscosity: viscosity(temperature, vapour_pressure / pressure) / density,
            specific_heat: (1.0 - vapour_share) * specific_heat_dry
                + vapour_share * SPECIFIC_HEAT_VAPOUR,
        })
    }

    /// Pressure of moving air, ½ρv², in Pa, from its speed in m/s.
    pub fn dynamic_pressure(&self, velocity: f64) -> f64 {
        0.5 * self.density * velocity * velocity
    }

    /// Mean temperature rise, K, of a volume flow (m³/s) that carries off a heat load (W).
    ///
    /// ```text
    /// dT = P / (rho c_p Q)
    /// ```
    ///
    /// # Validity
    /// A mean over the whole stream: says nothing of the temperature of any one part. Takes it that all heat leaves with
    /// this air. Infinite without flow.
    pub fn temperature_rise(&self, heat_load: f64, flow: f64) -> f64 {
        heat_load / (self.density * self.specific_heat * flow)
    }
}

/// Dynamic viscosity, Pa s, of air with a mole fraction of vapour, at a temperature in K (Wilke's mixing rule).
fn viscosity(temperature: f64, vapour_fraction: f64) -> f64 {
    let air = SUTHERLAND_FACTOR * temperature.powf(1.5) / (temperature + SUTHERLAND_TEMPERATURE);
    let (at_zero, rise) = VISCOSITY_VAPOUR;
    let vapour = at_zero + rise * (temperature - CELSIUS_ZERO);
    let mass_ratio = GAS_CONSTANT_VAPOUR / GAS_CONSTANT_DRY_AIR; // of air to vapour, by the molar masses
    let hindrance = |viscosity_ratio: f64, mass_ratio: f64| {
        (1.0 + viscosity_ratio.sqrt() * mass_ratio.powf(-0.25)).powi(2)
            / (8.0 * (1.0 + mass_ratio)).sqrt()
    };
    let air_fraction = 1.0 - vapour_fraction;
    air_fraction * air / (air_fraction + vapour_fraction * hindrance(air / vapour, mass_ratio))
        + vapour_fraction * vapour
            / (vapour_fraction + air_fraction * hindrance(vapour / air, 1.0 / mass_ratio))
}

/// Pressure of saturated water vapour over water, Pa, at a temperature in °C (Magnus form).
fn saturation_pressure(temperature_c: f64) -> f64 {
    610.94 * (17.625 * temperature_c / (temperature_c + 243.04)).exp()
}

/// Whether `value` is a number within `range`, ends included.
fn is_within(value: f64, range: (f64, f64)) -> bool {
    value >= range.0 && value <= range.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_without_sense_are_refused() {
        assert_eq!(
            Air::new(293.15, 101_325.0, None),
            Err(AirError::Temperature(293.15))
        );
        assert_eq!(
            Air::new(20.0, 1013.25, None),
            Err(AirError::Pressure(1013.25))
        );
        assert_eq!(
            Air::new(20.0, 101_325.0, Some(50.0)),
            Err(AirError::Humidity(50.0))
        );
        assert!(Air::new(f64::NAN, 101_325.0, None).is_err());
        assert!(Air::new(20.0, f64::NAN, None).is_err());
        assert!(Air::new(20.0, 101_325.0, Some(f64::NAN)).is_err());
    }

    #[test]
    fn moist_air_is_lighter_and_holds_more_heat() {
        let dry = Air::new(30.0, 101_325.0, None).unwrap();
        let moist = Air::new(30.0, 101_325.0, Some(0.8)).unwrap();
        assert!(moist.density < dry.density);
        assert!(moist.specific_heat > dry.specific_heat);
    }

    #[test]
    fn a_kilowatt_in_a_kilogram_a_second_warms_it_by_one_kelvin() {
        let air = Air {
            temperature_c: 20.0,
            pressure: 101_325.0,
            relative_humidity: None,
            density: 1.25,
            kinematic_viscosity: 1.5e-5,
            specific_heat: 1000.0,
        };
        assert!((air.temperature_rise(1000.0, 0.8) - 1.0).abs() < 1e-12);
    }
}
