//! `[place]`: where the fan sits, alone or beside others, and on what rig it is measured.

use toml::Spanned;

use crate::study::air_path::PathLoss;
use crate::study::fan_table::resolve_point;
use crate::study::fault::FaultKind;
use crate::study::file::{Number, PlaceTable, PointTable, Word};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits::{self, Limits};
use crate::study::{Place, ReferenceArea, Side};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Words for which way the air goes.
pub(super) const SIDES: [(&str, Side); 2] = [("intake", Side::Intake), ("exhaust", Side::Exhaust)];

/// Words for the area of every K.
const REFERENCE_AREAS: [(&str, ReferenceArea); 3] = [
    ("annulus", ReferenceArea::Annulus),
    ("bore", ReferenceArea::Bore),
    ("vent", ReferenceArea::Vent),
];

/// Checks `[place]`. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: &Spanned<PlaceTable>,
    has_vent: bool,
) -> Option<Place> {
    let place = table.get_ref();
    let side = findings.required_word(
        &Table::new("[place]", table),
        "side",
        &place.side,
        &SIDES,
        "write side = \"intake\" or side = \"exhaust\"",
    );
    let reference_area = resolve_reference_area(findings, &place.reference_area, has_vent);
    let pc_case = resolve_loss(
        findings,
        ["pc_case_k", "pc_case_point"],
        &place.pc_case_k,
        place.pc_case_point.as_ref(),
        &limits::PC_CASE_K,
    );
    let rig = resolve_loss(
        findings,
        ["rig_k", "rig_point"],
        &place.rig_k,
        place.rig_point.as_ref(),
        &limits::PC_CASE_K,
    );
    let fan_count = findings.whole_or("fans", &place.fans, &limits::FANS, 1);
    let leak_cm2 = findings.number_or("leak_cm2", &place.leak_cm2, &limits::LEAK_CM2, 0.0);
    let heat_load_w =
        findings.number_or("heat_load_w", &place.heat_load_w, &limits::HEAT_LOAD_W, 0.0);
    let gap_mm = place
        .gap_mm
        .as_ref()
        .map(|gap_mm| findings.number("gap_mm", gap_mm, &limits::BLADE_GAP_MM));
    Some(Place {
        side: side?,
        reference_area: reference_area?,
        pc_case: pc_case?.unwrap_or(PathLoss::Coefficient(0.0)),
        rig: rig?,
        fan_count: fan_count?,
        leak_area: leak_cm2? / 1e4,
        heat_load: heat_load_w.map(|watts| (watts > 0.0).then_some(watts))?,
        blade_gap: match gap_mm {
            Some(gap_mm) => Some(gap_mm? / 1000.0),
            None => None,
        },
    })
}

/// The area of every K: that of the vent, and only that, where there is one. `None` only after a fault.
fn resolve_reference_area(
    findings: &mut Findings<'_>,
    written: &Word,
    has_vent: bool,
) -> Option<ReferenceArea> {
    const KEY: &str = "reference_area";
    let default = if has_vent {
        ReferenceArea::Vent
    } else {
        ReferenceArea::Annulus
    };
    let area = findings.word_or(KEY, written, &REFERENCE_AREAS, default)?;
    if let Some(written) = written
        && has_vent != (area == ReferenceArea::Vent)
    {
        let kind = if has_vent {
            FaultKind::NeedsBore { key: KEY }
        } else {
            FaultKind::MeansNothing {
                key: "reference_area = \"vent\"",
                needed: "[vent]",
            }
        };
        findings.report(&written.span(), kind);
        return None;
    }
    Some(area)
}

/// A loss by its coefficient or by one measured point, if either is there. `None` only after a fault.
#[expect(
    clippy::option_option,
    reason = "the outer one stands for a fault, the inner one for absence"
)]
pub(super) fn resolve_loss(
    findings: &mut Findings<'_>,
    [coefficient_key, point_key]: [&'static str; 2],
    coefficient: &Number,
    point: Option<&Spanned<PointTable>>,
    range: &Limits,
) -> Option<Option<PathLoss>> {
    let found = findings.at_most_one(&[
        (coefficient_key, span_of(coefficient.as_ref())),
        (point_key, span_of(point)),
    ]);
    match (found, coefficient, point) {
        (None, ..) => Some(None),
        (Some(_), Some(written), _) => {
            let loss_coefficient = findings.number(coefficient_key, written, range)?;
            Some(Some(PathLoss::Coefficient(loss_coefficient)))
        }
        (Some(_), None, point) => {
            let flow_limits = [&limits::POSITIVE_FLOW_M3_PER_H, &limits::POSITIVE_FLOW_CFM];
            let pressure_limits = [&limits::PATH_PRESSURE_PA, &limits::PATH_PRESSURE_MMH2O];
            let (flow, pressure) =
                resolve_point(findings, point_key, point?, flow_limits, pressure_limits)?;
            let flow = flow / CUBIC_METRES_PER_HOUR;
            Some(Some(PathLoss::Point { flow, pressure }))
        }
    }
}
