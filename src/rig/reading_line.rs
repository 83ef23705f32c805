//! One line of a file of readings: numbers, clock times, units.

use std::ops::RangeInclusive;

use crate::rig::reading_fault::ReadingFaultKind;
use crate::rig::readings::{Header, Reading};
use crate::rig::unit::Unit;

/// Longest piece of the text that a message shows, characters.
const LONGEST_QUOTE: usize = 40;

/// What a value of any unit may be, and a place in the order.
const VALUES: RangeInclusive<f64> = 0.0..=1e6;

/// What a fan's speed may be, rpm.
const SPEEDS_RPM: RangeInclusive<f64> = 50.0..=50_000.0;

/// What a room's temperature may be, °C.
const TEMPERATURES_C: RangeInclusive<f64> = -40.0..=80.0;

/// A line as it is being taken apart.
pub(super) struct Line<'a> {
    /// Its fields.
    pub(super) record: &'a csv::StringRecord,
    /// Its number, from 1.
    pub(super) number: u64,
    /// Where each column stands.
    pub(super) header: &'a Header,
    /// Whether a comma is a decimal sign.
    pub(super) has_decimal_comma: bool,
}

impl Line<'_> {
    /// The reading of this line. `last_time`: the latest clock time so far, minutes.
    ///
    /// # Errors
    /// Everything that is wrong with the line.
    pub(super) fn reading(
        &self,
        last_time: &mut Option<f64>,
    ) -> Result<Reading, Vec<ReadingFaultKind>> {
        let mut faults = Vec::new();
        let design = self.field("design").to_owned();
        if design.is_empty() {
            faults.push(ReadingFaultKind::NoDesign);
        }
        let value = keep(self.number("value", &VALUES), &mut faults);
        let word = self.field("unit");
        let unit = Unit::of_word(word);
        if unit.is_none() {
            let value = quoted(word);
            faults.push(ReadingFaultKind::UnknownUnit { value });
        }
        let order = if self.header.has("order") {
            keep(self.needed("order", &VALUES), &mut faults)
        } else if self.header.has("time") {
            keep(
                minutes(self.field("time"), last_time).map(Some),
                &mut faults,
            )
        } else {
            Some(self.number as f64)
        };
        let text = self.field("remount");
        let remount = text.parse::<u32>().ok();
        if remount.is_none() && !text.is_empty() {
            faults.push(not_numeric("remount", text, &(0.0..=f64::from(u32::MAX))));
        }
        let speed_rpm = keep(self.number("speed_rpm", &SPEEDS_RPM), &mut faults);
        let temperature_c = keep(self.number("temperature_c", &TEMPERATURES_C), &mut faults);
        match (value, unit, order) {
            (Some(value), Some(unit), Some(order)) if faults.is_empty() => Ok(Reading {
                line: self.number,
                design,
                value,
                unit,
                order,
                remount,
                speed_rpm,
                temperature_c,
                place: self.field("place").to_lowercase(),
            }),
            _ => Err(faults),
        }
    }

    fn field(&self, name: &str) -> &str {
        self.header.field(self.record, name)
    }

    /// A number in a column; `None` where nothing stands there.
    fn number(
        &self,
        name: &'static str,
        allowed: &RangeInclusive<f64>,
    ) -> Result<Option<f64>, ReadingFaultKind> {
        if self.field(name).is_empty() {
            Ok(None)
        } else {
            self.needed(name, allowed)
        }
    }

    fn needed(
        &self,
        name: &'static str,
        allowed: &RangeInclusive<f64>,
    ) -> Result<Option<f64>, ReadingFaultKind> {
        let text = self.field(name);
        let plain = if self.has_decimal_comma {
            text.replacen(',', ".", 1)
        } else {
            text.to_owned()
        };
        match plain.parse::<f64>() {
            Ok(value) if allowed.contains(&value) => Ok(Some(value)),
            _ => Err(not_numeric(name, text, allowed)),
        }
    }
}

fn keep(
    read: Result<Option<f64>, ReadingFaultKind>,
    faults: &mut Vec<ReadingFaultKind>,
) -> Option<f64> {
    read.unwrap_or_else(|fault| {
        faults.push(fault);
        None
    })
}

fn not_numeric(name: &'static str, text: &str, allowed: &RangeInclusive<f64>) -> ReadingFaultKind {
    ReadingFaultKind::NotNumeric {
        name,
        value: quoted(text),
        allowed: [*allowed.start(), *allowed.end()],
    }
}

/// A clock time in minutes; one that is more than half a day earlier than the line before belongs to the next day.
fn minutes(text: &str, last: &mut Option<f64>) -> Result<f64, ReadingFaultKind> {
    let mut parts = text.split(':').map(str::parse::<u8>);
    let time = match (parts.next(), parts.next(), parts.next(), parts.next()) {
        (Some(Ok(hours)), Some(Ok(minutes)), seconds, None) if hours < 24 && minutes < 60 => {
            let seconds = match seconds {
                None => Some(0),
                Some(Ok(seconds)) if seconds < 60 => Some(seconds),
                Some(_) => None,
            };
            let of_day = 60.0 * f64::from(hours) + f64::from(minutes);
            seconds.map(|seconds| of_day + f64::from(seconds) / 60.0)
        }
        _ => None,
    };
    let Some(mut time) = time else {
        let value = quoted(text);
        return Err(ReadingFaultKind::NotTime { value });
    };
    if let Some(before) = *last {
        let days = (before / 1440.0_f64).floor();
        time += 1440.0 * days;
        if time < before - 720.0 {
            time += 1440.0;
        }
    }
    *last = Some(last.map_or(time, |before: f64| before.max(time)));
    Ok(time)
}

/// A piece of the text as a message may show it: not too long, and without characters that a terminal would obey.
pub(super) fn quoted(text: &str) -> String {
    let shown = text.trim().chars().take(LONGEST_QUOTE);
    let mut shown: String = shown
        .map(|letter| {
            if letter.is_control() {
                '\u{fffd}'
            } else {
                letter
            }
        })
        .collect();
    if text.trim().chars().count() > LONGEST_QUOTE {
        shown.push('…');
    }
    shown
}
