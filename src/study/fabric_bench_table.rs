//! What a bench said of a fabric: `readings`, `bench_area_cm2`, `accuracy_percent`.

use crate::fabric::{Bench, BenchReading, DEFAULT_ACCURACY, Reading, law_of_readings};
use crate::study::checked::{Amount, within};
use crate::study::diagnostics::Diagnostics;
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::supply_table::flow;
use crate::study::table::Table;
use crate::study::write::{ResolvedCopy, inline};

pub(super) const READINGS: Key = Key::tables("readings", &READING).hint(
    "give readings such as { velocity_m_per_s = 1.2, pressure_pa = 3.4 }, or leave the key out",
);
pub(super) const BENCH_AREA: Key = Key::number("bench_area_cm2", Unit::CM2, 0.1, 100_000.0)
    .hint("give the area of fabric that the air went through on the bench, in cm2")
    .needs("readings");
pub(super) const ACCURACY: Key = Key::number("accuracy_percent", Unit::PERCENT, 0.1, 50.0)
    .or(100.0 * DEFAULT_ACCURACY)
    .hint("give the accuracy of the meters in per cent; 10 if you do not know")
    .needs("readings");

pub(super) const VELOCITY: Key = Key::number("velocity_m_per_s", Unit::kept(" m/s"), 0.01, 30.0)
    .hint("give the mean air speed ahead of the fabric in m/s: flow over its area");
const FLOW: Key = flow("flow_m3_per_h", 0.1);
const PERCENT_OF_BARE_FAN: Key = Key::number("percent_of_bare_fan", Unit::PERCENT, 1.0, 99.9).hint(
    "give the flow with the fabric in per cent of that without it: same fan, same rig, same speed",
);
pub(super) const PRESSURE: Key = Key::number("pressure_pa", Unit::kept(" Pa"), 0.001, 10_000.0)
    .hint("give the pressure drop across the fabric in Pa, upstream minus downstream");

/// `{ velocity_m_per_s = 1.2, pressure_pa = 3.4 }`
const READING: Keys = Keys::new(
    "readings",
    &[&VELOCITY, &FLOW, &PERCENT_OF_BARE_FAN, &PRESSURE],
)
.called("this reading");

/// The readings of a bench. `None` after a fault, or where there are none.
pub(super) fn resolve_bench(
    diagnostics: &mut Diagnostics<'_>,
    fabric: &Table<'_>,
    name: &str,
) -> Option<Bench> {
    let accuracy = fabric.number(diagnostics, &ACCURACY);
    let area = fabric.number_if_there(diagnostics, &BENCH_AREA);
    fabric.refuse_idle(diagnostics, &[&ACCURACY, &BENCH_AREA]);
    let span = fabric.span_of(&READINGS)?;
    let written = fabric.list(&READINGS)?;
    if written.is_empty() {
        fabric.missing(diagnostics, &READINGS);
        return None;
    }
    let area = (fabric.has(&BENCH_AREA), area);
    let readings: Vec<Option<BenchReading>> = fabric
        .tables(&READINGS)
        .iter()
        .map(|reading| resolve_reading(diagnostics, reading, area))
        .collect();
    let readings: Vec<BenchReading> = readings.into_iter().collect::<Option<_>>()?;
    let plain: Vec<Reading> = readings
        .iter()
        .filter_map(|reading| match reading {
            BenchReading::Pressure(reading) => Some(*reading),
            BenchReading::ShareOfBareFan(_) => None,
        })
        .collect();
    let accuracy = accuracy?.si;
    if plain.len() == written.len()
        && let Err(error) = law_of_readings(&plain, accuracy, None)
    {
        let fabric = name.to_owned();
        let fault = FabricFault::Readings { fabric, error };
        diagnostics.report(&span, FaultKind::Fabric(fault));
        return None;
    }
    Some(Bench { readings, accuracy })
}

/// One reading; of the area of the bench, whether it is written and what it is. `None` only after a fault.
fn resolve_reading(
    diagnostics: &mut Diagnostics<'_>,
    reading: &Table<'_>,
    (has_area, area): (bool, Option<Amount>),
) -> Option<BenchReading> {
    let key = reading.exactly_one(diagnostics, &[&VELOCITY, &FLOW, &PERCENT_OF_BARE_FAN])?;
    if key.is(&PERCENT_OF_BARE_FAN) {
        if let Some(pressure) = reading.span_of(&PRESSURE) {
            let kind = FaultKind::Excludes {
                key: PRESSURE.name,
                other: PERCENT_OF_BARE_FAN.name,
            };
            diagnostics.report(&pressure, kind);
        }
        let percent = reading.number(diagnostics, key)?;
        return Some(BenchReading::ShareOfBareFan(percent.si));
    }
    let first = reading.number(diagnostics, key);
    let velocity = if key.is(&VELOCITY) {
        first
    } else {
        let span = reading.span_of(&FLOW)?;
        if !has_area {
            let (key, needed) = (FLOW.name, BENCH_AREA.name);
            diagnostics.report(&span, FaultKind::MeansNothing { key, needed });
        }
        match (first, area) {
            (Some(flow), Some(area)) => {
                let name = "the air speed, flow_m3_per_h over bench_area_cm2,";
                let velocity = Key { name, ..VELOCITY };
                within(
                    diagnostics,
                    &velocity,
                    &span,
                    flow.si / (area.written * 1e-4),
                )
            }
            _ => None,
        }
    };
    let pressure = reading.number(diagnostics, &PRESSURE);
    Some(BenchReading::Pressure(Reading {
        velocity: velocity?.si,
        pressure: pressure?.si,
    }))
}

/// Writes the readings of a bench.
pub(super) fn write(copy: &mut ResolvedCopy, bench: &Bench) {
    copy.number(&ACCURACY, bench.accuracy);
    let line = |reading: &BenchReading| match reading {
        BenchReading::Pressure(reading) => {
            inline(&[(&VELOCITY, reading.velocity), (&PRESSURE, reading.pressure)])
        }
        BenchReading::ShareOfBareFan(share) => inline(&[(&PERCENT_OF_BARE_FAN, *share)]),
    };
    copy.tables(&READINGS, bench.readings.iter().map(line));
}
