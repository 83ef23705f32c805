//! `[[fabric]]`: stockings, meshes and perforated sheets, and what a bench said of them.

use std::collections::HashMap;

use toml::Spanned;

use crate::fabric::NYLON_DENSITY;
use crate::fabric::{
    Bench, BenchReading, DEFAULT_ACCURACY, Fabric, FabricKind, Layers, Lie, MeshMaterial,
    PerforatedSheet, Reading, SHEET_DENSITY, STEEL_DENSITY, SheetLayout, Woven, law_of_readings,
};
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::file::{FabricTable, MeshTable, ReadingTable, SheetTable, StudyFile, WovenTable};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::{knit_table, limits};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Words for how layers lie.
pub(super) const LIES: [(&str, Lie); 3] = [
    ("spaced", Lie::Spaced),
    ("aligned", Lie::Aligned),
    ("crossed", Lie::Crossed),
];

/// Words for how the holes of a sheet lie.
pub(super) const SHEET_LAYOUTS: [(&str, SheetLayout); 2] = [
    ("square", SheetLayout::Square),
    ("staggered", SheetLayout::Staggered),
];

/// Checks all fabrics. `None` only after a fault.
pub(super) fn resolve(findings: &mut Findings<'_>, file: &StudyFile) -> Option<Vec<Fabric>> {
    let mut first_lines: HashMap<String, usize> = HashMap::new();
    let mut fabrics = Vec::with_capacity(file.fabric.len());
    for table in &file.fabric {
        let name = resolve_name(findings, table, &mut first_lines);
        fabrics.push(resolve_one(findings, file, table, name));
    }
    fabrics.into_iter().collect()
}

/// The name of a fabric, which no fabric before it has.
fn resolve_name(
    findings: &mut Findings<'_>,
    table: &Spanned<FabricTable>,
    first_lines: &mut HashMap<String, usize>,
) -> Option<String> {
    let written = table.get_ref().name.as_ref();
    let name = findings.name(&Table::new("[[fabric]]", table), &table.get_ref().name)?;
    let span = written?.span();
    if let Some(first_line) = first_lines.get(&name).copied() {
        let fault = FabricFault::NameTwice { name, first_line };
        findings.report(&span, FaultKind::Fabric(fault));
        return None;
    }
    first_lines.insert(name.clone(), findings.line(&span));
    Some(name)
}

fn resolve_one(
    findings: &mut Findings<'_>,
    file: &StudyFile,
    table: &Spanned<FabricTable>,
    name: Option<String>,
) -> Option<Fabric> {
    let fabric = table.get_ref();
    let header = Table::new("[[fabric]]", table);
    let shown_name = name.clone().unwrap_or_default();
    let faults_before = findings.count();
    let kind = resolve_kind(findings, file, table, &shown_name);
    let count = findings.whole_or("layers", &fabric.layers, &limits::LAYERS, 1);
    let lie = findings.word_or("layers_lie", &fabric.layers_lie, &LIES, Lie::Spaced);
    if let (Some(written), Some(1)) = (&fabric.layers_lie, count) {
        let kind = FaultKind::MeansNothing {
            key: "layers_lie",
            needed: "layers of 2 or more",
        };
        findings.report(&written.span(), kind);
    }
    let bench = resolve_bench(findings, &header, fabric, &shown_name);
    let fabric = Fabric {
        name: name?,
        kind,
        layers: Layers {
            count: count?,
            lie: lie?,
        },
        bench,
    };
    (findings.count() == faults_before).then_some(fabric)
}

/// What the fabric is: one of four tables. `None` after a fault, or where only readings are given.
fn resolve_kind(
    findings: &mut Findings<'_>,
    file: &StudyFile,
    table: &Spanned<FabricTable>,
    name: &str,
) -> Option<FabricKind> {
    let fabric = table.get_ref();
    let keys = [
        ("knit", span_of(fabric.knit.as_ref())),
        ("woven", span_of(fabric.woven.as_ref())),
        ("mesh", span_of(fabric.mesh.as_ref())),
        ("sheet", span_of(fabric.sheet.as_ref())),
    ];
    match findings.at_most_one(&keys) {
        None if fabric.readings.is_none() => {
            let kind = FaultKind::NeedsOneOf {
                table: "[[fabric]]",
                keys: vec!["knit", "woven", "mesh", "sheet", "readings"],
            };
            findings.report(&table.span(), kind);
            None
        }
        None => None,
        Some("knit") => {
            knit_table::resolve(findings, file, fabric.knit.as_ref()?, name).map(FabricKind::Knit)
        }
        Some("woven") => resolve_woven(findings, fabric.woven.as_ref()?).map(FabricKind::Woven),
        Some("mesh") => resolve_mesh(findings, fabric.mesh.as_ref()?, name).map(FabricKind::Woven),
        Some(_) => resolve_sheet(findings, fabric.sheet.as_ref()?).map(FabricKind::Sheet),
    }
}

