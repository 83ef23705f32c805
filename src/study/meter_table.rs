//! `[meter]`: a hobby vane meter behind the grille.

use toml::Spanned;

use crate::meter::{BLADE_ANGLE_DEG, Meter, WheelHand};
use crate::study::fault::FaultKind;
use crate::study::file::MeterTable;
use crate::study::findings::{Findings, Table};
use crate::study::limits;

/// Words for which way the wheel turns.
pub(super) const HANDS: [(&str, Option<WheelHand>); 3] = [
    ("unknown", None),
    ("with", Some(WheelHand::With)),
    ("against", Some(WheelHand::Against)),
];

/// Checks `[meter]`. `None` only after a fault; `bore_mm` is `None` after one that is noted already.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: &Spanned<MeterTable>,
    bore_mm: Option<f64>,
) -> Option<Meter> {
    let meter = table.get_ref();
    let head_diameter_mm = findings.required_number(
        &Table::new("[meter]", table),
        "head_diameter_mm",
        &meter.head_diameter_mm,
        &limits::HEAD_DIAMETER_MM,
    );
    let position_mm = findings.number_or(
        "position_mm",
        &meter.position_mm,
        &limits::METER_POSITION_MM,
        0.0,
    );
    let distance_mm = findings.number_or(
        "distance_mm",
        &meter.distance_mm,
        &limits::METER_DISTANCE_MM,
        50.0,
    );
    let blade_angle_deg = findings.number_or(
        "blade_angle_deg",
        &meter.blade_angle_deg,
        &limits::BLADE_ANGLE_DEG,
        BLADE_ANGLE_DEG,
    );
    let hand = findings.word_or("hand", &meter.hand, &HANDS, None);
    if let (Some(position), Some(bore), Some(written)) = (position_mm, bore_mm, &meter.position_mm)
        && position > 0.5 * bore
    {
        let kind = FaultKind::MeterBesideBore { position, bore };
        findings.report(&written.span(), kind);
        return None;
    }
    Some(Meter {
        head_diameter: head_diameter_mm? / 1000.0,
        position: position_mm? / 1000.0,
        distance: distance_mm? / 1000.0,
        blade_angle: blade_angle_deg?.to_radians(),
        hand: hand?,
    })
}
