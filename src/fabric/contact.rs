//! A fabric before a grille: pressed onto it, or kept off by a gap.

use crate::fabric::law::{Band, FabricLaw};

/// Gap, in hole widths of the grille, from which on a fabric no longer notices the holes.
///
/// Common practice ("several hole diameters") and makers' reports that a gap of about 20 mm takes away the dust spots in the shape of
/// the holes, which for holes of 6 to 7 mm is three of them; no measured source.
pub const SPACED_GAP_IN_HOLES: f64 = 3.0;

/// How a fabric stands to a grille.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contact {
    /// Flat on the holes: air goes through the fabric over the holes only.
    Pressed,
    /// Off the holes, but nearer than [`SPACED_GAP_IN_HOLES`].
    Near,
    /// So far off that air goes evenly through it.
    Spaced,
}

impl Contact {
    /// Which it is for a gap and a hole width, in the same unit.
    pub fn of_gap(gap: f64, hole_width: f64) -> Self {
        if gap <= 0.0 {
            Self::Pressed
        } else if gap < SPACED_GAP_IN_HOLES * hole_width * (1.0 - 1e-9) {
            // The margin is for sizes that have no end in binary: 18 mm are three holes of 6 mm.
            Self::Near
        } else {
            Self::Spaced
        }
    }
}

impl FabricLaw {
    /// The law on the face velocity for a fabric at a gap (m) from holes of a width (hydraulic diameter, m) that leave `free_area_ratio` open.
    ///
    /// Pressed: [`FabricLaw::through_share`]. Spaced: as it stands alone. In between the coefficients go in a straight line from one to the
    /// other, and the band takes in both ends: what a short gap does has no source.
    #[must_use]
    pub fn at_gap(&self, gap: f64, hole_width: f64, free_area_ratio: f64) -> Self {
        let pressed = self.through_share(free_area_ratio);
        match Contact::of_gap(gap, hole_width) {
            Contact::Pressed => pressed,
            Contact::Spaced => *self,
            Contact::Near => {
                let share = gap / (SPACED_GAP_IN_HOLES * hole_width);
                let between = |apart: f64, pressed: f64| pressed + share * (apart - pressed);
                let near = Self {
                    viscous: between(self.viscous, pressed.viscous),
                    inertial: between(self.inertial, pressed.inertial),
                    ..*self
                };
                let middle = (self.velocities.0 * self.velocities.1).sqrt();
                let known = near.pressure_drop(middle);
                near.times(
                    1.0,
                    Band {
                        low: self.pressure_drop(middle) / known,
                        high: pressed.pressure_drop(middle) / known,
                    },
                )
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fabric::law::{Formula, Source};

    #[test]
    fn the_law_runs_from_pressed_to_spaced_as_the_gap_grows() {
        let law = FabricLaw {
            viscous: 1.0,
            inertial: 2.0,
            velocities: (0.25, 4.0),
            band: Band::symmetric(0.5),
            source: Source::Geometry(Formula::WovenScreen),
        };
        let at = |gap| law.at_gap(gap, 0.006, 0.5);
        assert_eq!(at(0.0), law.through_share(0.5));
        assert_eq!(at(0.018), law);
        let drops: Vec<f64> = (0..20)
            .map(|step| at(f64::from(step) * 1e-3).pressure_drop(1.5))
            .collect();
        assert!(drops.windows(2).all(|pair| pair[0] >= pair[1]), "{drops:?}");
        let near = at(0.009);
        assert!(near.band.high > law.band.high && near.band.low < law.band.low);
    }
}
