//! Knits such as hosiery: loops of a thin thread whose pitch grows as they are stretched.

use crate::fabric::screen::Grid;
use crate::fabric::thread::{linear_density, yarn_width};
use crate::likely::Likely;

/// Thread in a loop beyond the straight way of its legs and its head, in thread widths.
///
/// Source: F. T. Peirce, Text. Res. J. 17 (1947) 123: loop length = 2 x course pitch + wale pitch + 5.94 x diameter (from memory).
pub const LOOP_CURVATURE: f64 = 5.94;

/// Places in a stitch where a thread lies on another one; each hides about a square of thread (counted in a drawing of a plain knit).
pub const CROSSINGS: f64 = 4.0;

/// How much wider a yarn may lie than a round bundle of its filaments: for the lower end of the open fraction (estimate).
pub const FLATTENING: f64 = 1.5;

/// A plain knit of one thread.
///
/// *Across* counts from needle to needle (wales), *along* from row to row (courses).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knit {
    /// Denier of the whole thread, g per 9000 m.
    pub denier: f64,
    /// Filaments in the thread; one is a monofilament, more are a yarn.
    pub filament_count: u32,
    /// Distance of neighbouring stitches across, unstretched, m.
    pub pitch_across: f64,
    /// Distance of neighbouring stitches along, unstretched, m.
    pub pitch_along: f64,
    /// Stretch across: 0 as it lies, 1 at twice the width; above -1.
    pub stretch_across: f64,
    /// The same along.
    pub stretch_along: f64,
    /// Density of the thread, kg/m³.
    pub density: f64,
}

impl Knit {
    /// Width of the thread, m. Stretch does not change it.
    pub fn thread(&self) -> f64 {
        yarn_width(self.denier, self.filament_count, self.density)
    }

    /// Whether the thread is a yarn of several filaments.
    pub fn is_yarn(&self) -> bool {
        self.filament_count > 1
    }

    /// Pitches across and along as stretched, m.
    pub fn pitches(&self) -> [f64; 2] {
        [
            self.pitch_across * (1.0 + self.stretch_across),
            self.pitch_along * (1.0 + self.stretch_along),
        ]
    }

    /// The same knit with both pitches `factor` times as large.
    #[must_use]
    pub fn stretched(&self, factor: f64) -> Self {
        Self {
            stretch_across: (1.0 + self.stretch_across) * factor - 1.0,
            stretch_along: (1.0 + self.stretch_along) * factor - 1.0,
            ..*self
        }
    }

    /// The loops as rows of threads: two legs for every stitch across, one head for every stitch along.
    ///
    /// The open fraction is that of [`Knit::open_fraction`]; where legs or heads would touch, their row is all but closed.
    pub fn grid(&self) -> Grid {
        let thread = self.thread();
        let [across, along] = self.pitches();
        // A row that is shut altogether has no finite loss: the refusal of such knits lies with whoever reads them.
        let least = thread * 1.01;
        Grid {
            thread,
            pitches: [(0.5 * across).max(least), along.max(least)],
            open_fraction: self.open_fraction().value.max(1e-3),
        }
    }

    /// Open area as seen straight on, over the whole, with its range; 0 or less where the loops cover everything.
    ///
    /// ```text
    /// f = 1 - (l w - 4 w^2) / (p c)
    /// l = 2 c + p + 5.94 w      thread in a stitch;  w: thread;  p: pitch across;  c: pitch along
    /// ```
    ///
    /// The upper end is a squared grid of one thread for each pitch, legs lying on each other; the lower end is a yarn that lies
    /// 1.5 times as wide, or a filament whose crossings hide nothing.
    pub fn open_fraction(&self) -> Likely {
        let thread = self.thread();
        let [across, along] = self.pitches();
        let covered = |width: f64, crossings: f64| {
            let length = 2.0 * along + across + LOOP_CURVATURE * width;
            (length * width - crossings * width * width) / (across * along)
        };
        let value = 1.0 - covered(thread, CROSSINGS);
        let low = if self.is_yarn() {
            1.0 - covered(FLATTENING * thread, CROSSINGS)
        } else {
            1.0 - covered(thread, 0.0)
        };
        let grid = (1.0 - thread / across) * (1.0 - thread / along);
        Likely {
            value,
            low: low.max(0.0).min(value),
            high: grid.max(value),
        }
    }

    /// Clear openings across and along, m, where the legs of neighbouring stitches lie together: the largest that there are.
    pub fn openings(&self) -> [f64; 2] {
        let thread = self.thread();
        let [across, along] = self.pitches();
        [across - 2.0 * thread, along - thread]
    }

