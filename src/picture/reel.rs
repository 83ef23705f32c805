//! Frames in grey, one below the other in one PNG: how a film is kept until its page is made.

use std::io::{BufRead, Seek, Write};

use crate::checksum;
use crate::picture::PictureError;

/// Most pixels that a reel may have; a damaged head must not take all memory.
const MOST_PIXELS: usize = 400_000_000;

/// Writes frames of equal size, a byte per pixel.
///
/// # Errors
/// [`PictureError`]: frames of different sizes, or a failing `out`.
pub fn write_reel(
    [width, height]: [usize; 2],
    key: &str,
    frames: &[&[u8]],
    out: impl Write,
) -> Result<(), PictureError> {
    if let Some(odd) = frames.iter().find(|frame| frame.len() != width * height) {
        return Err(PictureError::Size {
            dimensions: [width, height],
            cell_mm: 1.0,
            values: odd.len(),
            solid: odd.len(),
        });
    }
    let whole = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
    let mut encoder = png::Encoder::new(out, whole(width), whole(height * frames.len()));
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    let frames = frames.concat();
    let checksum = checksum::of_bytes(&[key.as_bytes(), &frames]);
    encoder.add_text_chunk(checksum::KEY.to_owned(), checksum)?;
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&frames)?;
    writer.finish()?;
    Ok(())
}

/// Reads frames of this size and key back; `None` if it is no such reel, or one of a version without a checksum.
pub fn read_reel(
    [width, height]: [usize; 2],
    key: &str,
    from: impl BufRead + Seek,
) -> Option<Vec<Vec<u8>>> {
    let mut reader = png::Decoder::new(from).read_info().ok()?;
    let info = reader.info();
    let rows = usize::try_from(info.height).ok()?;
    let is_reel = info.color_type == png::ColorType::Grayscale
        && info.bit_depth == png::BitDepth::Eight
        && usize::try_from(info.width) == Ok(width)
        && height > 0
        && rows.is_multiple_of(height)
        && width.checked_mul(rows)? <= MOST_PIXELS;
    if !is_reel {
        return None;
    }
    let mut bytes = vec![0; width * rows];
    reader.next_frame(&mut bytes).ok()?;
    let mut texts = reader.info().uncompressed_latin1_text.iter();
    let held = texts.find(|text| text.keyword == checksum::KEY)?;
    if held.text != checksum::of_bytes(&[key.as_bytes(), &bytes]) {
        return None;
    }
    Some(
        bytes
            .chunks_exact(width * height)
            .map(<[u8]>::to_vec)
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    #[test]
    fn frames_come_back_and_nothing_else_is_taken_for_them() {
        let frames: [&[u8]; 2] = [&[0, 1, 2, 3, 4, 5], &[250, 251, 252, 253, 254, 255]];
        let mut bytes = Vec::new();
        write_reel([3, 2], "one", &frames, &mut bytes).unwrap();
        let read = read_reel([3, 2], "one", Cursor::new(&bytes)).unwrap();
        assert_eq!(read, frames.map(<[u8]>::to_vec));
        // One of another grille under this name.
        assert!(read_reel([3, 2], "two", Cursor::new(&bytes)).is_none());
        assert!(read_reel([2, 3], "one", Cursor::new(&bytes)).is_none());
        assert!(read_reel([3, 3], "one", Cursor::new(&bytes)).is_none());
        assert!(read_reel([3, 2], "one", Cursor::new(&bytes[..bytes.len() / 2])).is_none());
        assert!(write_reel([3, 3], "one", &frames, &mut bytes).is_err());
    }
}
