//! What every run leaves in its folder: numbers, history, and what its view draws.

use crate::measure::drive::Sample;
use crate::report::run_files::{HistoryRow, RunRecord, write_history, write_run};
use crate::run::planned::Run;
use crate::run::views::SolvedView;
use crate::store::{RUN_FILE, StoreError, StudyFolder, write_whole};
use crate::vtk::Note;

/// Writes the folder of a run; `run.json` last, because its presence says that the run is finished.
pub(in crate::run) fn write(
    folder: &StudyFolder,
    run: &Run,
    solved: &dyn SolvedView,
    record: &RunRecord,
) -> Result<(), StoreError> {
    folder.start_run(&run.key)?;
    let path = |name: &str| folder.run_file(&run.key, name);
    write_whole(&path("history.csv"), |out| {
        write_history(&history(run, &solved.drive().history), out)
    })?;
    solved.write_fields(folder, run, record)?;
    let record = RunRecord {
        files: folder.checksums(&run.key, run.subject.view().file_names())?,
        ..record.clone()
    };
    write_whole(&path(RUN_FILE), |out| write_run(&record, out))
}

/// The history of K in seconds.
fn history(run: &Run, samples: &[Sample]) -> Vec<HistoryRow> {
    let row = |sample: &Sample| HistoryRow {
        time_s: sample.time * run.pitch_time(),
        loss_coefficient: sample.loss_coefficient,
        loss_coefficient_by_force: sample.loss_coefficient_by_force,
        mean_density_error: sample.mean_density,
    };
    samples.iter().map(row).collect()
}

/// What holds for a whole field: whose it is, on which cells, and what the fluctuation is measured by (`fluctuating` says of how many components; `None` for an instant).
pub(in crate::run) fn notes(run: &Run, fluctuating: Option<&str>) -> Vec<Note> {
    let mut notes = vec![
        Note::Text("grille", run.grille.clone()),
        Note::Text("view", run.view().to_string()),
        Note::Text(
            "grid",
            "cells of the lattice itself, nothing resampled".to_owned(),
        ),
        Note::Number("face_velocity_m_per_s", run.face_velocity),
        Note::Number("thickness_mm", 1e3 * run.thickness),
    ];
    if let Some(components) = fluctuating {
        notes.push(Note::Text(
            "turbulence_intensity_is",
            format!(
                "root mean square of the fluctuation of a component of velocity, mean of {components}, over face_velocity_m_per_s"
            ),
        ));
    }
    notes
}
