//! Reads image data back that this program wrote: single-precision and mask arrays on cells, compressed, inline. No general reader of the format.
//!
//! Nothing is believed before it is checked: a file that was cut short or damaged is an error, never a panic and never half a field.

use std::io::Read;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::read::ZlibDecoder;

use crate::vtk::ImageGrid;

/// Most cells that a file may claim to have.
const MOST_CELLS: usize = 1 << 30;

/// An array as it was kept.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptArray {
    /// Its name.
    pub name: String,
    /// Numbers per cell: 1, or 3 of a vector.
    pub components: usize,
    /// The numbers, cell after cell, x fastest; marks of a mask are whole numbers.
    pub values: Vec<f32>,
}

/// A grid with some of its arrays.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptImage {
    /// Where the cells lie.
    pub grid: ImageGrid,
    /// Numbers that hold for the whole field, by name.
    pub numbers: Vec<(String, f64)>,
    /// The arrays that were asked for, as far as the file has them.
    pub arrays: Vec<KeptArray>,
}

impl KeptImage {
    /// The array of this name.
    pub fn array(&self, name: &str) -> Option<&KeptArray> {
        self.arrays.iter().find(|array| array.name == name)
    }

    /// The number of this name.
    pub fn number(&self, name: &str) -> Option<f64> {
        let mut numbers = self.numbers.iter();
        numbers
            .find(|(own, _)| own == name)
            .map(|(_, value)| *value)
    }
}

/// Why a file cannot be read back.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// It is no image data, or an attribute is missing or is no number.
    #[error("this is not a field file of ventwright: {what} is missing or wrong")]
    Foreign {
        /// What was looked for.
        what: &'static str,
    },
    /// An array is cut short or damaged.
    #[error("the array {name} is cut short or damaged")]
    Damaged {
        /// Name of the array.
        name: String,
    },
}

/// Reads a `.vti` file of this program: its grid, and of its arrays those whose names are `wanted`.
///
/// # Errors
/// [`ReadError::Foreign`] for what this program did not write, [`ReadError::Damaged`] for an array that is not whole.
pub fn read_image(bytes: &[u8], wanted: &[&str]) -> Result<KeptImage, ReadError> {
    let (tag, mut rest) =
        next_tag(bytes, b"<ImageData ").ok_or(ReadError::Foreign { what: "ImageData" })?;
    let grid = grid(tag)?;
    let mut arrays = Vec::new();
    let cell_data = find(rest, b"<CellData").ok_or(ReadError::Foreign { what: "CellData" })?;
    let numbers = numbers_of(&rest[..cell_data]);
    rest = &rest[cell_data..];
    while let Some((tag, after)) = next_tag(rest, b"<DataArray ") {
        let end = find(after, b"</DataArray>").ok_or(ReadError::Foreign {
            what: "the end of an array",
        })?;
        let name = attribute(tag, "Name").ok_or(ReadError::Foreign { what: "Name" })?;
        if wanted.contains(&name) {
            arrays.push(array(tag, name, &after[..end], grid.cell_count())?);
        }
        rest = &after[end..];
    }
    Ok(KeptImage {
        grid,
        numbers,
        arrays,
    })
}

/// Notes that are finite numbers.
fn numbers_of(mut head: &[u8]) -> Vec<(String, f64)> {
    let mut numbers = Vec::new();
    while let Some((tag, after)) = next_tag(head, b"<DataArray ") {
        let text = after.split(|byte| *byte == b'<').next().unwrap_or_default();
        let text = std::str::from_utf8(text).unwrap_or_default();
        if let (Some(name), Ok(number)) = (attribute(tag, "Name"), text.trim().parse::<f64>())
            && number.is_finite()
        {
            numbers.push((name.to_owned(), number));
        }
        head = after;
    }
    numbers
}

