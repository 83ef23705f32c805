//! What `[fan]` says of the air that leaves the fan: `hydraulic_efficiency`, `exit_profile`, `exit`.

use crate::fan::{ExitPoint, ExitProfile, Fan, HYDRAULIC_EFFICIENCY, Supply};
use crate::study::diagnostics::Diagnostics;
use crate::study::fan_speed::SPEED;
use crate::study::fan_table::{SWIRL, has_given_flow};
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::{ResolvedCopy, inline};

pub(super) const EFFICIENCY: Key = Key::number("hydraulic_efficiency", Unit::NONE, 0.2, 1.0)
    .or(HYDRAULIC_EFFICIENCY)
    .hint(
        "give the fraction of the blades' work that becomes total pressure, 0.5 to 0.7 for small fans; or leave the key out",
    );
pub(super) const EXIT_PROFILE: WordKey<NamedProfile> = Key::text("exit_profile").means(&[
    ("outboard", NamedProfile::Outboard),
    ("uniform", NamedProfile::Uniform),
]);
pub(super) const EXIT: Key = Key::tables("exit", &EXIT_POINT);
pub(super) const RADIUS: Key = Key::mm("radius_mm", 0.0, 500.0).hint(
    "give the distance from the fan's axis in mm, between half of hub_mm and half of bore_mm",
);
pub(super) const VELOCITY: Key = Key::number("relative_velocity", Unit::NONE, 0.0, 1000.0)
    .hint("give the air speed along the axis in any unit that all points share");

/// `{ radius_mm = 40, relative_velocity = 1.2 }`
const EXIT_POINT: Keys = Keys::new("exit", &[&RADIUS, &VELOCITY]).called("this point");

/// A profile that has a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NamedProfile {
    Uniform,
    Outboard,
}

/// Hydraulic efficiency for Euler's equation: given only where that is used. `None` only after a fault.
pub(super) fn hydraulic_efficiency(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
) -> Option<f64> {
    if let Some(span) = fan.span_of(&EFFICIENCY) {
        let key = EFFICIENCY.name;
        diagnostics.at_most_one(&[(SWIRL.name, fan.span_of(&SWIRL)), (key, Some(span.clone()))]);
        for (is_absent, needed) in [
            (!fan.has(&SPEED), SPEED.name),
            (has_given_flow(fan), "a fan curve"),
        ] {
            if is_absent && !fan.has(&SWIRL) {
                diagnostics.report(&span, FaultKind::MeansNothing { key, needed });
            }
        }
    }
    Some(fan.number(diagnostics, &EFFICIENCY)?.written)
}

/// The exit profile: a word or a table; the default is that of a fan, and as fast everywhere where only a flow is given. `None` only after a fault.
///
/// `hub_mm` and `bore_mm` are `None` after a fault that is noted already.
pub(super) fn exit_profile(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    hub_mm: Option<f64>,
    bore_mm: Option<f64>,
) -> Option<ExitProfile> {
    fan.at_most_one(diagnostics, &[&EXIT_PROFILE.key, &EXIT]);
    if fan.has(&EXIT) {
        return given(diagnostics, fan, hub_mm?, bore_mm?);
    }
    let default = if has_given_flow(fan) {
        NamedProfile::Uniform
    } else {
        NamedProfile::Outboard
    };
    let named = fan.word_or(diagnostics, &EXIT_PROFILE, default)?;
    Some(match named {
        NamedProfile::Uniform => ExitProfile::Uniform,
        NamedProfile::Outboard => ExitProfile::Outboard,
    })
}

fn given(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    hub_mm: f64,
    bore_mm: f64,
) -> Option<ExitProfile> {
    let faults_before = diagnostics.count();
    let span = fan.span_of(&EXIT)?;
    let count = fan.list(&EXIT)?.len();
    if count < 2 {
        diagnostics.report(&span, FaultKind::ExitTooShort { count });
    }
    let mut before = f64::NEG_INFINITY;
    let mut resolved = Vec::with_capacity(count);
    for point in fan.tables(&EXIT) {
        let radius = point.number(diagnostics, &RADIUS);
        let velocity = point.number(diagnostics, &VELOCITY);
        let (Some(radius), Some(velocity)) = (radius, velocity) else {
            continue;
        };
        resolved.push(ExitPoint {
            radius: radius.si,
            relative_velocity: velocity.written,
        });
        let radius = radius.written;
        let (low, high) = (0.5 * hub_mm, 0.5 * bore_mm);
        if !(low..=high).contains(&radius) {
            let kind = FaultKind::ExitOutsideFan { radius, low, high };
            diagnostics.report(&point.span, kind);
        } else if radius <= before {
            diagnostics.report(&point.span, FaultKind::ExitNotRising { radius, before });
        }
        before = before.max(radius);
    }
    if diagnostics.count() == faults_before
        && resolved.len() == count
        && resolved.iter().all(|point| point.relative_velocity <= 0.0)
    {
        diagnostics.report(&span, FaultKind::ExitWithoutAir);
    }
    (diagnostics.count() == faults_before).then_some(ExitProfile::Given(resolved))
}

/// Writes what is known of the air that leaves the fan.
pub(super) fn write(copy: &mut ResolvedCopy, fan: &Fan) {
    let is_euler = fan.swirl_angle.is_none()
        && fan.speed.is_some()
        && !matches!(fan.supply, Supply::GivenFlow(_));
    if is_euler {
        copy.number(&EFFICIENCY, fan.hydraulic_efficiency);
    }
    match &fan.exit_profile {
        ExitProfile::Uniform => copy.word(&EXIT_PROFILE, &NamedProfile::Uniform),
        ExitProfile::Outboard => copy.word(&EXIT_PROFILE, &NamedProfile::Outboard),
        ExitProfile::Given(points) => {
            let line = |point: &ExitPoint| {
                inline(&[
                    (&RADIUS, point.radius),
                    (&VELOCITY, point.relative_velocity),
                ])
            };
            copy.tables(&EXIT, points.iter().map(line));
        }
    }
}
