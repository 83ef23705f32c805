//! What something takes of the air's pressure: by its coefficient or by one measured point.

use crate::study::air_path::PathLoss;
use crate::study::diagnostics::Diagnostics;
use crate::study::key::{Key, Keys, Unit};
use crate::study::supply_table::{flow, flow_cfm};
use crate::study::table::Table;
use crate::study::write::{ResolvedCopy, inline};

pub(super) const FLOW: [&Key; 2] = [&flow("flow_m3_per_h", 0.1), &flow_cfm("flow_cfm", 0.1)];
pub(super) const PRESSURE: [&Key; 2] = [
    &Key::number("pressure_pa", Unit::kept(" Pa"), 0.0, 10_000.0)
        .hint("give the pressure drop at that flow in Pa; for mmH2O use pressure_mmh2o"),
    &Key::number("pressure_mmh2o", Unit::MMH2O, 0.0, 1000.0)
        .hint("give the pressure drop at that flow in mmH2O; for Pa use pressure_pa"),
];

/// `{ flow_m3_per_h = 60, pressure_pa = 3.2 }`
pub(super) const MEASURED_POINT: Keys = Keys::new(
    "a measured point",
    &[FLOW[0], FLOW[1], PRESSURE[0], PRESSURE[1]],
);

/// The loss by its coefficient or by one point, if either is there. `None` also after a fault, with which there is no study.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    [coefficient, point]: [&'static Key; 2],
) -> Option<PathLoss> {
    let found = table.at_most_one(diagnostics, &[coefficient, point])?;
    if found.is(coefficient) || table.has(coefficient) {
        let loss_coefficient = table.number(diagnostics, coefficient)?;
        return Some(PathLoss::Coefficient(loss_coefficient.si));
    }
    of_point(diagnostics, table, point)
}

/// The loss by one measured point, if it is there. `None` also after a fault, with which there is no study.
pub(super) fn of_point(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    key: &Key,
) -> Option<PathLoss> {
    let point = table.table(key)?.called(key.name);
    let flow = point.either(diagnostics, &FLOW);
    let pressure = point.either(diagnostics, &PRESSURE);
    Some(PathLoss::Point {
        flow: flow?.si,
        pressure: pressure?.si,
    })
}

/// Writes a loss under one of its two keys.
pub(super) fn write(copy: &mut ResolvedCopy, [coefficient, point]: [&Key; 2], loss: &PathLoss) {
    match *loss {
        PathLoss::Coefficient(loss_coefficient) => copy.number(coefficient, loss_coefficient),
        PathLoss::Point { flow, pressure } => write_point(copy, point, flow, pressure),
    }
}

/// Writes one measured point.
pub(super) fn write_point(copy: &mut ResolvedCopy, key: &Key, flow: f64, pressure: f64) {
    copy.value(key, inline(&[(FLOW[0], flow), (PRESSURE[0], pressure)]));
}