fn grid(tag: &str) -> Result<ImageGrid, ReadError> {
    let extent: [i64; 6] = numbers(tag, "WholeExtent")?;
    let origin: [f64; 3] = numbers(tag, "Origin")?;
    let spacing: [f64; 3] = numbers(tag, "Spacing")?;
    let wrong = |what| ReadError::Foreign { what };
    let mut dimensions = [0; 3];
    for (axis, cells) in dimensions.iter_mut().enumerate() {
        let count = extent[2 * axis + 1].checked_sub(extent[2 * axis]);
        let count = count.and_then(|count| usize::try_from(count).ok());
        *cells = count
            .filter(|count| (1..=MOST_CELLS).contains(count))
            .ok_or(wrong("WholeExtent"))?;
    }
    let cells = dimensions
        .iter()
        .try_fold(1_usize, |all, &count| all.checked_mul(count));
    if cells.is_none_or(|cells| cells > MOST_CELLS) {
        return Err(wrong("WholeExtent"));
    }
    if !origin.iter().all(|place| place.is_finite()) {
        return Err(wrong("Origin"));
    }
    if !spacing.iter().all(|cell| cell.is_finite() && *cell > 0.0) {
        return Err(wrong("Spacing"));
    }
    Ok(ImageGrid {
        dimensions,
        origin,
        spacing,
    })
}

fn array(tag: &str, name: &str, text: &[u8], cells: usize) -> Result<KeptArray, ReadError> {
    let components = match attribute(tag, "NumberOfComponents") {
        None | Some("1") => 1,
        Some("3") => 3,
        Some(_) => {
            return Err(ReadError::Foreign {
                what: "NumberOfComponents",
            });
        }
    };
    let is_single = match attribute(tag, "type") {
        Some("Float32") => true,
        Some("UInt8") => false,
        _ => return Err(ReadError::Foreign { what: "type" }),
    };
    let count = cells * components;
    let damaged = || ReadError::Damaged {
        name: name.to_owned(),
    };
    let size = if is_single { 4 } else { 1 };
    let bytes = inflated(text.trim_ascii(), count * size).ok_or_else(damaged)?;
    let values = if is_single {
        let (numbers, _) = bytes.as_chunks::<4>();
        numbers
            .iter()
            .map(|four| f32::from_le_bytes(*four))
            .collect()
    } else {
        bytes.iter().map(|&mark| f32::from(mark)).collect()
    };
    Ok(KeptArray {
        name: name.to_owned(),
        components,
        values,
    })
}

/// The bytes of an array: a header of whole numbers (blocks, size of a block, of the last one, then the compressed size of each), and the blocks one after the other; header and blocks
/// are each in base 64. `None` where anything does not fit, or they are not exactly `expected` bytes.
fn inflated(text: &[u8], expected: usize) -> Option<Vec<u8>> {
    const WORD: usize = 8;
    let in_base_64 = |bytes: usize| bytes.div_ceil(3).checked_mul(4);
    let first = STANDARD.decode(text.get(..in_base_64(3 * WORD)?)?).ok()?;
    let word = |bytes: &[u8], place: usize| -> Option<usize> {
        let word = bytes.get(WORD * place..WORD * (place + 1))?;
        usize::try_from(u64::from_le_bytes(word.try_into().ok()?)).ok()
    };
    let blocks = word(&first, 0)?;
    // A block holds at least a byte, and there cannot be more of them than the text has letters.
    if blocks > text.len() {
        return None;
    }
    let header_length = in_base_64(WORD * (3 + blocks))?;
    let header = STANDARD.decode(text.get(..header_length)?).ok()?;
    let data = STANDARD.decode(text.get(header_length..)?).ok()?;
    let (mut bytes, mut from) = (Vec::new(), 0_usize);
    for block in 0..blocks {
        let to = from.checked_add(word(&header, 3 + block)?)?;
        let packed = data.get(from..to)?;
        let room = expected.checked_sub(bytes.len())?;
        ZlibDecoder::new(packed)
            .take(room as u64 + 1)
            .read_to_end(&mut bytes)
            .ok()?;
        from = to;
    }
    (bytes.len() == expected).then_some(bytes)
}

/// Where `part` begins.
fn find(bytes: &[u8], part: &[u8]) -> Option<usize> {
    let first = *part.first()?;
    let mut from = 0;
    // Most of a file is letters of base 64, among which no `<` is.
    while let Some(at) = bytes[from..].iter().position(|byte| *byte == first) {
        if bytes[from + at..].starts_with(part) {
            return Some(from + at);
        }
        from += at + 1;
    }
    None
}

/// The inside of the next tag that begins so, and what follows it.
fn next_tag<'a>(bytes: &'a [u8], start: &[u8]) -> Option<(&'a str, &'a [u8])> {
    let inside = &bytes[find(bytes, start)? + start.len()..];
    let end = inside.iter().position(|byte| *byte == b'>')?;
    let tag = std::str::from_utf8(&inside[..end]).ok()?;
    Some((tag, &inside[end + 1..]))
}

