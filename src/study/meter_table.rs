//! `[meter]`: a hobby vane meter behind the grille.

use crate::meter::{BLADE_ANGLE_DEG, Meter, WheelHand};
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;

const HEAD_DIAMETER: Key = Key::mm("head_diameter_mm", 5.0, 500.0)
    .hint("give the diameter of the meter's wheel in mm, such as head_diameter_mm = 66");
const POSITION: Key = Key::mm("position_mm", 0.0, 500.0)
    .or(0.0)
    .hint("give the distance of the meter's axis from the fan's axis in mm; 0 is the middle");
const DISTANCE: Key = Key::mm("distance_mm", 0.0, 5000.0)
    .or(50.0)
    .hint("give the distance of the wheel behind the outside of the grille in mm");
const BLADE_ANGLE: Key = Key::number("blade_angle_deg", Unit::DEGREES, 10.0, 80.0)
    .or(BLADE_ANGLE_DEG)
    .hint(
        "give the angle between the wheel's blades and its axis in degrees; 45 if you do not know",
    );
const HAND: WordKey<Option<WheelHand>> = Key::text("hand")
    .means(&[
        ("unknown", None),
        ("with", Some(WheelHand::With)),
        ("against", Some(WheelHand::Against)),
    ])
    .or(None);

/// `[meter]`
pub(super) const METER: Keys = Keys::new(
    "[meter]",
    &[
        &HEAD_DIAMETER,
        &POSITION,
        &DISTANCE,
        &BLADE_ANGLE,
        &HAND.key,
    ],
);

/// Checks `[meter]`. `None` only after a fault; `bore_mm` is `None` after one that is noted already.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    meter: &Table<'_>,
    bore_mm: Option<f64>,
) -> Option<Meter> {
    let head_diameter = meter.number(diagnostics, &HEAD_DIAMETER);
    let position = meter.number(diagnostics, &POSITION);
    let distance = meter.number(diagnostics, &DISTANCE);
    let blade_angle = meter.number(diagnostics, &BLADE_ANGLE);
    let hand = meter.word(diagnostics, &HAND);
    if let (Some(position), Some(bore), Some(span)) = (position, bore_mm, meter.span_of(&POSITION))
        && position.written > 0.5 * bore
    {
        let position = position.written;
        diagnostics.report(&span, FaultKind::MeterBesideBore { position, bore });
        return None;
    }
    Some(Meter {
        head_diameter: head_diameter?.si,
        position: position?.si,
        distance: distance?.si,
        blade_angle: blade_angle?.si,
        hand: hand?,
    })
}

/// Writes `[meter]`.
pub(super) fn write(copy: &mut ResolvedCopy, meter: &Meter) {
    copy.table(METER.header);
    copy.number(&HEAD_DIAMETER, meter.head_diameter);
    copy.number(&POSITION, meter.position);
    copy.number(&DISTANCE, meter.distance);
    copy.number(&BLADE_ANGLE, meter.blade_angle);
    copy.word(&HAND, &meter.hand);
}
