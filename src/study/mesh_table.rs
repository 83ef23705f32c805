//! `[fabric.woven]`, `[fabric.mesh]` and `[fabric.sheet]`: woven filaments, metal meshes and perforated sheets.

use crate::fabric::{
    MeshMaterial, NYLON_DENSITY, PerforatedSheet, SHEET_DENSITY, STEEL_DENSITY, SheetLayout, Woven,
};
use crate::study::diagnostics::Diagnostics;
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;

/// Density of a material; without the key it depends on the fabric.
pub(super) const DENSITY: Key =
    Key::number("density_kg_per_m3", Unit::kept(" kg/m3"), 300.0, 25_000.0).hint(
        "give the density of the material in kg/m3: 1140 for nylon, 7900 for steel; or leave the key out",
    );

const THREAD: Key = Key::number("thread_um", Unit::UM, 5.0, 3000.0)
    .hint("give the diameter of the thread in thousandths of a millimetre, such as thread_um = 60");
const WOVEN_OPENING: Key = Key::number("opening_um", Unit::UM, 5.0, 10_000.0).hint(
    "give the clear opening between threads in thousandths of a millimetre, such as opening_um = 120",
);

/// `[fabric.woven]`
pub(super) const WOVEN: Keys = Keys::new("[fabric.woven]", &[&THREAD, &WOVEN_OPENING, &DENSITY])
    .called("the table of the weave");

const WIRE: Key = Key::mm("wire_mm", 0.01, 5.0)
    .hint("give the diameter of the wire in mm, such as wire_mm = 0.22");
const MESH_OPENING: Key = opening("opening_mm");
const MESH_PITCH: Key = opening("pitch_mm");

/// `[fabric.mesh]`
pub(super) const MESH: Keys = Keys::new(
    "[fabric.mesh]",
    &[&WIRE, &MESH_OPENING, &MESH_PITCH, &DENSITY],
)
.called("the table of the mesh");

const fn opening(name: &'static str) -> Key {
    Key::mm(name, 0.01, 50.0)
        .hint("give the clear opening in mm, or the distance from wire to wire with pitch_mm")
}

const HOLE: Key = Key::mm("hole_mm", 0.05, 50.0)
    .hint("give the diameter of the holes in mm, such as hole_mm = 0.8");
const PITCH: Key = Key::mm("pitch_mm", 0.06, 100.0).hint(
    "give the distance between the centres of neighbouring holes in mm, such as pitch_mm = 1.3",
);
pub(super) const THICKNESS: Key = Key::mm("thickness_mm", 0.02, 10.0)
    .hint("give the thickness of the sheet in mm, such as thickness_mm = 0.4");
pub(super) const LAYOUT: WordKey<SheetLayout> = Key::text("layout")
    .means(&[
        ("square", SheetLayout::Square),
        ("staggered", SheetLayout::Staggered),
    ])
    .or(SheetLayout::Staggered);

/// `[fabric.sheet]`
pub(super) const SHEET: Keys = Keys::new(
    "[fabric.sheet]",
    &[&HOLE, &PITCH, &THICKNESS, &LAYOUT.key, &DENSITY],
)
.called("the table of the sheet");

/// Checks `[fabric.woven]`. `None` only after a fault.
pub(super) fn resolve_woven(diagnostics: &mut Diagnostics<'_>, woven: &Table<'_>) -> Option<Woven> {
    let thread = woven.number(diagnostics, &THREAD);
    let opening = woven.number(diagnostics, &WOVEN_OPENING);
    let density = woven.number_or(diagnostics, &DENSITY, NYLON_DENSITY);
    Some(Woven {
        material: MeshMaterial::Monofilament,
        thread: thread?.si,
        opening: opening?.si,
        density: density?.si,
    })
}

/// Checks `[fabric.mesh]`. `None` only after a fault.
pub(super) fn resolve_mesh(
    diagnostics: &mut Diagnostics<'_>,
    mesh: &Table<'_>,
    name: &str,
) -> Option<Woven> {
    let wire = mesh.number(diagnostics, &WIRE);
    let opening = mesh.either(diagnostics, &[&MESH_OPENING, &MESH_PITCH]);
    let density = mesh.number_or(diagnostics, &DENSITY, STEEL_DENSITY);
    let (wire, opening) = (wire?, opening?);
    let opening = match mesh.span_of(&MESH_PITCH) {
        Some(span) if !mesh.has(&MESH_OPENING) => {
            let pitch = opening.written;
            let opening_mm = pitch - wire.written;
            if opening_mm < MESH_OPENING.limits().low {
                let fault = FabricFault::Shut {
                    fabric: name.to_owned(),
                    what: "wires",
                    direction: "both ways",
                    taken: wire.written,
                    pitch,
                };
                diagnostics.report(&span, FaultKind::Fabric(fault));
                return None;
            }
            MESH_OPENING.si(opening_mm)
        }
        _ => opening.si,
    };
    Some(Woven {
        material: MeshMaterial::Metal,
        thread: wire.si,
        opening,
        density: density?.si,
    })
}

/// Checks `[fabric.sheet]`. `None` only after a fault.
pub(super) fn resolve_sheet(
    diagnostics: &mut Diagnostics<'_>,
    sheet: &Table<'_>,
) -> Option<PerforatedSheet> {
    let hole = sheet.number(diagnostics, &HOLE);
    let pitch = sheet.number(diagnostics, &PITCH);
    let thickness = sheet.number(diagnostics, &THICKNESS);
    let layout = sheet.word(diagnostics, &LAYOUT);
    let density = sheet.number_or(diagnostics, &DENSITY, SHEET_DENSITY);
    let (hole, pitch) = (hole?, pitch?);
    if pitch.written <= 1.02 * hole.written {
        let (pitch, hole) = (pitch.written, hole.written);
        let fault = FabricFault::HolesMeet { pitch, hole };
        diagnostics.report(&sheet.span_of(&PITCH)?, FaultKind::Fabric(fault));
        return None;
    }
    Some(PerforatedSheet {
        hole: hole.si,
        pitch: pitch.si,
        thickness: thickness?.si,
        layout: layout?,
        density: density?.si,
    })
}

/// Writes `[fabric.woven]` or `[fabric.mesh]`.
pub(super) fn write_woven(copy: &mut ResolvedCopy, woven: &Woven) {
    let (table, thread, opening) = match woven.material {
        MeshMaterial::Monofilament => (&WOVEN, &THREAD, &WOVEN_OPENING),
        MeshMaterial::Metal => (&MESH, &WIRE, &MESH_OPENING),
    };
    copy.table(table.header);
    copy.number(thread, woven.thread);
    copy.number(opening, woven.opening);
    copy.number(&DENSITY, woven.density);
}

/// Writes `[fabric.sheet]`.
pub(super) fn write_sheet(copy: &mut ResolvedCopy, sheet: &PerforatedSheet) {
    copy.table(SHEET.header);
    copy.number(&HOLE, sheet.hole);
    copy.number(&PITCH, sheet.pitch);
    copy.number(&THICKNESS, sheet.thickness);
    copy.word(&LAYOUT, &sheet.layout);
    copy.number(&DENSITY, sheet.density);
}
