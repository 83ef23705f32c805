//! Surfaces made of flat pieces.

use std::io::Write;

use vtkio::model::{Attributes, DataSet, IOBuffer, Piece, PolyDataPiece, VertexNumbers};

use crate::vtk::{VtkError, write_data};

/// Flat pieces between points, m.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Surface {
    /// The corners.
    pub points: Vec<[f32; 3]>,
    /// Number of corners of each piece.
    pub sizes: Vec<u8>,
    /// The corners of one piece after the other, as indices of points.
    pub corners: Vec<u32>,
}

impl Surface {
    /// Adds a piece with points of its own.
    pub fn add(&mut self, corners: &[[f32; 3]]) {
        let first = self.points.len();
        for (number, point) in corners.iter().enumerate() {
            self.points.push(*point);
            self.corners
                .push(u32::try_from(first + number).unwrap_or(u32::MAX));
        }
        self.sizes
            .push(u8::try_from(corners.len()).unwrap_or(u8::MAX));
    }

    fn check(&self) -> Result<(), VtkError> {
        let mut corners = self.corners.iter();
        for (piece, &size) in self.sizes.iter().enumerate() {
            let points: Vec<_> = corners
                .by_ref()
                .take(usize::from(size))
                .map_while(|&corner| self.points.get(corner as usize))
                .filter(|point| point.iter().all(|place| place.is_finite()))
                .collect();
            if size < 3 || points.len() < usize::from(size) {
                return Err(VtkError::Piece { piece });
            }
        }
        Ok(())
    }
}

/// Writes `surface` as XML poly data.
///
/// Same input, same bytes.
///
/// # Errors
/// [`VtkError`]: pieces that are no polygons, or a failing `out`.
pub fn write_surface(surface: &Surface, out: impl Write) -> Result<(), VtkError> {
    surface.check()?;
    let mut end = 0;
    let offsets = surface.sizes.iter().map(|&size| {
        end += u64::from(size);
        end
    });
    let piece = PolyDataPiece {
        points: IOBuffer::F32(surface.points.as_flattened().to_vec()),
        polys: Some(VertexNumbers::XML {
            offsets: offsets.collect(),
            connectivity: surface.corners.iter().map(|&i| i.into()).collect(),
        }),
        data: Attributes::default(),
        ..PolyDataPiece::default()
    };
    let data = DataSet::PolyData {
        meta: None,
        pieces: vec![Piece::Inline(Box::new(piece))],
    };
    write_data(data, "", out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn triangle() -> Surface {
        let mut surface = Surface::default();
        surface.add(&[[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]);
        surface
    }

    #[test]
    fn a_surface_becomes_compressed_poly_data() {
        let mut out = Vec::new();
        write_surface(&triangle(), &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(text.contains("type=\"PolyData\""), "{text}");
        assert!(
            text.contains("compressor=\"vtkZLibDataCompressor\""),
            "{text}"
        );
        assert!(text.contains("NumberOfPolys=\"1\""), "{text}");
    }

    #[test]
    fn what_is_no_polygon_is_refused() {
        let mut thin = triangle();
        thin.add(&[[0.0; 3], [1.0; 3]]);
        let mut lost = triangle();
        lost.corners[2] = 3;
        let mut endless = triangle();
        endless.points[1][0] = f32::NAN;
        for (surface, number) in [(thin, 1), (lost, 0), (endless, 0)] {
            let result = write_surface(&surface, Vec::new());
            assert!(
                matches!(result, Err(VtkError::Piece { piece }) if piece == number),
                "{surface:?}"
            );
        }
    }
}
