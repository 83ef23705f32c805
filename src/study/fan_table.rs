//! `[fan]`: the fan, or the flow that stands in for it.

use toml::Spanned;

use crate::fan::{
    CurvePlace, ExitProfile, Fan, FanCurve, FlowUnit, HYDRAULIC_EFFICIENCY, PressureUnit, Supply,
};
use crate::study::exit_table::{exit_profile, hydraulic_efficiency};
use crate::study::fan_speed;
use crate::study::fault::{FaultKind, StudyFault};
use crate::study::file::{DeliveryKeys, FanTable, Number, PointTable};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits::{self, Limits};
use crate::study::place::FaultPlace;
use crate::study::vent_table::refuse_bore_keys;
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR, PASCALS_PER_MILLIMETRE_OF_WATER};

/// Checks `[fan]`. `None` only after a fault. Where the opening is a vent, nothing is asked of the fan's bore.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: &Spanned<FanTable>,
    has_vent: bool,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Fan> {
    let fan = table.get_ref();
    let header = Table::new("[fan]", table);
    let name = match &fan.name {
        Some(_) => findings.name(&header, &fan.name),
        None => Some("fan".to_owned()),
    };
    if has_vent {
        return resolve_elsewhere(findings, &header, fan, name, read_file);
    }
    let bore_mm = findings.required_number(&header, "bore_mm", &fan.bore_mm, &limits::BORE_MM);
    let hub_mm = findings.required_number(&header, "hub_mm", &fan.hub_mm, &limits::HUB_MM);
    if let (Some(bore), Some(hub), Some(written)) = (bore_mm, hub_mm, &fan.hub_mm)
        && hub > 0.9 * bore
    {
        findings.report(&written.span(), FaultKind::HubTooLarge { hub, bore });
    }
    let speeds = fan_speed::resolve(findings, fan);
    let blades = fan
        .blades
        .as_ref()
        .map(|blades| findings.whole("blades", blades, &limits::BLADES));
    let swirl_deg = fan
        .swirl_deg
        .as_ref()
        .map(|swirl_deg| findings.number("swirl_deg", swirl_deg, &limits::SWIRL_DEG));
    let efficiency = hydraulic_efficiency(findings, fan);
    let exit_profile = exit_profile(findings, fan, hub_mm, bore_mm);
    let supply = resolve_supply(
        findings,
        &header,
        fan.delivery(),
        Some(given_flow(fan)),
        read_file,
    );
    Some(Fan {
        name: name?,
        bore_diameter: bore_mm? / 1000.0,
        hub_diameter: hub_mm? / 1000.0,
        speed: speeds.as_ref()?.per_second(),
        blade_count: match blades {
            Some(blades) => Some(blades?),
            None => None,
        },
        swirl_angle: match swirl_deg {
            Some(swirl_deg) => Some(swirl_deg?.to_radians()),
            None => None,
        },
        hydraulic_efficiency: efficiency?,
        exit_profile: exit_profile?,
        supply: speeds?.apply(supply?),
    })
}

/// A fan elsewhere in the box, of which only flow and pressure count.
fn resolve_elsewhere(
    findings: &mut Findings<'_>,
    header: &Table,
    fan: &FanTable,
    name: Option<String>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Fan> {
    refuse_bore_keys(findings, fan);
    let speeds = fan_speed::resolve(findings, fan);
    let supply = resolve_supply(
        findings,
        header,
        fan.delivery(),
        Some(given_flow(fan)),
        read_file,
    );
    Some(Fan {
        name: name?,
        bore_diameter: 0.0,
        hub_diameter: 0.0,
        speed: speeds.as_ref()?.per_second(),
        blade_count: None,
        swirl_angle: None,
        hydraulic_efficiency: HYDRAULIC_EFFICIENCY,
        exit_profile: ExitProfile::Uniform,
        supply: speeds?.apply(supply?),
    })
}

/// The keys of a given flow, which stands in for a fan.
fn given_flow(fan: &FanTable) -> Flow<'_> {
    Flow {
        keys: ["given_flow_m3_per_h", "given_flow_cfm"],
        m3_per_h: &fan.given_flow_m3_per_h,
        cfm: &fan.given_flow_cfm,
    }
}

