//! What was read of one design, mount by mount.

use crate::rig::bare::Bare;
use crate::rig::outlier::median;
use crate::rig::same_speed::Taken;
use crate::rig::sealed::PromisedDesign;
use crate::rig::student::mean;

/// Readings of a design, or of the bare fan.
pub(super) struct Group<'a> {
    pub(super) promised: &'a PromisedDesign,
    /// Readings between putting the grille in and taking it out; of the bare fan, those of one visit.
    pub(super) mounts: Vec<Vec<Taken<'a>>>,
    /// Per cent of the bare fan, reading by reading.
    pub(super) percents: Vec<Vec<f64>>,
}

impl<'a> Group<'a> {
    pub(super) fn new(promised: &'a PromisedDesign) -> Self {
        Self {
            promised,
            mounts: Vec::new(),
            percents: Vec::new(),
        }
    }

    /// Puts a reading to those of its remount. `is_visit`: only if that is the latest one and nothing else was read since (the bare fan is never taken out).
    pub(super) fn add(&mut self, taken: Taken<'a>, is_visit: bool, is_next: bool) {
        let remount = taken.reading.remount;
        let same =
            |mount: &Vec<Taken<'_>>| remount.is_some() && mount[0].reading.remount == remount;
        let known = if is_visit {
            self.mounts
                .last_mut()
                .filter(|mount| is_next && same(mount))
        } else {
            self.mounts.iter_mut().find(|mount| same(mount))
        };
        match known {
            Some(mount) => mount.push(taken),
            None => self.mounts.push(vec![taken]),
        }
    }

    /// Works out the per cent of the bare fan.
    pub(super) fn set_against(&mut self, bare: &Bare<'_>) {
        let of_mount =
            |mount: &Vec<Taken<'_>>| mount.iter().map(|taken| bare.percent(taken)).collect();
        self.percents = self.mounts.iter().map(of_mount).collect();
    }

    /// Every reading with its per cent.
    pub(super) fn readings(&self) -> impl Iterator<Item = (&Taken<'a>, f64)> {
        let percents = self.percents.iter().flatten().copied();
        self.mounts.iter().flatten().zip(percents)
    }

    /// One value per mount, since readings of one mount are no repeats of each other; NaN where none of them counts.
    pub(super) fn of_mounts(&self) -> Vec<f64> {
        self.percents
            .iter()
            .map(|mount| mean(&finite(mount)))
            .collect()
    }

    /// The values of the mounts that count.
    pub(super) fn repeats(&self) -> Vec<f64> {
        finite(&self.of_mounts())
    }
}

fn finite(values: &[f64]) -> Vec<f64> {
    values
        .iter()
        .copied()
        .filter(|value| value.is_finite())
        .collect()
}

/// Values in per cent of their median.
pub(super) fn about_median(values: &[f64]) -> Vec<f64> {
    let middle = median(&finite(values));
    values.iter().map(|value| 100.0 * value / middle).collect()
}
