//! Loose points with values, such as particles.

use std::io::Write;

use vtkio::model::{
    Attribute, Attributes, DataArray, DataSet, IOBuffer, Piece, PolyDataPiece, VertexNumbers,
};

use crate::vtk::{Note, VtkError, notes, write_data};

/// Points, m, and a value of each under a name of plain letters, digits and `_`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Points {
    /// Where they are.
    pub places: Vec<[f32; 3]>,
    /// Values, as many as there are points.
    pub values: Vec<(&'static str, Vec<f32>)>,
}

/// Writes points as XML poly data, each a vertex, with notes about all of them.
///
/// Same input, same bytes.
///
/// # Errors
/// [`VtkError`]: values of another number than points, or a failing `out`.
pub fn write_points(points: Points, notes: &[Note], out: impl Write) -> Result<(), VtkError> {
    let count = points.places.len();
    if let Some((name, values)) = points
        .values
        .iter()
        .find(|(_, values)| values.len() != count)
    {
        return Err(VtkError::Length {
            name,
            given: values.len(),
            expected: count,
        });
    }
    let arrays = points.values.into_iter().map(|(name, values)| {
        Attribute::DataArray(DataArray {
            data: IOBuffer::F32(values),
            ..DataArray::scalars(name, 1)
        })
    });
    let piece = PolyDataPiece {
        points: IOBuffer::F32(points.places.into_flattened()),
        verts: Some(VertexNumbers::XML {
            offsets: (1..=count as u64).collect(),
            connectivity: (0..count as u64).collect(),
        }),
        data: Attributes {
            point: arrays.collect(),
            cell: Vec::new(),
        },
        ..PolyDataPiece::default()
    };
    let data = DataSet::PolyData {
        meta: None,
        pieces: vec![Piece::Inline(Box::new(piece))],
    };
    write_data(data, &notes::element(notes)?, out)
}
