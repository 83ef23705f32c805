//! Which colour a value gets: three palettes of our own, one for each kind of field, made in `OKLab`.
//!
//! - *Dusk* for speeds: from night over petrol and sage to amber, the colours of the smoke films. Zero is no middle of it: the little air that flows backwards
//!   is marked by a line.
//! - *Moss* for what has no sign, so that a page of turbulence is not taken for one of speeds.
//! - *Tide* for what turns or pushes one way or the other: blue below zero, rust above, and both alike far from zero equally dark.
//!
//! The lightness of the first two rises evenly from end to end, that of the third falls evenly from zero to both sides: equal steps of the value look like
//! equal steps, for people with any of the usual colour-vision deficiencies and in grey print too. Solid is hatched, which no palette is.

use std::sync::LazyLock;

use crate::picture::canvas::{Rgb, mixed};
use crate::picture::oklab::{Lab, encoded, from_hue, light};

/// Background of the page.
pub(super) const PAPER: Rgb = [255, 255, 255];
/// Text and outlines.
pub(super) const INK: Rgb = [30, 34, 42];
/// Text that matters less.
pub(super) const FAINT_INK: Rgb = [86, 92, 102];
/// Every other piece of a ruler.
pub(super) const PALE_INK: Rgb = [196, 201, 209];
/// The solid between the lines of its hatching.
pub(super) const SOLID: Rgb = [228, 230, 233];
/// Lines of the hatching.
const HATCH: Rgb = [150, 156, 166];
/// Line at zero.
pub(super) const ZERO_LINE: Rgb = [255, 255, 255];
/// Places without a number: a colour that neither a palette nor the solid has.
pub(super) const NO_NUMBER: Rgb = [235, 100, 180];

/// Pixels from one line of the hatching to the next, along a row, and half the width of a line.
const HATCHING: (usize, f32) = (11, 1.1);

/// What kind of field it is; each kind has its colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FieldKind {
    /// A speed along the flow: mostly of one sign.
    Speed,
    /// Has no sign: turbulence intensity.
    Amount,
    /// Goes to both sides of zero: swirl, pressure, vortices.
    Signed,
}

/// Colours of a table. Neighbours differ by less than a step of a byte.
const TABLE: usize = 1024;

static DUSK: LazyLock<Vec<Rgb>> = LazyLock::new(|| table(dusk));
static MOSS: LazyLock<Vec<Rgb>> = LazyLock::new(|| table(moss));
static TIDE: LazyLock<Vec<Rgb>> = LazyLock::new(|| table(tide));

impl FieldKind {
    /// The colour at a share of the palette, from 0 to 1; 0.5 is the zero of [`FieldKind::Signed`].
    pub fn colour(self, share: f64) -> [u8; 3] {
        let table = match self {
            Self::Speed => &DUSK,
            Self::Amount => &MOSS,
            Self::Signed => &TIDE,
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in the table"
        )]
        let at = (share.clamp(0.0, 1.0) * (TABLE - 1) as f64).round() as usize;
        table[at]
    }

    /// Where on the palette a value stands when the colours go from `low` to `high`: those of [`FieldKind::Signed`] have their middle at zero and equal steps on both sides.
    pub fn share(self, value: f64, [low, high]: [f64; 2]) -> f64 {
        match self {
            Self::Signed => 0.5 + 0.5 * value / low.abs().max(high.abs()),
            Self::Speed | Self::Amount => (value - low) / (high - low),
        }
    }
}

fn table(palette: fn(f64) -> Lab) -> Vec<Rgb> {
    (0..TABLE)
        .map(|at| encoded(light(palette(at as f64 / (TABLE - 1) as f64))))
        .collect()
}

/// Night, petrol, sage, amber, straw.
fn dusk(share: f64) -> Lab {
    let way = [
        (0.080, 264.0),
        (0.085, 250.0),
        (0.070, 232.0),
        (0.060, 150.0),
        (0.104, 97.0),
        (0.130, 81.0),
        (0.095, 82.0),
    ];
    along(&way, [0.24, 0.90], share)
}

/// Spruce, fern, young leaves.
fn moss(share: f64) -> Lab {
    let way = [
        (0.048, 185.0),
        (0.066, 168.0),
        (0.088, 155.0),
        (0.104, 145.0),
        (0.110, 132.0),
        (0.105, 118.0),
        (0.080, 108.0),
    ];
    along(&way, [0.24, 0.92], share)
}

