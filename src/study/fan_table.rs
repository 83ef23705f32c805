//! `[fan]`: the fan, or the flow that stands in for it.

use crate::fan::{ExitProfile, Fan, HYDRAULIC_EFFICIENCY};
use crate::study::diagnostics::Diagnostics;
use crate::study::exit_table::{self, EFFICIENCY, EXIT, EXIT_PROFILE};
use crate::study::fan_speed::{self, RUNNING, SPEED};
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::supply_table::{self, CURVE, FREE_FLOW, GIVEN_FLOW, POINTS, SHUT_OFF};
use crate::study::table::{NAME, Table};
use crate::study::write::ResolvedCopy;

pub(super) const BORE: Key = Key::mm("bore_mm", 10.0, 1000.0).hint(
    "give the diameter of the opening in which the fan runs, in mm, such as bore_mm = 135; for a rectangular vent add [vent]",
);
const HUB: Key = Key::mm("hub_mm", 0.0, 900.0).hint(
    "give the diameter of the solid middle of the fan in mm, such as hub_mm = 42; 0 if there is no fan",
);
const BLADES: Key =
    Key::whole("blades", 1.0, 100.0).hint("count the blades of the fan, or leave the key out");
pub(super) const SWIRL: Key = Key::number("swirl_deg", Unit::DEGREES, 0.0, 60.0).hint(
    "give the angle between the air behind the fan and the fan's axis, positive with its rotation; or leave the key out",
);

/// `[fan]`
pub(super) const FAN: Keys = Keys::new(
    "[fan]",
    &[
        &NAME,
        &BORE,
        &HUB,
        GIVEN_FLOW[0],
        GIVEN_FLOW[1],
        &SPEED,
        &RUNNING,
        &BLADES,
        &SWIRL,
        &EFFICIENCY,
        &EXIT_PROFILE.key,
        &EXIT,
        &CURVE,
        &POINTS,
        FREE_FLOW[0],
        FREE_FLOW[1],
        SHUT_OFF[0],
        SHUT_OFF[1],
    ],
);

/// What `[fan]` says of a bore and of the air that leaves one.
const OF_A_BORE: [&Key; 7] = [
    &BORE,
    &HUB,
    &BLADES,
    &SWIRL,
    &EFFICIENCY,
    &EXIT_PROFILE.key,
    &EXIT,
];

/// Whether a flow stands in for the fan.
pub(super) fn has_given_flow(fan: &Table<'_>) -> bool {
    GIVEN_FLOW.iter().any(|key| fan.has(key))
}

/// Checks `[fan]`. `None` only after a fault. Where the opening is a vent, nothing is asked of the fan's bore.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    has_vent: bool,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Fan> {
    let name = if fan.has(&NAME) {
        fan.name(diagnostics).map(toml::Spanned::into_inner)
    } else {
        Some("fan".to_owned())
    };
    if has_vent {
        return resolve_elsewhere(diagnostics, fan, name, read_file);
    }
    let bore = fan.number(diagnostics, &BORE);
    let hub = fan.number(diagnostics, &HUB);
    let [bore_mm, hub_mm] = [bore, hub].map(|diameter| Some(diameter?.written));
    if let (Some(bore), Some(hub), Some(span)) = (bore_mm, hub_mm, fan.span_of(&HUB))
        && hub > 0.9 * bore
    {
        diagnostics.report(&span, FaultKind::HubTooLarge { hub, bore });
    }
    let speeds = fan_speed::resolve(diagnostics, fan);
    let blade_count = fan.whole_if_there(diagnostics, &BLADES);
    let swirl_angle = fan.number_if_there(diagnostics, &SWIRL);
    let efficiency = exit_table::hydraulic_efficiency(diagnostics, fan);
    let exit_profile = exit_table::exit_profile(diagnostics, fan, hub_mm, bore_mm);
    let supply = supply_table::resolve(diagnostics, fan, Some(GIVEN_FLOW), read_file);
    Some(Fan {
        name: name?,
        bore_diameter: bore?.si,
        hub_diameter: hub?.si,
        speed: speeds.as_ref()?.per_second(),
        blade_count,
        swirl_angle: swirl_angle.map(|angle| angle.si),
        hydraulic_efficiency: efficiency?,
        exit_profile: exit_profile?,
        supply: speeds?.apply(supply?),
    })
}

/// A fan elsewhere in the box, of which only flow and pressure count.
fn resolve_elsewhere(
    diagnostics: &mut Diagnostics<'_>,
    fan: &Table<'_>,
    name: Option<String>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Fan> {
    // Nobody would look at it.
    for key in OF_A_BORE {
        if let Some(span) = fan.span_of(key) {
            diagnostics.report(&span, FaultKind::NeedsBore { key: key.name });
        }
    }
    let speeds = fan_speed::resolve(diagnostics, fan);
    let supply = supply_table::resolve(diagnostics, fan, Some(GIVEN_FLOW), read_file);
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

/// Writes `[fan]`, with what it says of its bore where it has one.
pub(super) fn write(copy: &mut ResolvedCopy, fan: &Fan, has_bore: bool) {
    copy.table(FAN.header);
    copy.text(&NAME, &fan.name);
    if has_bore {
        copy.number(&BORE, fan.bore_diameter);
        copy.number(&HUB, fan.hub_diameter);
    }
    copy.number_if_known(&SPEED, fan.speed);
    if let Some(blade_count) = fan.blade_count {
        copy.value(&BLADES, blade_count);
    }
    copy.number_if_known(&SWIRL, fan.swirl_angle);
    if has_bore {
        exit_table::write(copy, fan);
    }
    supply_table::write(copy, &fan.supply);
}