/// Curve, points or two numbers, or a given flow where there may be one: exactly one of them.
pub(super) fn resolve_supply(
    findings: &mut Findings<'_>,
    header: &Table,
    fan: DeliveryKeys<'_>,
    given_flow: Option<Flow<'_>>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Supply> {
    let free_flow = span_of(fan.free_flow_m3_per_h.as_ref());
    let free_flow = free_flow.or_else(|| span_of(fan.free_flow_cfm.as_ref()));
    let shut_off = span_of(fan.shut_off_pressure_pa.as_ref());
    let shut_off = shut_off.or_else(|| span_of(fan.shut_off_pressure_mmh2o.as_ref()));
    let mut ways = vec![
        ("curve", span_of(fan.curve.as_ref())),
        ("points", span_of(fan.points.as_ref())),
        ("free_flow_m3_per_h", free_flow.or(shut_off)),
    ];
    if let Some(given) = &given_flow {
        let span = span_of(given.m3_per_h.as_ref()).or_else(|| span_of(given.cfm.as_ref()));
        ways.push((given.keys[0], span));
    }
    let found = findings.exactly_one(header, &ways)?;
    match found {
        "curve" => resolve_curve_file(findings, fan.curve.as_ref()?, read_file),
        "points" => resolve_points(findings, fan.points.as_ref()?).map(Supply::Curve),
        "free_flow_m3_per_h" => {
            let free_flow = Flow {
                keys: ["free_flow_m3_per_h", "free_flow_cfm"],
                m3_per_h: fan.free_flow_m3_per_h,
                cfm: fan.free_flow_cfm,
            };
            let free_flow = free_flow.resolve(
                findings,
                header,
                [&limits::POSITIVE_FLOW_M3_PER_H, &limits::POSITIVE_FLOW_CFM],
            );
            let shut_off_pressure = Pressure {
                keys: ["shut_off_pressure_pa", "shut_off_pressure_mmh2o"],
                pa: fan.shut_off_pressure_pa,
                mmh2o: fan.shut_off_pressure_mmh2o,
            };
            let shut_off_pressure = shut_off_pressure.resolve(
                findings,
                header,
                [&limits::SHUT_OFF_PA, &limits::SHUT_OFF_MMH2O],
            );
            Some(Supply::TwoNumbers {
                free_flow: free_flow? / CUBIC_METRES_PER_HOUR,
                shut_off_pressure: shut_off_pressure?,
            })
        }
        _ => {
            let given_flow = given_flow?.resolve(
                findings,
                header,
                [&limits::POSITIVE_FLOW_M3_PER_H, &limits::POSITIVE_FLOW_CFM],
            );
            Some(Supply::GivenFlow(given_flow? / CUBIC_METRES_PER_HOUR))
        }
    }
}

/// A flow that may stand under one of two keys.
pub(super) struct Flow<'a> {
    keys: [&'static str; 2],
    m3_per_h: &'a Number,
    cfm: &'a Number,
}

impl Flow<'_> {
    /// The flow in m³/h. `None` only after a fault.
    fn resolve(
        &self,
        findings: &mut Findings<'_>,
        header: &Table,
        limits: [&Limits; 2],
    ) -> Option<f64> {
        findings.exactly_one(
            header,
            &[
                (self.keys[0], span_of(self.m3_per_h.as_ref())),
                (self.keys[1], span_of(self.cfm.as_ref())),
            ],
        )?;
        if let Some(flow) = self.m3_per_h {
            return findings.number(self.keys[0], flow, limits[0]);
        }
        let cfm = findings.number(self.keys[1], self.cfm.as_ref()?, limits[1])?;
        Some(cfm / CUBIC_FEET_PER_MINUTE * CUBIC_METRES_PER_HOUR)
    }
}

/// A pressure that may stand under one of two keys.
struct Pressure<'a> {
    keys: [&'static str; 2],
    pa: &'a Number,
    mmh2o: &'a Number,
}

