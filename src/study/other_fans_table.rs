//! `[[other_fans]]`: fans elsewhere in the same PC case.

use crate::study::air_path::{OtherFans, PathLoss};
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys};
use crate::study::loss_table::{self, MEASURED_POINT};
use crate::study::place_table::{FANS, SIDE};
use crate::study::supply_table::{self, CURVE, FREE_FLOW, POINTS, SHUT_OFF};
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

const WAY: Key = Key::table("way_point", &MEASURED_POINT);

/// `[[other_fans]]`
pub(super) const OTHER_FANS: Keys = Keys::new(
    "[[other_fans]]",
    &[
        &SIDE.key,
        &FANS,
        &WAY,
        &CURVE,
        &POINTS,
        FREE_FLOW[0],
        FREE_FLOW[1],
        SHUT_OFF[0],
        SHUT_OFF[1],
    ],
);

/// Checks all of them. `None` only after a fault. `has_openings`: whether the PC case's openings take any pressure.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    tables: &[Table<'_>],
    has_openings: bool,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Vec<OtherFans>> {
    let resolved: Vec<Option<OtherFans>> = tables
        .iter()
        .map(|table| {
            if !has_openings {
                let (key, needed) = ("[[other_fans]]", "pc_case_k or pc_case_point above 0");
                diagnostics.report(&table.span, FaultKind::MeansNothing { key, needed });
            }
            resolve_one(diagnostics, table, read_file)
        })
        .collect();
    resolved.into_iter().collect()
}

fn resolve_one(
    diagnostics: &mut Diagnostics<'_>,
    fans: &Table<'_>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<OtherFans> {
    let side = fans.word(diagnostics, &SIDE);
    let count = fans.whole(diagnostics, &FANS);
    let supply = supply_table::resolve(diagnostics, fans, None, read_file);
    let in_their_way = loss_table::of_point(diagnostics, fans, &WAY);
    Some(OtherFans {
        side: side?,
        count: count?,
        supply: supply?,
        in_their_way: in_their_way.unwrap_or(PathLoss::Coefficient(0.0)),
    })
}

/// Writes `[[other_fans]]`.
pub(super) fn write(copy: &mut ResolvedCopy, fans: &OtherFans) {
    copy.table(OTHER_FANS.header);
    copy.word(&SIDE, &fans.side);
    copy.value(&FANS, fans.count);
    supply_table::write(copy, &fans.supply);
    if let PathLoss::Point { flow, pressure } = fans.in_their_way {
        loss_table::write_point(copy, &WAY, flow, pressure);
    }
}
