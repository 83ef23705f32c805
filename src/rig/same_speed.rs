//! Readings as they would be at one speed of the fan.

use serde::Serialize;

use crate::likely::Warning;
use crate::rig::outlier::median;
use crate::rig::readings::Reading;
use crate::rig::unit::Quantity;
use crate::text::is_bare_fan;

/// Change of the speed, per cent, up to which the fan law is believed without a word. Judgement: losses of grilles and fans are not quite quadratic.
const SMALL_CHANGE_PERCENT: f64 = 10.0;

/// Zero of the Celsius scale, K. Exact by definition of the scale.
const CELSIUS_ZERO: f64 = 273.15;

/// A reading that counts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taken<'a> {
    /// As it was typed.
    pub(super) reading: &'a Reading,
    /// In SI units, at the common speed.
    pub(super) si: f64,
}

/// Between what the room and the fan varied, where that was given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Conditions {
    /// Least and largest speed of the fan, rpm.
    pub speed_rpm: Option<[f64; 2]>,
    /// The speed that all readings were put at; `None` where speeds were not used.
    pub common_speed_rpm: Option<f64>,
    /// Lowest and highest temperature of the room, °C.
    pub temperature_c: Option<[f64; 2]>,
    /// By how much the air was denser at the lowest temperature than at the highest, per cent (ideal gas).
    pub density_change_percent: Option<f64>,
}

/// Puts readings at one speed by the fan law: flow and air speed are proportional to the speed of the fan. That of the bare fan (median) is the common one.
///
/// Density does not enter: at one speed a fan moves the same volume of warm and of cold air, and a wheel turns by the speed of the air.
///
/// # References
/// Fan laws: flow as the speed, pressure as density and speed squared (ISO 5801, from memory).
pub(super) fn at_one_speed<'a>(
    readings: &[&'a Reading],
    quantity: Quantity,
) -> (Vec<Taken<'a>>, Conditions, Vec<Warning>) {
    let given = |of_bare: bool| {
        let chosen = readings
            .iter()
            .filter(move |r| !of_bare || is_bare_fan(&r.design));
        chosen.filter_map(|r| r.speed_rpm).collect::<Vec<f64>>()
    };
    let (speeds, of_bare) = (given(false), given(true));
    let is_complete = speeds.len() == readings.len() && quantity != Quantity::Percent;
    let common = is_complete.then(|| {
        median(if of_bare.is_empty() {
            &speeds
        } else {
            &of_bare
        })
    });
    let taken = readings.iter().map(|&reading| Taken {
        reading,
        si: match (common, reading.speed_rpm) {
            (Some(common), Some(speed)) => reading.si() * common / speed,
            _ => reading.si(),
        },
    });
    let temperatures: Vec<f64> = readings.iter().filter_map(|r| r.temperature_c).collect();
    let conditions = Conditions {
        speed_rpm: ends(&speeds),
        common_speed_rpm: common,
        temperature_c: ends(&temperatures),
        density_change_percent: ends(&temperatures)
            .map(|[cold, warm]| 100.0 * ((warm + CELSIUS_ZERO) / (cold + CELSIUS_ZERO) - 1.0)),
    };
    (
        taken.collect(),
        conditions,
        doubts(&conditions, speeds.len(), readings.len(), quantity),
    )
}

fn doubts(conditions: &Conditions, given: usize, count: usize, quantity: Quantity) -> Vec<Warning> {
    let warning = |code: &'static str, message, advice: &str| {
        let advice = advice.to_owned();
        vec![Warning {
            code: code.into(),
            message,
            advice,
        }]
    };
    let Some([slowest, fastest]) = conditions.speed_rpm else {
        return Vec::new();
    };
    if conditions.common_speed_rpm.is_none() && quantity != Quantity::Percent {
        return warning(
            "speed-incomplete",
            format!("only {given} of {count} readings have a fan speed, so it was not used"),
            "fill in speed_rpm on every line",
        );
    }
    if conditions.common_speed_rpm.is_some()
        && 100.0 * (fastest / slowest - 1.0) > SMALL_CHANGE_PERCENT
    {
        return warning(
            "speed-varied",
            format!("the fan ran at {slowest:.0} to {fastest:.0} rpm"),
            "flow in proportion to speed holds well for small changes only; keep the fan at one speed",
        );
    }
    Vec::new()
}

fn ends(values: &[f64]) -> Option<[f64; 2]> {
    let least = values.iter().copied().reduce(f64::min)?;
    Some([least, values.iter().copied().reduce(f64::max)?])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::readings::{Readings, read_readings};

    fn read(text: &str) -> Readings {
        read_readings(text.as_bytes()).unwrap()
    }

    fn put(readings: &Readings, quantity: Quantity) -> (Vec<f64>, Conditions, Vec<Warning>) {
        let all: Vec<&Reading> = readings.readings.iter().collect();
        let (taken, conditions, warnings) = at_one_speed(&all, quantity);
        (
            taken.iter().map(|taken| taken.si).collect(),
            conditions,
            warnings,
        )
    }

    #[test]
    fn air_speeds_follow_the_speed_of_the_fan() {
        let found = read(
            "design,value,unit,speed_rpm,temperature_c\nbare fan,3.0,m/s,1200,20\ncomb,2.5,m/s,1000,25\n",
        );
        let (si, conditions, warnings) = put(&found, Quantity::Speed);
        assert!(si.iter().all(|si| (si - 3.0).abs() < 1e-12), "{si:?}");
        assert_eq!(conditions.common_speed_rpm, Some(1200.0));
        assert_eq!(warnings[0].code, "speed-varied");
        // U.S. Standard Atmosphere 1976: density goes as 1/T; 298.15 K over 293.15 K.
        let density = conditions.density_change_percent.unwrap();
        assert!((density - 1.7056).abs() < 1e-3, "{density}");
    }

    #[test]
    fn speeds_of_some_lines_are_not_used() {
        let found = read("design,value,unit,speed_rpm\nbare fan,62,CFM,1200\ncomb,50,CFM,\n");
        let (si, conditions, warnings) = put(&found, Quantity::Flow);
        assert!((si[0] - found.readings[0].si()).abs() < 1e-15);
        assert_eq!(
            (conditions.common_speed_rpm, &*warnings[0].code),
            (None, "speed-incomplete")
        );
        let percent = read("design,value,unit,speed_rpm\ncomb,84,%,1200\n");
        let (si, conditions, warnings) = put(&percent, Quantity::Percent);
        assert!((si[0] - 84.0).abs() < 1e-12);
        assert!(conditions.common_speed_rpm.is_none() && warnings.is_empty());
    }
}
