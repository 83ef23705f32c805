//! `[[panel]]`: what every grille is used with and the bare fan goes without.

use std::collections::HashMap;

use toml::Spanned;

use crate::study::air_path::{Panel, PanelLoss};
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::file::PanelTable;
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;
use crate::study::place_table::resolve_loss;

/// Checks all panels; `fabrics` are the names of the study's fabrics. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    tables: &[Spanned<PanelTable>],
    fabrics: &[&str],
) -> Option<Vec<Panel>> {
    let mut first_lines: HashMap<String, usize> = HashMap::new();
    let panels: Vec<Option<Panel>> = tables
        .iter()
        .map(|table| {
            let panel = resolve_one(findings, table, fabrics)?;
            let span = table.get_ref().name.as_ref()?.span();
            if let Some(&first_line) = first_lines.get(&panel.name) {
                let kind = FaultKind::DuplicateName {
                    name: panel.name,
                    first_line,
                };
                findings.report(&span, kind);
                return None;
            }
            first_lines.insert(panel.name.clone(), findings.line(&span));
            Some(panel)
        })
        .collect();
    panels.into_iter().collect()
}

fn resolve_one(
    findings: &mut Findings<'_>,
    table: &Spanned<PanelTable>,
    fabrics: &[&str],
) -> Option<Panel> {
    let panel = table.get_ref();
    let header = Table::new("[[panel]]", table);
    let name = findings.name(&header, &panel.name);
    findings.exactly_one(
        &header,
        &[
            ("k", span_of(panel.k.as_ref())),
            ("point", span_of(panel.point.as_ref())),
            ("fabric", span_of(panel.fabric.as_ref())),
        ],
    );
    let loss = match &panel.fabric {
        Some(written) => resolve_fabric(findings, written, fabrics).map(PanelLoss::Fabric),
        None => resolve_loss(
            findings,
            ["k", "point"],
            &panel.k,
            panel.point.as_ref(),
            &limits::PANEL_K,
        )
        .flatten()
        .map(PanelLoss::Known),
    };
    let area_cm2 = panel
        .area_cm2
        .as_ref()
        .map(|area| findings.number("area_cm2", area, &limits::PANEL_AREA_CM2));
    let gap_mm = panel
        .gap_mm
        .as_ref()
        .map(|gap| findings.number("gap_mm", gap, &limits::GAP_MM));
    Some(Panel {
        name: name?,
        loss: loss?,
        area: match area_cm2 {
            Some(area) => Some(area? / 1e4),
            None => None,
        },
        gap: match gap_mm {
            Some(gap) => Some(gap? / 1000.0),
            None => None,
        },
    })
}

/// The name of a fabric that the study has. `None` after a fault.
fn resolve_fabric(
    findings: &mut Findings<'_>,
    written: &Spanned<String>,
    fabrics: &[&str],
) -> Option<String> {
    let name = written.get_ref().trim();
    if fabrics.contains(&name) {
        return Some(name.to_owned());
    }
    let fault = FabricFault::Unknown {
        name: name.chars().filter(|c| !c.is_control()).take(80).collect(),
        known: fabrics.iter().map(|&known| known.to_owned()).collect(),
    };
    findings.report(&written.span(), FaultKind::Fabric(fault));
    None
}
