//! How deep a quality goes: face velocities and grids of a zone.

use crate::run::views::zone_view::ZoneView;
use crate::study::Quality;

/// Fewest cells across a rib on the coarsest grid, as far as three times as many cells bring it about.
const FEWEST_RIB_CELLS: f64 = 6.5;

/// How deep the runs of a zone go.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Depth {
    /// Factors on the expected velocity.
    velocities: &'static [f64],
    /// Cells across the opening, finest grid first.
    pub(in crate::run) cells: Vec<f64>,
    /// What else hides K of its flat views, see [`crate::run::planning::other_doubts`].
    pub(super) other_doubts: f64,
}

impl Depth {
    /// The depth of a quality; more cells where ribs are thin.
    pub(in crate::run) fn of(quality: Quality, view: &ZoneView, other_doubts: f64) -> Self {
        let (velocities, cells): (&[f64], [f64; 3]) = match quality {
            Quality::Quick => (&[0.8, 1.2], [48.0, 34.0, 0.0]),
            Quality::Standard => (&[0.7, 1.0, 1.35], [64.0, 48.0, 36.0]),
            Quality::Overnight => (&[0.7, 1.0, 1.35], [96.0, 72.0, 54.0]),
        };
        let cells = cells.into_iter().filter(|&count| count > 0.0);
        let coarsest = cells.clone().fold(f64::INFINITY, f64::min);
        let rib_cells = coarsest * view.rib_over_opening();
        let factor = (FEWEST_RIB_CELLS / rib_cells).clamp(1.0, 3.0);
        Self {
            velocities,
            cells: cells.map(|count| (count * factor).round()).collect(),
            other_doubts,
        }
    }

    /// Face velocities with the grids of each. Grids after the first are solved at the middle velocity only: the error of a grid hardly depends
    /// on the velocity.
    pub(super) fn points(&self, expected: f64) -> impl Iterator<Item = (f64, &[f64])> {
        let middle = self.velocities.len() / 2;
        self.velocities.iter().enumerate().map(move |(i, factor)| {
            let cells = if i == middle {
                &self.cells[..]
            } else {
                &self.cells[..1]
            };
            (three_digits(factor * expected), cells)
        })
    }

    /// The middle one of the face velocities: where several grids, and three dimensions, are solved.
    pub(super) fn middle(&self, expected: f64) -> f64 {
        three_digits(self.velocities[self.velocities.len() / 2] * expected)
    }

    /// Cells of the finest grid over those of this one.
    pub(super) fn coarseness(&self, cells: f64) -> f64 {
        self.cells[0] / cells
    }
}

/// Rounds to three significant digits, so that a velocity reads well and a hair's difference does not make another run.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the logarithm of a number lies within 324 of zero"
)]
fn three_digits(value: f64) -> f64 {
    let scale = 10_f64.powi(2 - value.abs().log10().floor() as i32);
    (value * scale).round() / scale
}