/// Deep water over white to rust.
fn tide(share: f64) -> Lab {
    let away = 2.0 * share - 1.0;
    let far = away.abs();
    let lightness = 0.945 - 0.535 * far;
    if away < 0.0 {
        from_hue(lightness, 0.134 * far, 244.0 + 18.0 * far)
    } else {
        from_hue(lightness, 0.108 * far, 72.0 - 20.0 * far)
    }
}

/// A smooth way through colours given by chroma and hue, at even steps of the share, while the lightness goes straight from end to end.
///
/// # References
/// E. Catmull, R. Rom, "A class of local interpolating splines", in Computer Aided Geometric Design, 1974.
fn along(way: &[(f64, f64)], [dark, bright]: [f64; 2], share: f64) -> Lab {
    let last = way.len() - 1;
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the number of a piece of the way"
    )]
    let piece = (place as usize).min(last - 1);
    let t = place - piece as f64;
    let point = |at: usize| from_hue(0.0, way[at].0, way[at].1);
    let (from, to) = (point(piece), point(piece + 1));
    let before = piece.checked_sub(1).map(point);
    let after = (piece + 2 <= last).then(|| point(piece + 2));
    let component = |axis: usize| {
        let straight = to[axis] - from[axis];
        let start = before.map_or(straight, |before| (to[axis] - before[axis]) / 2.0);
        let end = after.map_or(straight, |after| (after[axis] - from[axis]) / 2.0);
        let (square, cube) = (t * t, t * t * t);
        (2.0 * cube - 3.0 * square + 1.0) * from[axis]
            + (cube - 2.0 * square + t) * start
            + (3.0 * square - 2.0 * cube) * to[axis]
            + (cube - square) * end
    };
    [dark + (bright - dark) * share, component(1), component(2)]
}

/// Colours for the values from `low` to `high`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ColourScale {
    pub(super) kind: FieldKind,
    pub(super) low: f64,
    pub(super) high: f64,
}

impl ColourScale {
    /// Colour of a value; beyond the ends the end's colour.
    pub(super) fn colour(&self, value: f64) -> Rgb {
        if !value.is_finite() {
            return NO_NUMBER;
        }
        let value = value.clamp(self.low, self.high);
        self.kind
            .colour(self.kind.share(value, [self.low, self.high]))
    }
}

