//! The runs of a study as `run`, `check` and `runs` need them.

use std::collections::HashSet;

use jiff::ZonedDateTime;

use crate::cli::clock::seconds_of;
use crate::cli::machine::{capacity, threads};
use crate::cli::{BudgetForeseen, Disk, Failure, FilmsForeseen, PlannedRun, RunPlan, StudyOnDisk};
use crate::run::batch::disk::{batch_disk_bytes, disk_bytes};
use crate::run::batch::forecast::expected_seconds;
use crate::run::batch::schedule::{Capacity, schedule};
use crate::run::budget::for_fan_views;
use crate::run::fan_view::foreseen::foreseen_fan_views;
use crate::run::film::{MOST_GRILLES, expected_film_seconds, films};
use crate::run::planned::Run;
use crate::run::planning::plan::{Plan, TooLarge, ZonePlan, largest_run_bytes, plan};
use crate::study::{Quality, Study};

/// The runs of a study; grilles that do not fit into memory are faults of the study.
pub(super) fn planned(on_disk: &StudyOnDisk) -> Result<Plan, Failure> {
    plan(&on_disk.study).map_err(|grilles| too_large(on_disk, grilles))
}

/// Grilles that do not fit into memory, as faults of the study.
pub(super) fn too_large(on_disk: &StudyOnDisk, grilles: Vec<TooLarge>) -> Failure {
    let fault = |grille: TooLarge| {
        on_disk.draft.too_many_cells(
            &grille.grille,
            grille.cell_count,
            grille.memory_bytes,
            largest_run_bytes(&on_disk.study) as f64,
        )
    };
    Failure::Study(grilles.into_iter().map(fault).collect())
}

/// What `check` tells of the runs.
pub(super) fn foreseen(on_disk: &StudyOnDisk) -> Result<Option<RunPlan>, Failure> {
    let study = &on_disk.study;
    let capacity = capacity(study, threads(study));
    let plan_at =
        |quality: Quality| plan(&study.at(quality)).map_err(|grilles| too_large(on_disk, grilles));
    let (plan, budget) = match study.run.budget {
        None => (planned(on_disk)?, None),
        Some(budget) => {
            let deeper = [Quality::Standard, Quality::Overnight].into_iter();
            let deeper = deeper.filter(|quality| *quality <= study.run.quality);
            let each = |quality: Quality| {
                // What does not fit into memory stays as it is.
                let plan = plan_at(quality).ok()?;
                let seconds: f64 = batch(&plan.runs, capacity)
                    .iter()
                    .map(|run| run.seconds)
                    .sum();
                Some((
                    quality.to_string(),
                    seconds / plan.grilles.len().max(1) as f64,
                ))
            };
            let foreseen = BudgetForeseen {
                given: seconds_of(budget, &ZonedDateTime::now()),
                deeper: deeper.filter_map(each).collect(),
            };
            (plan_at(Quality::Quick)?, Some(foreseen))
        }
    };
    let undecided = plan
        .grilles
        .iter()
        .filter(|grille| grille.zones.iter().any(ZonePlan::is_turn_undecided));
    let views = foreseen_fan_views(&for_fan_views(study), &plan).runs;
    // With a budget, of everything that it could lead to.
    let deepest = budget
        .as_ref()
        .and_then(|_| plan_at(study.run.quality).ok());
    let mut kept = plan.runs.clone();
    kept.extend(deepest.map_or_else(Vec::new, |plan| plan.runs));
    kept.extend(views.iter().cloned());
    let mut keys = HashSet::new();
    kept.retain(|run| keys.insert(run.key.clone()));
    Ok(Some(RunPlan {
        runs: batch(&plan.runs, capacity),
        fan_views: batch(&views, capacity),
        threads: capacity.threads,
        memory_limit: capacity.memory_bytes,
        disk: Disk {
            left: kept.iter().map(|run| disk_bytes(run).files).sum(),
            most: batch_disk_bytes(&kept, capacity.threads),
        },
        budget,
        films: foreseen_films(study, &plan, capacity),
        undecided: undecided
            .map(|grille| study.grilles[grille.index].name.clone())
            .collect(),
    }))
}

/// The films of the first grilles, as `smoke` would make them after the ranking.
fn foreseen_films(study: &Study, plan: &Plan, capacity: Capacity) -> FilmsForeseen {
    // A film of the fan face is made whether the study asks for its numbers or not.
    let mut filmed = for_fan_views(study);
    filmed.fan_view = filmed.fan_view.or_else(|| filmed.usual_fan_view());
    let faces = foreseen_fan_views(&filmed, plan);
    let grilles = plan.grilles.iter().take(MOST_GRILLES);
    let places: Vec<usize> = grilles.map(|grille| grille.index).collect();
    let films = films(study, plan, &faces, &study.smoke, &places);
    FilmsForeseen {
        count: films.len(),
        panels: films.iter().map(|film| film.shots.len()).sum(),
        seconds: expected_film_seconds(&films, capacity),
    }
}

/// The runs of a batch, each with its share of the time.
fn batch(runs: &[Run], capacity: Capacity) -> Vec<PlannedRun> {
    let all: Vec<usize> = (0..runs.len()).collect();
    let order = schedule(runs, &all, capacity);
    let work: f64 = runs.iter().map(expected_seconds).sum();
    let planned = runs.iter().map(|run| PlannedRun {
        grille: run.grille.clone(),
        view: run.view(),
        is_three_dimensional: run.is_repeat(),
        face_velocity: run.face_velocity,
        cell_count: run.cell_count() as u64,
        memory_bytes: run.peak_bytes(),
        allowed_width: run.allowed_width(),
        seconds: expected_seconds(run) / work.max(f64::MIN_POSITIVE) * order.seconds,
    });
    planned.collect()
}
