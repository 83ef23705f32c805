//! Profiles of the air behind the foremost grilles, for the first screen.

use std::path::Path;

use crate::cli::kept_fields::kept_run;
use crate::fields::profile_behind;
use crate::report::profile_lines::{MOST_PROFILES, Profile, ProfilePlace, Profiles};
use crate::result::{GrilleResult, RunSummary, StudyResult, View};

/// Profiles of the foremost grilles: of the whole fan face where that was solved, else behind a hole. Empty where the fields are gone: that is told elsewhere.
pub(super) fn profiles(result: &StudyResult, folder: &Path) -> Profiles {
    of_fan_views(result).unwrap_or_else(|| of_holes(result, folder))
}

fn of_fan_views(result: &StudyResult) -> Option<Profiles> {
    let bare = result.bare_fan_view.as_ref().and_then(|view| view.seen());
    let bare = bare.map(|seen| ("bare fan", seen));
    let grilles = result.grilles.iter().filter_map(|grille| {
        let seen = grille.fan_view.as_ref()?.seen()?;
        Some((grille.name.as_str(), seen))
    });
    let seen: Vec<_> = bare.into_iter().chain(grilles).collect();
    let first = seen.first()?.1;
    let distance_mm = first.bench_distance_mm;
    let reach_mm = first.bench_profile.last()?.radius_mm;
    let rows = seen.into_iter().filter_map(|(name, seen)| {
        let profile = seen.bench_profile.iter();
        let outwards: Vec<f64> = profile.map(|point| point.axial_m_per_s).collect();
        (!outwards.is_empty()).then(|| Profile {
            grille: name.to_owned(),
            more: 0,
            values: outwards.iter().rev().chain(&outwards).copied().collect(),
        })
    });
    Some(Profiles {
        place: ProfilePlace::FanFace {
            distance_mm,
            reach_mm,
        },
        rows: rows.take(MOST_PROFILES + 1).collect(),
    })
}

fn of_holes(result: &StudyResult, folder: &Path) -> Profiles {
    // A flat view does not see how a hole turns: one run may stand for several grilles.
    let mut runs: Vec<(&RunSummary, Vec<&str>)> = Vec::new();
    for grille in &result.grilles {
        let Some(run) = best_run(grille) else {
            continue;
        };
        match runs.iter_mut().find(|(known, _)| known.key == run.key) {
            Some((_, grilles)) => grilles.push(&grille.name),
            None => runs.push((run, vec![&grille.name])),
        }
    }
    let rows = runs
        .iter()
        .take(MOST_PROFILES)
        .filter_map(|(run, grilles)| {
            let wanted = ["velocity_m_per_s", "solid"];
            let (_, image) = kept_run(folder, &run.key, &wanted).ok()?;
            let values = profile_behind(&image, is_repeat(run), run.face_velocity_m_per_s)?;
            Some(Profile {
                grille: (*grilles.first()?).to_owned(),
                more: grilles.len() - 1,
                values: values.into_iter().map(f64::from).collect(),
            })
        });
    Profiles {
        place: ProfilePlace::Repeat {
            is_flat: runs.iter().any(|(run, _)| !is_repeat(run)),
        },
        rows: rows.collect(),
    }
}

fn is_repeat(run: &RunSummary) -> bool {
    run.view == View::Repeat
}

/// A run in three dimensions shows most, a fine grid more than a coarse one.
fn best_run(grille: &GrilleResult) -> Option<&RunSummary> {
    let valid = grille.runs.iter().filter(|run| run.is_valid);
    valid.max_by(|a, b| {
        is_repeat(a)
            .cmp(&is_repeat(b))
            .then(a.cells_across.total_cmp(&b.cells_across))
    })
}
