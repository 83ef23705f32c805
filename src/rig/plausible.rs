//! Whether readings can be what their unit says. A meter shows several units and stores an area; both are easily left wrong.
//!
//! Nothing is changed: what may have happened is said, with the figure that would follow from it.

use std::fmt::Write as _;

use crate::likely::Warning;
use crate::rig::outlier::median;
use crate::rig::readings::Reading;
use crate::rig::unit::{Quantity, Unit};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// Largest mean air speed through a PC fan, m/s, that is believed. Judgement: 50 to 120 CFM through a bore of 140 mm are 1.6 to 4 m/s.
pub const FASTEST: f64 = 6.0;

/// By which factor a flow may miss the promised one before its unit is doubted. Judgement: below the 1.7 between CFM and m³/h.
const FLOW_FACTOR: f64 = 1.5;

/// By which factor an air speed may miss the promised one: a meter sees a part of the stream only.
const SPEED_FACTOR: f64 = 2.0;

/// Mean air speeds, m/s, that a PC fan may well have.
const LIKELY_SPEEDS: std::ops::RangeInclusive<f64> = 0.8..=5.0;

/// What is known of the stream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    /// Area of the stream, m².
    pub area: f64,
    /// Promised value for the readings: flow in m³/s or speed in m/s; `None` where nothing was promised.
    pub promised: Option<f64>,
}

/// Another way to take a number.
struct Other {
    /// In words: "feet per minute".
    words: &'static str,
    /// The quantity in SI units that the number would then be.
    value: f64,
}

/// Doubts about the unit of readings of one unit. Each reading comes with what is known of its stream.
///
/// # Examples
/// ```
/// use ventwright::rig::plausible::{Stream, unit_doubt};
/// use ventwright::rig::readings::read_readings;
/// let found = read_readings(b"design,value,unit\nbare fan,300,CFM\n").unwrap();
/// let stream = Stream { area: 0.014_314, promised: None };
/// let doubt = unit_doubt(&[(&found.readings[0], stream)]).unwrap();
/// assert!(doubt.message.contains("9.9 m/s") && doubt.advice.contains("1.5 m/s, 46 CFM"));
/// ```
pub fn unit_doubt(readings: &[(&Reading, Stream)]) -> Option<Warning> {
    let (first, stream) = *readings.first()?;
    let typed = median(
        &readings
            .iter()
            .map(|(reading, _)| reading.value)
            .collect::<Vec<_>>(),
    );
    let ratios: Vec<f64> = readings
        .iter()
        .filter_map(|(reading, stream)| Some(reading.si() / stream.promised?))
        .filter(|ratio| ratio.is_finite() && *ratio > 0.0)
        .collect();
    let ratio = (!ratios.is_empty()).then(|| median(&ratios));
    match first.unit.quantity() {
        Quantity::Flow => flow_doubt(first.unit, typed, stream.area, ratio),
        Quantity::Speed => speed_doubt(first.unit, typed, ratio),
        Quantity::Percent => percent_doubt(typed),
    }
}

fn is_far(ratio: Option<f64>, factor: f64) -> bool {
    ratio.is_some_and(|ratio| ratio.ln().abs() > factor.ln())
}

/// The way to take the number that comes nearest to what was promised; without a promise, the first whose speed is likely.
fn nearest(
    others: Vec<Other>,
    promised: Option<f64>,
    factor: f64,
    speed: impl Fn(f64) -> f64,
) -> Option<Other> {
    match promised {
        Some(promised) => {
            let miss = |other: &Other| (other.value / promised).ln().abs();
            let fits = others
                .into_iter()
                .filter(|other| miss(other) <= factor.ln());
            fits.min_by(|a, b| miss(a).total_cmp(&miss(b)))
        }
        None => others
            .into_iter()
            .find(|other| LIKELY_SPEEDS.contains(&speed(other.value))),
    }
}