    /// Mass per area as stretched, kg/m²: thread of the unstretched stitches over the area that they have grown to.
    ///
    /// Curled (textured) and covered yarns weigh more than this: a stitch of them holds more thread.
    pub fn mass_per_area(&self) -> f64 {
        let (across, along) = (self.pitch_across, self.pitch_along);
        let length = 2.0 * along + across + LOOP_CURVATURE * self.thread();
        let [wide, long] = self.pitches();
        length * linear_density(self.denier) / (wide * long)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fabric::NYLON_DENSITY;

    fn knit(filament_count: u32) -> Knit {
        Knit {
            denier: 15.0,
            filament_count,
            pitch_across: 0.5e-3,
            pitch_along: 0.5e-3,
            stretch_across: 0.0,
            stretch_along: 0.0,
            density: NYLON_DENSITY,
        }
    }

    #[test]
    fn loops_leave_less_open_than_a_squared_grid() {
        for filament_count in [1, 5] {
            let open = knit(filament_count).open_fraction();
            assert!(open.low < open.value && open.value < open.high, "{open:?}");
        }
    }

    #[test]
    fn stretch_opens_the_knit_and_leaves_the_thread() {
        let slack = knit(1);
        let taut = slack.stretched(2.0);
        assert!(taut.open_fraction().value > slack.open_fraction().value);
        assert!((taut.thread() - slack.thread()).abs() < 1e-18);
        assert!((taut.pitches()[0] - 1e-3).abs() < 1e-15);
        // Four times the area, the same thread.
        assert!((slack.mass_per_area() / taut.mass_per_area() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_stitch_by_hand() {
        // 43.14 um thread, 0.5 mm both ways: l = 1.5 + 0.2563 mm; 15 den = 1.6667e-6 kg/m.
        let open = knit(1).open_fraction().value;
        let wanted = 1.0 - (1.7563e-3 * 43.14e-6 - 4.0 * 43.14e-6_f64.powi(2)) / 0.25e-6;
        assert!((open - wanted).abs() < 1e-4, "{open} for {wanted}");
        let mass = knit(1).mass_per_area();
        assert!(
            (mass - 1.7563e-3 * 1.6667e-6 / 0.25e-6).abs() < 1e-6,
            "{mass}"
        );
    }

    #[test]
    fn openings_and_rows_by_hand() {
        // Two legs of 43.14 um in each stitch across, one head along.
        let [across, along] = knit(1).openings();
        assert!((across - (0.5e-3 - 86.28e-6)).abs() < 1e-8, "{across}");
        assert!((along - (0.5e-3 - 43.14e-6)).abs() < 1e-8, "{along}");
        let grid = knit(1).grid();
        assert!((grid.pitches[0] - 0.25e-3).abs() < 1e-12);
        assert!((grid.pitches[1] - 0.5e-3).abs() < 1e-12);
        assert!((grid.open_fraction - knit(1).open_fraction().value).abs() < 1e-12);
        // Squeezed to a twelfth, legs and heads would lie in each other.
        let shut = knit(1).stretched(1.0 / 12.0).grid();
        assert!(
            shut.pitches
                .iter()
                .all(|pitch| (pitch / shut.thread - 1.01).abs() < 1e-9)
        );
        assert!((shut.open_fraction - 1e-3).abs() < 1e-12);
    }

    #[test]
    fn only_several_filaments_make_a_yarn() {
        assert!(!knit(1).is_yarn());
        assert!(knit(2).is_yarn());
    }

    #[test]
    fn the_ends_of_the_open_fraction_by_hand() {
        // Threads of 43.145 um across each other in a square grid: (1 - 43.145/500)² = 0.83487. Loops whose crossings hide nothing: 1 - 1.75628 mm · 43.145 um / 0.25 mm² = 0.69690.
        let open = knit(1).open_fraction();
        assert!((open.high - 0.834_87).abs() < 2e-5, "{open:?}");
        assert!((open.low - 0.696_90).abs() < 2e-5, "{open:?}");
        // Five filaments: each 43.14/√5 = 19.295 um, a bundle 19.295 √(5/0.6) = 55.70 um, laid flat 83.55 um: l = 1.5 + 5.94 · 0.08355 = 1.9963 mm,
        // less 4 · 0.08355²: (0.16679 - 0.02792) / 0.25 is covered.
        let open = knit(5).open_fraction();
        assert!((open.low - 0.444_54).abs() < 5e-5, "{open:?}");
    }
}
