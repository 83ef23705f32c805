//! Files for an external viewer: arrays on a regular grid as image data (`.vti`), surfaces of flat pieces and loose points as poly data (`.vtp`), each with notes about the whole, its time too where it is one of a series; and our
//! image data read back. Knows no physics.
//!
//! Values belong to cells (cell data), x fastest, then y, then z. A flat field has one cell in z.
//! Arrays are compressed with zlib and stay in single precision.
//!
//! # References
//! VTK XML file formats, <https://docs.vtk.org/en/latest/vtk_file_formats/vtkxml_file_format.html>.

mod notes;
mod points;
mod read;
mod surface;

use std::collections::BTreeSet;
use std::io::Write;

use vtkio::model::{
    Attribute, Attributes, ByteOrder, DataArray, DataSet, Extent, IOBuffer, ImageDataPiece, Piece,
    Version, Vtk,
};
use vtkio::xml::Compressor;

pub use notes::{Note, TIME};
pub use points::{Points, write_points};
pub use read::{KeptArray, KeptImage, ReadError, read_image};
pub use surface::{Surface, write_surface};

/// How much zlib may work, 1 to 9; above 1 the files shrink little and take several times as long.
const COMPRESSION_LEVEL: u32 = 1;

/// Largest shift of the grid that the format's single-precision origin may cause, in cells.
const LARGEST_ORIGIN_SHIFT: f64 = 0.01;

/// Where the cells lie: a block of equal cells with edges along x, y and z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImageGrid {
    /// Number of cells along x, y and z.
    pub dimensions: [usize; 3],
    /// Corner of the block with the lowest x, y and z, m.
    ///
    /// Stored in single precision: keep it near zero.
    pub origin: [f64; 3],
    /// Edge lengths of a cell, m.
    pub spacing: [f64; 3],
}

impl ImageGrid {
    /// Number of cells.
    pub fn cell_count(&self) -> usize {
        self.dimensions.iter().product()
    }
}