fn flow_doubt(unit: Unit, typed: f64, area: f64, ratio: Option<f64>) -> Option<Warning> {
    let flow = typed * unit.in_si();
    let speed = flow / area;
    let is_too_fast = speed > FASTEST;
    if !is_too_fast && !is_far(ratio, FLOW_FACTOR) {
        return None;
    }
    let promised = ratio.map(|ratio| flow / ratio);
    let word = unit.word();
    let mut message = format!(
        "{} {word} through {:.0} cm² would be {speed:.1} m/s",
        number(typed),
        1e4 * area
    );
    if is_too_fast {
        message += ", more than a PC fan moves";
    }
    if let (Some(ratio), true) = (ratio, is_far(ratio, FLOW_FACTOR)) {
        let _ = write!(message, ", {} the promised flow", times(ratio));
    }
    let mut others = vec![
        Other {
            words: "feet per minute",
            value: typed * Unit::FeetPerMinute.in_si() * area,
        },
        Other {
            words: "metres per second",
            value: typed * area,
        },
    ];
    let units = [
        (Unit::CubicMetresPerHour, "m³/h"),
        (Unit::CubicFeetPerMinute, "CFM"),
        (Unit::LitresPerSecond, "l/s"),
    ];
    let more = units.into_iter().filter(|(other, _)| *other != unit);
    others.extend(more.map(|(other, words)| Other {
        words,
        value: typed * other.in_si(),
    }));
    let mut advice = match nearest(others, promised, FLOW_FACTOR, |flow| flow / area) {
        Some(other) => format!(
            "if the number is {}, it is {:.1} m/s, {} CFM, {} m³/h; ",
            other.words,
            other.value / area,
            number(other.value * CUBIC_FEET_PER_MINUTE),
            number(other.value * CUBIC_METRES_PER_HOUR)
        ),
        None => String::new(),
    };
    // A meter multiplies its speed by the area that it has stored.
    let of_area = match ratio {
        Some(ratio) => format!(
            "if the area stored in the meter is wrong, it is {:.0} cm² instead of {:.0}; per cent of the bare fan does not suffer from either",
            1e4 * area * ratio,
            1e4 * area
        ),
        None => format!(
            "else look at the area stored in the meter: the stream has {:.0} cm²",
            1e4 * area
        ),
    };
    advice += &of_area;
    Some(Warning {
        code: "unit-doubt".into(),
        message,
        advice,
    })
}

fn speed_doubt(unit: Unit, typed: f64, ratio: Option<f64>) -> Option<Warning> {
    let speed = typed * unit.in_si();
    let is_too_fast = speed > FASTEST;
    if !is_too_fast && !is_far(ratio, SPEED_FACTOR) {
        return None;
    }
    let promised = ratio.map(|ratio| speed / ratio);
    let mut message = format!("{} {} are {speed:.2} m/s", number(typed), unit.word());
    if is_too_fast {
        message += ", more than the air behind a PC fan does";
    }
    if let (Some(ratio), true) = (ratio, is_far(ratio, SPEED_FACTOR)) {
        let _ = write!(message, ", {} the promised air speed", times(ratio));
    }
    let units = [
        (
            Unit::FeetPerMinute.in_si(),
            "feet per minute",
            Unit::FeetPerMinute,
        ),
        (1.0, "metres per second", Unit::MetresPerSecond),
    ];
    let mut others: Vec<Other> = units
        .into_iter()
        .filter(|(_, _, other)| *other != unit)
        .map(|(factor, words, _)| Other {
            words,
            value: typed * factor,
        })
        .collect();
    others.push(Other {
        words: "kilometres per hour",
        value: typed / 3.6,
    });
    others.push(Other {
        words: "miles per hour",
        value: typed * 0.447_04,
    });
    let advice = match nearest(others, promised, SPEED_FACTOR, |speed| speed) {
        Some(other) => format!(
            "if the number is {}, it is {:.2} m/s",
            other.words, other.value
        ),
        None => "look at the unit that the meter shows, and at where it stands".to_owned(),
    };
    Some(Warning {
        code: "unit-doubt".into(),
        message,
        advice: advice + "; per cent of the bare fan does not suffer from a wrong unit",
    })
}

fn percent_doubt(typed: f64) -> Option<Warning> {
    let (message, advice) = if typed > 150.0 {
        (
            format!(
                "{} % of the bare fan would be far more than without a grille",
                number(typed)
            ),
            "give flow or air speed with its unit instead, and readings of the bare fan beside it"
                .to_owned(),
        )
    } else if typed > 0.0 && typed <= 1.5 {
        (
            format!("{typed} % of the bare fan would be almost nothing"),
            format!("if the number is a share, it is {:.0} %", 100.0 * typed),
        )
    } else {
        return None;
    };
    Some(Warning {
        code: "unit-doubt".into(),
        message,
        advice,
    })
}

