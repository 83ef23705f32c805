//! Where the colours end: the outermost values do not decide, so that one hot spot leaves the rest of a picture its colours.

use crate::picture::PictureError;
use crate::picture::colour::{ColourScale, FieldKind};
use crate::picture::raster::Pixel;

/// Share of the values that the colours leave out.
pub const OUTERMOST: f64 = 0.01;

/// The ends of the colours for these values: all but the outermost hundredth of them lies between, half of it left out below and half above;
/// of [`FieldKind::Signed`] the hundredth that lies furthest from zero. Without [`OUTERMOST`] where the others are all the same; `None` where all values are.
pub fn colour_limits(kind: FieldKind, values: impl IntoIterator<Item = f64>) -> Option<[f64; 2]> {
    let finite = values.into_iter().filter(|value| value.is_finite());
    let mut values: Vec<f64> = finite.collect();
    if values.is_empty() {
        return None;
    }
    let all = [
        values.iter().copied().fold(f64::INFINITY, f64::min),
        values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    ];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a part of a number of values"
    )]
    let left_out = (values.len() as f64 * OUTERMOST) as usize;
    let nearly_all = if kind == FieldKind::Signed {
        let mut far: Vec<f64> = values.iter().map(|value| value.abs()).collect();
        let at = far.len() - 1 - left_out;
        let (_, furthest, _) = far.select_nth_unstable_by(at, f64::total_cmp);
        [all[0].max(-*furthest), all[1].min(*furthest)]
    } else {
        let at = left_out / 2;
        let (_, low, _) = values.select_nth_unstable_by(at, f64::total_cmp);
        let low = *low;
        let at = values.len() - 1 - at;
        let (_, high, _) = values.select_nth_unstable_by(at, f64::total_cmp);
        [low, *high]
    };
    let differ = |[low, high]: [f64; 2]| low < high;
    [nearly_all, all].into_iter().find(|ends| differ(*ends))
}

/// The colours of a picture: with the ends that are asked for, or for the values of its pixels, opened a little where these are all the same.
pub(super) fn colour_scale<'p>(
    kind: FieldKind,
    asked: Option<[f64; 2]>,
    pixels: impl IntoIterator<Item = &'p Pixel>,
) -> Result<ColourScale, PictureError> {
    let values: Vec<f64> = finite(pixels).collect();
    let first = *values.first().ok_or(PictureError::NoValue)?;
    let [low, high] = asked
        .or_else(|| colour_limits(kind, values))
        .unwrap_or_else(|| {
            let around = 0.05 * first.abs() + 1e-6 * first.abs().max(1e-6);
            [first - around, first + around]
        });
    if low.is_finite() && high.is_finite() && low < high {
        Ok(ColourScale { kind, low, high })
    } else {
        Err(PictureError::Range { low, high })
    }
}

fn finite<'p>(pixels: impl IntoIterator<Item = &'p Pixel>) -> impl Iterator<Item = f64> {
    let values = pixels.into_iter().map(|pixel| f64::from(pixel.value));
    values.filter(|value| value.is_finite())
}

/// Pieces of the colours for which it is counted how much of a picture has them.
pub(super) const PIECES: usize = 133;

/// How the values of a picture lie along its colours.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spread {
    pub(super) least: f64,
    pub(super) most: f64,
    /// Shares of the values below and above the ends of the colours.
    pub(super) beyond: [f64; 2],
    /// Share of the values for each piece between the ends, over that of the most frequent piece.
    pub(super) pieces: Vec<f32>,
}

impl Spread {
    pub(super) fn new<'p>(
        colours: ColourScale,
        pixels: impl IntoIterator<Item = &'p Pixel>,
    ) -> Self {
        let mut counts = vec![0_u32; PIECES];
        let (mut below, mut above, mut count) = (0_u32, 0_u32, 0_u32);
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in finite(pixels) {
            count += 1;
            (least, most) = (least.min(value), most.max(value));
            below += u32::from(value < colours.low);
            above += u32::from(value > colours.high);
            let share = (value - colours.low) / (colours.high - colours.low);
            if (0.0..=1.0).contains(&share) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "the number of a piece"
                )]
                let piece = (share * PIECES as f64) as usize;
                counts[piece.min(PIECES - 1)] += 1;
            }
        }
        let part = |of: u32| f64::from(of) / f64::from(count.max(1));
        let highest = counts.iter().copied().max().unwrap_or(0).max(1);
        Self {
            least,
            most,
            beyond: [part(below), part(above)],
            pieces: counts
                .into_iter()
                .map(|count| count as f32 / highest as f32)
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pixels(values: impl IntoIterator<Item = f32>) -> Vec<Pixel> {
        let pixel = |value| Pixel { solid: 0.0, value };
        values.into_iter().map(pixel).collect()
    }

    #[test]
    fn a_hot_spot_does_not_take_the_colours_from_all_else() {
        let calm = (0..1000).map(|i| f64::from(i) / 1000.0);
        let hot = [90.0, 95.0, 99.0, -40.0];
        let [low, high] = colour_limits(FieldKind::Speed, calm.clone().chain(hot)).unwrap();
        // Five of 1004 are left out on each side.
        assert!(
            (low - 0.004).abs() < 1e-9 && (high - 0.997).abs() < 1e-9,
            "{low} {high}"
        );
        let signed = colour_limits(FieldKind::Signed, calm.map(|v| -v).chain(hot)).unwrap();
        // The ten furthest of zero are the four hot ones and six calm ones.
        assert!(
            (signed[0] + 0.993).abs() < 1e-9 && (signed[1] - 0.993).abs() < 1e-9,
            "{signed:?}"
        );
    }

    #[test]
    fn few_values_are_all_shown_and_equal_ones_have_no_ends() {
        let few = [3.0, -1.0, f64::NAN, 2.0];
        assert_eq!(colour_limits(FieldKind::Speed, few), Some([-1.0, 3.0]));
        assert_eq!(colour_limits(FieldKind::Signed, few), Some([-1.0, 3.0]));
        assert_eq!(colour_limits(FieldKind::Amount, [2.0; 500]), None);
        assert_eq!(colour_limits(FieldKind::Amount, [f64::NAN]), None);
        // Still air with one gust: nothing else differs.
        let gust = std::iter::repeat_n(0.0, 999).chain([5.0]);
        assert_eq!(colour_limits(FieldKind::Speed, gust), Some([0.0, 5.0]));
    }

    #[test]
    fn the_spread_counts_what_lies_beyond() {
        let pixels = pixels((0_u8..100).map(f32::from).chain([f32::NAN]));
        let colours = ColourScale {
            kind: FieldKind::Speed,
            low: 10.0,
            high: 94.5,
        };
        let spread = Spread::new(colours, &pixels);
        let told = [
            spread.least,
            spread.most,
            spread.beyond[0],
            spread.beyond[1],
        ];
        for (told, expected) in told.into_iter().zip([0.0, 99.0, 0.1, 0.05]) {
            assert!((told - expected).abs() < 1e-12, "{told} for {expected}");
        }
        let counted: f32 = spread.pieces.iter().sum();
        assert!((counted - 85.0).abs() < 1e-4, "{counted}");
    }
}