/// The text of an attribute of a tag.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let mut rest = tag;
    while let Some((key, after)) = rest.split_once("=\"") {
        let (value, after) = after.split_once('"')?;
        if key.trim() == name {
            return Some(value);
        }
        rest = after;
    }
    None
}

fn numbers<T: std::str::FromStr, const N: usize>(
    tag: &str,
    what: &'static str,
) -> Result<[T; N], ReadError> {
    let text = attribute(tag, what).ok_or(ReadError::Foreign { what })?;
    let found: Option<Vec<T>> = text
        .split_ascii_whitespace()
        .map(|word| word.parse().ok())
        .collect();
    found
        .and_then(|found| found.try_into().ok())
        .ok_or(ReadError::Foreign { what })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vtk::{CellArray, Note, write_noted_image};

    const GRID: ImageGrid = ImageGrid {
        dimensions: [70, 61, 5],
        origin: [-0.0125, 0.0, 0.002],
        spacing: [0.000_1, 0.000_1, 0.000_25],
    };

    fn written() -> (Vec<u8>, Vec<f32>, Vec<u8>) {
        let count = GRID.cell_count();
        let values: Vec<f32> = (0..3 * count).map(|i| (i as f32 * 0.37).sin()).collect();
        let (vectors, _) = values.as_chunks::<3>();
        let mask: Vec<u8> = (0..count).map(|i| u8::from(i % 7 < 3)).collect();
        let arrays = vec![
            CellArray::Vector("velocity_m_per_s", vectors.to_vec()),
            CellArray::Scalar("pressure_pa", values[..count].to_vec()),
            CellArray::Mask("solid", mask.clone()),
        ];
        let notes = [
            Note::Text("grille", "a > b \"c\" é".to_owned()),
            Note::Number("pitch_mm", 6.25),
        ];
        let mut file = Vec::new();
        write_noted_image(&GRID, arrays, &notes, &mut file).unwrap();
        (file, values, mask)
    }

    #[test]
    fn what_was_written_is_read() {
        let (file, values, mask) = written();
        let image = read_image(&file, &["velocity_m_per_s", "solid", "absent"]).unwrap();
        assert_eq!(image.grid.dimensions, GRID.dimensions);
        for axis in 0..3 {
            assert!((image.grid.origin[axis] - GRID.origin[axis]).abs() < 1e-9);
            assert!((image.grid.spacing[axis] - GRID.spacing[axis]).abs() < 1e-9);
        }
        assert_eq!(image.number("pitch_mm"), Some(6.25));
        assert_eq!(image.arrays.len(), 2);
        assert_eq!(image.array("velocity_m_per_s").unwrap().values, values);
        let solid: Vec<f32> = mask.into_iter().map(f32::from).collect();
        assert_eq!(image.array("solid").unwrap().values, solid);
        assert!(image.array("pressure_pa").is_none());
    }

    #[test]
    fn a_damaged_file_is_an_error_and_no_panic() {
        let (file, ..) = written();
        let names = ["velocity_m_per_s", "pressure_pa", "solid"];
        for length in (0..file.len()).step_by(file.len() / 300) {
            assert!(
                !matches!(read_image(&file[..length], &names), Ok(image) if image.arrays.len() == 3),
                "{length} bytes of {} are taken for all",
                file.len()
            );
        }
        // A byte changed anywhere: an error, or a file that says something else of the same size.
        for place in (0..file.len()).step_by(file.len() / 500) {
            for byte in [b'A', b'<', b'"', 0, 255] {
                let mut changed = file.clone();
                changed[place] = byte;
                if let Ok(image) = read_image(&changed, &names) {
                    for array in &image.arrays {
                        let cells = image.grid.cell_count();
                        assert_eq!(array.values.len(), cells * array.components);
                    }
                }
            }
        }
    }

    #[test]
    fn absurd_sizes_are_refused() {
        for extent in [
            "0 99999999999 0 1 0 1",
            "0 60000 0 60000 0 60000",
            "5 0 0 1 0 1",
            "-9223372036854775808 9223372036854775807 0 1 0 1",
            "0 1 0 1",
        ] {
            let text = format!(
                r#"<ImageData WholeExtent="{extent}" Origin="0 0 0" Spacing="1 1 1"><CellData></CellData>"#
            );
            assert!(read_image(text.as_bytes(), &[]).is_err(), "{extent}");
        }
    }
}
