//! What is missing or doubtful about a set of readings.

use crate::likely::Warning;
use crate::rig::design::Group;
use crate::rig::plausible::{Stream, unit_doubt};
use crate::rig::readings::{OrderKind, Readings};
use crate::rig::sealed::{PromisedDesign, Sealed};
use crate::rig::unit::{Quantity, Unit};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Everything that is.
pub(super) fn doubts(
    sealed: &Sealed,
    bare: &Group<'_>,
    designs: &[Group<'_>],
    readings: &Readings,
    quantity: Quantity,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    for unit in Unit::ALL {
        let mut of_unit = Vec::new();
        for group in designs.iter().chain([bare]) {
            let stream = Stream {
                area: sealed.reference_area_m2,
                promised: promised_si(group.promised, quantity, sealed.reference_area_m2),
            };
            let all = group.readings().map(|(taken, _)| taken.reading);
            of_unit.extend(
                all.filter(|reading| reading.unit == unit)
                    .map(|it| (it, stream)),
            );
        }
        warnings.extend(unit_doubt(&of_unit));
    }
    let mut warn = |code: &'static str, message: &str, advice: &str| {
        warnings.push(Warning {
            code: code.into(),
            message: message.to_owned(),
            advice: advice.to_owned(),
        });
    };
    let visits = bare.mounts.len();
    if quantity != Quantity::Percent && visits == 0 {
        warn(
            "no-bare-fan",
            "there is no reading of the bare fan, so nothing can be given in per cent of it",
            "read it first, in between and last",
        );
    } else if quantity != Quantity::Percent && visits < 3 {
        warn(
            "few-bare-fan",
            "the bare fan was read fewer than three times, so drift cannot be seen",
            "read it first, in between and last",
        );
    }
    if visits > 0
        && designs
            .iter()
            .any(|group| group.percents.iter().flatten().any(|it| it.is_nan()))
    {
        warn(
            "no-bare-fan-there",
            "the meter stood in a place where the bare fan was not read; those readings do not count",
            "read the bare fan at every place",
        );
    }
    if readings
        .readings
        .iter()
        .any(|reading| reading.remount.is_none())
    {
        warn(
            "no-remounts",
            "some readings have no remount number, so each counts as a repeat of its own",
            "number each time the grille was taken out and put back, in the column remount: readings without a remount in between show how steady the meter is, not how well a design repeats",
        );
    }
    if readings.order == OrderKind::Lines && visits >= 3 {
        warn(
            "no-order",
            "there is neither order nor time, so the readings count as taken line by line",
            "fill in the column order or time",
        );
    }
    if designs.iter().any(|group| group.mounts.len() == 1) {
        warn(
            "one-repeat",
            "some designs were mounted only once",
            "mount each design three times or more",
        );
    }
    warnings
}

/// What was predicted for a reading, in SI units.
fn promised_si(promised: &PromisedDesign, quantity: Quantity, area: f64) -> Option<f64> {
    let flow = promised
        .flow_m3_per_h
        .map(|flow| flow.value / CUBIC_METRES_PER_HOUR);
    match quantity {
        Quantity::Flow => flow,
        Quantity::Speed => promised
            .meter_m_per_s
            .map(|[least, most]| 0.5 * (least + most))
            .filter(|speed| *speed > 0.0)
            .or(flow.map(|flow| flow / area)),
        Quantity::Percent => None,
    }
}
