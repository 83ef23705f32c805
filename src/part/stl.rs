//! A part as binary STL: a list of triangles without units, which slicers read as mm.

use std::io;

use crate::part::Part;
use crate::part::mesh::length;

/// Bytes of the head, which says what it is; readers skip it.
const HEAD: usize = 80;

/// Writes a part.
///
/// The file is written here: a head with a caution and fifty bytes a triangle, where `stl_io` leaves no room for the caution.
///
/// # Errors
/// Those of `out`.
pub fn write_stl(part: &Part, out: &mut dyn io::Write) -> io::Result<()> {
    let mut head = [b' '; HEAD];
    // Not "solid": that marks the other form.
    let words = b"grille in mm; planning aid, no safety assessment: keep fingers off moving blades";
    for (byte, word) in head.iter_mut().zip(words) {
        *byte = *word;
    }
    out.write_all(&head)?;
    let mesh = &part.mesh;
    let count = u32::try_from(mesh.triangles.len())
        .map_err(|_| io::Error::other("too many triangles for a binary STL"))?;
    out.write_all(&count.to_le_bytes())?;
    for triangle in &mesh.triangles {
        let normal = mesh.normal(triangle);
        let unit = normal.map(|along| along / length(normal));
        let [a, b, c] = mesh.places(triangle);
        for vector in [unit, a, b, c] {
            for along in vector {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "the format is single precision"
                )]
                out.write_all(&(along as f32).to_le_bytes())?;
            }
        }
        out.write_all(&[0, 0])?;
    }
    Ok(())
}
