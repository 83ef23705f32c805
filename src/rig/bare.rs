//! The bare fan in the course of the readings: its level at each place of the meter, and how it drifts.

use crate::rig::compared::Drift;
use crate::rig::same_speed::Taken;
use crate::rig::student::{Line, line, mean};
use crate::rig::unit::Quantity;

/// The level of the bare fan.
pub(super) struct Bare<'a> {
    /// Every place of the meter with the mean of the bare fan there, SI units.
    levels: Vec<(&'a str, f64)>,
    /// Its visits in per cent of those means over the order of reading; `None` where nothing is known to drift.
    line: Option<Line>,
    /// First and last visit.
    span: (f64, f64),
    pub(super) drift: Option<Drift>,
    quantity: Quantity,
}

impl<'a> Bare<'a> {
    /// `visits`: what was read of the bare fan, each time that its turn came.
    pub(super) fn of(visits: &[Vec<Taken<'a>>], quantity: Quantity) -> Self {
        let mut places: Vec<(&str, Vec<f64>)> = Vec::new();
        for taken in visits.iter().flatten() {
            let place = taken.reading.place.as_str();
            match places.iter_mut().find(|(known, _)| *known == place) {
                Some((_, values)) => values.push(taken.si),
                None => places.push((place, vec![taken.si])),
            }
        }
        let levels = places.iter().map(|(place, values)| (*place, mean(values)));
        let mut bare = Self {
            levels: levels.collect(),
            line: None,
            span: (f64::INFINITY, f64::NEG_INFINITY),
            drift: None,
            quantity,
        };
        let points: Vec<(f64, f64)> = visits
            .iter()
            .map(|visit| {
                let of = |value: &dyn Fn(&Taken<'_>) -> f64| {
                    mean(&visit.iter().map(value).collect::<Vec<_>>())
                };
                (
                    of(&|taken| taken.reading.order),
                    of(&|taken| bare.percent(taken)),
                )
            })
            .collect();
        for (order, _) in &points {
            bare.span = (bare.span.0.min(*order), bare.span.1.max(*order));
        }
        if let Some(found) = line(&points).filter(|_| quantity != Quantity::Percent) {
            let (first, last) = bare.span;
            let is_taken_out =
                !found.slope.includes(0.0) && found.at(first) > 0.0 && found.at(last) > 0.0;
            bare.drift = Some(Drift {
                change_percent: found.slope.scaled((last - first) * 100.0 / found.height),
                chance: found.chance,
                is_taken_out,
            });
            bare.line = is_taken_out.then_some(found);
        }
        bare
    }

    /// A reading in per cent of the bare fan as it was at that moment, at the same place of the meter; NaN where the bare fan was not read there. Before the first and
    /// after the last visit its level is that of the first and last.
    pub(super) fn percent(&self, taken: &Taken<'_>) -> f64 {
        if self.quantity == Quantity::Percent {
            return taken.si;
        }
        let place = taken.reading.place.as_str();
        let level = self.levels.iter().find(|(known, _)| *known == place);
        let trend = self.line.map_or(1.0, |line| {
            line.at(taken.reading.order.clamp(self.span.0, self.span.1)) / line.height
        });
        level.map_or(f64::NAN, |(_, level)| 100.0 * taken.si / (level * trend))
    }
}
