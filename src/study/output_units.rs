//! The units in which the results of a study are told first: those in which its fan is written, unless `[study]` says otherwise.

use crate::study::diagnostics::Diagnostics;
use crate::study::key::Key;
use crate::study::supply_table::{CURVE, FLOW, FREE_FLOW, GIVEN_FLOW, POINTS, PRESSURE, SHUT_OFF};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::units::{FlowUnit, OutputUnits, PressureUnit};

pub(super) const FLOW_UNIT: WordKey<FlowUnit> = Key::text("flow_unit").means(&[
    ("m3/h", FlowUnit::CubicMetresPerHour),
    ("CFM", FlowUnit::CubicFeetPerMinute),
    ("l/s", FlowUnit::LitresPerSecond),
]);
pub(super) const PRESSURE_UNIT: WordKey<PressureUnit> = Key::text("pressure_unit").means(&[
    ("Pa", PressureUnit::Pascals),
    ("mmH2O", PressureUnit::MillimetresOfWater),
]);

/// The units of a study, from `[study]` and `[fan]` where they are there. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    study: Option<&Table<'_>>,
    fan: Option<&Table<'_>>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<OutputUnits> {
    let written = fan.map_or_else(OutputUnits::default, |fan| written(fan, read_file));
    let Some(study) = study else {
        return Some(written);
    };
    let flow = study.word_or(diagnostics, &FLOW_UNIT, written.flow);
    let pressure = study.word_or(diagnostics, &PRESSURE_UNIT, written.pressure);
    Some(OutputUnits {
        flow: flow?,
        pressure: pressure?,
    })
}

/// The units in which a fan is written.
fn written(
    fan: &Table<'_>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> OutputUnits {
    let points = fan.tables(&POINTS);
    // What is wrong with the file is told by whoever reads it as a curve.
    let curve = fan.text(&CURVE);
    let curve = curve.and_then(|path| read_file(path.get_ref()).ok());
    let header = curve.map_or_else(String::new, |bytes| {
        let text = String::from_utf8_lossy(&bytes);
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        lines.next().unwrap_or_default().to_owned()
    });
    let is_cfm = fan.has(FREE_FLOW[1])
        || fan.has(GIVEN_FLOW[1])
        || points.iter().any(|point| point.has(FLOW[1]))
        || header.contains(FlowUnit::CubicFeetPerMinute.column_name());
    let is_water = fan.has(SHUT_OFF[1])
        || points.iter().any(|point| point.has(PRESSURE[1]))
        || header.contains(PressureUnit::MillimetresOfWater.column_name());
    OutputUnits {
        flow: if is_cfm {
            FlowUnit::CubicFeetPerMinute
        } else {
            FlowUnit::CubicMetresPerHour
        },
        pressure: if is_water {
            PressureUnit::MillimetresOfWater
        } else {
            PressureUnit::Pascals
        },
    }
}
