//! The mean of a series that starts up, fluctuates and remembers: where to cut, how sure the mean is, and when to stop.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// The mean of the settled part of a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SettledMean {
    /// Mean after the cut.
    pub mean: f64,
    /// Half-width of its 95 % interval.
    pub half_width: f64,
    /// Index of the first value that counts.
    pub cut: usize,
    /// Integrated correlation time, in samples (1 for independent values).
    pub correlation_time: f64,
    /// How many independent values the settled part is worth.
    pub effective_count: f64,
    /// Mean of the last third minus that of the third before it.
    pub drift: f64,
}

/// Why a run stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopReason {
    /// The interval of the mean is narrower than asked.
    Converged,
    /// The step limit came first.
    StepLimit,
    /// The time limit came first.
    TimeBudget,
    /// Numbers stopped being numbers, or the flow ran away.
    Diverged {
        /// Step at which it was noticed.
        step: u64,
    },
    /// Asked to stop from outside.
    Interrupted,
}

/// Number of batches that the cut is searched over.
const BATCHES: usize = 60;

/// Fewest values of which a mean is taken.
const FEWEST: usize = 40;

/// Cuts off the start-up and takes the mean of the rest with its 95 % interval; `None` for fewer than 40 values or any that is not finite.
///
/// The cut minimises the marginal standard error over batches, at most half of the series being cut
/// (K. P. White, Simulation 69 (1997) 323). The interval is Student's with the variance of the mean from the integrated autocorrelation,
/// summed as long as pairs of lags stay positive and fall (C. J. Geyer, Stat. Sci. 7 (1992) 473). Both from memory.
///
/// # Validity
/// Good from some twenty correlation times on; [`is_settled`] asks for more before it lets a run stop.
pub fn settled_mean(series: &[f64]) -> Option<SettledMean> {
    if series.len() < FEWEST || series.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let cut = marginal_standard_error_cut(series);
    let settled = &series[cut..];
    let n = settled.len() as f64;
    let mean = mean_of(settled);
    let (variance, correlation_time) = integrated_correlation(settled, mean);
    let effective_count = (n / correlation_time).max(2.0);
    let quantile = StudentsT::new(0.0, 1.0, (effective_count - 1.0).max(1.0))
        .map_or(2.0, |t| t.inverse_cdf(0.975));
    let third = settled.len() / 3;
    let drift = mean_of(&settled[settled.len() - third..])
        - mean_of(&settled[settled.len() - 2 * third..settled.len() - third]);
    Some(SettledMean {
        mean,
        half_width: quantile * (variance / effective_count).sqrt(),
        cut,
        correlation_time,
        effective_count,
        drift,
    })
}

/// Whether a mean is sure enough to stop: narrower than `tolerance` (relative), worth at least 30 independent values or free of
/// fluctuation, and not drifting by more than the tolerance.
pub fn is_settled(mean: &SettledMean, tolerance: f64) -> bool {
    let allowed = tolerance * mean.mean.abs();
    let is_steady = mean.half_width < 0.02 * allowed;
    mean.half_width < allowed
        && mean.drift.abs() < allowed
        && (is_steady || mean.effective_count >= 30.0)
}

fn mean_of(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn marginal_standard_error_cut(series: &[f64]) -> usize {
    let size = (series.len() / BATCHES).max(1);
    let batches: Vec<f64> = series.chunks_exact(size).map(mean_of).collect();
    let candidates = 0..=batches.len() / 2;
    let error = |from: usize| {
        let rest = &batches[from..];
        let mean = mean_of(rest);
        let squares: f64 = rest.iter().map(|b| (b - mean).powi(2)).sum();
        squares / (rest.len() as f64).powi(2)
    };
    let best = candidates
        .min_by(|&a, &b| error(a).total_cmp(&error(b)))
        .unwrap_or(0);
    best * size
}

/// Variance of the values and their integrated correlation time in samples.
fn integrated_correlation(values: &[f64], mean: f64) -> (f64, f64) {
    let n = values.len();
    let deviations: Vec<f64> = values.iter().map(|v| v - mean).collect();
    let covariance = |lag: usize| -> f64 {
        deviations[lag..]
            .iter()
            .zip(&deviations)
            .map(|(a, b)| a * b)
            .sum::<f64>()
            / n as f64
    };
    let variance = covariance(0);
    if variance <= 0.0 {
        return (0.0, 1.0);
    }
    let mut sum = -variance;
    let mut last_pair = f64::INFINITY;
    let mut lag = 0;
    while lag + 1 < n / 2 {
        let pair = (covariance(lag) + covariance(lag + 1)).min(last_pair);
        if pair <= 0.0 {
            break;
        }
        sum += 2.0 * pair;
        last_pair = pair;
        lag += 2;
    }
    // The sample mean has been subtracted, which hides about one correlation time in the window.
    let time = (sum / variance).max(1.0);
    let corrected = time / (1.0 - time / n as f64).max(0.5);
    (variance / (1.0 - corrected / n as f64).max(0.5), corrected)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small generator of uniform numbers (Marsaglia's xorshift) and normal ones from it.
    struct Noise(u64);

    impl Noise {
        fn uniform(&mut self) -> f64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }

        fn normal(&mut self) -> f64 {
            (-2.0 * self.uniform().max(1e-300).ln()).sqrt()
                * (std::f64::consts::TAU * self.uniform()).cos()
        }

        /// Autoregressive series of first order around 1 with this memory per step, starting far off.
        fn series(&mut self, n: usize, memory: f64) -> Vec<f64> {
            let mut x = 3.0;
            (0..n)
                .map(|_| {
                    x = memory * x + (1.0 - memory * memory).sqrt() * self.normal();
                    1.0 + 0.1 * x
                })
                .collect()
        }
    }

    #[test]
    fn interval_of_a_remembering_series_covers_its_mean() {
        // Correlation time of AR(1) with memory a: (1 + a) / (1 - a) = 19 at 0.9; 100 correlation times.
        let mut noise = Noise(0x2545_F491_4F6C_DD1D);
        let covered = (0..2000)
            .filter(|_| {
                let mean = settled_mean(&noise.series(1900, 0.9)).unwrap();
                (mean.mean - 1.0).abs() <= mean.half_width
            })
            .count();
        let share = covered as f64 / 2000.0;
        assert!((0.93..=0.97).contains(&share), "{share}");
    }

    #[test]
    fn correlation_time_is_that_of_the_model() {
        let mut noise = Noise(7);
        let mean = settled_mean(&noise.series(40_000, 0.8)).unwrap();
        assert!(
            (mean.correlation_time / 9.0 - 1.0).abs() < 0.15,
            "{}",
            mean.correlation_time
        );
    }

    #[test]
    fn start_up_is_cut() {
        let series: Vec<f64> = (0..600)
            .map(|i| 2.0 + 5.0 * (-f64::from(i) / 20.0).exp())
            .collect();
        let mean = settled_mean(&series).unwrap();
        assert!(mean.cut > 60);
        assert!((mean.mean - 2.0).abs() < 1e-3, "{}", mean.mean);
    }

    #[test]
    fn a_drifting_series_is_not_settled() {
        let series: Vec<f64> = (0..600).map(|i| 2.0 + 0.001 * f64::from(i)).collect();
        assert!(!is_settled(&settled_mean(&series).unwrap(), 0.01));
    }

    #[test]
    fn nan_gives_no_mean() {
        let mut series = vec![1.0; 100];
        series[50] = f64::NAN;
        assert!(settled_mean(&series).is_none());
    }
}
