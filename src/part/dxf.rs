//! The face of a part as a DXF drawing in mm: closed polylines at the front, in the middle and at the back, a layer each.
//!
//! Written here, as the oldest form that every drawing program reads (release 12, plain text): the crate `dxf` brings image decoders and a calendar for what
//! are three lines a point.

use std::io;

use crate::part::svg::{LAYERS, rounded};
use crate::part::{Part, PartNotes};

/// Writes the outlines, as [`crate::part::write_svg`] does.
///
/// # Errors
/// Those of `out`.
pub fn write_dxf(part: &Part, notes: &PartNotes, out: &mut dyn io::Write) -> io::Result<()> {
    let mut pair = |code: u32, value: &str| write!(out, "{code:>3}\r\n{value}\r\n");
    for note in std::iter::once(&notes.drawing).chain(&notes.cautions) {
        // Comments are plain text in this form.
        let plain: String = note
            .chars()
            .filter(|c| c.is_ascii() && !c.is_control())
            .collect();
        pair(999, &plain)?;
    }
    for (code, value) in [
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        (9, "$INSUNITS"),
        (70, "4"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "TABLES"),
        (0, "TABLE"),
        (2, "LAYER"),
        (70, "3"),
    ] {
        pair(code, value)?;
    }
    for (number, (layer, _)) in LAYERS.iter().enumerate() {
        let colour = (number + 1).to_string();
        for (code, value) in [
            (0, "LAYER"),
            (2, layer),
            (70, "0"),
            (62, &colour),
            (6, "CONTINUOUS"),
        ] {
            pair(code, value)?;
        }
    }
    for (code, value) in [
        (0, "ENDTAB"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "ENTITIES"),
    ] {
        pair(code, value)?;
    }
    for (layer, share) in LAYERS {
        let section = part.mesh.section(share * part.thickness_mm);
        for line in &section.lines {
            for (code, value) in [(0, "POLYLINE"), (8, layer), (66, "1"), (70, "1")] {
                pair(code, value)?;
            }
            for [y, z] in line {
                let [y, z] = [y, z].map(|along| rounded(*along).to_string());
                for (code, value) in [(0, "VERTEX"), (8, layer), (10, &y), (20, &z), (30, "0")] {
                    pair(code, value)?;
                }
            }
            for (code, value) in [(0, "SEQEND"), (8, layer)] {
                pair(code, value)?;
            }
        }
    }
    pair(0, "ENDSEC")?;
    pair(0, "EOF")
}