/// The solid at a pixel: hatched as in a drawing of a part that is cut.
pub(super) fn solid(x: usize, y: usize) -> Rgb {
    let (step, half) = HATCHING;
    let across = (x + y) % step;
    let off = across.min(step - across) as f32;
    // A line at 45 degrees is narrower than its cut along a row.
    let cover = half - off * std::f32::consts::FRAC_1_SQRT_2 + 0.5;
    mixed(SOLID, HATCH, cover.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::oklab::tests::{decoded, lab};
    use crate::picture::oklab::times;

    const KINDS: [FieldKind; 3] = [FieldKind::Speed, FieldKind::Amount, FieldKind::Signed];

    /// What people without one kind of cone see, on light.
    ///
    /// G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of color vision deficiency",
    /// IEEE Transactions on Visualization and Computer Graphics 15 (6), 2009, table of matrices at severity 1.0: protanomaly, deuteranomaly, tritanomaly.
    const DEFICIENCIES: [[[f64; 3]; 3]; 3] = [
        [
            [0.152_286, 1.052_583, -0.204_868],
            [0.114_503, 0.786_281, 0.099_216],
            [-0.003_882, -0.048_116, 1.051_998],
        ],
        [
            [0.367_322, 0.860_646, -0.227_968],
            [0.280_085, 0.672_501, 0.047_413],
            [-0.011_820, 0.042_940, 0.968_881],
        ],
        [
            [1.255_528, -0.076_749, -0.178_779],
            [-0.078_411, 0.930_809, 0.147_602],
            [0.004_733, 0.691_367, 0.303_900],
        ],
    ];

    fn seen_by(deficiency: &[[f64; 3]; 3], colour: Rgb) -> Lab {
        let light = times(deficiency, decoded(colour));
        lab(light.map(|channel| channel.clamp(0.0, 1.0)))
    }

    fn distance(one: Lab, other: Lab) -> f64 {
        let squares = one.iter().zip(other).map(|(a, b)| (a - b).powi(2));
        squares.sum::<f64>().sqrt()
    }

    /// Twenty even steps of a palette between two shares, as `see` sees them.
    fn steps(kind: FieldKind, ends: [f64; 2], see: impl Fn(Rgb) -> Lab) -> Vec<(f64, f64)> {
        let at = |i: u32| ends[0] + (ends[1] - ends[0]) * f64::from(i) / 20.0;
        let seen: Vec<Lab> = (0..=20).map(|i| see(kind.colour(at(i)))).collect();
        let pairs = seen.windows(2);
        pairs
            .map(|pair| (pair[1][0] - pair[0][0], distance(pair[0], pair[1])))
            .collect()
    }

    /// The stretches over which lightness goes one way: towards brighter.
    fn rising(kind: FieldKind) -> Vec<[f64; 2]> {
        match kind {
            FieldKind::Signed => vec![[0.0, 0.5], [1.0, 0.5]],
            _ => vec![[0.0, 1.0]],
        }
    }

    #[test]
    fn a_screen_can_show_every_colour() {
        for palette in [dusk, moss, tide] {
            for i in 0..=200 {
                let light = light(palette(f64::from(i) / 200.0));
                assert!(
                    light.iter().all(|c| (-0.002..=1.002).contains(c)),
                    "{i}: {light:?}"
                );
            }
        }
    }

    #[test]
    fn equal_steps_of_the_value_look_like_equal_steps() {
        for kind in KINDS {
            for ends in rising(kind) {
                let steps = steps(kind, ends, |colour| lab(decoded(colour)));
                let mean = |of: fn(&(f64, f64)) -> f64| steps.iter().map(of).sum::<f64>() / 20.0;
                let (lighter, apart) = (mean(|step| step.0), mean(|step| step.1));
                assert!(lighter > 0.025, "{kind:?}: {lighter}");
                for (by, far) in &steps {
                    // A colour is rounded to bytes: up to 0.002 of lightness.
                    assert!((by - lighter).abs() < 0.004, "{kind:?}: {steps:?}");
                    assert!((far / apart - 1.0).abs() < 0.25, "{kind:?}: {steps:?}");
                }
            }
        }
    }

    #[test]
    fn steps_can_be_told_apart_without_one_kind_of_cone() {
        for kind in KINDS {
            for ends in rising(kind) {
                for deficiency in &DEFICIENCIES {
                    for (lighter, apart) in steps(kind, ends, |colour| seen_by(deficiency, colour))
                    {
                        // About two hundredths are a just noticeable difference.
                        assert!(lighter > 0.01, "{kind:?}: {lighter}");
                        assert!(apart > 0.02, "{kind:?}: {apart}");
                    }
                }
            }
        }
    }

    #[test]
    fn both_sides_of_zero_can_be_told_apart_without_one_kind_of_cone() {
        for deficiency in &DEFICIENCIES {
            for away in [0.1, 0.2, 0.3, 0.5] {
                let [below, above] = [0.5 - away, 0.5 + away]
                    .map(|share| seen_by(deficiency, FieldKind::Signed.colour(share)));
                let apart = distance(below, above);
                assert!(apart > 0.25 * away, "{away}: {apart}");
            }
        }
    }

    #[test]
    fn no_colour_is_that_of_the_solid_or_of_a_missing_number() {
        for kind in KINDS {
            for i in 0..=100 {
                let colour = lab(decoded(kind.colour(f64::from(i) / 100.0)));
                let from = |other: Rgb| distance(colour, lab(decoded(other)));
                assert!(from(HATCH).max(from(SOLID)) > 0.1, "{kind:?} at {i}");
                assert!(from(NO_NUMBER) > 0.1, "{kind:?} at {i}");
            }
        }
    }

    #[test]
    fn zero_is_white_however_far_the_sides_go() {
        let scale = ColourScale {
            kind: FieldKind::Signed,
            low: -0.1,
            high: 2.0,
        };
        assert_eq!(scale.colour(0.0), FieldKind::Signed.colour(0.5));
        assert_eq!(scale.colour(2.0), FieldKind::Signed.colour(1.0));
        // A twentieth of the other side.
        assert_eq!(scale.colour(-0.1), FieldKind::Signed.colour(0.475));
    }

    #[test]
    fn beyond_the_ends_the_colour_stays() {
        let scale = ColourScale {
            kind: FieldKind::Speed,
            low: 0.0,
            high: 1.0,
        };
        assert_eq!(scale.colour(-5.0), scale.colour(0.0));
        assert_eq!(scale.colour(5.0), scale.colour(1.0));
        assert_eq!(scale.colour(f64::NAN), NO_NUMBER);
    }
}
