//! The views that a run can take: what each solves, how it is driven, what is told of it, and which files it leaves.
//!
//! A run asks its view through `RunView`, and what came out through `SolvedView`; nothing else has to know which kinds there are. [`flat`] and [`repeat`] are views of a zone,
//! [`fan`] is that of the whole fan face.

use std::io::{self, Read};

use crate::lattice::step::Threads;
use crate::measure::attendant::Attendant;
use crate::measure::drive::DriveOutcome;
use crate::report::run_files::RunRecord;
use crate::result::View;
use crate::run::planned::Run;
use crate::run::views::fan::Face;
use crate::run::views::flat::Flat;
use crate::run::views::repeat::Repeat;
use crate::store::{StoreError, StudyFolder};

pub mod fan;
mod fan_files;
pub(super) mod fan_record;
pub(super) mod files;
pub mod flat;
mod flat_files;
mod plate_record;
pub mod repeat;
mod repeat_files;
pub mod zone_view;

/// What a run solves.
#[derive(Debug, Clone, PartialEq)]
pub enum Subject {
    /// A flat view of a zone.
    Flat(Flat),
    /// The true holes of a zone, in three dimensions.
    Repeat(Box<Repeat>),
    /// The whole fan face.
    Face(Box<Face>),
}

impl Subject {
    pub(in crate::run) fn view(&self) -> &dyn RunView {
        match self {
            Self::Flat(flat) => flat,
            Self::Repeat(repeat) => &**repeat,
            Self::Face(face) => &**face,
        }
    }

    pub(super) fn view_mut(&mut self) -> &mut dyn RunView {
        match self {
            Self::Flat(flat) => flat,
            Self::Repeat(repeat) => &mut **repeat,
            Self::Face(face) => &mut **face,
        }
    }
}

/// A view that a run can take.
pub(super) trait RunView {
    /// What it is called.
    fn name(&self) -> View;

    /// Number of cells.
    fn cell_count(&self) -> usize;

    /// Memory of the populations, and of the fields where they are large beside them, bytes.
    fn memory_bytes(&self) -> u64;

    /// Velocity ahead of the plate (of a fan view: in the bore), cells per step.
    fn lattice_velocity(&self) -> f64;

    /// Takes twice the steps.
    fn halve_lattice_velocity(&mut self);

    /// Pitch of the repeat, or diameter of the bore, cells.
    fn pitch(&self) -> f64;

    /// Time, in pitch-times, that a run takes about; `is_weighed` says whether its end is weighed against what else hides its K.
    fn expected_pitch_times(&self, is_weighed: bool) -> f64;

    /// What its cells cost.
    fn cost(&self) -> CellCost;

    /// Names of the files that a finished run has beside `run.json`.
    fn file_names(&self) -> &'static [&'static str];

    /// Drives it from the start or from a state that an attendant kept, to a half-width of K that may be `tolerance`, or hidden by `other_doubts` (both as parts of K); `None` if it was
    /// interrupted.
    ///
    /// # Errors
    /// That the state is not one of this run. Without one there is no error.
    fn solve(
        &self,
        steadiness: Steadiness,
        threads: Threads,
        from: Option<&mut dyn Read>,
        attendant: &mut dyn Attendant,
    ) -> io::Result<Option<Box<dyn SolvedView>>>;
}

/// How steady a run has to be, in relative half-widths of K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Steadiness {
    /// At which it may stop.
    pub(in crate::run) tolerance: f64,
    /// What else hides K; see [`crate::measure::drive::DriveLimits`].
    pub(super) other_doubts: f64,
}

/// What the cells of a view cost in time and on disk, on idle cores and as seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CellCost {
    /// Cell updates per second of one thread, sampling included.
    pub(super) updates_per_second: f64,
    /// Bytes per cell of both files of fields.
    pub(super) field_bytes: u64,
    /// Bytes per cell of a checkpoint: populations and two spans of sums.
    pub(super) state_bytes: u64,
    /// Bytes of picture, history and, in three dimensions, the plate.
    pub(super) other_bytes: u64,
}

/// What came out of a run.
pub(super) trait SolvedView {
    /// What every run comes to.
    fn drive(&self) -> &DriveOutcome;

    /// Its numbers, with every doubt about them. `elapsed` in seconds.
    fn record(&self, run: &Run, elapsed: f64) -> RunRecord;

    /// Writes its fields and pictures into the folder of the run.
    fn write_fields(
        &self,
        folder: &StudyFolder,
        run: &Run,
        record: &RunRecord,
    ) -> Result<(), StoreError>;
}
