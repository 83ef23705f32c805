//! From readings on a bench to a law: the most trusted source of all.

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::fabric::fit;
use crate::fabric::law::{Band, FabricLaw, Source};

/// How well a hobby bench is taken to read pressure where nobody says better: ±10 % (common practice, no source).
pub const DEFAULT_ACCURACY: f64 = 0.1;

/// Least ratio of the largest to the smallest air speed of readings that split friction from wakes.
pub const LEAST_SPREAD: f64 = 1.25;

/// One reading: an air speed ahead of the fabric and the pressure that it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Mean air speed ahead of the fabric, m/s, above 0.
    pub velocity: f64,
    /// Pressure drop, Pa, above 0.
    pub pressure: f64,
}

impl Reading {
    /// A reading of a flow (m³/s) through an area (m²) and the pressure (Pa).
    pub fn of_flow(flow: f64, area: f64, pressure: f64) -> Self {
        Self {
            velocity: flow / area,
            pressure,
        }
    }
}

/// Readings that make no law.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BenchError {
    /// There is none.
    #[error("there are no readings")]
    NoReading,
    /// A speed or a pressure that is not above 0.
    #[error("reading {number} is {pressure} Pa at {velocity} m/s: both must be above 0")]
    NotPositive {
        /// Which one, counted from 1.
        number: usize,
        /// Its air speed, m/s.
        velocity: f64,
        /// Its pressure, Pa.
        pressure: f64,
    },
    /// Several readings at about one speed.
    #[error(
        "the readings are between {low:.2} and {high:.2} m/s: too close together to separate friction from wakes"
    )]
    OneVelocity {
        /// Smallest air speed, m/s.
        low: f64,
        /// Largest air speed, m/s.
        high: f64,
    },
    /// The fan has nothing left for the fabric at the flow that was read.
    #[error("at {share} of the bare fan's flow the fan has no pressure left for the fabric")]
    NothingLeft {
        /// Share of the bare fan's flow that was read.
        share: f64,
    },
}

/// What the fan and the rig do without the fabric: turns a share of the bare fan's flow into a reading.
pub struct BareFan<'a> {
    /// Flow without the fabric, m³/s.
    pub flow: f64,
    /// Area of the fabric through which the flow goes, m².
    pub area: f64,
    /// Pressure (Pa) that the fan makes beyond what everything else costs, at a flow in m³/s; `None` where the fan's curve does not reach.
    pub spare_pressure: &'a dyn Fn(f64) -> Option<f64>,
}

impl BareFan<'_> {
    /// The reading behind "with the fabric it is `share` of the bare fan's flow" (0.6 for 60 %).
    ///
    /// What the fan makes at that flow beyond what the rest costs is what the fabric takes.
    ///
    /// # Errors
    /// [`BenchError::NothingLeft`] where the fan has nothing to spare, or its curve does not reach.
    pub fn reading(&self, share: f64) -> Result<Reading, BenchError> {
        let flow = share * self.flow;
        let spare = (self.spare_pressure)(flow).filter(|pressure| *pressure > 0.0);
        let pressure = spare.ok_or(BenchError::NothingLeft { share })?;
        Ok(Reading::of_flow(flow, self.area, pressure))
    }
}