impl Pressure<'_> {
    /// The pressure in Pa. `None` only after a fault.
    fn resolve(
        &self,
        findings: &mut Findings<'_>,
        header: &Table,
        limits: [&Limits; 2],
    ) -> Option<f64> {
        findings.exactly_one(
            header,
            &[
                (self.keys[0], span_of(self.pa.as_ref())),
                (self.keys[1], span_of(self.mmh2o.as_ref())),
            ],
        )?;
        if let Some(pressure) = self.pa {
            return findings.number(self.keys[0], pressure, limits[0]);
        }
        let mmh2o = findings.number(self.keys[1], self.mmh2o.as_ref()?, limits[1])?;
        Some(mmh2o * PASCALS_PER_MILLIMETRE_OF_WATER)
    }
}

/// The curve as points of this file, in any order.
fn resolve_points(
    findings: &mut Findings<'_>,
    points: &Spanned<Vec<Spanned<PointTable>>>,
) -> Option<FanCurve> {
    let resolved: Vec<_> = points
        .get_ref()
        .iter()
        .map(|point| {
            let flow = [&limits::FLOW_M3_PER_H, &limits::FLOW_CFM];
            let pressure = [&limits::POINT_PRESSURE_PA, &limits::POINT_PRESSURE_MMH2O];
            resolve_point(findings, "this point", point, flow, pressure)
        })
        .collect();
    let resolved: Vec<(f64, f64)> = resolved.into_iter().collect::<Option<_>>()?;
    let curve = FanCurve::from_points(
        &resolved,
        FlowUnit::CubicMetresPerHour,
        PressureUnit::Pascals,
    );
    match curve {
        Ok(curve) => Some(curve),
        Err(faults) => {
            for fault in faults {
                let point = match fault.place {
                    CurvePlace::Point(number) => points.get_ref().get(number.wrapping_sub(1)),
                    _ => None,
                };
                let span = point.map_or_else(|| points.span(), Spanned::span);
                findings.report(&span, FaultKind::Curve(fault));
            }
            None
        }
    }
}

/// One point in m³/h and Pa, each within the limits of its two units. `None` only after a fault.
pub(super) fn resolve_point(
    findings: &mut Findings<'_>,
    name: &'static str,
    point: &Spanned<PointTable>,
    flow_limits: [&Limits; 2],
    pressure_limits: [&Limits; 2],
) -> Option<(f64, f64)> {
    let header = Table::new(name, point);
    let flow = Flow {
        keys: ["flow_m3_per_h", "flow_cfm"],
        m3_per_h: &point.get_ref().flow_m3_per_h,
        cfm: &point.get_ref().flow_cfm,
    };
    let flow = flow.resolve(findings, &header, flow_limits);
    let pressure = Pressure {
        keys: ["pressure_pa", "pressure_mmh2o"],
        pa: &point.get_ref().pressure_pa,
        mmh2o: &point.get_ref().pressure_mmh2o,
    };
    let pressure = pressure.resolve(findings, &header, pressure_limits);
    Some((flow?, pressure?))
}

/// The curve in a file of its own.
fn resolve_curve_file(
    findings: &mut Findings<'_>,
    curve: &Spanned<String>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Supply> {
    let path = curve.get_ref();
    let bytes = match read_file(path) {
        Ok(bytes) => bytes,
        Err(reason) => {
            let kind = FaultKind::UnreadableFile {
                key: "curve",
                path: path.clone(),
                reason,
            };
            findings.report(&curve.span(), kind);
            return None;
        }
    };
    match FanCurve::from_csv_bytes(&bytes) {
        Ok(curve) => Some(Supply::Curve(canonical(curve))),
        Err(faults) => {
            for fault in faults {
                let file = findings.name_beside(path);
                let place = match fault.place {
                    CurvePlace::Text { line, column } => FaultPlace::InFile { file, line, column },
                    _ => FaultPlace::WholeFile { file },
                };
                let kind = FaultKind::Curve(fault);
                findings.report_elsewhere(&curve.span(), StudyFault::new(place, kind));
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
