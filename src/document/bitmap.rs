//! Charts as pixels: what the drawing library draws goes onto a sheet of `picture`, whose letters come from the bundled font.

use plotters::prelude::DrawingBackend;
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendTextStyle, DrawingErrorKind, FontTransform,
};

use crate::picture::{ChartSheet, FINENESS, PictureError, TextSeat};

/// Height of a line of the bundled font over the height of letters as the library counts it: 1.210 em, and 1.24 of the library's units to an em.
const LINE: f64 = 1.210 / 1.24;

/// Pixels of the picture to a pixel of a chart on the page, so that it is sharp on fine screens.
const DENSITY: usize = 2;

/// Places of a sheet to a pixel of a chart on the page.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    reason = "a small whole number"
)]
pub(super) const ZOOM: i32 = (FINENESS * DENSITY) as i32;

/// A sheet for a chart of so many pixels of the page.
///
/// # Errors
/// [`PictureError::Font`] where the bundled font is damaged.
pub(super) fn sheet(width: u32, height: u32) -> Result<ChartSheet, PictureError> {
    let side = |length: u32| DENSITY * usize::try_from(length).unwrap_or(0);
    ChartSheet::new(side(width), side(height))
}

/// A sheet as the library wants it.
pub(super) struct SheetBackend<'a>(pub(super) &'a mut ChartSheet);

/// Colour and how much it covers.
fn ink(colour: BackendColor) -> ([u8; 3], f32) {
    let (red, green, blue) = colour.rgb;
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let opacity = colour.alpha as f32;
    ([red, green, blue], opacity)
}

#[expect(clippy::cast_possible_truncation, reason = "the size of letters")]
fn line_height(size: f64) -> f32 {
    (size * LINE) as f32
}

impl DrawingBackend for SheetBackend<'_> {
    type ErrorType = PictureError;

    fn get_size(&self) -> (u32, u32) {
        let (width, height) = self.0.size();
        let side = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
        (side(width), side(height))
    }

    fn ensure_prepared(&mut self) -> Result<(), DrawingErrorKind<PictureError>> {
        Ok(())
    }

    fn present(&mut self) -> Result<(), DrawingErrorKind<PictureError>> {
        Ok(())
    }

    fn draw_pixel(
        &mut self,
        (x, y): BackendCoord,
        colour: BackendColor,
    ) -> Result<(), DrawingErrorKind<PictureError>> {
        if let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) {
            let (colour, opacity) = ink(colour);
            self.0.blend(x, y, colour, opacity);
        }
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        (x, y): BackendCoord,
    ) -> Result<(), DrawingErrorKind<PictureError>> {
        let anchor = style.anchor();
        let seat = TextSeat {
            along: match anchor.h_pos {
                HPos::Left => 0.0,
                HPos::Center => 0.5,
                HPos::Right => 1.0,
            },
            across: match anchor.v_pos {
                VPos::Top => 0.0,
                VPos::Center => 0.5,
                VPos::Bottom => 1.0,
            },
            is_upwards: matches!(style.transform(), FontTransform::Rotate270),
        };
        let (colour, _) = ink(style.color());
        let size = line_height(style.size());
        self.0.text(text, (x as f32, y as f32), seat, size, colour);
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<PictureError>> {
        let size = line_height(style.size());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a line of text on a page"
        )]
        let whole = |length: f32| length.ceil() as u32;
        Ok((whole(self.0.text_width(text, size)), whole(size)))
    }
}