/// The law through readings.
///
/// Two or more: least squares of the relative differences, both coefficients 0 or more.
/// One: the split between friction and wakes is taken from `like`, or by halves without it, and the law holds near that speed only.
///
/// ```text
/// half-width of the band (95 %), relative: sqrt(accuracy^2 + (t s)^2 2/n)
/// s: residual with n - 2 degrees of freedom;  t: quantile of Student's distribution;  n: readings
/// ```
///
/// `accuracy` is what the instruments may be off at 95 %, relative: a common error that no number of readings takes away.
///
/// # Errors
/// [`BenchError`]: no reading, one that is not positive, or several at one speed.
///
/// # Examples
/// ```
/// use ventwright::fabric::{Reading, law_of_readings};
/// let readings = [0.5, 1.0, 2.0].map(|velocity| Reading { velocity, pressure: 2.0 * velocity + velocity * velocity });
/// let law = law_of_readings(&readings, 0.05, None)?;
/// assert!((law.viscous - 2.0).abs() < 1e-9 && (law.inertial - 1.0).abs() < 1e-9);
/// # Ok::<(), ventwright::fabric::BenchError>(())
/// ```
pub fn law_of_readings(
    readings: &[Reading],
    accuracy: f64,
    like: Option<&FabricLaw>,
) -> Result<FabricLaw, BenchError> {
    for (index, reading) in readings.iter().enumerate() {
        let Reading { velocity, pressure } = *reading;
        let is_positive = velocity > 0.0 && pressure > 0.0;
        if !is_positive || !velocity.is_finite() || !pressure.is_finite() {
            let number = index + 1;
            return Err(BenchError::NotPositive {
                number,
                velocity,
                pressure,
            });
        }
    }
    let velocities = readings.iter().map(|reading| reading.velocity);
    let low = velocities.clone().fold(f64::INFINITY, f64::min);
    let high = velocities.fold(0.0, f64::max);
    let (viscous, inertial) = match readings {
        [] => return Err(BenchError::NoReading),
        [one] => through_one(one, like),
        _ if high < LEAST_SPREAD * low => return Err(BenchError::OneVelocity { low, high }),
        _ => {
            let points: Vec<(f64, f64)> = readings
                .iter()
                .map(|reading| (reading.velocity, reading.pressure))
                .collect();
            fit::coefficients(&points)
        }
    };
    let squares: f64 = readings
        .iter()
        .map(|reading| {
            let velocity = reading.velocity;
            let predicted = velocity * (viscous + inertial * velocity);
            (predicted / reading.pressure - 1.0).powi(2)
        })
        .sum();
    let count = readings.len();
    let (residual, scatter) = if count > 2 {
        let freedom = (count - 2) as f64;
        let of_mean = (squares / freedom * 2.0 / count as f64).sqrt();
        let rms = (squares / count as f64).sqrt();
        (Some(rms), student_quantile(freedom) * of_mean)
    } else {
        // Two readings that no law with positive coefficients meets leave a difference; two that one meets leave none to tell.
        let rms = (squares / count as f64).sqrt();
        ((rms > 1e-9).then_some(rms), 2.0 * rms)
    };
    let half_width = accuracy.hypot(scatter);
    Ok(FabricLaw {
        viscous,
        inertial,
        velocities: (low, high),
        band: Band {
            low: 1.0 / (1.0 + half_width),
            high: 1.0 + half_width,
        },
        source: Source::Bench {
            reading_count: count,
            residual,
        },
    })
}

/// Coefficients that meet one reading, split as `like` splits at that speed, or by halves.
fn through_one(reading: &Reading, like: Option<&FabricLaw>) -> (f64, f64) {
    let velocity = reading.velocity;
    let share = like.map_or(0.5, |law| {
        law.viscous / (law.viscous + law.inertial * velocity)
    });
    let viscous = share * reading.pressure / velocity;
    let inertial = (1.0 - share) * reading.pressure / (velocity * velocity);
    (viscous, inertial)
}

