//! Notes about a whole field (field data): what an external viewer shows beside it and a script can ask for.

use std::fmt::Write;

use crate::vtk::VtkError;

/// Name of the note with the time of a field, s, in a series of numbered files: readers of the format take it for their time step.
///
/// # References
/// "VTK XML formats", documentation of VTK, field data `TimeValue` (from memory; another reader finds the times in the tests).
pub const TIME: &str = "TimeValue";

/// Something that holds for the whole field, under a name of plain letters, digits and `_`.
#[derive(Debug, Clone, PartialEq)]
pub enum Note {
    /// Words.
    Text(&'static str, String),
    /// A number, in the unit that its name ends with.
    Number(&'static str, f64),
}

impl Note {
    /// Name of the note.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Text(name, _) | Self::Number(name, _) => name,
        }
    }
}

/// The notes as an element of XML; nothing without notes. Words are numbers of bytes there (UTF-8, closed by a zero), so nothing in them has to be escaped.
pub(super) fn element(notes: &[Note]) -> Result<String, VtkError> {
    if notes.is_empty() {
        return Ok(String::new());
    }
    let mut element = String::from("<FieldData>");
    for (place, note) in notes.iter().enumerate() {
        let name = note.name();
        let is_plain = name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_');
        let is_known = notes[..place].iter().any(|other| other.name() == name);
        if name.is_empty() || !is_plain || is_known {
            return Err(VtkError::Name { name });
        }
        match note {
            Note::Text(_, words) => {
                let bytes = words.bytes().filter(|byte| *byte != 0).chain([0]);
                let numbers: Vec<String> = bytes.map(|byte| byte.to_string()).collect();
                let _ = write!(
                    element,
                    r#"<Array type="String" Name="{name}" NumberOfTuples="1" format="ascii">{}</Array>"#,
                    numbers.join(" ")
                );
            }
            Note::Number(_, number) => {
                let _ = write!(
                    element,
                    r#"<DataArray type="Float64" Name="{name}" NumberOfTuples="1" format="ascii">{number}</DataArray>"#
                );
            }
        }
    }
    element.push_str("</FieldData>");
    Ok(element)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_bytes_and_names_are_plain() {
        let notes = [
            Note::Text("grille", "a<ß".to_owned()),
            Note::Number("speed_m_per_s", 1.5),
        ];
        let element = element(&notes).unwrap();
        assert!(element.contains(">97 60 195 159 0<"), "{element}");
        assert!(element.contains(">1.5<"), "{element}");
        for name in ["", "a b", "a\"b"] {
            let notes = [Note::Number(name, 0.0)];
            assert!(matches!(super::element(&notes), Err(VtkError::Name { .. })));
        }
        let twice = [Note::Number("a", 0.0), Note::Text("a", String::new())];
        assert!(matches!(super::element(&twice), Err(VtkError::Name { .. })));
        assert!(super::element(&[]).unwrap().is_empty());
    }
}
