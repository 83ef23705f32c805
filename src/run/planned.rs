//! A run: one view of one zone at one face velocity on one grid, and what the batch has to know of it.

use std::io::{self, Read};

use serde_json::Value;

use crate::lattice::step::Threads;
use crate::measure::attendant::Attendant;
use crate::measure::series::hidden_width;
use crate::result::View;
use crate::run::views::{SolvedView, Steadiness, Subject};
use crate::store::run_key;
use crate::units::Scale;

/// Version of everything that changes a run's numbers without showing in its inputs. Raise it when results change.
pub(super) const SOLVER_VERSION: u32 = 4;

/// Largest density rise across the plate that is aimed at, on the coarsest grid.
pub(super) const DENSITY_RISE: f64 = 0.008;

/// Largest lattice viscosity: beyond it walls blur.
pub(super) const LARGEST_VISCOSITY: f64 = 0.2;

/// Memory of the program besides its runs, bytes.
pub const PROGRAM_BYTES: u64 = 20_000_000;

/// A run that is planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Name of the first grille that asked for it.
    pub grille: String,
    /// What is solved.
    pub subject: Subject,
    /// Velocity in front of the zone, m/s; of a fan view the mean velocity in the bore.
    pub face_velocity: f64,
    /// Reynolds number of the hole on its hydraulic diameter; of a fan view that of the bore.
    pub hole_reynolds_number: f64,
    /// Plate thickness, m.
    pub thickness: f64,
    /// Lengths and times.
    pub scale: Scale,
    /// Relative half-width of K at which the run may stop.
    pub tolerance: f64,
    /// Relative half-width of what else hides K: it may also stop once no more than a third of that is left in time. 0 where that is not weighed.
    pub other_doubts: f64,
    /// Everything that determines its result.
    pub inputs: Value,
    /// Name of its folder.
    pub key: String,
}

/// Keys, among the inputs of a run, of what only says how long it goes on.
pub(super) const TOLERANCE: &str = "tolerance";
/// See [`TOLERANCE`].
pub(super) const OTHER_DOUBTS: &str = "other_doubts";

/// What tells a run from others: all of its inputs but those that only say how long it goes on.
fn identity(inputs: &Value) -> String {
    let mut inputs = inputs.clone();
    if let Some(inputs) = inputs.as_object_mut() {
        inputs.remove(TOLERANCE);
        inputs.remove(OTHER_DOUBTS);
    }
    inputs.to_string()
}

/// Name of the folder of a run with these inputs, however long it goes on.
pub(super) fn key_of(readable: &str, inputs: &Value) -> String {
    run_key(readable, identity(inputs).as_bytes())
}

/// Whether a key (the name of a folder) belongs to a run with these inputs.
pub fn is_key_of(key: &str, inputs: &Value) -> bool {
    let hash = |key: &str| key.rsplit('-').next().map(str::to_owned);
    hash(key) == hash(&key_of("", inputs))
}

/// Relative half-width of K up to which a run may stop.
fn allowed_width(tolerance: f64, other_doubts: f64) -> f64 {
    tolerance.max(hidden_width(other_doubts))
}

impl Run {
    /// What tells it from others: all of its inputs but those that only say how long it goes on.
    pub fn identity(&self) -> String {
        identity(&self.inputs)
    }

    /// Relative half-width of K up to which it may stop.
    pub fn allowed_width(&self) -> f64 {
        allowed_width(self.tolerance, self.other_doubts)
    }

    /// Whether these inputs are its own, however long a run with them goes on.
    pub(super) fn is_that_of(&self, inputs: &Value) -> bool {
        identity(inputs) == self.identity()
    }

    /// Whether a run with these inputs, which are its own, is as steady in time as it has to be.
    pub(super) fn is_steady_enough(&self, inputs: &Value) -> bool {
        let number = |key: &str| inputs.get(key).and_then(Value::as_f64);
        number(TOLERANCE).is_some_and(|tolerance| {
            let other_doubts = number(OTHER_DOUBTS).unwrap_or(0.0);
            allowed_width(tolerance, other_doubts) <= self.allowed_width()
        })
    }

