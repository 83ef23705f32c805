//! The bare fan in the course of the readings: its level, and how it drifts.

use crate::bench::compared::Drift;
use crate::bench::readings::{Quantity, Reading};
use crate::bench::student::{Line, line, mean};

/// The level of the bare fan.
pub(super) struct Bare {
    /// Readings in SI units, drift taken out.
    pub(super) values: Vec<f64>,
    line: Option<Line>,
    /// First and last moment of a reading.
    span: (f64, f64),
    pub(super) drift: Option<Drift>,
}

impl Bare {
    pub(super) fn of(readings: &[&Reading], quantity: Quantity) -> Self {
        let points: Vec<(f64, f64)> = readings.iter().map(|r| (r.order, r.si())).collect();
        let span = points
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (x, _)| {
                (low.min(*x), high.max(*x))
            });
        let found = line(&points).filter(|line| quantity != Quantity::Percent && line.height > 0.0);
        let drift = found.map(|line| {
            let to_percent = 100.0 * (span.1 - span.0) / line.height;
            Drift {
                change_percent: line.slope.scaled(to_percent),
                chance: line.chance,
                is_taken_out: !line.slope.includes(0.0),
            }
        });
        let line = found.filter(|line| {
            !line.slope.includes(0.0) && line.at(span.0) > 0.0 && line.at(span.1) > 0.0
        });
        let drift = drift.map(|drift| Drift {
            is_taken_out: line.is_some(),
            ..drift
        });
        let values = points.iter().map(|(x, y)| match line {
            Some(line) => y + line.height - line.at(*x),
            None => *y,
        });
        Self {
            values: values.collect(),
            line,
            span,
            drift,
        }
    }

    /// Level at a moment, in SI units; before the first and after the last reading that of the first and last. NaN without readings.
    fn level(&self, order: f64) -> f64 {
        match self.line {
            Some(line) => line.at(order.clamp(self.span.0, self.span.1)),
            None => mean(&self.values),
        }
    }

    /// Its own readings in per cent of their mean, drift taken out: the mean is 100.
    pub(super) fn percents(&self) -> Vec<f64> {
        let mean = mean(&self.values);
        self.values
            .iter()
            .map(|value| 100.0 * value / mean)
            .collect()
    }

    /// A reading in per cent of the bare fan; NaN where there is none.
    pub(super) fn percent(&self, reading: &Reading, quantity: Quantity) -> f64 {
        if quantity == Quantity::Percent {
            reading.value
        } else {
            100.0 * reading.si() / self.level(reading.order)
        }
    }
}
