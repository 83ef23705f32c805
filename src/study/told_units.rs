//! The units in which the results of a study are told first: those in which its fan is written, unless `[study]` says otherwise.

use toml::Spanned;

use crate::study::file::{FanTable, StudyFile};
use crate::study::findings::Findings;
use crate::units::{FlowUnit, PressureUnit, ToldUnits};

/// Words for units of flow.
pub(super) const FLOW_UNITS: [(&str, FlowUnit); 3] = [
    ("m3/h", FlowUnit::CubicMetresPerHour),
    ("CFM", FlowUnit::CubicFeetPerMinute),
    ("l/s", FlowUnit::LitresPerSecond),
];

/// Words for units of pressure.
pub(super) const PRESSURE_UNITS: [(&str, PressureUnit); 2] = [
    ("Pa", PressureUnit::Pascals),
    ("mmH2O", PressureUnit::MillimetresOfWater),
];

/// The units of a study. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    file: &StudyFile,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<ToldUnits> {
    let fan = file.fan.as_ref().map(Spanned::get_ref);
    let written = fan.map_or_else(ToldUnits::default, |fan| written(fan, read_file));
    let Some(study) = &file.study else {
        return Some(written);
    };
    let study = study.get_ref();
    let flow = findings.word_or("flow_unit", &study.flow_unit, &FLOW_UNITS, written.flow);
    let pressure = findings.word_or(
        "pressure_unit",
        &study.pressure_unit,
        &PRESSURE_UNITS,
        written.pressure,
    );
    Some(ToldUnits {
        flow: flow?,
        pressure: pressure?,
    })
}

/// The units in which a fan is written.
fn written(
    fan: &FanTable,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> ToldUnits {
    let delivery = fan.delivery();
    let points = delivery.points.iter().flat_map(Spanned::get_ref);
    let points: Vec<_> = points.map(Spanned::get_ref).collect();
    // What is wrong with the file is told by whoever reads it as a curve.
    let curve = delivery.curve.as_ref();
    let curve = curve.and_then(|path| read_file(path.get_ref()).ok());
    let header = curve.map_or_else(String::new, |bytes| {
        let text = String::from_utf8_lossy(&bytes);
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        lines.next().unwrap_or_default().to_owned()
    });
    let is_cfm = delivery.free_flow_cfm.is_some()
        || fan.given_flow_cfm.is_some()
        || points.iter().any(|point| point.flow_cfm.is_some())
        || header.contains(FlowUnit::CubicFeetPerMinute.column_name());
    let is_water = delivery.shut_off_pressure_mmh2o.is_some()
        || points.iter().any(|point| point.pressure_mmh2o.is_some())
        || header.contains(PressureUnit::MillimetresOfWater.column_name());
    ToldUnits {
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
