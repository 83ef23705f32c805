//! A picture made small for a page: the same pixels as a JPEG.

use std::io::Cursor;

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

/// Qualities of the JPEG, 1 to 100, tried in this order until it is small enough. Judgement: down to the last one letters and edges stay readable.
const QUALITIES: [u8; 4] = [85, 75, 62, 50];

/// Largest picture, bytes of its pixels.
const LARGEST: usize = 64 << 20;

/// Why a picture cannot be made small.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PhotographError {
    /// It is no PNG, or damaged.
    #[error("this is no picture: {0}")]
    Content(#[from] png::DecodingError),
    /// It has other colours than the pictures of this program, or is far larger.
    #[error("this is no picture of ours")]
    Foreign,
    /// It cannot be written as a JPEG.
    #[error("this picture cannot be made small: {0}")]
    Encoding(#[from] jpeg_encoder::EncodingError),
}

/// The picture of a PNG file as a JPEG file of at most so many bytes, or as small as it stays readable.
///
/// # Errors
/// [`PhotographError::Content`] for what is no PNG, [`PhotographError::Foreign`] for one that is not of this program.
pub fn photograph(png: &[u8], most_bytes: usize) -> Result<Vec<u8>, PhotographError> {
    let mut decoder = png::Decoder::new(Cursor::new(png));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info()?;
    let size = reader
        .output_buffer_size()
        .filter(|size| *size <= LARGEST)
        .ok_or(PhotographError::Foreign)?;
    let mut pixels = vec![0; size];
    let frame = reader.next_frame(&mut pixels)?;
    let colours = match frame.color_type {
        png::ColorType::Rgb => ColorType::Rgb,
        png::ColorType::Rgba => ColorType::Rgba,
        png::ColorType::Grayscale => ColorType::Luma,
        _ => return Err(PhotographError::Foreign),
    };
    let [Ok(width), Ok(height)] = [frame.width, frame.height].map(u16::try_from) else {
        return Err(PhotographError::Foreign);
    };
    let mut jpeg = Vec::new();
    for quality in QUALITIES {
        jpeg.clear();
        let mut encoder = Encoder::new(&mut jpeg, quality);
        // Half the colours at lower qualities: what is drawn in lines is grey.
        encoder.set_sampling_factor(if quality == QUALITIES[0] {
            SamplingFactor::F_1_1
        } else {
            SamplingFactor::F_2_2
        });
        encoder.set_optimized_huffman_tables(true);
        encoder.encode(&pixels[..frame.buffer_size()], width, height, colours)?;
        if jpeg.len() <= most_bytes {
            break;
        }
    }
    Ok(jpeg)
}
