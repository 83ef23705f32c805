//! `[[panel]]`: what every grille is used with and the bare fan goes without.

use std::collections::HashMap;

use toml::Spanned;

use crate::grille::Grille;
use crate::study::air_path::{Panel, PanelLoss};
use crate::study::diagnostics::Diagnostics;
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::loss_table::{self, MEASURED_POINT};
use crate::study::table::{NAME, Table};
use crate::study::write::ResolvedCopy;

const LOSS: [&Key; 2] = [
    &Key::number("k", Unit::NONE, 0.0, 10_000.0)
        .hint("give the loss coefficient on the panel's own area"),
    &Key::table("point", &MEASURED_POINT),
];
const FABRIC_NAME: Key = Key::text("fabric");
const GRILLE_NAME: Key = Key::text("grille");
const AREA: Key = Key::number("area_cm2", Unit::CM2, 0.1, 1e6)
    .hint("give the area of the panel that the air of one fan goes through");
const GAP: Key = Key::mm("gap_mm", 0.0, 1000.0)
    .hint("give the gap between panel and grille; 0 means that it lies on the holes");

/// `[[panel]]`
pub(super) const PANEL: Keys = Keys::new(
    "[[panel]]",
    &[
        &NAME,
        LOSS[0],
        LOSS[1],
        &FABRIC_NAME,
        &GRILLE_NAME,
        &AREA,
        &GAP,
    ],
);

/// Checks all panels; `fabrics` and `grilles` are the names of the study's fabrics and grilles, the latter `None` after a fault of theirs. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    tables: &[Table<'_>],
    fabrics: &[&str],
    grilles: Option<&[Grille]>,
) -> Option<Vec<Panel>> {
    let mut first_lines: HashMap<String, usize> = HashMap::new();
    let panels: Vec<Option<Panel>> = tables
        .iter()
        .map(|table| {
            let panel = resolve_one(diagnostics, table, fabrics, grilles)?;
            let span = table.span_of(&NAME)?;
            if let Some(&first_line) = first_lines.get(&panel.name) {
                let kind = FaultKind::DuplicateName {
                    name: panel.name,
                    first_line,
                };
                diagnostics.report(&span, kind);
                return None;
            }
            first_lines.insert(panel.name.clone(), diagnostics.line(&span));
            Some(panel)
        })
        .collect();
    panels.into_iter().collect()
}

fn resolve_one(
    diagnostics: &mut Diagnostics<'_>,
    panel: &Table<'_>,
    fabrics: &[&str],
    grilles: Option<&[Grille]>,
) -> Option<Panel> {
    let name = panel.name(diagnostics);
    panel.exactly_one(diagnostics, &[LOSS[0], LOSS[1], &FABRIC_NAME, &GRILLE_NAME]);
    // A grille has an area of its own, and stands far enough away to be met evenly.
    panel.at_most_one(diagnostics, &[&GRILLE_NAME, &AREA]);
    panel.at_most_one(diagnostics, &[&GRILLE_NAME, &GAP]);
    let loss = if panel.has(&FABRIC_NAME) {
        let written = panel.text(&FABRIC_NAME)?;
        resolve_fabric(diagnostics, &written, fabrics).map(PanelLoss::Fabric)
    } else if panel.has(&GRILLE_NAME) {
        let written = panel.text(&GRILLE_NAME)?;
        resolve_grille(diagnostics, &written, grilles).map(PanelLoss::Grille)
    } else {
        loss_table::resolve(diagnostics, panel, LOSS).map(PanelLoss::Known)
    };
    let area = panel.number_if_there(diagnostics, &AREA);
    let gap = panel.number_if_there(diagnostics, &GAP);
    Some(Panel {
        name: name?.into_inner(),
        loss: loss?,
        area: area.map(|area| area.si),
        gap: gap.map(|gap| gap.si),
    })
}

/// The place of a grille that the study has. `None` after a fault.
fn resolve_grille(
    diagnostics: &mut Diagnostics<'_>,
    written: &Spanned<&str>,
    grilles: Option<&[Grille]>,
) -> Option<usize> {
    let name = written.get_ref().trim();
    let mut known = grilles?.iter().map(|grille| grille.name.clone());
    if let Some(place) = known.clone().position(|known| known == name) {
        return Some(place);
    }
    let kind = FaultKind::UnknownGrille {
        name: name.chars().filter(|c| !c.is_control()).take(80).collect(),
        known: known.by_ref().collect(),
    };
    diagnostics.report(&written.span(), kind);
    None
}

/// The name of a fabric that the study has. `None` after a fault.
fn resolve_fabric(
    diagnostics: &mut Diagnostics<'_>,
    written: &Spanned<&str>,
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
    diagnostics.report(&written.span(), FaultKind::Fabric(fault));
    None
}

/// Writes `[[panel]]`.
pub(super) fn write(copy: &mut ResolvedCopy, panel: &Panel, grilles: &[Grille]) {
    copy.table(PANEL.header);
    copy.text(&NAME, &panel.name);
    match &panel.loss {
        PanelLoss::Known(loss) => loss_table::write(copy, LOSS, loss),
        PanelLoss::Fabric(name) => copy.text(&FABRIC_NAME, name),
        PanelLoss::Grille(place) => copy.text(&GRILLE_NAME, &grilles[*place].name),
    }
    copy.number_if_known(&AREA, panel.area);
    copy.number_if_known(&GAP, panel.gap);
}
