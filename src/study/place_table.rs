//! `[place]`: where the fan sits, alone or beside others, and on what rig it is measured.

use crate::study::air_path::PathLoss;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::loss_table::{self, MEASURED_POINT};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;
use crate::study::{Place, ReferenceArea, Side};

pub(super) const SIDE: WordKey<Side> = Key::text("side")
    .hint("write side = \"intake\" or side = \"exhaust\"")
    .means(&[("intake", Side::Intake), ("exhaust", Side::Exhaust)]);
const REFERENCE_AREA: WordKey<ReferenceArea> = Key::text("reference_area").means(&[
    ("annulus", ReferenceArea::Annulus),
    ("bore", ReferenceArea::Bore),
    ("vent", ReferenceArea::Vent),
]);
const PC_CASE: [&Key; 2] = [
    &k("pc_case_k"),
    &Key::table("pc_case_point", &MEASURED_POINT),
];
const RIG: [&Key; 2] = [&k("rig_k"), &Key::table("rig_point", &MEASURED_POINT)];
pub(super) const FANS: Key = Key::whole("fans", 1.0, 100.0)
    .or(1.0)
    .hint("count the identical fans that work side by side in this PC case, this one included");
const LEAK: Key = Key::number("leak_cm2", Unit::CM2, 0.0, 10_000.0)
    .or(0.0)
    .hint(
        "add up the gaps through which air bypasses the openings of the PC case; 0 leaves them out",
    );
const HEAT_LOAD: Key = Key::number("heat_load_w", Unit::kept(" W"), 0.0, 100_000.0)
    .or(0.0)
    .hint("give the heat that this air carries away, in W; 0 leaves it out");
const BLADE_GAP: Key = Key::mm("gap_mm", 0.0, 500.0)
    .hint("give the distance from the fan's blades to the grille in mm");

/// `[place]`
pub(super) const PLACE: Keys = Keys::new(
    "[place]",
    &[
        &SIDE.key,
        &REFERENCE_AREA.key,
        PC_CASE[0],
        PC_CASE[1],
        RIG[0],
        RIG[1],
        &FANS,
        &LEAK,
        &HEAT_LOAD,
        &BLADE_GAP,
    ],
);

const fn k(name: &'static str) -> Key {
    Key::number(name, Unit::NONE, 0.0, 1000.0)
        .hint("0 is a fan on an open bench, 1 to 5 a usual PC case")
}

/// Checks `[place]`. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    place: &Table<'_>,
    has_vent: bool,
) -> Option<Place> {
    let side = place.word(diagnostics, &SIDE);
    let reference_area = resolve_reference_area(diagnostics, place, has_vent);
    let pc_case = loss_table::resolve(diagnostics, place, PC_CASE);
    let rig = loss_table::resolve(diagnostics, place, RIG);
    let fan_count = place.whole(diagnostics, &FANS);
    let leak_area = place.number(diagnostics, &LEAK);
    let heat_load = place.number(diagnostics, &HEAT_LOAD);
    let blade_gap = place.number_if_there(diagnostics, &BLADE_GAP);
    Some(Place {
        side: side?,
        reference_area: reference_area?,
        pc_case: if PC_CASE.iter().any(|key| place.has(key)) {
            pc_case?
        } else {
            PathLoss::Coefficient(0.0)
        },
        rig,
        fan_count: fan_count?,
        leak_area: leak_area?.si,
        heat_load: Some(heat_load?.si).filter(|watts| *watts > 0.0),
        blade_gap: blade_gap.map(|gap| gap.si),
    })
}

/// The area of every K: that of the vent, and only that, where there is one. `None` only after a fault.
fn resolve_reference_area(
    diagnostics: &mut Diagnostics<'_>,
    place: &Table<'_>,
    has_vent: bool,
) -> Option<ReferenceArea> {
    let default = if has_vent {
        ReferenceArea::Vent
    } else {
        ReferenceArea::Annulus
    };
    let area = place.word_or(diagnostics, &REFERENCE_AREA, default)?;
    if let Some(span) = place.span_of(&REFERENCE_AREA)
        && has_vent != (area == ReferenceArea::Vent)
    {
        let kind = if has_vent {
            let key = REFERENCE_AREA.name;
            FaultKind::NeedsBore { key }
        } else {
            FaultKind::MeansNothing {
                key: "reference_area = \"vent\"",
                needed: "[vent]",
            }
        };
        diagnostics.report(&span, kind);
        return None;
    }
    Some(area)
}

/// Writes `[place]`.
pub(super) fn write(copy: &mut ResolvedCopy, place: &Place) {
    copy.table(PLACE.header);
    copy.word(&SIDE, &place.side);
    copy.word(&REFERENCE_AREA, &place.reference_area);
    loss_table::write(copy, PC_CASE, &place.pc_case);
    if let Some(rig) = &place.rig {
        loss_table::write(copy, RIG, rig);
    }
    copy.value(&FANS, place.fan_count);
    copy.number(&LEAK, place.leak_area);
    copy.number_if_known(&BLADE_GAP, place.blade_gap);
    copy.number(&HEAT_LOAD, place.heat_load.unwrap_or(0.0));
}
