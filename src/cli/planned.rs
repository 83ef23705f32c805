//! The runs of a study as `run`, `check` and `runs` need them.

use crate::cli::{Failure, PlannedRun, RunPlan, StudyOnDisk};
use crate::run::face_foreseen::foreseen_fan_views;
use crate::run::plan::{LARGEST_RUN_BYTES, Plan, TooLarge, ZonePlan, plan};
use crate::run::planned::Run;
use crate::run::schedule::{expected_seconds, schedule};
use crate::study::{Study, Threads};

/// The runs of a study; grilles that do not fit into memory are faults of the study.
pub(super) fn planned(on_disk: &StudyOnDisk) -> Result<Plan, Failure> {
    plan(&on_disk.study).map_err(|grilles| {
        let fault = |grille: TooLarge| {
            on_disk.draft.too_many_cells(
                &grille.grille,
                grille.cell_count,
                grille.memory_bytes,
                LARGEST_RUN_BYTES as f64,
            )
        };
        Failure::Study(grilles.into_iter().map(fault).collect())
    })
}

/// What `check` tells of the runs.
pub(super) fn foreseen(on_disk: &StudyOnDisk) -> Result<Option<RunPlan>, Failure> {
    let plan = planned(on_disk)?;
    let study = &on_disk.study;
    let threads = threads(study);
    let undecided = plan
        .grilles
        .iter()
        .filter(|grille| grille.zones.iter().any(ZonePlan::is_turn_undecided));
    Ok(Some(RunPlan {
        runs: batch(&plan.runs, threads),
        fan_views: batch(&foreseen_fan_views(study, &plan), threads),
        threads,
        undecided: undecided
            .map(|grille| study.grilles[grille.index].name.clone())
            .collect(),
    }))
}

/// The runs of a batch, each with its share of the time.
fn batch(runs: &[Run], threads: usize) -> Vec<PlannedRun> {
    let all: Vec<usize> = (0..runs.len()).collect();
    let order = schedule(runs, &all, threads);
    let work: f64 = runs.iter().map(expected_seconds).sum();
    let planned = runs.iter().map(|run| PlannedRun {
        grille: run.grille.clone(),
        view: run.view_in_words().to_owned(),
        is_three_dimensional: run.is_repeat(),
        face_velocity: run.face_velocity,
        cell_count: run.cell_count() as u64,
        memory_bytes: run.memory_bytes(),
        seconds: expected_seconds(run) / work.max(f64::MIN_POSITIVE) * order.seconds,
    });
    planned.collect()
}

/// Threads that a study asks for.
pub(super) fn threads(study: &Study) -> usize {
    let available = std::thread::available_parallelism().map_or(1, usize::from);
    match study.run.threads {
        Threads::All => available,
        Threads::Count(count) => usize::try_from(count).unwrap_or(available),
    }
}