    /// Goes on as long as an equal run, if that is longer.
    pub(super) fn go_on_like(&mut self, equal: &Self) {
        if equal.allowed_width() < self.allowed_width() {
            self.tolerance = equal.tolerance;
            self.other_doubts = equal.other_doubts;
            self.inputs.clone_from(&equal.inputs);
        }
    }

    /// Which view it is.
    pub fn view(&self) -> View {
        self.subject.view().name()
    }

    /// Whether it is solved in three dimensions.
    pub fn is_repeat(&self) -> bool {
        matches!(self.subject, Subject::Repeat(_))
    }

    /// Number of cells.
    pub fn cell_count(&self) -> usize {
        self.subject.view().cell_count()
    }

    /// Memory of the populations, and in three dimensions of the fields, bytes.
    pub fn memory_bytes(&self) -> u64 {
        self.subject.view().memory_bytes()
    }

    /// Memory that it takes at its peak, about, bytes: besides the fields what beginning it and writing its files takes.
    ///
    /// Seen on one thread, the program itself included: 164.6 MB where [`Run::memory_bytes`] is 113.1, 59.6 where it is 27.7, 20.3 where it is 1.4.
    pub fn peak_bytes(&self) -> u64 {
        self.memory_bytes().saturating_mul(5) / 4 + 8_000_000
    }

    /// Velocity ahead of the plate (of a fan view: in the bore), cells per step.
    pub fn lattice_velocity(&self) -> f64 {
        self.subject.view().lattice_velocity()
    }

    /// Steps in which the undisturbed stream passes one pitch of the repeat, or one diameter of the bore.
    pub fn steps_per_pitch(&self) -> f64 {
        self.subject.view().pitch() / self.lattice_velocity()
    }

    /// A pitch-time in s.
    pub fn pitch_time(&self) -> f64 {
        self.steps_per_pitch() * self.scale.step
    }

    /// The same run at half the lattice velocity: twice the steps.
    #[must_use]
    pub fn at_half_speed(&self) -> Self {
        let mut slower = self.clone();
        slower.subject.view_mut().halve_lattice_velocity();
        slower.scale.step *= 0.5;
        slower
    }

    /// Drives it from the start or from a state that an attendant kept; `None` if it was interrupted.
    ///
    /// # Errors
    /// That the state is not one of this run. Without one there is no error.
    pub(super) fn solve(
        &self,
        threads: Threads,
        from: Option<&mut dyn Read>,
        attendant: &mut dyn Attendant,
    ) -> io::Result<Option<Box<dyn SolvedView>>> {
        let steadiness = Steadiness {
            tolerance: self.tolerance,
            other_doubts: self.other_doubts,
        };
        self.subject
            .view()
            .solve(steadiness, threads, from, attendant)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::planning::plan::plan;
    use crate::study::{Draft, starter};

    fn run() -> Run {
        let draft = Draft::parse(starter("steady").as_bytes(), "steady").unwrap();
        let study = draft.resolve(&mut |_| Err(String::new())).unwrap();
        plan(&study).unwrap().runs.remove(0)
    }

    fn lasting(tolerance: f64, other_doubts: f64) -> Run {
        let mut run = run();
        run.tolerance = tolerance;
        run.other_doubts = other_doubts;
        run.inputs[TOLERANCE] = tolerance.into();
        run.inputs[OTHER_DOUBTS] = other_doubts.into();
        run
    }

    #[test]
    fn a_run_stands_for_one_that_need_not_be_steadier() {
        let (short, long) = (lasting(0.01, 0.09), lasting(0.01, 0.0));
        assert!(short.is_that_of(&long.inputs) && long.is_that_of(&short.inputs));
        assert!(short.is_steady_enough(&long.inputs));
        assert!(!long.is_steady_enough(&short.inputs));
        assert!(long.is_steady_enough(&long.inputs));
        let mut other = long.inputs.clone();
        other["lattice_velocity"] = 0.01.into();
        assert!(!long.is_that_of(&other));
    }

    #[test]
    fn of_two_equal_runs_the_longer_one_is_solved() {
        let (short, long) = (lasting(0.01, 0.09), lasting(0.02, 0.0));
        for (mut first, second) in [(short.clone(), &long), (long.clone(), &short)] {
            first.go_on_like(second);
            assert!((first.allowed_width() - 0.02).abs() < 1e-12);
            assert_eq!(first.inputs, long.inputs);
        }
    }
}
