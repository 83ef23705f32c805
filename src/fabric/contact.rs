//! A fabric before a grille: pressed onto it, or kept off by a gap.

use crate::fabric::law::{Band, FabricLaw};

/// Gap, in hole widths of the grille, from which on a fabric costs no more than far away.
///
/// Source: our own run of a porous layer ahead of a plate with a hole, axisymmetric and laminar (`tests/validation/pressed_layer.rs`): at one hole
/// diameter 1.000 to 1.006 of what it costs alone.
pub const SPACED_GAP_IN_HOLES: f64 = 1.0;

/// Gap, in hole widths of the grille, from which on dust no longer settles in spots of the holes' shape.
///
/// Common practice ("several hole diameters"), no source.
pub const SPOTLESS_GAP_IN_HOLES: f64 = 3.0;

/// How fast the extra cost of a near grille dies away with the gap in hole widths: viscous and inertial part.
///
/// Source: the same run at 0.11, 0.22 and 0.44 diameters and half of the plate open: 54, 20 and 4.2 % of the viscous excess of the pressed
/// layer are left, 40, 12.5 and 2.1 % of the inertial one; exp(-7 g/d) gives 46, 21 and 4.6 %, exp(-9 g/d) 37, 14 and 1.9 %.
const DECAY: [f64; 2] = [7.0, 9.0];

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
            // The margin is for sizes that have no end in binary.
            Self::Near
        } else {
            Self::Spaced
        }
    }
}

/// How much of the extra cost of a fabric on the holes is left at a gap: 1 on the holes, 0 where it stands clear; viscous and inertial part.
pub fn excess_left(gap: f64, hole_width: f64) -> [f64; 2] {
    match Contact::of_gap(gap, hole_width) {
        Contact::Pressed => [1.0; 2],
        Contact::Spaced => [0.0; 2],
        Contact::Near => DECAY.map(|rate| (-rate * gap / hole_width).exp()),
    }
}

impl FabricLaw {
    /// The law on the face velocity for a fabric at a gap (m) from holes of a width (hydraulic diameter, m) that leave `free_area_ratio` open.
    ///
    /// Pressed: [`FabricLaw::through_share`]. Spaced: as it stands alone. In between the excess of the pressed one dies away with the gap, and the
    /// band takes in half and twice of what is left of it (judgement: other open shares, other holes, flow that is not laminar).
    #[must_use]
    pub fn at_gap(&self, gap: f64, hole_width: f64, free_area_ratio: f64) -> Self {
        let pressed = self.through_share(free_area_ratio);
        match Contact::of_gap(gap, hole_width) {
            Contact::Pressed => pressed,
            Contact::Spaced => *self,
            Contact::Near => {
                let left = |excess: f64| {
                    let [viscous, inertial] = excess_left(gap, hole_width);
                    let share = |rest: f64| (rest * excess).min(1.0);
                    Self {
                        viscous: self.viscous + share(viscous) * (pressed.viscous - self.viscous),
                        inertial: self.inertial
                            + share(inertial) * (pressed.inertial - self.inertial),
                        ..*self
                    }
                };
                let [less, near, more] = [0.5, 1.0, 2.0].map(left);
                let middle = (self.velocities.0 * self.velocities.1).sqrt();
                let known = near.pressure_drop(middle);
                near.times(
                    1.0,
                    Band {
                        low: less.pressure_drop(middle) / known,
                        high: more.pressure_drop(middle) / known,
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
        assert_eq!(at(0.006), law);
        let drops: Vec<f64> = (0..20)
            .map(|step| at(f64::from(step) * 4e-4).pressure_drop(1.5))
            .collect();
        assert!(drops.windows(2).all(|pair| pair[0] >= pair[1]), "{drops:?}");
        let near = at(0.0015);
        assert!(near.band.high > law.band.high && near.band.low < law.band.low);
    }

    /// U + 2 U², without doubt: on holes that are half open it is 2 U + 8 U².
    fn exact_law() -> FabricLaw {
        FabricLaw {
            viscous: 1.0,
            inertial: 2.0,
            velocities: (0.25, 4.0),
            band: Band::EXACT,
            source: Source::Geometry(Formula::WovenScreen),
        }
    }

    #[test]
    fn a_near_fabric_by_hand() {
        // A quarter of a hole away exp(-7/4) = 0.17377 of the viscous and exp(-9/4) = 0.10540 of the inertial excess are left; half and twice of that bound it,
        // looked at at 1 m/s, the geometric mean of 0.25 and 4.
        let near = exact_law().at_gap(0.0015, 0.006, 0.5);
        assert!((near.viscous - 1.173_77).abs() < 1e-5);
        assert!((near.inertial - 2.632_40).abs() < 1e-5);
        let at = |part: f64| 3.0 + part * (0.173_774 + 6.0 * 0.105_399);
        assert!((near.band.low - at(0.5) / at(1.0)).abs() < 1e-5);
        assert!((near.band.high - at(2.0) / at(1.0)).abs() < 1e-5);
    }

    #[test]
    fn no_gap_costs_more_than_none() {
        // A twentieth of a hole away 70 and 64 % are left: twice that is more than all, so the upper end is the pressed fabric's 10 Pa at 1 m/s.
        let near = exact_law().at_gap(0.0003, 0.006, 0.5);
        let upper = near.band.high * near.pressure_drop(1.0);
        assert!((upper - 10.0).abs() < 1e-9, "{upper}");
    }

    #[test]
    fn contact_begins_where_the_gap_ends() {
        assert_eq!(Contact::of_gap(0.0, 6.0), Contact::Pressed);
        assert_eq!(Contact::of_gap(0.1, 6.0), Contact::Near);
        assert_eq!(Contact::of_gap(5.9, 6.0), Contact::Near);
        // In binary 0.3 is less than three times 0.1, and yet it is a whole hole.
        assert_eq!(Contact::of_gap(0.3, 0.1 * 3.0), Contact::Spaced);
        let is = |gap: f64, left: f64| {
            let seen = excess_left(gap, 6.0);
            seen.iter().all(|part| (part - left).abs() < 1e-12)
        };
        assert!(is(0.0, 1.0) && is(6.0, 0.0));
    }
}
