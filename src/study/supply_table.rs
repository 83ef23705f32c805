//! What a fan delivers: a curve in a file or by its points, the two numbers on the box, or a given flow.

use crate::fan::{CurvePlace, FanCurve, FlowUnit, PressureUnit, Supply};
use crate::study::checked::Amount;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::place::FaultPlace;
use crate::study::table::Table;
use crate::study::write::{ResolvedCopy, inline};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

pub(super) const CURVE: Key = Key::text("curve");
pub(super) const POINTS: Key = Key::tables("points", &CURVE_POINT);
pub(super) const FREE_FLOW: [&Key; 2] = [
    &flow("free_flow_m3_per_h", 0.1),
    &flow_cfm("free_flow_cfm", 0.1),
];
pub(super) const SHUT_OFF: [&Key; 2] = [
    &Key::number("shut_off_pressure_pa", Unit::kept(" Pa"), 0.1, 10_000.0)
        .hint("give the pressure at no flow in Pa; for mmH2O use shut_off_pressure_mmh2o"),
    &Key::number("shut_off_pressure_mmh2o", Unit::MMH2O, 0.02, 1000.0)
        .hint("give the pressure at no flow in mmH2O; for Pa use shut_off_pressure_pa"),
];
pub(super) const GIVEN_FLOW: [&Key; 2] = [
    &flow("given_flow_m3_per_h", 0.1),
    &flow_cfm("given_flow_cfm", 0.1),
];

pub(super) const FLOW: [&Key; 2] = [&flow("flow_m3_per_h", 0.0), &flow_cfm("flow_cfm", 0.0)];
pub(super) const PRESSURE: [&Key; 2] = [
    &Key::number("pressure_pa", Unit::kept(" Pa"), 0.0, 10_000.0)
        .hint("give the static pressure in Pa; for mmH2O use pressure_mmh2o"),
    &Key::number("pressure_mmh2o", Unit::MMH2O, 0.0, 1000.0)
        .hint("give the static pressure in mmH2O; for Pa use pressure_pa"),
];

/// `{ flow_m3_per_h = 40, pressure_pa = 18 }`
const CURVE_POINT: Keys =
    Keys::new("points", &[FLOW[0], FLOW[1], PRESSURE[0], PRESSURE[1]]).called("this point");

/// A flow in m³/h.
pub(super) const fn flow(name: &'static str, low: f64) -> Key {
    Key::number(name, Unit::M3_PER_H, low, 36_000.0)
        .hint("give the flow in m3/h; for CFM use the key that ends in _cfm")
}

/// The same in CFM.
pub(super) const fn flow_cfm(name: &'static str, low: f64) -> Key {
    Key::number(name, Unit::CFM, low, 20_000.0)
        .hint("give the flow in CFM; for m3/h use the key that ends in _m3_per_h")
}

/// Curve, points or two numbers, or a given flow where there may be one: exactly one of them. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    given_flow: Option<[&'static Key; 2]>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Supply> {
    let first_of = |keys: &[&Key]| keys.iter().find_map(|key| fan.span_of(key));
    let [free_flow, shut_off] = [first_of(&FREE_FLOW), first_of(&SHUT_OFF)];
    let mut ways = vec![
        (CURVE.name, fan.span_of(&CURVE)),
        (POINTS.name, fan.span_of(&POINTS)),
        (FREE_FLOW[0].name, free_flow.or(shut_off)),
    ];
    if let Some(keys) = given_flow {
        ways.push((keys[0].name, first_of(&keys)));
    }
    let found = fan.exactly_one_of(diagnostics, &ways)?;
    if found == CURVE.name {
        resolve_curve_file(diagnostics, fan, read_file)
    } else if found == POINTS.name {
        resolve_points(diagnostics, fan).map(Supply::Curve)
    } else if found == FREE_FLOW[0].name {
        let free_flow = fan.either(diagnostics, &FREE_FLOW);
        let shut_off_pressure = fan.either(diagnostics, &SHUT_OFF);
        Some(Supply::TwoNumbers {
            free_flow: free_flow?.si,
            shut_off_pressure: shut_off_pressure?.si,
        })
    } else {
        let flow = fan.either(diagnostics, &given_flow?);
        Some(Supply::GivenFlow(flow?.si))
    }
}

