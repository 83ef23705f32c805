//! From a draft to a study: defaults, ranges, consistency; all faults at once.

use std::collections::HashMap;

use crate::study::diagnostics::Diagnostics;
use crate::study::draft::Draft;
use crate::study::fabric_fault::FabricFault;
use crate::study::fan_table::BORE;
use crate::study::fault::{FaultKind, StudyFault};
use crate::study::grille_table::{DrawnGrille, GRILLE};
use crate::study::series_table::{BASE, MOST_GRILLES};
use crate::study::study_keys::{
    AIR_TABLE, ALL_SERIES, FABRICS, FAN_TABLE, FAN_VIEW_TABLE, FORMAT_KEY, GRILLES, METER_TABLE,
    NOTES, OTHER_FANS_TABLES, PANELS, PLACE_TABLE, PRINTER_TABLE, RUN_TABLE, SMOKE_TABLE, STUDY,
    STUDY_TABLE, VENT_TABLE,
};
use crate::study::table::{NAME, Table};
use crate::study::tree::{Tree, Value};
use crate::study::vent_table::FaceSize;
use crate::study::{
    FORMAT, Place, Study, air_table, fabric_table, fan_table, fan_view_table, grille_table, known,
    meter_table, other_fans_table, output_units, panel_table, place_table, printer_table,
    run_table, series_table, smoke_table, vent_table,
};
use crate::text::is_bare_fan;

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
        let mut diagnostics = Diagnostics::new(&self.source);
        let study = resolve_tree(&mut diagnostics, &self.tree, read_file);
        match study {
            Some(study) if diagnostics.count() == 0 => Ok(study),
            _ => {
                debug_assert!(diagnostics.count() > 0, "a study fails only with a fault");
                Err(diagnostics.into_faults())
            }
        }
    }
}

fn resolve_tree(
    diagnostics: &mut Diagnostics<'_>,
    tree: &Tree,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Study> {
    let top = Table::new(STUDY.called, 0..0, tree);
    known::check(diagnostics, tree, &top.span, &STUDY);
    check_format(diagnostics, &top);
    let study = top.required_table(diagnostics, &STUDY_TABLE);
    let name = study.as_ref().and_then(|study| study.name(diagnostics));
    let empty = Tree::default();
    let or_empty = |key| top.table(key).unwrap_or(Table::new("", 0..0, &empty));
    let air = air_table::resolve(diagnostics, &or_empty(&AIR_TABLE));
    let has_vent = top.has(&VENT_TABLE);
    let vent = top.table(&VENT_TABLE);
    let vent = vent.and_then(|vent| vent_table::resolve(diagnostics, &vent));
    let fan_table = top.required_table(diagnostics, &FAN_TABLE);
    let fan = fan_table.as_ref();
    let fan = fan.and_then(|fan| fan_table::resolve(diagnostics, fan, has_vent, read_file));
    let place = top.required_table(diagnostics, &PLACE_TABLE);
    let place = place.and_then(|place| place_table::resolve(diagnostics, &place, has_vent));
    let bore_mm = fan_table.as_ref().and_then(|fan| fan.sound_number(&BORE));
    let size = if has_vent {
        vent.map(FaceSize::Vent)
    } else {
        bore_mm.map(|diameter_mm| FaceSize::Bore { diameter_mm })
    };
    let meter = match top.table(&METER_TABLE) {
        Some(table) if has_vent => {
            diagnostics.report(&table.span, FaultKind::NeedsBore { key: "[meter]" });
            None
        }
        Some(table) => meter_table::resolve(diagnostics, &table, bore_mm),
        None => None,
    };
    let printer = top.table(&PRINTER_TABLE);
    let printer = printer.and_then(|table| printer_table::resolve(diagnostics, &table));
    let openings = |place: &Place| place.pc_case.loss_coefficient(1.0, 1.0) > 0.0;
    let has_openings = place.as_ref().is_none_or(openings);
    let other_fans = top.tables(&OTHER_FANS_TABLES);
    let other_fans = other_fans_table::resolve(diagnostics, &other_fans, has_openings, read_file);
    let fabric_tables = top.tables(&FABRICS);
    let fabrics = fabric_table::resolve(diagnostics, &fabric_tables);
    // Without a bore nothing can be said about the face; that fault is noted already.
    let hub_diameter = fan.as_ref().map_or(0.0, |fan| fan.hub_diameter);
    let drawn = resolve_grilles(diagnostics, &top, size, hub_diameter);
    let apart = |one: DrawnGrille| (one.grille, one.geometry);
    let (grilles, geometries): (Option<Vec<_>>, Option<Vec<_>>) = drawn
        .map(|drawn| drawn.into_iter().map(apart).unzip())
        .unzip();
    let fabric_names = fabric_tables.iter();
    let fabric_names: Vec<_> = fabric_names
        .filter_map(|fabric| fabric.tree.text(NAME.name))
        .collect();
    let panels = panel_table::resolve(
        diagnostics,
        &top.tables(&PANELS),
        &fabric_names,
        grilles.as_deref(),
    );
    let run = run_table::resolve(diagnostics, &or_empty(&RUN_TABLE));
    let smoke = smoke_table::resolve(diagnostics, top.table(&SMOKE_TABLE).as_ref());
    let fan_view = fan_view_table::resolve(
        diagnostics,
        top.table(&FAN_VIEW_TABLE).as_ref(),
        has_vent,
        place.as_ref(),
        fan.as_ref().map(|fan| &fan.supply),
        run.map(|run| run.quality),
    );
    let output_units =
        output_units::resolve(diagnostics, study.as_ref(), fan_table.as_ref(), read_file);
    let notes = study.and_then(|study| study.text(&NOTES));
    let study = Study {
        name: name?.into_inner(),
        notes: notes.map_or_else(String::new, |notes| (*notes.get_ref()).to_owned()),
        output_units: output_units?,
        air: air?,
        fan: fan?,
        vent,
        place: place?,
        meter,
        printer,
        other_fans: other_fans?,
        panels: panels?,
        fabrics: fabrics?,
        fan_view,
        smoke: smoke?,
        grilles: grilles?,
        geometries: geometries?.into_iter().collect::<Option<_>>()?,
        run: run?,
    };
    check_fabric_laws(diagnostics, &fabric_tables, &study);
    Some(study)
}

/// Every fabric must have a law, with this fan: a share of the bare fan's flow says nothing where the fan has nothing to spare.
fn check_fabric_laws(diagnostics: &mut Diagnostics<'_>, tables: &[Table<'_>], study: &Study) {
    for (table, fabric) in tables.iter().zip(&study.fabrics) {
        if let Err(error) = study.fabric_law(fabric) {
            let fabric = fabric.name.clone();
            let fault = FabricFault::Readings { fabric, error };
            diagnostics.report(&table.span, FaultKind::Fabric(fault));
        }
    }
}

