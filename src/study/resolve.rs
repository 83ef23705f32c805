//! From a draft to a study: defaults, ranges, consistency; all faults at once.

use std::collections::HashMap;

use crate::grille::Grille;
use crate::study::draft::Draft;
use crate::study::fabric_fault::FabricFault;
use crate::study::fan_table::BORE;
use crate::study::fault::{FaultKind, StudyFault};
use crate::study::findings::Findings;
use crate::study::grille_table::GRILLE;
use crate::study::series_table::{BASE, MOST_GRILLES};
use crate::study::study_keys::{
    AIR_TABLE, ALL_SERIES, FABRICS, FAN_TABLE, FAN_VIEW_TABLE, FORMAT_KEY, GRILLES, METER_TABLE,
    NOTES, OTHER_FANS_TABLES, PANELS, PLACE_TABLE, RUN_TABLE, SMOKE_TABLE, STUDY, STUDY_TABLE,
    VENT_TABLE,
};
use crate::study::table::{NAME, Table};
use crate::study::tree::{Tree, Value};
use crate::study::vent_table::FaceSize;
use crate::study::{
    FORMAT, Place, Study, air_table, fabric_table, fan_table, fan_view_table, grille_table, known,
    meter_table, other_fans_table, panel_table, place_table, run_table, series_table, smoke_table,
    told_units, vent_table,
};

impl Draft {
    /// Applies the defaults and checks everything.
    ///
    /// `read_file` gives the content of a file that the study names (a fan curve), by the path as written there, or the reason why not.
    ///
    /// # Errors
    /// Every fault of the study and of the files that it names, in the order of the study file.
    pub fn resolve(
        &self,
        read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
    ) -> Result<Study, Vec<StudyFault>> {
        let mut findings = Findings::new(&self.source);
        let study = resolve_tree(&mut findings, &self.tree, read_file);
        match study {
            Some(study) if findings.count() == 0 => Ok(study),
            _ => {
                debug_assert!(findings.count() > 0, "a study fails only with a fault");
                Err(findings.into_faults())
            }
        }
    }
}

fn resolve_tree(
    findings: &mut Findings<'_>,
    tree: &Tree,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Study> {
    let top = Table::new(STUDY.called, 0..0, tree);
    known::check(findings, tree, &top.span, &STUDY);
    check_format(findings, &top);
    let study = top.required_table(findings, &STUDY_TABLE);
    let name = study.as_ref().and_then(|study| study.name(findings));
    let empty = Tree::default();
    let or_empty = |key| top.table(key).unwrap_or(Table::new("", 0..0, &empty));
    let air = air_table::resolve(findings, &or_empty(&AIR_TABLE));
    let has_vent = top.has(&VENT_TABLE);
    let vent = top.table(&VENT_TABLE);
    let vent = vent.and_then(|vent| vent_table::resolve(findings, &vent));
    let fan_table = top.required_table(findings, &FAN_TABLE);
    let fan = fan_table.as_ref();
    let fan = fan.and_then(|fan| fan_table::resolve(findings, fan, has_vent, read_file));
    let place = top.required_table(findings, &PLACE_TABLE);
    let place = place.and_then(|place| place_table::resolve(findings, &place, has_vent));
    let bore_mm = fan_table.as_ref().and_then(|fan| fan.sound_number(&BORE));
    let size = if has_vent {
        vent.map(FaceSize::Vent)
    } else {
        bore_mm.map(|diameter_mm| FaceSize::Bore { diameter_mm })
    };
    let meter = match top.table(&METER_TABLE) {
        Some(table) if has_vent => {
            findings.report(&table.span, FaultKind::NeedsBore { key: "[meter]" });
            None
        }
        Some(table) => meter_table::resolve(findings, &table, bore_mm),
        None => None,
    };
    let openings = |place: &Place| place.pc_case.loss_coefficient(1.0, 1.0) > 0.0;
    let has_openings = place.as_ref().is_none_or(openings);
    let other_fans = top.tables(&OTHER_FANS_TABLES);
    let other_fans = other_fans_table::resolve(findings, &other_fans, has_openings, read_file);
    let fabric_tables = top.tables(&FABRICS);
    let fabrics = fabric_table::resolve(findings, &fabric_tables);
    // Without a bore nothing can be said about the face; that fault is noted already.
    let hub_diameter = fan.as_ref().map_or(0.0, |fan| fan.hub_diameter);
    let grilles = resolve_grilles(findings, &top, size, hub_diameter);
    let fabric_names = fabric_tables.iter();
    let fabric_names: Vec<_> = fabric_names
        .filter_map(|fabric| fabric.tree.text(NAME.name))
        .collect();
    let panels = panel_table::resolve(
        findings,
        &top.tables(&PANELS),
        &fabric_names,
        grilles.as_deref(),
    );
    let run = run_table::resolve(findings, &or_empty(&RUN_TABLE));
    let smoke = smoke_table::resolve(findings, top.table(&SMOKE_TABLE).as_ref());
    let fan_view = fan_view_table::resolve(
        findings,
        top.table(&FAN_VIEW_TABLE).as_ref(),
        has_vent,
        place.as_ref(),
        fan.as_ref().map(|fan| &fan.supply),
        run.map(|run| run.quality),
    );
    let told_units = told_units::resolve(findings, study.as_ref(), fan_table.as_ref(), read_file);
    let notes = study.and_then(|study| study.text(&NOTES));
    let study = Study {
        name: name?.into_inner(),
        notes: notes.map_or_else(String::new, |notes| (*notes.get_ref()).to_owned()),
        told_units: told_units?,
        air: air?,
        fan: fan?,
        vent,
        place: place?,
        meter,
        other_fans: other_fans?,
        panels: panels?,
        fabrics: fabrics?,
        fan_view,
        smoke: smoke?,
        grilles: grilles?,
        run: run?,
    };
    check_fabric_laws(findings, &fabric_tables, &study);
    Some(study)
}

/// Every fabric must have a law, with this fan: a share of the bare fan's flow says nothing where the fan has nothing to spare.
fn check_fabric_laws(findings: &mut Findings<'_>, tables: &[Table<'_>], study: &Study) {
    for (table, fabric) in tables.iter().zip(&study.fabrics) {
        if let Err(error) = study.fabric_law(fabric) {
            let fabric = fabric.name.clone();
            let fault = FabricFault::Readings { fabric, error };
            findings.report(&table.span, FaultKind::Fabric(fault));
        }
    }
}