/// The curve as points of this file, in any order.
fn resolve_points(diagnostics: &mut Diagnostics<'_>, fan: &Table<'_>) -> Option<FanCurve> {
    let span = fan.span_of(&POINTS)?;
    let points = fan.tables(&POINTS);
    let in_m3_per_h = |point: &Table<'_>, flow: Amount| {
        if point.has(FLOW[0]) {
            flow.written
        } else {
            flow.written / CUBIC_FEET_PER_MINUTE * CUBIC_METRES_PER_HOUR
        }
    };
    let resolved: Vec<_> = points
        .iter()
        .map(|point| {
            let flow = point.either(diagnostics, &FLOW);
            let pressure = point.either(diagnostics, &PRESSURE);
            Some((in_m3_per_h(point, flow?), pressure?.si))
        })
        .collect();
    let resolved: Vec<(f64, f64)> = resolved.into_iter().collect::<Option<_>>()?;
    if resolved.len() < fan.list(&POINTS)?.len() {
        return None;
    }
    let (flow_unit, pressure_unit) = (FlowUnit::CubicMetresPerHour, PressureUnit::Pascals);
    match FanCurve::from_points(&resolved, flow_unit, pressure_unit) {
        Ok(curve) => Some(curve),
        Err(faults) => {
            for fault in faults {
                let point = match fault.place {
                    CurvePlace::Point(number) => points.get(number.wrapping_sub(1)),
                    _ => None,
                };
                let span = point.map_or(&span, |point| &point.span);
                diagnostics.report(span, FaultKind::Curve(fault));
            }
            None
        }
    }
}

/// The curve in a file of its own.
fn resolve_curve_file(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Supply> {
    let curve = fan.text(&CURVE)?;
    let path = *curve.get_ref();
    let bytes = match read_file(path) {
        Ok(bytes) => bytes,
        Err(reason) => {
            let kind = FaultKind::UnreadableFile {
                key: CURVE.name,
                path: path.to_owned(),
                reason,
            };
            diagnostics.report(&curve.span(), kind);
            return None;
        }
    };
    match FanCurve::from_csv_bytes(&bytes) {
        Ok(curve) => Some(Supply::Curve(canonical(curve))),
        Err(faults) => {
            for fault in faults {
                let file = diagnostics.name_beside(path);
                let place = match fault.place {
                    CurvePlace::Text { line, column } => FaultPlace::InFile { file, line, column },
                    _ => FaultPlace::WholeFile { file },
                };
                let kind = FaultKind::Curve(fault);
                diagnostics.report_elsewhere(&curve.span(), place, kind);
            }
            None
        }
    }
}

/// The same curve with flows that a number in m³/h gives exactly, so that the resolved copy reads back bit by bit.
fn canonical(mut curve: FanCurve) -> FanCurve {
    for flow in &mut curve.flow {
        *flow = (*flow * CUBIC_METRES_PER_HOUR) / CUBIC_METRES_PER_HOUR;
    }
    curve
}

/// Writes what a fan delivers.
pub(super) fn write(copy: &mut ResolvedCopy, supply: &Supply) {
    match supply {
        Supply::Curve(curve) => {
            let points = curve.flow.iter().zip(&curve.pressure);
            let line = |(flow, pressure): (&f64, &f64)| {
                inline(&[(FLOW[0], *flow), (PRESSURE[0], *pressure)])
            };
            copy.tables(&POINTS, points.map(line));
        }
        Supply::TwoNumbers {
            free_flow,
            shut_off_pressure,
        } => {
            copy.number(FREE_FLOW[0], *free_flow);
            copy.number(SHUT_OFF[0], *shut_off_pressure);
        }
        Supply::GivenFlow(flow) => copy.number(GIVEN_FLOW[0], *flow),
    }
}