fn check_format(diagnostics: &mut Diagnostics<'_>, top: &Table<'_>) {
    match top.tree.get(FORMAT_KEY.name) {
        None => top.missing(diagnostics, &FORMAT_KEY),
        Some(value) => {
            if let Value::Whole(found) = *value.get_ref()
                && found != i64::from(FORMAT)
            {
                let supported = FORMAT;
                diagnostics.report(&value.span(), FaultKind::UnknownFormat { found, supported });
            }
        }
    }
}

/// All grilles with their drawings, those of the series after the others. `None` only after a fault.
fn resolve_grilles(
    diagnostics: &mut Diagnostics<'_>,
    top: &Table<'_>,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<Vec<DrawnGrille>> {
    let tables = top.tables(&GRILLES);
    if tables.is_empty() && !diagnostics.expects(&top.span, &[GRILLES.name]) {
        diagnostics.report(&top.span, FaultKind::NoGrille);
    }
    let mut first_lines = HashMap::new();
    let mut resolve_one = |diagnostics: &mut Diagnostics<'_>, table: &Table<'_>| {
        let name = unique_name(diagnostics, table, &mut first_lines);
        grille_table::resolve(diagnostics, table, name, size, hub_diameter)
    };
    let mut sound_bases = Vec::new();
    let mut grilles = Vec::new();
    for table in &tables {
        let faults_before = diagnostics.count();
        grilles.push(resolve_one(diagnostics, table));
        if diagnostics.count() == faults_before {
            sound_bases.push(table.tree.text(NAME.name));
        }
    }
    for series in top.tables(&ALL_SERIES) {
        let made = series_table::expand(diagnostics, &series, &tables);
        let count = grilles.len() + made.len();
        if count > MOST_GRILLES {
            let limit = MOST_GRILLES;
            diagnostics.report(&series.span, FaultKind::TooManyGrilles { count, limit });
            return None;
        }
        // A faulty base has been reported; its series would only repeat that.
        if sound_bases.contains(&series.tree.text(BASE.name)) {
            for tree in &made {
                let table = Table::new(GRILLE.called, series.span.clone(), tree);
                grilles.push(resolve_one(diagnostics, &table));
            }
        }
    }
    grilles.into_iter().collect()
}

/// The name of a grille, which no grille before it has.
fn unique_name(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    first_lines: &mut HashMap<String, usize>,
) -> Option<String> {
    let name = table.name(diagnostics)?;
    let (span, name) = (name.span(), name.into_inner());
    if is_bare_fan(&name) {
        diagnostics.report(&span, FaultKind::ReservedName { name });
        return None;
    }
    if let Some(first_line) = first_lines.get(&name).copied() {
        diagnostics.report(&span, FaultKind::DuplicateName { name, first_line });
        return None;
    }
    first_lines.insert(name.clone(), diagnostics.line(&span));
    Some(name)
}
