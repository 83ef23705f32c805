//! `[[fabric]]`: stockings, meshes and perforated sheets, and what a bench said of them.

use std::collections::HashMap;

use crate::fabric::{Fabric, FabricKind, Layers, Lie};
use crate::study::diagnostics::Diagnostics;
use crate::study::fabric_bench_table::{self, ACCURACY, BENCH_AREA, READINGS, resolve_bench};
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys};
use crate::study::knit_table::{self, KNIT};
use crate::study::mesh_table::{self, MESH, SHEET, WOVEN};
use crate::study::table::{NAME, Table};
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;

const LAYERS: Key = Key::whole("layers", 1.0, 10.0)
    .or(1.0)
    .hint("count the layers of the fabric");
const LAYERS_LIE: WordKey<Lie> = Key::text("layers_lie")
    .means(&[
        ("spaced", Lie::Spaced),
        ("aligned", Lie::Aligned),
        ("crossed", Lie::Crossed),
    ])
    .or(Lie::Spaced);
pub(super) const KNIT_OF_IT: Key = Key::table("knit", &KNIT);
const WOVEN_OF_IT: Key = Key::table("woven", &WOVEN);
const MESH_OF_IT: Key = Key::table("mesh", &MESH);
const SHEET_OF_IT: Key = Key::table("sheet", &SHEET);

/// `[[fabric]]`
pub(super) const FABRIC: Keys = Keys::new(
    "[[fabric]]",
    &[
        &NAME,
        &LAYERS,
        &LAYERS_LIE.key,
        &READINGS,
        &BENCH_AREA,
        &ACCURACY,
        &KNIT_OF_IT,
        &WOVEN_OF_IT,
        &MESH_OF_IT,
        &SHEET_OF_IT,
    ],
);

/// Checks all fabrics. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    tables: &[Table<'_>],
) -> Option<Vec<Fabric>> {
    let mut first_lines: HashMap<String, usize> = HashMap::new();
    let mut fabrics = Vec::with_capacity(tables.len());
    for table in tables {
        let name = resolve_name(diagnostics, table, &mut first_lines);
        fabrics.push(resolve_one(diagnostics, tables, table, name));
    }
    fabrics.into_iter().collect()
}

/// The name of a fabric, which no fabric before it has.
fn resolve_name(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    first_lines: &mut HashMap<String, usize>,
) -> Option<String> {
    let name = table.name(diagnostics)?;
    let (span, name) = (name.span(), name.into_inner());
    if let Some(first_line) = first_lines.get(&name).copied() {
        let fault = FabricFault::NameTwice { name, first_line };
        diagnostics.report(&span, FaultKind::Fabric(fault));
        return None;
    }
    first_lines.insert(name.clone(), diagnostics.line(&span));
    Some(name)
}

fn resolve_one(
    diagnostics: &mut Diagnostics<'_>,
    all: &[Table<'_>],
    fabric: &Table<'_>,
    name: Option<String>,
) -> Option<Fabric> {
    let shown_name = name.clone().unwrap_or_default();
    let faults_before = diagnostics.count();
    let kind = resolve_kind(diagnostics, all, fabric, &shown_name);
    let count = fabric.whole(diagnostics, &LAYERS);
    let lie = fabric.word(diagnostics, &LAYERS_LIE);
    if let (Some(span), Some(1)) = (fabric.span_of(&LAYERS_LIE), count) {
        let kind = FaultKind::MeansNothing {
            key: LAYERS_LIE.name,
            needed: "layers of 2 or more",
        };
        diagnostics.report(&span, kind);
    }
    let bench = resolve_bench(diagnostics, fabric, &shown_name);
    let fabric = Fabric {
        name: name?,
        kind,
        layers: Layers {
            count: count?,
            lie: lie?,
        },
        bench,
    };
    (diagnostics.count() == faults_before).then_some(fabric)
}

/// What the fabric is: one of four tables. `None` after a fault, or where only readings are given.
fn resolve_kind(
    diagnostics: &mut Diagnostics<'_>,
    all: &[Table<'_>],
    fabric: &Table<'_>,
    name: &str,
) -> Option<FabricKind> {
    let kinds: [&Key; 4] = [&KNIT_OF_IT, &WOVEN_OF_IT, &MESH_OF_IT, &SHEET_OF_IT];
    if !fabric.has(&READINGS) && !kinds.iter().any(|key| fabric.has(key)) {
        let [knit, woven, mesh, sheet] = kinds;
        fabric.exactly_one(diagnostics, &[knit, woven, mesh, sheet, &READINGS]);
    }
    let kind = fabric.at_most_one(diagnostics, &kinds)?;
    let table = fabric.table(kind)?;
    if kind.is(&KNIT_OF_IT) {
        knit_table::resolve(diagnostics, all, &table, name).map(FabricKind::Knit)
    } else if kind.is(&WOVEN_OF_IT) {
        mesh_table::resolve_woven(diagnostics, &table).map(FabricKind::Woven)
    } else if kind.is(&MESH_OF_IT) {
        mesh_table::resolve_mesh(diagnostics, &table, name).map(FabricKind::Woven)
    } else {
        mesh_table::resolve_sheet(diagnostics, &table).map(FabricKind::Sheet)
    }
}

/// Writes `[[fabric]]`.
pub(super) fn write(copy: &mut ResolvedCopy, fabric: &Fabric) {
    copy.table(FABRIC.header);
    copy.text(&NAME, &fabric.name);
    copy.value(&LAYERS, fabric.layers.count);
    // One layer lies in no way.
    if fabric.layers.count > 1 || fabric.layers.lie != Lie::Spaced {
        copy.word(&LAYERS_LIE, &fabric.layers.lie);
    }
    if let Some(bench) = &fabric.bench {
        fabric_bench_table::write(copy, bench);
    }
    match &fabric.kind {
        None => {}
        Some(FabricKind::Knit(knit)) => knit_table::write(copy, knit),
        Some(FabricKind::Woven(woven)) => mesh_table::write_woven(copy, woven),
        Some(FabricKind::Sheet(sheet)) => mesh_table::write_sheet(copy, sheet),
    }
}