/// Quantile of Student's distribution that leaves 2.5 % above it.
fn student_quantile(freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::INFINITY, |t| t.inverse_cdf(0.975))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_without_sense_are_refused() {
        let reading = |velocity, pressure| Reading { velocity, pressure };
        assert_eq!(law_of_readings(&[], 0.1, None), Err(BenchError::NoReading));
        assert!(matches!(
            law_of_readings(&[reading(1.0, 0.0)], 0.1, None),
            Err(BenchError::NotPositive { number: 1, .. })
        ));
        assert!(matches!(
            law_of_readings(&[reading(1.0, 2.0), reading(1.1, 2.3)], 0.1, None),
            Err(BenchError::OneVelocity { .. })
        ));
    }

    #[test]
    fn one_reading_is_met_and_reaches_no_further_than_a_fifth() {
        let reading = Reading {
            velocity: 1.5,
            pressure: 6.0,
        };
        let law = law_of_readings(&[reading], 0.1, None).unwrap();
        assert!((law.pressure_drop(1.5) - 6.0).abs() < 1e-12);
        assert!(!law.covers(2.0) && law.covers(1.7));
    }

    #[test]
    fn scattered_readings_widen_the_band() {
        let law = |shift: f64| {
            let readings = [
                (0.5, 1.0),
                (1.0, 3.0 * (1.0 + shift)),
                (1.5, 6.0),
                (2.0, 10.0),
            ]
            .map(|(velocity, pressure)| Reading { velocity, pressure });
            law_of_readings(&readings, 0.05, None).unwrap()
        };
        assert!((law(0.0).band.high - 1.05).abs() < 1e-9);
        assert!(law(0.2).band.high > 1.1);
    }

    #[test]
    fn a_share_of_the_bare_flow_is_what_the_fan_has_to_spare() {
        // A straight curve of 20 Pa and 0.04 m3/s against nothing else: at half the flow it has 10 Pa to spare.
        let spare = |flow: f64| Some(20.0 * (1.0 - flow / 0.04));
        let fan = BareFan {
            flow: 0.04,
            area: 0.01,
            spare_pressure: &spare,
        };
        let reading = fan.reading(0.5).unwrap();
        assert!((reading.velocity - 2.0).abs() < 1e-12 && (reading.pressure - 10.0).abs() < 1e-12);
        assert_eq!(
            fan.reading(1.0),
            Err(BenchError::NothingLeft { share: 1.0 })
        );
    }

    #[test]
    fn the_band_of_readings_by_hand() {
        // At each of two speeds two readings, m/(1 + e) and m/(1 - e) of the law's own m, e = 0.1. Least squares of the relative differences then give m/(1 + e²), and the squares of the
        // differences are 2e²/(1 + e²) at each speed. So s² = 4e²/(1 + e²)/2 with two degrees of freedom, and t s √(2/4) = t e/√(1 + e²), t = 4.3027 (tables of Student's distribution).
        let e = 0.1_f64;
        let readings: Vec<Reading> = [(1.0, 5.0), (2.0, 16.0)]
            .into_iter()
            .flat_map(|(velocity, m)| {
                [m / (1.0 + e), m / (1.0 - e)].map(|pressure| Reading { velocity, pressure })
            })
            .collect();
        let law = law_of_readings(&readings, 0.05, None).unwrap();
        let one_and_square = 1.0 + e * e;
        // 5 Pa at 1 m/s and 16 Pa at 2 m/s are 2 U + 3 U².
        assert!((law.viscous - 2.0 / one_and_square).abs() < 1e-9);
        assert!((law.inertial - 3.0 / one_and_square).abs() < 1e-9);
        let rms = e / one_and_square.sqrt();
        let half_width = 0.05_f64.hypot(4.302_653 * rms);
        assert!((law.band.high - 1.0 - half_width).abs() < 1e-6);
        assert!((law.band.low - 1.0 / (1.0 + half_width)).abs() < 1e-6);
        let Source::Bench {
            reading_count: 4,
            residual: Some(residual),
        } = law.source
        else {
            panic!("{:?}", law.source);
        };
        assert!((residual - rms).abs() < 1e-9);
    }

    #[test]
    fn two_readings_that_no_law_meets_leave_twice_their_difference() {
        // 1 Pa at 1 and at 2 m/s: even friction alone rises too fast. It takes a = 0.6, which minimises (a - 1)² + (2a - 1)² and misses by -0.4 and +0.2: a root mean square of √0.1.
        let readings = [1.0, 2.0].map(|velocity| Reading {
            velocity,
            pressure: 1.0,
        });
        let law = law_of_readings(&readings, 0.05, None).unwrap();
        assert!((law.viscous - 0.6).abs() < 1e-12 && law.inertial.abs() < 1e-12);
        let half_width = (0.05_f64.powi(2) + 4.0 * 0.1).sqrt();
        assert!((law.band.high - 1.0 - half_width).abs() < 1e-12);
        // Two that a law meets tell nothing of their scatter.
        let met =
            [(1.0, 5.0), (2.0, 16.0)].map(|(velocity, pressure)| Reading { velocity, pressure });
        let law = law_of_readings(&met, 0.05, None).unwrap();
        assert!((law.band.high - 1.05).abs() < 1e-6);
        assert!(matches!(law.source, Source::Bench { residual: None, .. }));
    }

    #[test]
    fn one_reading_is_split_as_a_fabric_like_it_is() {
        // Like 3 U + U²: of 10 Pa at 2 m/s friction has 6. Twice that pressure is twice that fabric.
        let like = FabricLaw {
            viscous: 3.0,
            inertial: 1.0,
            velocities: (0.25, 4.0),
            band: Band::EXACT,
            source: Source::FibreRun,
        };
        let reading = Reading {
            velocity: 2.0,
            pressure: 20.0,
        };
        let law = law_of_readings(&[reading], 0.1, Some(&like)).unwrap();
        assert!((law.viscous - 6.0).abs() < 1e-12 && (law.inertial - 2.0).abs() < 1e-12);
        // Without one it is split by halves: 10 Pa each.
        let law = law_of_readings(&[reading], 0.1, None).unwrap();
        assert!((law.viscous - 5.0).abs() < 1e-12 && (law.inertial - 2.5).abs() < 1e-12);
        assert!((law.band.high - 1.1).abs() < 1e-12 && (law.band.low - 1.0 / 1.1).abs() < 1e-12);
    }
}
