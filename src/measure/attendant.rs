//! How far a run has come, and who stands beside it: what has to be kept so that another program can go on where this one stopped.

use std::io::{self, Read, Write};
use std::ops::ControlFlow;

use crate::lattice::state::{not_fitting, put, take};
use crate::measure::series::StopReason;
use crate::measure::settle::{DriveProgress, Sample};

/// Stands beside a run: is told how far it is, may break it off and may keep its state.
pub trait Attendant {
    /// Asked at every sample, sixty times per pitch-time, and in between where a sample of a large flow takes long.
    ///
    /// `state` is the run as it stands: whoever reads it back goes on bit by bit as if nothing had happened. There is none once the run has come to its end.
    fn attend(
        &mut self,
        progress: &DriveProgress,
        state: Option<&dyn State>,
    ) -> ControlFlow<StopReason>;
}

/// A run as it stands.
pub trait State {
    /// Writes it.
    ///
    /// # Errors
    /// What `out` gives.
    fn save(&self, out: &mut dyn Write) -> io::Result<()>;
}

/// Somebody who only looks.
pub(super) struct Onlooker<'a>(
    pub(super) &'a mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
);

impl Attendant for Onlooker<'_> {
    fn attend(
        &mut self,
        progress: &DriveProgress,
        _state: Option<&dyn State>,
    ) -> ControlFlow<StopReason> {
        (self.0)(progress)
    }
}

/// A state of several parts, one behind the other.
pub(super) struct Parts<'a>(pub(super) &'a dyn Fn(&mut dyn Write) -> io::Result<()>);

impl State for Parts<'_> {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        (self.0)(out)
    }
}

/// What a run remembers besides its flow.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RunHistory {
    /// All samples.
    pub(super) history: Vec<Sample>,
    /// The flow error of each.
    pub(super) flow_errors: Vec<f64>,
    /// Pairs of steps done since the last sample.
    pub(super) pairs: usize,
    /// Time at which early fields are forgotten next.
    pub(super) next_forget: f64,
    /// Whether the last look found it settled.
    pub(super) settled_before: bool,
    /// Mean density of the last time that it was read.
    pub(super) mean_density: f64,
}

impl RunHistory {
    /// The start; fields are collected after `start_up` pitch-times.
    pub(super) fn new(start_up: f64) -> Self {
        Self {
            history: Vec::new(),
            flow_errors: Vec::new(),
            pairs: 0,
            next_forget: 1.5 * start_up,
            settled_before: false,
            mean_density: 0.0,
        }
    }

    /// Writes it.
    pub(super) fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        put(out, self.history.len() as u64)?;
        for (sample, flow_error) in self.history.iter().zip(&self.flow_errors) {
            let numbers = [
                sample.time,
                sample.loss_coefficient,
                sample.loss_coefficient_by_force,
                sample.mean_density,
                *flow_error,
            ];
            numbers.iter().try_for_each(|&number| put(out, number))?;
        }
        put(out, self.pairs as u64)?;
        put(out, self.next_forget)?;
        put(out, u64::from(self.settled_before))?;
        put(out, self.mean_density)
    }

    /// Reads it. What a wrong length asks for is allocated only as far as there is something to read.
    pub(super) fn restore(from: &mut dyn Read) -> io::Result<Self> {
        let count: u64 = take(from)?;
        let mut so_far = Self::new(0.0);
        for _ in 0..count {
            so_far.history.push(Sample {
                time: take(from)?,
                loss_coefficient: take(from)?,
                loss_coefficient_by_force: take(from)?,
                mean_density: take(from)?,
            });
            so_far.flow_errors.push(take(from)?);
        }
        so_far.pairs = usize::try_from(take::<u64>(from)?)
            .map_err(|_| not_fitting("a count of steps is none"))?;
        so_far.next_forget = take(from)?;
        so_far.settled_before = take::<u64>(from)? != 0;
        so_far.mean_density = take(from)?;
        Ok(so_far)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_history_comes_back_as_it_was() {
        let mut so_far = RunHistory::new(7.0);
        for n in 0..100 {
            let time = f64::from(n) / 60.0;
            so_far.history.push(Sample {
                time,
                loss_coefficient: time.sin(),
                loss_coefficient_by_force: time.cos(),
                mean_density: 1e-3 * time,
            });
            so_far.flow_errors.push(-time);
        }
        so_far.pairs = 3;
        so_far.settled_before = true;
        so_far.mean_density = 0.25;
        let mut bytes = Vec::new();
        so_far.save(&mut bytes).unwrap();
        assert_eq!(RunHistory::restore(&mut bytes.as_slice()).unwrap(), so_far);
        for length in 0..bytes.len() {
            assert!(
                RunHistory::restore(&mut &bytes[..length]).is_err(),
                "{length}"
            );
        }
    }

    #[test]
    fn a_length_that_no_memory_holds_is_an_early_end() {
        let mut bytes = u64::MAX.to_le_bytes().to_vec();
        bytes.extend([0; 400]);
        let error = RunHistory::restore(&mut bytes.as_slice()).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::UnexpectedEof);
    }
}