/// One value per cell, under a name of plain letters, digits and `_`.
#[derive(Debug, Clone, PartialEq)]
pub enum CellArray {
    /// A number per cell.
    Scalar(&'static str, Vec<f32>),
    /// Three components per cell.
    Vector(&'static str, Vec<[f32; 3]>),
    /// A small whole number per cell, such as 1 in solids and 0 in air.
    Mask(&'static str, Vec<u8>),
}

impl CellArray {
    /// Name of the array.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Scalar(name, _) | Self::Vector(name, _) | Self::Mask(name, _) => name,
        }
    }

    /// Number of cells with a value.
    pub fn cell_count(&self) -> usize {
        match self {
            Self::Scalar(_, values) => values.len(),
            Self::Vector(_, values) => values.len(),
            Self::Mask(_, values) => values.len(),
        }
    }

    fn into_attribute(self) -> Attribute {
        let array = match self {
            Self::Scalar(name, values) => DataArray {
                data: IOBuffer::F32(values),
                ..DataArray::scalars(name, 1)
            },
            Self::Vector(name, values) => DataArray {
                data: IOBuffer::F32(values.into_flattened()),
                ..DataArray::vectors(name)
            },
            Self::Mask(name, values) => DataArray {
                data: IOBuffer::U8(values),
                ..DataArray::scalars(name, 1)
            },
        };
        Attribute::DataArray(array)
    }
}

/// Why a grid with arrays cannot be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum VtkError {
    /// A direction has no cells, or more than the format can count.
    #[error(
        "the grid has {dimensions:?} cells along x, y and z: each must be 1 to {}",
        i32::MAX
    )]
    Dimensions {
        /// Cells along x, y and z.
        dimensions: [usize; 3],
    },
    /// A cell has no size.
    #[error("the cells measure {spacing:?} m: each length must be finite and above 0")]
    Spacing {
        /// Edge lengths, m.
        spacing: [f64; 3],
    },
    /// The grid lies too far from zero for single precision.
    #[error(
        "the grid starts at {origin:?} m, too far from zero to be stored with cells of {spacing:?} m: put its origin nearer to zero"
    )]
    Origin {
        /// Lowest corner, m.
        origin: [f64; 3],
        /// Edge lengths, m.
        spacing: [f64; 3],
    },
    /// An array has another number of values than the grid has cells.
    #[error("the array {name} has {given} values for {expected} cells")]
    Length {
        /// Name of the array.
        name: &'static str,
        /// Values that it has.
        given: usize,
        /// Cells of the grid.
        expected: usize,
    },
    /// A name is empty, has other characters than letters, digits and `_`, or occurs twice.
    #[error(
        "the array name {name:?} is empty, occurs twice or has characters other than letters, digits and _"
    )]
    Name {
        /// The name.
        name: &'static str,
    },
    /// A piece of a surface has fewer than three corners, or one that there is not, or a point is not finite.
    #[error("piece {piece} of the surface is no polygon between finite points")]
    Piece {
        /// Number of the piece, from 0.
        piece: usize,
    },
    /// The arrays could not be turned into a file.
    #[error("the file for a viewer could not be made: {0}")]
    Encode(#[from] vtkio::xml::Error),
    /// The file could not be written.
    #[error("the file for a viewer could not be written: {0}")]
    Write(#[from] std::io::Error),
}

/// Writes `arrays` on `grid` as XML image data.
///
/// Same input, same bytes.
///
/// # Errors
/// [`VtkError`]: sizes, spacing, origin or names that the format cannot hold, or a failing `out`.
pub fn write_image(
    grid: &ImageGrid,
    arrays: &[CellArray],
    out: impl Write,
) -> Result<(), VtkError> {
    write_noted_image(grid, arrays.to_vec(), &[], out)
}

/// The same without a copy of the arrays in memory, with notes about the whole field (field data), which a viewer shows beside it.
///
/// # Errors
/// As [`write_image`]; [`VtkError::Name`] for the name of a note too.
pub fn write_noted_image(
    grid: &ImageGrid,
    arrays: Vec<CellArray>,
    notes: &[Note],
    out: impl Write,
) -> Result<(), VtkError> {
    check(grid, &arrays)?;
    let notes = notes::element(notes)?;
    let points = |axis: usize| {
        i32::try_from(grid.dimensions[axis]).map_err(|_| VtkError::Dimensions {
            dimensions: grid.dimensions,
        })
    };
    // Extents count points; n cells have n + 1 of them, numbered from 0 to n.
    let extent = Extent::Ranges([0..=points(0)?, 0..=points(1)?, 0..=points(2)?]);
    let data = Attributes {
        point: Vec::new(),
        cell: arrays.into_iter().map(CellArray::into_attribute).collect(),
    };
    let image = DataSet::ImageData {
        extent: extent.clone(),
        origin: grid.origin.map(single),
        spacing: grid.spacing.map(single),
        meta: None,
        pieces: vec![Piece::Inline(Box::new(ImageDataPiece { extent, data }))],
    };
    write_data(image, &notes, out)
}

/// Writes a data set, compressed, with an element that stands before its first piece.
fn write_data(data: DataSet, element: &str, mut out: impl Write) -> Result<(), VtkError> {
    let model = Vtk {
        version: Version::new_xml(1, 0),
        title: String::new(),
        byte_order: ByteOrder::LittleEndian,
        data,
        file_path: None,
    };
    // Into memory first: the crate's writer takes a short write for a whole one and drops the error of its last flush (seen in 0.7.0-rc2), so a
    // full disk would leave half a file and no error.
    let mut bytes = Vec::new();
    model
        .try_into_xml_format(Compressor::ZLib, COMPRESSION_LEVEL)?
        .write(&mut bytes)?;
    // The crate knows no field data. Its output begins with elements of text, so the first piece is found at once.
    let piece = bytes.windows(7).position(|part| part == b"<Piece ");
    let (head, rest) = bytes.split_at(piece.unwrap_or(0));
    out.write_all(head)?;
    if piece.is_some() {
        out.write_all(element.as_bytes())?;
    }
    out.write_all(rest)?;
    out.flush()?;
    Ok(())
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the format's origin and spacing are single precision; check() has bounded the loss"
)]
fn single(length: f64) -> f32 {
    length as f32
}

