//! Fabrics in the resolved copy of a study.

use std::fmt::Write as _;

use crate::fabric::{BenchReading, Fabric, FabricKind, Knit, Lie, MeshMaterial};
use crate::study::fabric_table::LIES;
use crate::study::holes_table::word_for;
use crate::study::mesh_table::SHEET_LAYOUTS;
use crate::study::write::{decimal, millimetres, quoted};

/// One table `[[fabric]]`, every key written out.
pub(super) fn write_fabric(out: &mut String, fabric: &Fabric) -> std::fmt::Result {
    writeln!(out, "[[fabric]]")?;
    writeln!(out, "name = {}", quoted(&fabric.name))?;
    writeln!(out, "layers = {}", fabric.layers.count)?;
    // One layer lies in no way.
    if fabric.layers.count > 1 || fabric.layers.lie != Lie::Spaced {
        writeln!(
            out,
            "layers_lie = \"{}\"",
            word_for(&LIES, &fabric.layers.lie)
        )?;
    }
    if let Some(bench) = &fabric.bench {
        writeln!(out, "accuracy_percent = {}", percent(bench.accuracy))?;
        writeln!(out, "readings = [")?;
        for reading in &bench.readings {
            match reading {
                BenchReading::Pressure(reading) => writeln!(
                    out,
                    "  {{ velocity_m_per_s = {}, pressure_pa = {} }},",
                    reading.velocity, reading.pressure
                )?,
                BenchReading::ShareOfBareFan(share) => {
                    writeln!(out, "  {{ percent_of_bare_fan = {} }},", percent(*share))?;
                }
            }
        }
        writeln!(out, "]")?;
    }
    writeln!(out)?;
    match &fabric.kind {
        None => Ok(()),
        Some(FabricKind::Knit(knit)) => write_knit(out, knit),
        Some(FabricKind::Woven(woven)) => {
            match woven.material {
                MeshMaterial::Monofilament => {
                    let micrometres = |length: f64| decimal(length, |um| um / 1e6, 1e6);
                    writeln!(out, "[fabric.woven]")?;
                    writeln!(out, "thread_um = {}", micrometres(woven.thread))?;
                    writeln!(out, "opening_um = {}", micrometres(woven.opening))?;
                }
                MeshMaterial::Metal => {
                    writeln!(out, "[fabric.mesh]")?;
                    writeln!(out, "wire_mm = {}", millimetres(woven.thread))?;
                    writeln!(out, "opening_mm = {}", millimetres(woven.opening))?;
                }
            }
            writeln!(out, "density_kg_per_m3 = {}\n", woven.density)
        }
        Some(FabricKind::Sheet(sheet)) => {
            writeln!(out, "[fabric.sheet]")?;
            writeln!(out, "hole_mm = {}", millimetres(sheet.hole))?;
            writeln!(out, "pitch_mm = {}", millimetres(sheet.pitch))?;
            writeln!(out, "thickness_mm = {}", millimetres(sheet.thickness))?;
            let layout = word_for(&SHEET_LAYOUTS, &sheet.layout);
            writeln!(out, "layout = \"{layout}\"")?;
            writeln!(out, "density_kg_per_m3 = {}\n", sheet.density)
        }
    }
}

fn write_knit(out: &mut String, knit: &Knit) -> std::fmt::Result {
    writeln!(out, "[fabric.knit]")?;
    writeln!(out, "denier = {}", knit.denier)?;
    writeln!(out, "filaments = {}", knit.filament_count)?;
    for (key, pitch) in [
        ("pitch_across_mm", knit.pitch_across),
        ("pitch_along_mm", knit.pitch_along),
    ] {
        writeln!(out, "{key} = {}", millimetres(pitch))?;
    }
    for (key, stretch) in [
        ("stretch_across_percent", knit.stretch_across),
        ("stretch_along_percent", knit.stretch_along),
    ] {
        writeln!(out, "{key} = {}", percent(stretch))?;
    }
    writeln!(out, "density_kg_per_m3 = {}\n", knit.density)
}

fn percent(share: f64) -> String {
    decimal(share, |percent| percent / 100.0, 100.0)
}