fn resolve_woven(findings: &mut Findings<'_>, table: &Spanned<WovenTable>) -> Option<Woven> {
    let woven = table.get_ref();
    let header = Table::new("the table of the weave", table);
    let thread_um =
        findings.required_number(&header, "thread_um", &woven.thread_um, &limits::THREAD_UM);
    let opening_um = findings.required_number(
        &header,
        "opening_um",
        &woven.opening_um,
        &limits::OPENING_UM,
    );
    let density = findings.number_or(
        "density_kg_per_m3",
        &woven.density_kg_per_m3,
        &limits::DENSITY,
        NYLON_DENSITY,
    );
    Some(Woven {
        material: MeshMaterial::Monofilament,
        thread: thread_um? / 1e6,
        opening: opening_um? / 1e6,
        density: density?,
    })
}

fn resolve_mesh(
    findings: &mut Findings<'_>,
    table: &Spanned<MeshTable>,
    name: &str,
) -> Option<Woven> {
    let mesh = table.get_ref();
    let header = Table::new("the table of the mesh", table);
    let wire_mm = findings.required_number(&header, "wire_mm", &mesh.wire_mm, &limits::WIRE_MM);
    let key = findings.exactly_one(
        &header,
        &[
            ("opening_mm", span_of(mesh.opening_mm.as_ref())),
            ("pitch_mm", span_of(mesh.pitch_mm.as_ref())),
        ],
    );
    let opening_mm = match key {
        Some("opening_mm") => {
            findings.number("opening_mm", mesh.opening_mm.as_ref()?, &limits::OPENING_MM)
        }
        Some(_) => {
            let written = mesh.pitch_mm.as_ref()?;
            let pitch = findings.number("pitch_mm", written, &limits::OPENING_MM);
            match (pitch, wire_mm) {
                (Some(pitch), Some(wire)) if pitch - wire < limits::OPENING_MM.low => {
                    let fault = FabricFault::Shut {
                        fabric: name.to_owned(),
                        what: "wires",
                        direction: "both ways",
                        taken: wire,
                        pitch,
                    };
                    findings.report(&written.span(), FaultKind::Fabric(fault));
                    None
                }
                (Some(pitch), Some(wire)) => Some(pitch - wire),
                _ => None,
            }
        }
        None => None,
    };
    let density = findings.number_or(
        "density_kg_per_m3",
        &mesh.density_kg_per_m3,
        &limits::DENSITY,
        STEEL_DENSITY,
    );
    Some(Woven {
        material: MeshMaterial::Metal,
        thread: wire_mm? / 1000.0,
        opening: opening_mm? / 1000.0,
        density: density?,
    })
}

fn resolve_sheet(
    findings: &mut Findings<'_>,
    table: &Spanned<SheetTable>,
) -> Option<PerforatedSheet> {
    let sheet = table.get_ref();
    let header = Table::new("the table of the sheet", table);
    let hole_mm =
        findings.required_number(&header, "hole_mm", &sheet.hole_mm, &limits::SHEET_HOLE_MM);
    let pitch_mm = findings.required_number(
        &header,
        "pitch_mm",
        &sheet.pitch_mm,
        &limits::SHEET_PITCH_MM,
    );
    let thickness_mm = findings.required_number(
        &header,
        "thickness_mm",
        &sheet.thickness_mm,
        &limits::SHEET_THICKNESS_MM,
    );
    let layout = findings.word_or(
        "layout",
        &sheet.layout,
        &SHEET_LAYOUTS,
        SheetLayout::Staggered,
    );
    let density = findings.number_or(
        "density_kg_per_m3",
        &sheet.density_kg_per_m3,
        &limits::DENSITY,
        SHEET_DENSITY,
    );
    if let (Some(hole), Some(pitch), Some(written)) = (hole_mm, pitch_mm, &sheet.pitch_mm)
        && pitch <= 1.02 * hole
    {
        let fault = FabricFault::HolesMeet { pitch, hole };
        findings.report(&written.span(), FaultKind::Fabric(fault));
        return None;
    }
    Some(PerforatedSheet {
        hole: hole_mm? / 1000.0,
        pitch: pitch_mm? / 1000.0,
        thickness: thickness_mm? / 1000.0,
        layout: layout?,
        density: density?,
    })
}