/// "3.1 times" or "a third of": how far it is off.
fn times(ratio: f64) -> String {
    if ratio >= 0.95 {
        format!("{ratio:.1} times")
    } else {
        format!("{ratio:.2} of")
    }
}

/// Three digits or so.
fn number(value: f64) -> String {
    if value.abs() < 20.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(value: f64, unit: Unit) -> Reading {
        Reading {
            line: 2,
            design: "bare fan".to_owned(),
            value,
            unit,
            order: 0.0,
            remount: None,
            speed_rpm: None,
            temperature_c: None,
            place: String::new(),
        }
    }

    fn doubt(value: f64, unit: Unit, promised: Option<f64>) -> Option<Warning> {
        let reading = reading(value, unit);
        let stream = Stream {
            area: 0.014_314,
            promised,
        };
        unit_doubt(&[(&reading, stream)])
    }

    #[test]
    fn plausible_readings_raise_no_doubt() {
        let flow = 60.0 / CUBIC_FEET_PER_MINUTE;
        assert!(doubt(55.0, Unit::CubicFeetPerMinute, Some(flow)).is_none());
        assert!(doubt(55.0, Unit::CubicFeetPerMinute, None).is_none());
        assert!(doubt(2.4, Unit::MetresPerSecond, Some(2.0)).is_none());
        assert!(doubt(470.0, Unit::FeetPerMinute, None).is_none());
        assert!(doubt(84.0, Unit::Percent, None).is_none());
        assert!(unit_doubt(&[]).is_none());
    }

    #[test]
    fn hundreds_of_cfm_are_feet_per_minute_or_a_wrong_area() {
        // 650 ft/min on a disc of 135 mm are 3.3 m/s and 100 CFM (by the definitions of foot and inch).
        let told = doubt(
            650.0,
            Unit::CubicFeetPerMinute,
            Some(98.0 / CUBIC_FEET_PER_MINUTE),
        )
        .unwrap();
        assert!(
            told.message.contains("6.6 times the promised flow"),
            "{}",
            told.message
        );
        assert!(
            told.advice
                .contains("feet per minute, it is 3.3 m/s, 100 CFM"),
            "{}",
            told.advice
        );
        assert!(
            told.advice.contains("it is 949 cm² instead of 143"),
            "{}",
            told.advice
        );
    }

    #[test]
    fn units_that_are_mixed_up_are_named() {
        let flow = 100.0 / CUBIC_METRES_PER_HOUR;
        for (typed, unit, other) in [
            (100.0, Unit::CubicFeetPerMinute, "m³/h"),
            (59.0, Unit::CubicMetresPerHour, "CFM"),
            (28.0, Unit::CubicMetresPerHour, "l/s"),
            (1.95, Unit::CubicMetresPerHour, "metres per second"),
            (382.0, Unit::CubicMetresPerHour, "feet per minute"),
        ] {
            let told = doubt(typed, unit, Some(flow)).unwrap();
            assert!(
                told.advice.contains(&format!("if the number is {other},")),
                "{typed}: {}",
                told.advice
            );
        }
        let told = doubt(450.0, Unit::MetresPerSecond, Some(2.3)).unwrap();
        assert!(
            told.advice.contains("feet per minute, it is 2.29 m/s"),
            "{}",
            told.advice
        );
        let told = doubt(8.2, Unit::MetresPerSecond, Some(2.3)).unwrap();
        assert!(
            told.advice.contains("kilometres per hour, it is 2.28 m/s"),
            "{}",
            told.advice
        );
        let told = doubt(0.84, Unit::Percent, None).unwrap();
        assert!(told.advice.contains("it is 84 %"));
        assert!(doubt(170.0, Unit::Percent, None).is_some());
    }

    #[test]
    fn what_fits_no_unit_is_doubted_without_a_guess() {
        let told = doubt(9000.0, Unit::CubicFeetPerMinute, Some(0.03)).unwrap();
        assert!(!told.advice.contains("if the number is"), "{}", told.advice);
        assert!(doubt(40.0, Unit::MetresPerSecond, Some(1.0)).is_some());
    }
}
