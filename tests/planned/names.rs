//! Grilles whose names differ only in large and small letters, or in signs that no folder keeps, stay apart on every file system.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::collections::BTreeSet;

use ventwright::run::fan_view::foreseen::foreseen_fan_views;
use ventwright::run::film::films;
use ventwright::run::planning::plan::plan;
use ventwright::study::{Draft, FilmView, Smoke, Study};

const ALIKE: [&str; 4] = ["Wide comb", "wide comb", "wide-comb", "WIDE (comb)"];

/// A study of grilles under these names behind a fan, each with its own width of the ribs.
fn study(names: &[&str], ribs_mm: &[f64]) -> Study {
    let grille = |(name, rib): (&&str, &f64)| {
        format!(
            "[[grille]]\nname = \"{name}\"\nthickness_mm = 3\n[grille.holes]\nshape = \"square\"\nside_mm = 5\nrib_mm = {rib}\n"
        )
    };
    let grilles: String = names.iter().zip(ribs_mm).map(grille).collect();
    let text = format!(
        "format = 1\nstudy.name = \"plan\"\nplace = {{ side = \"exhaust\" }}\nrun = {{ quality = \"standard\" }}\n\
         [fan]\nbore_mm = 90\nhub_mm = 30\nspeed_rpm = 1500\nfree_flow_m3_per_h = 60\nshut_off_pressure_pa = 20\n{grilles}"
    );
    let draft = Draft::parse(text.as_bytes(), "plan.toml").unwrap();
    draft.resolve(&mut |_| Err(String::new())).unwrap()
}

/// Keys as a file system sees them that knows no large letters.
fn in_small_letters<'a>(keys: impl Iterator<Item = &'a String>) -> BTreeSet<String> {
    keys.map(|key| key.to_lowercase()).collect()
}

#[test]
fn runs_of_names_that_look_alike_lie_in_folders_of_their_own() {
    let plan = plan(&study(&ALIKE, &[1.2, 1.4, 1.6, 1.8])).unwrap();
    let keys = in_small_letters(plan.runs.iter().map(|run| &run.key));
    assert_eq!(keys.len(), plan.runs.len());
    let owners: BTreeSet<&str> = plan.runs.iter().map(|run| run.grille.as_str()).collect();
    assert_eq!(owners, ALIKE.into(), "each has runs of its own");
}

#[test]
fn the_same_holes_under_names_that_look_alike_stay_two_grilles_with_one_set_of_runs() {
    let study = study(&ALIKE[..2], &[1.2, 1.2]);
    let plan = plan(&study).unwrap();
    assert_eq!(plan.grilles.len(), 2);
    let alone = plan.runs.iter().all(|run| run.grille == ALIKE[0]);
    assert!(alone, "what is equal in all but its name is solved once");
    let keys = in_small_letters(plan.runs.iter().map(|run| &run.key));
    assert_eq!(keys.len(), plan.runs.len());
}

#[test]
fn films_of_names_that_look_alike_lie_in_files_of_their_own() {
    let study = study(&ALIKE, &[1.2; 4]);
    let plan = plan(&study).unwrap();
    let faces = foreseen_fan_views(&study, &plan);
    let smoke = Smoke {
        views: vec![FilmView::Fan, FilmView::Slice, FilmView::Repeat],
        ..study.smoke.clone()
    };
    let films = films(&study, &plan, &faces, &smoke, &[0, 1, 2, 3]);
    assert!(films.len() >= 2);
    let shots = films.iter().flat_map(|film| &film.shots);
    let keys = in_small_letters(shots.clone().map(|shot| &shot.key));
    assert_eq!(keys.len(), shots.count(), "{keys:?}");
}
