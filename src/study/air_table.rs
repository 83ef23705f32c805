//! `[air]`: temperature, pressure and humidity of the air that the fan moves.

use crate::air::Air;
use crate::study::diagnostics::Diagnostics;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

/// Standard pressure at sea level, hPa. Source: U.S. Standard Atmosphere, 1976, table 2.
const SEA_LEVEL_PRESSURE_HPA: f64 = 1013.25;

const TEMPERATURE: Key = Key::number("temperature_c", Unit::kept(" °C"), -40.0, 80.0)
    .or(20.0)
    .hint("give the room's temperature in °C, such as temperature_c = 22");
pub(super) const PRESSURE: Key = Key::number("pressure_hpa", Unit::HPA, 450.0, 1200.0)
    .or(SEA_LEVEL_PRESSURE_HPA)
    .hint("give the air pressure in hPa as a weather station does, such as 1013.25");
const ALTITUDE: Key = Key::number("altitude_m", Unit::kept(" m"), -500.0, 5000.0)
    .hint("give the height above the sea in m");
const HUMIDITY: Key = Key::number("humidity_percent", Unit::PERCENT, 0.0, 100.0)
    .hint("give the relative humidity in per cent, such as humidity_percent = 45");

/// `[air]`
pub(super) const AIR: Keys = Keys::new("[air]", &[&TEMPERATURE, &PRESSURE, &ALTITUDE, &HUMIDITY]);

/// Checks `[air]`. `None` only after a fault.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, air: &Table<'_>) -> Option<Air> {
    let temperature = air.number(diagnostics, &TEMPERATURE);
    air.at_most_one(diagnostics, &[&PRESSURE, &ALTITUDE]);
    let pressure = if air.has(&ALTITUDE) {
        let altitude = air.number(diagnostics, &ALTITUDE)?;
        PRESSURE.si(standard_pressure_hpa(altitude.written))
    } else {
        air.number(diagnostics, &PRESSURE)?.si
    };
    let humidity = air.number_if_there(diagnostics, &HUMIDITY);
    Air::new(temperature?.written, pressure, humidity.map(|h| h.si)).ok()
}

/// Pressure of the standard atmosphere, hPa, at a height above the sea in m, to 0.01 hPa.
///
/// ```text
/// p = 1013.25 (288.15 / (288.15 - 0.0065 H))^(-g M / (R 0.0065))    H = r h / (r + h): geopotential height, m;  r: 6 356 766 m
///                                                                   g: 9.80665 m/s^2;  M: 28.9644 kg/kmol;  R: 8314.32 J/(kmol K)
/// ```
///
/// # References
/// U.S. Standard Atmosphere, 1976, equations 18 and 33a.
fn standard_pressure_hpa(altitude_m: f64) -> f64 {
    let geopotential = 6_356_766.0 * altitude_m / (6_356_766.0 + altitude_m);
    let exponent = 9.80665 * 28.9644 / (8314.32 * 0.0065);
    let ratio = (288.15 - 0.0065 * geopotential) / 288.15;
    (SEA_LEVEL_PRESSURE_HPA * ratio.powf(exponent) * 100.0).round() / 100.0
}

/// Writes `[air]`.
pub(super) fn write(copy: &mut ResolvedCopy, air: &Air) {
    copy.table(AIR.header);
    copy.number(&TEMPERATURE, air.temperature_c);
    copy.number(&PRESSURE, air.pressure);
    copy.number_if_known(&HUMIDITY, air.relative_humidity);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::{Draft, Study};

    fn study(air: &str) -> Study {
        let text = format!(
            "format = 1\nstudy.name = \"moist\"\nplace.side = \"intake\"\n{air}\n\
             fan = {{ bore_mm = 90, hub_mm = 30, free_flow_m3_per_h = 60, shut_off_pressure_pa = 20 }}\n\
             [[grille]]\nname = \"holes\"\nthickness_mm = 3\nholes = {{ shape = \"round\", diameter_mm = 6, rib_mm = 1.2 }}\n"
        );
        let draft = Draft::parse(text.as_bytes(), "moist.toml").unwrap();
        draft.resolve(&mut |_| Err(String::new())).unwrap()
    }

    #[test]
    fn moist_air_is_lighter_and_the_resolved_copy_keeps_it() {
        // By hand: saturated vapour at 30 °C has 42.47 hPa (steam tables), so rho = (101325 - 0.378 x 0.6 x 4247) / (287.05 x 303.15).
        let moist = study("air = { temperature_c = 30, humidity_percent = 60 }");
        assert!(
            (moist.air.density - 1.15331).abs() < 1e-4,
            "{}",
            moist.air.density
        );
        let dry = study("air = { temperature_c = 30 }");
        assert_eq!(dry.air.relative_humidity, None);
        assert!((dry.air.density / moist.air.density - 1.0096).abs() < 2e-4);
        let copy = moist.to_toml();
        assert!(copy.contains("humidity_percent = 60"), "{copy}");
        let draft = Draft::parse(copy.as_bytes(), "copy.toml").unwrap();
        let again = draft.resolve(&mut |_| Err(String::new())).unwrap();
        assert_eq!(again.air, moist.air);
    }

    #[test]
    fn pressure_falls_with_height_as_the_standard_atmosphere_has_it() {
        // By an independent program: the general-purpose Python library `fluids` 1.3.1, ATMOSPHERE_1976 (heights as here, not geopotential).
        for (altitude_m, pressure_pa) in [
            (-400.0, 106_223.741),
            (1000.0, 89_876.285),
            (2500.0, 74_691.756),
            (5000.0, 54_048.286),
        ] {
            let difference = standard_pressure_hpa(altitude_m) - pressure_pa / 100.0;
            // The result is rounded to 0.01 hPa.
            assert!(
                difference.abs() < 0.006,
                "{altitude_m} m: {difference} hPa off"
            );
        }
    }
}
