//! The face of a part as an SVG drawing in real size: outlines at the front, in the middle and at the back, a group each.

use std::io;

use svg::Document;
use svg::node::element::path::Data;
use svg::node::element::{Description, Group, Path, Title};

use crate::part::{Part, PartNotes};

/// The groups: name, and share of the thickness from the front face.
pub(super) const LAYERS: [(&str, f64); 3] = [("front", 0.0), ("middle", 0.5), ("back", 1.0)];

/// Width of a line, mm.
const LINE: f64 = 0.1;

/// Writes the outlines; y points to the right and z up, seen from the back, the fan's side.
///
/// # Errors
/// Those of `out`.
pub fn write_svg(part: &Part, notes: &PartNotes, out: &mut dyn io::Write) -> io::Result<()> {
    let reach = |axis: usize| {
        let along = part
            .mesh
            .corners
            .iter()
            .map(move |corner| corner[axis].abs());
        along.fold(0.0, f64::max) + LINE
    };
    let (width, height) = (2.0 * reach(0), 2.0 * reach(1));
    let mut drawing = Document::new()
        .set("width", format!("{width:.4}mm"))
        .set("height", format!("{height:.4}mm"))
        .set(
            "viewBox",
            format!(
                "{:.4} {:.4} {width:.4} {height:.4}",
                -0.5 * width,
                -0.5 * height
            ),
        )
        .add(Title::new(notes.grille.as_str()))
        .add(Description::new().add(svg::node::Text::new(format!(
            "Study: {}. {} {}",
            notes.study,
            notes.drawing,
            notes.cautions.join(" ")
        ))));
    // All three are there; the front is the one to see first.
    for (name, share) in LAYERS {
        let section = part.mesh.section(share * part.thickness_mm);
        let mut data = Data::new();
        for line in &section.lines {
            let mut points = line.iter().map(|[y, z]| (rounded(*y), rounded(-z)));
            if let Some(first) = points.next() {
                data = data.move_to(first);
                data = points.fold(data, Data::line_to);
                data = data.close();
            }
        }
        let path = Path::new().set("d", data).set("fill-rule", "evenodd");
        let group = Group::new()
            .set("id", name)
            .set("fill", "none")
            .set("stroke", if name == "front" { "black" } else { "gray" })
            .set("stroke-width", LINE)
            .add(path);
        drawing = drawing.add(group);
    }
    svg::write(out, &drawing)
}

/// To a tenth of a micrometre.
pub(super) fn rounded(along: f64) -> f64 {
    (along * 1e4).round() / 1e4 + 0.0
}
