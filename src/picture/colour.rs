//! Which colour a value gets.
//!
//! One map for every field: viridis. Its lightness rises evenly from end to end, so equal steps of the value look like equal steps; it can be read by
//! people with any of the usual colour-vision deficiencies and in grey print. It has no grey of its own, so grey is free for the solid.
//! A map with two arms (red and blue around zero) would spend half its colours on the little air that flows backwards; that air is marked by a white line
//! at zero instead.
//!
//! # References
//! N. Smith, S. van der Walt, "A better default colormap for matplotlib", `SciPy` 2015 (the map and how it was made).

use crate::picture::canvas::Rgb;

/// Background of the page.
pub(super) const PAPER: Rgb = [255, 255, 255];
/// Text and outlines.
pub(super) const INK: Rgb = [32, 32, 36];
/// Text that matters less.
pub(super) const FAINT_INK: Rgb = [88, 88, 94];
/// The solid.
pub(super) const SOLID: Rgb = [176, 176, 176];
/// Line at zero.
pub(super) const ZERO_LINE: Rgb = [255, 255, 255];
/// Places without a number: a colour that neither the map nor the solid has.
pub(super) const NO_NUMBER: Rgb = [235, 100, 180];

/// Colours for the values from `low` to `high`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ColourScale {
    pub(super) low: f64,
    pub(super) high: f64,
}

impl ColourScale {
    /// Colour of a value; beyond the ends the end's colour.
    pub(super) fn colour(&self, value: f64) -> Rgb {
        if !value.is_finite() {
            return NO_NUMBER;
        }
        let share = (value - self.low) / (self.high - self.low);
        colorous::VIRIDIS
            .eval_continuous(share.clamp(0.0, 1.0))
            .into_array()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The CIE lightness L* of an sRGB colour (IEC 61966-2-1 and CIE 15, formulas from memory).
    fn lightness(colour: Rgb) -> f64 {
        let linear = colour.map(|channel| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        });
        let y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
        if y > 0.008_856 {
            116.0 * y.cbrt() - 16.0
        } else {
            903.3 * y
        }
    }

    #[test]
    fn lightness_rises_evenly_so_that_equal_steps_look_equal() {
        let scale = ColourScale {
            low: -1.0,
            high: 3.0,
        };
        let at = |i: i32| lightness(scale.colour(-1.0 + 4.0 * f64::from(i) / 20.0));
        let steps: Vec<f64> = (0..20).map(|i| at(i + 1) - at(i)).collect();
        let mean = steps.iter().sum::<f64>() / 20.0;
        assert!(mean > 3.0, "{mean}");
        for step in &steps {
            assert!((step / mean - 1.0).abs() < 0.3, "{steps:?}");
        }
    }

    #[test]
    fn beyond_the_ends_the_colour_stays() {
        let scale = ColourScale {
            low: 0.0,
            high: 1.0,
        };
        assert_eq!(scale.colour(-5.0), scale.colour(0.0));
        assert_eq!(scale.colour(5.0), scale.colour(1.0));
        assert_eq!(scale.colour(f64::NAN), NO_NUMBER);
    }
}
