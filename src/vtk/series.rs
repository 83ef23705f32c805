//! A series of files in time: a collection (`.pvd`) that names each file with its time.

use std::io::{self, Write};

/// Writes a collection of files that lie beside it, each with its time in s.
///
/// Names are taken as they are: plain letters, digits, `-`, `_` and `.`.
///
/// # Errors
/// What `out` gives.
///
/// # References
/// "PVD File Format", wiki of the VTK project (from memory); the files are read back by public readers in the tests.
pub fn write_series(files: &[(f64, String)], out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "<?xml version=\"1.0\"?>")?;
    writeln!(
        out,
        "<VTKFile type=\"Collection\" version=\"0.1\" byte_order=\"LittleEndian\">"
    )?;
    writeln!(out, "  <Collection>")?;
    for (time, name) in files {
        debug_assert!(
            name.bytes()
                .all(|b| b.is_ascii_alphanumeric() || b"-_.".contains(&b)),
            "{name}"
        );
        writeln!(
            out,
            "    <DataSet timestep=\"{time:?}\" group=\"\" part=\"0\" file=\"{name}\"/>"
        )?;
    }
    writeln!(out, "  </Collection>")?;
    writeln!(out, "</VTKFile>")
}
