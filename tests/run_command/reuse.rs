//! Same study, same bytes; finished runs are reused and only what changed is solved.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::stage::{
    SMALL_ROUND, base, base_study, copy_of_base, edit, ranking, ranking_value, run_files,
    run_folders, solved, stage, text, ventwright,
};

#[test]
fn the_resolved_copy_is_the_same_study() {
    let folder = copy_of_base();
    fs::copy(
        folder.path().join("results/tiny/study.toml"),
        folder.path().join("tiny.toml"),
    )
    .unwrap();
    let again = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(again.status.code(), Some(0));
    assert!(solved(&again).is_empty(), "{}", text(&again.stderr));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
}

#[test]
fn one_and_two_threads_give_the_same_bytes() {
    let folder = stage(&base_study());
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "1"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
    for run in run_folders(folder.path()) {
        let name = run.file_name().unwrap();
        let other = base().0.path().join("results/tiny/runs").join(name);
        for file in ["history.csv", "mean.vti", "last.vti", "picture.png"] {
            let same = fs::read(run.join(file)).unwrap() == fs::read(other.join(file)).unwrap();
            assert!(same, "{} differs", run.join(file).display());
        }
    }
}

#[test]
fn finished_runs_are_reused() {
    let folder = copy_of_base();
    let again = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(again.status.code(), Some(0));
    assert!(solved(&again).is_empty());
    assert!(
        text(&again.stderr).contains("6 finished runs were reused, nothing had to be solved"),
        "{}",
        text(&again.stderr)
    );
    assert_eq!(text(&again.stdout), text(&base().1.stdout));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    let fresh = ventwright(folder.path(), &["run", "tiny.toml", "--fresh"]);
    assert_eq!(solved(&fresh).len(), 6, "{}", text(&fresh.stderr));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
}

#[test]
fn only_what_changed_is_run_again() {
    let folder = copy_of_base();
    let file = folder.path().join("tiny.toml");
    // Another name is not another flow: its runs are found by what they solved.
    edit(&file, |t| t.replace("\"hexagons\"", "\"honeycomb\""));
    let renamed = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert!(solved(&renamed).is_empty(), "{}", text(&renamed.stderr));
    assert!(text(&renamed.stdout).contains(" 1  honeycomb"));
    let anonymous = |folder: &Path| {
        let mut ranking = ranking_value(folder);
        ranking["answer"] = Value::Null;
        ranking["grilles"][0]["name"] = Value::Null;
        ranking["air_path"]["grilles"][0]["name"] = Value::Null;
        ranking["pairs"][0]["better"] = Value::Null;
        ranking["this_run"] = Value::Null;
        ranking["blake3"] = Value::Null;
        ranking
    };
    assert_eq!(anonymous(folder.path()), anonymous(base().0.path()));
    // Another thickness of one grille: only that one is solved.
    edit(&file, |t| {
        t.replacen("thickness_mm = 2\n", "thickness_mm = 2.5\n", 1)
    });
    let thicker = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(solved(&thicker).len(), 3, "{}", text(&thicker.stderr));
    assert!(
        solved(&thicker)
            .iter()
            .all(|line| line.contains("honeycomb"))
    );
}

#[test]
fn another_grille_beside_it_does_not_change_a_grilles_numbers() {
    let folder = copy_of_base();
    edit(&folder.path().join("tiny.toml"), |t| t + SMALL_ROUND);
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(solved(&output).len(), 3, "{}", text(&output.stderr));
    let grilles = |folder: &Path| {
        let ranking = ranking_value(folder);
        let grilles = ranking["grilles"].as_array().unwrap().clone();
        // Its place depends on the company; nothing else may.
        let lone = |mut grille: Value| {
            grille["rank"] = Value::Null;
            grille
        };
        grilles.into_iter().map(lone).collect::<Vec<_>>()
    };
    let (two, three) = (grilles(base().0.path()), grilles(folder.path()));
    assert_eq!(three.len(), 3);
    for grille in two {
        assert!(three.contains(&grille), "{}", grille["name"]);
    }
}

#[test]
fn a_folder_of_results_is_ranked_from_within_and_a_renamed_one_is_refused() {
    let copy = copy_of_base();
    let results = copy.path().join("results");
    let within = ventwright(&results.join("tiny"), &["rank", ".", "--quiet"]);
    assert!(text(&within.stdout).starts_with("tiny: 2 grilles"));
    fs::rename(results.join("tiny"), results.join("mine")).unwrap();
    let renamed = ventwright(copy.path(), &["rank", "results/mine"]);
    assert_eq!(renamed.status.code(), Some(2));
    assert!(
        text(&renamed.stderr).contains(
            "results/mine holds results of the study \"tiny\", whose folder is called tiny"
        )
    );
    assert!(!results.join("tiny").exists(), "nothing is made");
}
