//! `[[panel]]`: what every grille is used with and the bare fan goes without.

use std::collections::HashMap;

use toml::Spanned;

use crate::grille::Grille;
use crate::study::air_path::{Panel, PanelLoss};
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::file::PanelTable;
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;
use crate::study::place_table::resolve_loss;

/// Checks all panels; `fabrics` and `grilles` are the names of the study's fabrics and grilles, the latter `None` after a fault of theirs. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    tables: &[Spanned<PanelTable>],
    fabrics: &[&str],
    grilles: Option<&[Grille]>,
) -> Option<Vec<Panel>> {
    let mut first_lines: HashMap<String, usize> = HashMap::new();
    let panels: Vec<Option<Panel>> = tables
        .iter()
        .map(|table| {
            let panel = resolve_one(findings, table, fabrics, grilles)?;
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
    grilles: Option<&[Grille]>,
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
            ("grille", span_of(panel.grille.as_ref())),
        ],
    );
    // A grille has an area of its own, and stands far enough away to be met evenly.
    for seat in [
        ("area_cm2", span_of(panel.area_cm2.as_ref())),
        ("gap_mm", span_of(panel.gap_mm.as_ref())),
    ] {
        let grille = span_of(panel.grille.as_ref()).map(|span| span.start..span.end);
        findings.at_most_one(&[("grille", grille), seat]);
    }
    let loss = match (&panel.fabric, &panel.grille) {
        (Some(written), _) => resolve_fabric(findings, written, fabrics).map(PanelLoss::Fabric),
        (None, Some(written)) => resolve_grille(findings, written, grilles).map(PanelLoss::Grille),
        (None, None) => resolve_loss(
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

/// The name of a grille that the study has. `None` after a fault.
fn resolve_grille(
    findings: &mut Findings<'_>,
    written: &Spanned<String>,
    grilles: Option<&[Grille]>,
) -> Option<String> {
    let name = written.get_ref().trim();
    let mut known = grilles?.iter().map(|grille| grille.name.clone());
    if known.clone().any(|known| known == name) {
        return Some(name.to_owned());
    }
    let kind = FaultKind::UnknownGrille {
        name: name.chars().filter(|c| !c.is_control()).take(80).collect(),
        known: known.by_ref().collect(),
    };
    findings.report(&written.span(), kind);
    None
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
