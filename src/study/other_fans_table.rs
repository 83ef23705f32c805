//! `[[other_fans]]`: fans elsewhere in the same PC case.

use toml::Spanned;

use crate::study::air_path::{OtherFans, PathLoss};
use crate::study::fan_table::resolve_supply;
use crate::study::fault::FaultKind;
use crate::study::file::OtherFansTable;
use crate::study::findings::{Findings, Table};
use crate::study::limits;
use crate::study::place_table::{SIDES, resolve_loss};

/// Checks all of them. `None` only after a fault. `has_openings`: whether the PC case's openings take any pressure.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    tables: &[Spanned<OtherFansTable>],
    has_openings: bool,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Vec<OtherFans>> {
    let resolved: Vec<Option<OtherFans>> = tables
        .iter()
        .map(|table| {
            if !has_openings {
                let (key, needed) = ("[[other_fans]]", "pc_case_k or pc_case_point above 0");
                findings.report(&table.span(), FaultKind::MeansNothing { key, needed });
            }
            resolve_one(findings, table, read_file)
        })
        .collect();
    resolved.into_iter().collect()
}

fn resolve_one(
    findings: &mut Findings<'_>,
    table: &Spanned<OtherFansTable>,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<OtherFans> {
    let fans = table.get_ref();
    let header = Table::new("[[other_fans]]", table);
    let side = findings.required_word(
        &header,
        "side",
        &fans.side,
        &SIDES,
        "write side = \"intake\" or side = \"exhaust\"",
    );
    let count = findings.whole_or("fans", &fans.fans, &limits::FANS, 1);
    let supply = resolve_supply(findings, &header, fans.delivery(), None, read_file);
    let way = resolve_loss(
        findings,
        ["way_k", "way_point"],
        &None,
        fans.way_point.as_ref(),
        &limits::PANEL_K,
    );
    Some(OtherFans {
        side: side?,
        count: count?,
        supply: supply?,
        in_their_way: way?.unwrap_or(PathLoss::Coefficient(0.0)),
    })
}
