//! What a fabric costs: pressure over air speed, where that comes from, and how far it may be off.

use crate::likely::Likely;

/// Factors between which a pressure drop lies (95 %), about its best estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Factor to the lower end, above 0, at most 1.
    pub low: f64,
    /// Factor to the upper end, at least 1.
    pub high: f64,
}

impl Band {
    /// A band without width.
    pub const EXACT: Self = Self {
        low: 1.0,
        high: 1.0,
    };

    /// The same share to both sides: 0.5 for ±50 %; `share` must lie within 0 and 1, 1 excluded.
    pub fn symmetric(share: f64) -> Self {
        Self {
            low: 1.0 - share,
            high: 1.0 + share,
        }
    }

    /// What is left of two doubts that know nothing of each other: the factors' logarithms added in squares, end by end.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let joined = |a: f64, b: f64| a.ln().hypot(b.ln());
        Self {
            low: (-joined(self.low, other.low)).exp(),
            high: joined(self.high, other.high).exp(),
        }
    }

    /// The band about `value`.
    pub fn about(self, value: f64) -> Likely {
        Likely {
            value,
            low: value * self.low,
            high: value * self.high,
        }
    }
}

/// Which published formula stands behind a law from geometry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Formula {
    /// Round threads woven to rectangular openings, one filament each.
    WovenScreen,
    /// A knit of single filaments, taken as a woven screen of equal open fraction.
    FilamentKnit,
    /// A knit of yarn of several filaments, taken as a woven screen of equal open fraction: a guess, never to be ranked.
    YarnKnit,
    /// A sheet with round holes.
    PerforatedSheet,
}

/// Where a law comes from, in rising trust.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// Threads and openings, by a published formula.
    Geometry(Formula),
    /// Runs of this program around woven threads.
    FibreRun,
    /// Readings on a bench.
    Bench {
        /// How many readings.
        reading_count: usize,
        /// Root mean square of the relative differences between readings and law; `None` where the readings leave none to tell.
        residual: Option<f64>,
    },
}

impl Source {
    /// The source in plain words, to be printed beside every number.
    pub fn in_words(&self) -> String {
        match self {
            Self::Geometry(Formula::WovenScreen) => {
                "from its threads, by published screen formulas and the closest of our own runs"
                    .to_owned()
            }
            Self::Geometry(Formula::FilamentKnit) => {
                "from its threads, by formulas for woven screens".to_owned()
            }
            Self::Geometry(Formula::YarnKnit) => {
                "from its threads, by formulas for woven screens: a guess for yarn".to_owned()
            }
            Self::Geometry(Formula::PerforatedSheet) => {
                "from its holes, by published formulas".to_owned()
            }
            Self::FibreRun => "from our own runs around woven threads".to_owned(),
            Self::Bench {
                reading_count,
                residual: Some(residual),
            } => format!(
                "from {reading_count} bench readings, which it fits within {:.1} %",
                100.0 * residual
            ),
            Self::Bench {
                reading_count: 1, ..
            } => "from one bench reading, which cannot separate friction from wakes".to_owned(),
            Self::Bench { reading_count, .. } => format!("from {reading_count} bench readings"),
        }
    }
}

/// The pressure drop of a fabric over the air speed.
///
/// ```text
/// dp = a U + b U^2
/// U: mean air speed ahead of the fabric (face velocity), m/s
/// a: viscous coefficient, Pa per m/s;   b: inertial coefficient, Pa per (m/s)^2
/// ```
///
/// Both coefficients hold for the air for which the law was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FabricLaw {
    /// Viscous coefficient a, Pa per m/s, 0 or more.
    pub viscous: f64,
    /// Inertial coefficient b, Pa per (m/s)², 0 or more.
    pub inertial: f64,
    /// Air speeds for which the law was made, m/s: of the readings, or those at which the formula was asked.
    pub velocities: (f64, f64),
    /// How far the pressure drop may be off (95 %).
    pub band: Band,
    /// Where the law comes from.
    pub source: Source,
}

impl FabricLaw {
    /// Pressure drop at an air speed (m/s), Pa; a flow the other way gives the negative.
    pub fn pressure_drop(&self, velocity: f64) -> f64 {
        velocity * (self.viscous + self.inertial * velocity.abs())
    }

    /// Pressure drop at an air speed (m/s) with its likely range, Pa.
    pub fn likely_pressure_drop(&self, velocity: f64) -> Likely {
        self.band_at(velocity).about(self.pressure_drop(velocity))
    }

    /// How far the pressure drop may be off (95 %) at an air speed, m/s, above 0.
    ///
    /// One reading does not tell friction from wakes: away from its air speed V anything between the two may hold.
    ///
    /// ```text
    /// dp(U) / dp(V) between U/V (friction alone) and (U/V)^2 (wakes alone)
    /// ```
    pub fn band_at(&self, velocity: f64) -> Band {
        let is_one_reading = matches!(
            self.source,
            Source::Bench {
                reading_count: 1,
                ..
            }
        );
        let read_at = self.velocities.0;
        if !is_one_reading || read_at <= 0.0 || velocity <= 0.0 {
            return self.band;
        }
        let ratio = velocity / read_at;
        let told = self.pressure_drop(velocity) / self.pressure_drop(read_at);
        let ends = [ratio / told, ratio * ratio / told];
        self.band.and(Band {
            low: ends[0].min(ends[1]).min(1.0),
            high: ends[0].max(ends[1]).max(1.0),
        })
    }

