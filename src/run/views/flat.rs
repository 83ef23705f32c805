//! A flat view of a zone: one opening in the plane or around its axis.

use std::io::{self, Read};

use crate::lattice::step::Threads;
use crate::likely::Warning;
use crate::measure::attendant::Attendant;
use crate::measure::drive::{DriveLimits, DriveOutcome, Outcome, drive_from};
use crate::report::cautions::TURN_UNDECIDED;
use crate::report::run_files::RunRecord;
use crate::result::View;
use crate::run::planned::Run;
use crate::run::views::plate_record::Plate;
use crate::run::views::zone_view::ZoneView;
use crate::run::views::{CellCost, RunView, SolvedView, Steadiness, flat_files};
use crate::store::{StoreError, StudyFolder};
use crate::tunnel::Domain;

/// Fewest cells across an opening or a rib.
const FEWEST_CELLS: f64 = 6.0;

/// Pitch-times that it usually takes.
const PITCH_TIMES: f64 = 12.0;

/// What its cells cost.
pub(in crate::run) const COST: CellCost = CellCost {
    updates_per_second: 3.3e8,
    field_bytes: 46,
    state_bytes: 9 * 4 + 2 * 4 * 8,
    other_bytes: 320_000,
};

/// A flat view of a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// The zone as the view sees it.
    pub zone: ZoneView,
    /// The domain of the view.
    pub domain: Domain,
    /// Whether its K stands for holes that turn, which the view does not see.
    pub is_turned: bool,
}

/// The doubt about holes that turn.
pub(in crate::run) fn turn_undecided() -> Warning {
    Warning {
        code: TURN_UNDECIDED.into(),
        message: "the openings turn, but the flow is solved as if they were straight; what the turn costs or gains is not decided".to_owned(),
        advice: "compare it with its straight twin on the bench".to_owned(),
    }
}

impl RunView for Flat {
    fn name(&self) -> View {
        self.zone.view.into()
    }

    fn cell_count(&self) -> usize {
        self.domain.cell_count()
    }

    fn memory_bytes(&self) -> u64 {
        self.domain.memory_bytes()
    }

    fn lattice_velocity(&self) -> f64 {
        self.domain.face_velocity.0
    }

    fn halve_lattice_velocity(&mut self) {
        self.domain.face_velocity.0 *= 0.5;
    }

    fn pitch(&self) -> f64 {
        self.domain.layout().pitch
    }

    fn expected_pitch_times(&self, _: bool) -> f64 {
        PITCH_TIMES
    }

    fn cost(&self) -> CellCost {
        COST
    }

    fn file_names(&self) -> &'static [&'static str] {
        &["history.csv", "mean.vti", "last.vti", "picture.png"]
    }

    fn solve(
        &self,
        steadiness: Steadiness,
        threads: Threads,
        from: Option<&mut dyn Read>,
        attendant: &mut dyn Attendant,
    ) -> io::Result<Option<Box<dyn SolvedView>>> {
        let limits = DriveLimits {
            tolerance: steadiness.tolerance,
            other_doubts: steadiness.other_doubts,
            ..DriveLimits::default()
        };
        let outcome = drive_from(&self.domain, &limits, threads, from, attendant)?;
        Ok(outcome.map(|outcome| {
            let flat = self.clone();
            Box::new(SolvedFlat { flat, outcome }) as Box<dyn SolvedView>
        }))
    }
}

/// A flat view with what came out of it.
struct SolvedFlat {
    flat: Flat,
    outcome: Outcome,
}

impl SolvedView for SolvedFlat {
    fn drive(&self) -> &DriveOutcome {
        &self.outcome.drive
    }

    fn record(&self, run: &Run, elapsed: f64) -> RunRecord {
        let layout = &self.outcome.layout;
        let domain = &self.flat.domain;
        let rib = 2.0 * (layout.section.cells_across as f64 - layout.section.opening);
        let plate = Plate {
            drive: &self.outcome.drive,
            oblique: None,
            cells_across: layout.cells_across_opening,
            narrowest: layout.cells_across_opening.min(rib),
            narrowest_wanted: FEWEST_CELLS,
            free_area_ratio: domain.free_area_ratio,
            room: [domain.pitches_ahead, domain.pitches_behind],
            doubt: self.flat.is_turned.then(turn_undecided),
        };
        plate.record(run, elapsed)
    }

    fn write_fields(
        &self,
        folder: &StudyFolder,
        run: &Run,
        record: &RunRecord,
    ) -> Result<(), StoreError> {
        flat_files::write(folder, run, &self.flat, &self.outcome, record)
    }
}