fn check_format(findings: &mut Findings<'_>, top: &Table<'_>) {
    match top.tree.get(FORMAT_KEY.name) {
        None => top.missing(findings, &FORMAT_KEY),
        Some(value) => {
            if let Value::Whole(found) = *value.get_ref()
                && found != i64::from(FORMAT)
            {
                let supported = FORMAT;
                findings.report(&value.span(), FaultKind::UnknownFormat { found, supported });
            }
        }
    }
}

/// All grilles, those of the series after the others. `None` only after a fault.
fn resolve_grilles(
    findings: &mut Findings<'_>,
    top: &Table<'_>,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<Vec<Grille>> {
    let tables = top.tables(&GRILLES);
    if tables.is_empty() && !findings.expects(&top.span, &[GRILLES.name]) {
        findings.report(&top.span, FaultKind::NoGrille);
    }
    let mut first_lines = HashMap::new();
    let mut resolve_one = |findings: &mut Findings<'_>, table: &Table<'_>| {
        let name = unique_name(findings, table, &mut first_lines);
        grille_table::resolve(findings, table, name, size, hub_diameter)
    };
    let mut sound_bases = Vec::new();
    let mut grilles = Vec::new();
    for table in &tables {
        let faults_before = findings.count();
        grilles.push(resolve_one(findings, table));
        if findings.count() == faults_before {
            sound_bases.push(table.tree.text(NAME.name));
        }
    }
    for series in top.tables(&ALL_SERIES) {
        let made = series_table::expand(findings, &series, &tables);
        let count = grilles.len() + made.len();
        if count > MOST_GRILLES {
            let limit = MOST_GRILLES;
            findings.report(&series.span, FaultKind::TooManyGrilles { count, limit });
            return None;
        }
        // A faulty base has been reported; its series would only repeat that.
        if sound_bases.contains(&series.tree.text(BASE.name)) {
            for tree in &made {
                let table = Table::new(GRILLE.called, series.span.clone(), tree);
                grilles.push(resolve_one(findings, &table));
            }
        }
    }
    grilles.into_iter().collect()
}

/// The name of a grille, which no grille before it has.
fn unique_name(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    first_lines: &mut HashMap<String, usize>,
) -> Option<String> {
    let name = table.name(findings)?;
    let (span, name) = (name.span(), name.into_inner());
    if let Some(first_line) = first_lines.get(&name).copied() {
        findings.report(&span, FaultKind::DuplicateName { name, first_line });
        return None;
    }
    first_lines.insert(name.clone(), findings.line(&span));
    Some(name)
}