/// The readings of a bench. `None` after a fault, or where there are none.
fn resolve_bench(
    findings: &mut Findings<'_>,
    header: &Table,
    fabric: &FabricTable,
    name: &str,
) -> Option<Bench> {
    let accuracy_percent = findings.number_or(
        "accuracy_percent",
        &fabric.accuracy_percent,
        &limits::ACCURACY_PERCENT,
        100.0 * DEFAULT_ACCURACY,
    );
    let written_area = fabric.bench_area_cm2.as_ref();
    let area = BenchArea {
        is_written: written_area.is_some(),
        cm2: written_area
            .and_then(|area| findings.number("bench_area_cm2", area, &limits::BENCH_AREA_CM2)),
    };
    let Some(written) = &fabric.readings else {
        for (key, span) in [
            (
                "accuracy_percent",
                span_of(fabric.accuracy_percent.as_ref()),
            ),
            ("bench_area_cm2", span_of(fabric.bench_area_cm2.as_ref())),
        ] {
            if let Some(span) = span {
                let needed = "readings";
                findings.report(&span, FaultKind::MeansNothing { key, needed });
            }
        }
        return None;
    };
    if written.get_ref().is_empty() {
        let hint = "give readings such as { velocity_m_per_s = 1.2, pressure_pa = 3.4 }, or leave the key out";
        findings.missing(header, "readings", hint);
        return None;
    }
    let readings: Vec<Option<BenchReading>> = written
        .get_ref()
        .iter()
        .map(|reading| resolve_reading(findings, reading, area))
        .collect();
    let readings: Vec<BenchReading> = readings.into_iter().collect::<Option<_>>()?;
    let plain: Vec<Reading> = readings
        .iter()
        .filter_map(|reading| match reading {
            BenchReading::Pressure(reading) => Some(*reading),
            BenchReading::ShareOfBareFan(_) => None,
        })
        .collect();
    let accuracy = accuracy_percent? / 100.0;
    if plain.len() == readings.len()
        && let Err(error) = law_of_readings(&plain, accuracy, None)
    {
        let fabric = name.to_owned();
        let fault = FabricFault::Readings { fabric, error };
        findings.report(&written.span(), FaultKind::Fabric(fault));
        return None;
    }
    Some(Bench { readings, accuracy })
}

/// The area of a bench, which may be absent, faulty or there.
#[derive(Clone, Copy)]
struct BenchArea {
    is_written: bool,
    cm2: Option<f64>,
}

/// One reading. `None` only after a fault.
fn resolve_reading(
    findings: &mut Findings<'_>,
    reading: &Spanned<ReadingTable>,
    area: BenchArea,
) -> Option<BenchReading> {
    let header = Table::new("this reading", reading);
    let table = reading.get_ref();
    let key = findings.exactly_one(
        &header,
        &[
            ("velocity_m_per_s", span_of(table.velocity_m_per_s.as_ref())),
            ("flow_m3_per_h", span_of(table.flow_m3_per_h.as_ref())),
            (
                "percent_of_bare_fan",
                span_of(table.percent_of_bare_fan.as_ref()),
            ),
        ],
    )?;
    if key == "percent_of_bare_fan" {
        if let Some(pressure) = &table.pressure_pa {
            let kind = FaultKind::Excludes {
                key: "pressure_pa",
                other: "percent_of_bare_fan",
            };
            findings.report(&pressure.span(), kind);
        }
        let percent = findings.number(
            key,
            table.percent_of_bare_fan.as_ref()?,
            &limits::PERCENT_OF_BARE_FAN,
        )?;
        return Some(BenchReading::ShareOfBareFan(percent / 100.0));
    }
    let velocity = if key == "velocity_m_per_s" {
        findings.number(
            key,
            table.velocity_m_per_s.as_ref()?,
            &limits::READING_VELOCITY,
        )
    } else {
        let written = table.flow_m3_per_h.as_ref()?;
        let flow = findings.number(key, written, &limits::POSITIVE_FLOW_M3_PER_H);
        if !area.is_written {
            let needed = "bench_area_cm2";
            findings.report(&written.span(), FaultKind::MeansNothing { key, needed });
        }
        match (flow, area.cm2) {
            (Some(flow), Some(area)) => {
                let velocity = flow / CUBIC_METRES_PER_HOUR / (area * 1e-4);
                let velocity = Spanned::new(written.span(), velocity);
                let key = "the air speed, flow_m3_per_h over bench_area_cm2,";
                findings.number(key, &velocity, &limits::READING_VELOCITY)
            }
            _ => None,
        }
    };
    let pressure = findings.required_number(
        &header,
        "pressure_pa",
        &table.pressure_pa,
        &limits::READING_PRESSURE,
    );
    Some(BenchReading::Pressure(Reading {
        velocity: velocity?,
        pressure: pressure?,
    }))
}