fn check(grid: &ImageGrid, arrays: &[CellArray]) -> Result<(), VtkError> {
    let ImageGrid {
        dimensions,
        origin,
        spacing,
    } = *grid;
    let fits = |n: usize| n >= 1 && i32::try_from(n).is_ok();
    if !dimensions.into_iter().all(fits) {
        return Err(VtkError::Dimensions { dimensions });
    }
    let is_length = |length: f64| single(length).is_finite() && single(length) > 0.0;
    if !spacing.into_iter().all(is_length) {
        return Err(VtkError::Spacing { spacing });
    }
    let is_kept = |(start, cell): (&f64, &f64)| {
        start.is_finite()
            && (f64::from(single(*start)) - start).abs() <= LARGEST_ORIGIN_SHIFT * cell
    };
    if !origin.iter().zip(&spacing).all(is_kept) {
        return Err(VtkError::Origin { origin, spacing });
    }
    let expected = grid.cell_count();
    let mut names = BTreeSet::new();
    for array in arrays {
        let name = array.name();
        let is_plain = name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_');
        if name.is_empty() || !is_plain || !names.insert(name) {
            return Err(VtkError::Name { name });
        }
        if array.cell_count() != expected {
            return Err(VtkError::Length {
                name,
                given: array.cell_count(),
                expected,
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const GRID: ImageGrid = ImageGrid {
        dimensions: [3, 2, 1],
        origin: [-0.001, 0.0, 0.0],
        spacing: [0.001, 0.002, 0.001],
    };

    fn written(grid: &ImageGrid, arrays: &[CellArray]) -> Result<String, VtkError> {
        let mut out = Vec::new();
        write_image(grid, arrays, &mut out)?;
        Ok(String::from_utf8(out).unwrap())
    }

    #[test]
    fn the_header_counts_one_point_more_than_cells() {
        let text = written(&GRID, &[CellArray::Mask("solid", vec![0, 1, 0, 0, 1, 0])]).unwrap();
        assert!(text.contains("WholeExtent=\"0 3 0 2 0 1\""), "{text}");
        assert!(
            text.contains("compressor=\"vtkZLibDataCompressor\""),
            "{text}"
        );
        assert!(text.contains("byte_order=\"LittleEndian\""), "{text}");
    }

    #[test]
    fn an_array_of_the_wrong_length_is_refused() {
        let error = written(&GRID, &[CellArray::Scalar("pressure", vec![0.0; 5])]).unwrap_err();
        assert!(matches!(
            error,
            VtkError::Length {
                name: "pressure",
                given: 5,
                expected: 6
            }
        ));
    }

    #[test]
    fn names_that_a_reader_could_trip_over_are_refused() {
        for name in ["", "a b", "a<b", "größe", "x\"y"] {
            let error = written(&GRID, &[CellArray::Scalar(name, vec![0.0; 6])]).unwrap_err();
            assert!(matches!(error, VtkError::Name { .. }), "{name:?}");
        }
        let twice = [
            CellArray::Scalar("a", vec![0.0; 6]),
            CellArray::Mask("a", vec![0; 6]),
        ];
        assert!(matches!(written(&GRID, &twice), Err(VtkError::Name { .. })));
    }

    #[test]
    fn grids_that_single_precision_would_bend_are_refused() {
        let far = ImageGrid {
            origin: [1000.0, 0.0, 0.0],
            ..GRID
        };
        assert!(written(&far, &[]).is_ok(), "1000 is exact");
        let far = ImageGrid {
            origin: [1000.00003, 0.0, 0.0],
            ..GRID
        };
        assert!(matches!(written(&far, &[]), Err(VtkError::Origin { .. })));
        for spacing in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-60] {
            let grid = ImageGrid {
                spacing: [0.001, spacing, 0.001],
                ..GRID
            };
            assert!(
                matches!(written(&grid, &[]), Err(VtkError::Spacing { .. })),
                "{spacing}"
            );
        }
        let empty = ImageGrid {
            dimensions: [3, 0, 1],
            ..GRID
        };
        assert!(matches!(
            written(&empty, &[]),
            Err(VtkError::Dimensions { .. })
        ));
    }

    /// Takes a few bytes at a time, and no more than there is room for.
    struct Small {
        room: usize,
        taken: Vec<u8>,
    }

    impl Write for Small {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            let count = bytes.len().min(7).min(self.room - self.taken.len());
            self.taken.extend_from_slice(&bytes[..count]);
            if count == 0 {
                Err(std::io::ErrorKind::StorageFull.into())
            } else {
                Ok(count)
            }
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_full_disk_is_reported() {
        let arrays = [CellArray::Mask("solid", vec![0; 6])];
        let size = written(&GRID, &arrays).unwrap().len();
        for room in [0, 10, size - 1, size] {
            let out = Small {
                room,
                taken: Vec::new(),
            };
            let is_refused = matches!(write_image(&GRID, &arrays, out), Err(VtkError::Write(_)));
            assert_eq!(is_refused, room < size, "{room} of {size}");
        }
    }

    #[test]
    fn short_writes_lose_nothing() {
        let grid = ImageGrid {
            dimensions: [100, 100, 1],
            ..GRID
        };
        let arrays = [CellArray::Scalar(
            "pressure",
            (0..10_000_u16).map(f32::from).collect(),
        )];
        let mut out = Small {
            room: usize::MAX,
            taken: Vec::new(),
        };
        write_image(&grid, &arrays, &mut out).unwrap();
        assert_eq!(
            String::from_utf8(out.taken).unwrap(),
            written(&grid, &arrays).unwrap()
        );
    }

    #[test]
    fn the_same_input_gives_the_same_bytes() {
        let arrays = [CellArray::Scalar(
            "pressure",
            vec![1.5, -2.0, 0.0, 3.0, 1e-9, 7.0],
        )];
        assert_eq!(
            written(&GRID, &arrays).unwrap(),
            written(&GRID, &arrays).unwrap()
        );
    }
}
