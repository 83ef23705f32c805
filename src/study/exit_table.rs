//! What `[fan]` says of the air that leaves the fan: `hydraulic_efficiency`, `exit_profile`, `exit`.

use toml::Spanned;

use crate::fan::{ExitPoint, ExitProfile, HYDRAULIC_EFFICIENCY};
use crate::study::fault::FaultKind;
use crate::study::file::{ExitPointTable, FanTable};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;

/// A profile that has a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum NamedProfile {
    Uniform,
    Outboard,
}

const PROFILES: [(&str, NamedProfile); 2] = [
    ("outboard", NamedProfile::Outboard),
    ("uniform", NamedProfile::Uniform),
];

/// Hydraulic efficiency for Euler's equation: given only where that is used. `None` only after a fault.
pub(super) fn hydraulic_efficiency(findings: &mut Findings<'_>, fan: &FanTable) -> Option<f64> {
    const KEY: &str = "hydraulic_efficiency";
    let Some(efficiency) = &fan.hydraulic_efficiency else {
        return Some(HYDRAULIC_EFFICIENCY);
    };
    let has_flow = fan.given_flow_m3_per_h.is_some() || fan.given_flow_cfm.is_some();
    findings.at_most_one(&[
        ("swirl_deg", span_of(fan.swirl_deg.as_ref())),
        (KEY, Some(efficiency.span())),
    ]);
    if fan.swirl_deg.is_none() {
        for (is_absent, needed) in [
            (fan.speed_rpm.is_none(), "speed_rpm"),
            (has_flow, "a fan curve"),
        ] {
            if is_absent {
                findings.report(
                    &efficiency.span(),
                    FaultKind::MeansNothing { key: KEY, needed },
                );
            }
        }
    }
    findings.number(KEY, efficiency, &limits::HYDRAULIC_EFFICIENCY)
}

/// The exit profile: a word or a table; the default is that of a fan, and as fast everywhere where only a flow is given. `None` only after a fault.
///
/// `hub_mm` and `bore_mm` are `None` after a fault that is noted already.
pub(super) fn exit_profile(
    findings: &mut Findings<'_>,
    fan: &FanTable,
    hub_mm: Option<f64>,
    bore_mm: Option<f64>,
) -> Option<ExitProfile> {
    findings.at_most_one(&[
        ("exit_profile", span_of(fan.exit_profile.as_ref())),
        ("exit", span_of(fan.exit.as_ref())),
    ]);
    if let Some(points) = &fan.exit {
        return given(findings, points, hub_mm?, bore_mm?);
    }
    let has_flow = fan.given_flow_m3_per_h.is_some() || fan.given_flow_cfm.is_some();
    let default = if has_flow {
        NamedProfile::Uniform
    } else {
        NamedProfile::Outboard
    };
    let named = findings.word_or("exit_profile", &fan.exit_profile, &PROFILES, default)?;
    Some(match named {
        NamedProfile::Uniform => ExitProfile::Uniform,
        NamedProfile::Outboard => ExitProfile::Outboard,
    })
}

fn given(
    findings: &mut Findings<'_>,
    points: &Spanned<Vec<Spanned<ExitPointTable>>>,
    hub_mm: f64,
    bore_mm: f64,
) -> Option<ExitProfile> {
    let faults_before = findings.count();
    let count = points.get_ref().len();
    if count < 2 {
        findings.report(&points.span(), FaultKind::ExitTooShort { count });
    }
    let mut before = f64::NEG_INFINITY;
    let mut resolved = Vec::with_capacity(count);
    for point in points.get_ref() {
        let header = Table::new("this point", point);
        let table = point.get_ref();
        let radius = findings.required_number(
            &header,
            "radius_mm",
            &table.radius_mm,
            &limits::EXIT_RADIUS_MM,
        );
        let velocity = findings.required_number(
            &header,
            "relative_velocity",
            &table.relative_velocity,
            &limits::RELATIVE_VELOCITY,
        );
        let (Some(radius), Some(relative_velocity)) = (radius, velocity) else {
            continue;
        };
        let (low, high) = (0.5 * hub_mm, 0.5 * bore_mm);
        if !(low..=high).contains(&radius) {
            let kind = FaultKind::ExitOutsideFan { radius, low, high };
            findings.report(&point.span(), kind);
        } else if radius <= before {
            findings.report(&point.span(), FaultKind::ExitNotRising { radius, before });
        }
        before = before.max(radius);
        resolved.push(ExitPoint {
            radius: radius / 1000.0,
            relative_velocity,
        });
    }
    if findings.count() == faults_before
        && resolved.iter().all(|point| point.relative_velocity <= 0.0)
    {
        findings.report(&points.span(), FaultKind::ExitWithoutAir);
    }
    (findings.count() == faults_before).then_some(ExitProfile::Given(resolved))
}

/// The word for a profile that has a name.
pub(super) fn word(profile: &ExitProfile) -> Option<&'static str> {
    match profile {
        ExitProfile::Uniform => Some("uniform"),
        ExitProfile::Outboard => Some("outboard"),
        ExitProfile::Given(_) => None,
    }
}
