//! A part as a 3MF package: triangles in mm, with what it is, of which study, and the cautions.

use std::io;

use threemf2::model::builder::{ModelBuilder, ObjectType, Unit};
use threemf2::package::ThreemfPackageBuilder;

use crate::part::Part;

/// What a file says of its part, beside the shape.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartNotes {
    /// Name of the study.
    pub study: String,
    /// Name of the grille.
    pub grille: String,
    /// Checksum of what the shape was made from.
    pub inputs: String,
    /// Program and version.
    pub program: String,
    /// How the part was drawn: tolerance, lie, what was compensated.
    pub drawing: String,
    /// Cautions, a sentence each.
    pub cautions: Vec<String>,
}

/// Writes a part after the core specification of 3MF, with metadata under its well-known names.
///
/// # Errors
/// Those of `out` and of the package.
pub fn write_three_mf<W: io::Write + io::Seek>(
    part: &Part,
    notes: &PartNotes,
    out: W,
) -> io::Result<()> {
    let mut model = ModelBuilder::new(Unit::Millimeter, true);
    let description = format!(
        "Study: {}. {} Inputs: {}. {}",
        notes.study,
        notes.drawing,
        notes.inputs,
        notes.cautions.join(" ")
    );
    for (name, value) in [
        ("Title", notes.grille.as_str()),
        ("Application", notes.program.as_str()),
        ("Description", description.as_str()),
    ] {
        model.add_metadata(name, Some(value));
    }
    let corners = &part.mesh.corners;
    let triangles: Vec<[usize; 3]> = part
        .mesh
        .triangles
        .iter()
        .map(|triangle| triangle.map(|corner| corner as usize))
        .collect();
    let other = |error: String| io::Error::other(error);
    let object = model
        .add_mesh_object(|object| {
            object.object_type(ObjectType::Model).name(&notes.grille);
            object.add_vertices(corners).add_triangles(&triangles);
            Ok(())
        })
        .map_err(|error| other(error.to_string()))?;
    model
        .add_build(None)
        .map_err(|error| other(error.to_string()))?;
    model
        .add_build_item(object)
        .map_err(|error| other(error.to_string()))?;
    let model = model.build().map_err(|error| other(error.to_string()))?;
    let mut package = ThreemfPackageBuilder::new();
    package.set_root_model(model);
    let package = package.build().map_err(|error| other(error.to_string()))?;
    package.write(out).map_err(|error| other(error.to_string()))
}
