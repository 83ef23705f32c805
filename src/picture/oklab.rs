//! `OKLab`, a space of colours in which equal distances look about equally far apart.
//!
//! L is the lightness from 0 (black) to 1 (white), a runs from green to red, b from blue to yellow; the angle of (a, b) is the hue, its length the chroma.
//!
//! # References
//! - B. Ottosson, "A perceptual color space for image processing", 2020 (both matrices).
//! - IEC 61966-2-1:1999 (how sRGB encodes light).

use crate::picture::canvas::Rgb;

/// A colour: L, a, b.
pub(super) type Lab = [f64; 3];

/// From lightness, chroma and hue in degrees.
pub(super) fn from_hue(lightness: f64, chroma: f64, hue_deg: f64) -> Lab {
    let (sine, cosine) = hue_deg.to_radians().sin_cos();
    [lightness, chroma * cosine, chroma * sine]
}

/// Red, green and blue light of a colour, 0 to 1 each for those that a screen can show.
pub(super) fn light([lightness, a, b]: Lab) -> [f64; 3] {
    let cones = [
        lightness + 0.396_337_777_4 * a + 0.215_803_757_3 * b,
        lightness - 0.105_561_345_8 * a - 0.063_854_172_8 * b,
        lightness - 0.089_484_177_5 * a - 1.291_485_548_0 * b,
    ]
    .map(|cone| cone * cone * cone);
    times(
        &[
            [4.076_741_662_1, -3.307_711_591_3, 0.230_969_929_2],
            [-1.268_438_004_6, 2.609_757_401_1, -0.341_319_396_5],
            [-0.004_196_086_3, -0.703_418_614_7, 1.707_614_701_0],
        ],
        cones,
    )
}

/// The bytes of a screen for such light; what a screen cannot show becomes the nearest that it can, channel by channel.
pub(super) fn encoded(light: [f64; 3]) -> Rgb {
    light.map(|channel| {
        let channel = channel.clamp(0.0, 1.0);
        let byte = 255.0
            * if channel <= 0.003_130_8 {
                12.92 * channel
            } else {
                1.055 * channel.powf(1.0 / 2.4) - 0.055
            };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to 255"
        )]
        {
            byte.round() as u8
        }
    })
}

/// A matrix, row by row, times a column.
pub(super) fn times(matrix: &[[f64; 3]; 3], column: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row.iter().zip(column).map(|(a, b)| a * b).sum())
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// The light of a screen's bytes.
    pub(in crate::picture) fn decoded(colour: Rgb) -> [f64; 3] {
        colour.map(|channel| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.040_45 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// The colour of light: the way back.
    pub(in crate::picture) fn lab(light: [f64; 3]) -> Lab {
        let cones = times(
            &[
                [0.412_221_470_8, 0.536_332_536_3, 0.051_445_992_9],
                [0.211_903_498_2, 0.680_699_545_1, 0.107_396_956_6],
                [0.088_302_461_9, 0.281_718_837_6, 0.629_978_700_5],
            ],
            light,
        )
        .map(f64::cbrt);
        times(
            &[
                [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
                [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
                [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
            ],
            cones,
        )
    }

    #[test]
    fn white_black_and_grey_have_no_chroma() {
        for (byte, lightness) in [(0, 0.0), (255, 1.0), (188, 0.795)] {
            let [l, a, b] = lab(decoded([byte; 3]));
            assert!((l - lightness).abs() < 2e-3, "{l} for {byte}");
            assert!(a.abs() < 1e-6 && b.abs() < 1e-6, "{a} {b}");
        }
    }

    #[test]
    fn there_and_back_is_the_same_colour() {
        for colour in [[9, 27, 71], [232, 176, 72], [121, 45, 0], [0, 255, 128]] {
            let there = lab(decoded(colour));
            assert_eq!(encoded(light(there)), colour, "{there:?}");
        }
    }
}