    /// Loss coefficient K = dp / (½ρU²) at an air speed (m/s, not 0), on that speed; `density` of the air in kg/m³.
    pub fn loss_coefficient(&self, velocity: f64, density: f64) -> f64 {
        self.pressure_drop(velocity.abs()) / (0.5 * density * velocity * velocity)
    }

    /// Whether a fabric may stand in a ranking by this law: not by the guess for yarn.
    pub fn may_be_ranked(&self) -> bool {
        self.source != Source::Geometry(Formula::YarnKnit)
    }

    /// Whether an air speed (m/s) lies in the range of the law, or beyond it by 20 % at most.
    pub fn covers(&self, velocity: f64) -> bool {
        let (low, high) = self.velocities;
        (low / 1.2..=high * 1.2).contains(&velocity)
    }

    /// The law of a fabric that only the share `open` (above 0, up to 1) of its face lets through: what is left runs at U / `open`.
    ///
    /// ```text
    /// dp = a (U/f) + b (U/f)^2      on the face velocity U: viscous part x 1/f, inertial part x 1/f^2
    /// ```
    ///
    /// Exact for a fabric that lies flat on a plate whose openings it covers, if no air moves along it.
    #[must_use]
    pub fn through_share(&self, open: f64) -> Self {
        Self {
            viscous: self.viscous / open,
            inertial: self.inertial / (open * open),
            velocities: (self.velocities.0 * open, self.velocities.1 * open),
            ..*self
        }
    }

    /// The law for pressure drops `factor` times as large, with a doubt of the factor itself.
    #[must_use]
    pub fn times(&self, factor: f64, doubt: Band) -> Self {
        Self {
            viscous: self.viscous * factor,
            inertial: self.inertial * factor,
            band: self.band.and(doubt),
            ..*self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law() -> FabricLaw {
        FabricLaw {
            viscous: 2.0,
            inertial: 3.0,
            velocities: (0.5, 2.0),
            band: Band::symmetric(0.5),
            source: Source::Geometry(Formula::WovenScreen),
        }
    }

    #[test]
    fn pressure_drop_and_loss_coefficient_are_one_law() {
        assert!((law().pressure_drop(2.0) - 16.0).abs() < 1e-12);
        assert!((law().pressure_drop(-2.0) + 16.0).abs() < 1e-12);
        assert!((law().loss_coefficient(2.0, 1.25) - 6.4).abs() < 1e-12);
        assert!((law().likely_pressure_drop(1.0).high - 7.5).abs() < 1e-12);
    }

    #[test]
    fn half_the_face_doubles_the_viscous_and_quadruples_the_inertial_part() {
        let pressed = law().through_share(0.5);
        assert_eq!((pressed.viscous, pressed.inertial), (4.0, 12.0));
    }

    #[test]
    fn doubts_join_in_squares_of_logarithms() {
        let band = Band {
            low: 0.5,
            high: 2.0,
        };
        let joined = band.and(band);
        assert!((joined.high.ln() - 2_f64.sqrt() * 2_f64.ln()).abs() < 1e-12);
        assert!((joined.low * joined.high - 1.0).abs() < 1e-12);
        assert!((band.and(Band::EXACT).high - band.high).abs() < 1e-12);
    }

    #[test]
    fn only_a_guess_for_yarn_is_kept_out_of_rankings() {
        assert!(law().may_be_ranked());
        let guess = FabricLaw {
            source: Source::Geometry(Formula::YarnKnit),
            ..law()
        };
        assert!(!guess.may_be_ranked());
    }

    #[test]
    fn away_from_its_air_speed_one_reading_says_less() {
        let one = FabricLaw {
            velocities: (1.0, 1.0),
            band: Band::EXACT,
            source: Source::Bench {
                reading_count: 1,
                residual: None,
            },
            ..law()
        };
        assert!((one.band_at(1.0).high - 1.0).abs() < 1e-12);
        // 5 Pa at 1 m/s: at 2 m/s friction alone makes 10 Pa, wakes alone 20 Pa; at half the speed 2.5 and 1.25 Pa.
        for (velocity, low, high) in [(2.0, 10.0, 20.0), (0.5, 1.25, 2.5)] {
            let told = one.likely_pressure_drop(velocity);
            assert!((told.low - low).abs() < 1e-12 && (told.high - high).abs() < 1e-12);
        }
        assert_eq!(law().band_at(9.0), law().band);
    }

    #[test]
    fn a_law_reaches_a_fifth_beyond_its_readings() {
        assert!(law().covers(2.3) && law().covers(0.45));
        assert!(!law().covers(2.5) && !law().covers(0.4));
    }

    #[test]
    fn twice_the_pressure_is_twice_both_coefficients_and_adds_its_own_doubt() {
        let doubt = Band {
            low: 0.8,
            high: 1.25,
        };
        let law = FabricLaw {
            band: Band::EXACT,
            ..law()
        };
        let twice = law.times(2.0, doubt);
        assert_eq!((twice.viscous, twice.inertial), (4.0, 6.0));
        assert!((twice.band.low - 0.8).abs() < 1e-12 && (twice.band.high - 1.25).abs() < 1e-12);
        assert_eq!(twice.velocities, law.velocities);
    }

    #[test]
    fn a_part_that_is_shut_is_read_at_lower_face_velocities() {
        // What runs at 0.5 to 2 m/s through a quarter of the face comes at 0.125 to 0.5 m/s.
        assert_eq!(law().through_share(0.25).velocities, (0.125, 0.5));
    }
}
