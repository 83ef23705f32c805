//! `doubts`: the table is made from the results folder alone and says what the runs and the ranking say.

use std::fs;

use serde_json::Value;

use crate::stage::{base, copy_of_base, edit, ranking_value, renewed, run_files, text, ventwright};

fn doubts(folder: &std::path::Path, form: &str) -> String {
    let output = ventwright(folder, &["doubts", "results/tiny", "--form", form]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout).to_owned()
}

#[test]
fn every_run_has_every_check_with_its_limit() {
    // Nothing but the folder: the study file is gone.
    let folder = copy_of_base();
    fs::remove_file(folder.path().join("tiny.toml")).unwrap();
    let json: Value = serde_json::from_str(&doubts(folder.path(), "json")).unwrap();
    let runs = json["runs"].as_array().unwrap();
    assert_eq!(runs.len(), run_files(base().0.path()).len());
    for run in runs {
        let checks = run["checks"].as_array().unwrap();
        assert_eq!(checks.len(), 8, "{run}");
        for check in checks {
            let [value, limit] = ["value", "limit"].map(|key| check[key].as_f64().unwrap());
            let is_least = check["limit_is_least"].as_bool().unwrap();
            let is_good = if is_least {
                value >= limit
            } else {
                value <= limit
            };
            assert_eq!(check["is_passed"], is_good, "{check}");
            assert!(!check["advice"].as_str().unwrap().is_empty());
        }
        assert!(!run["grilles"].as_array().unwrap().is_empty());
    }
    let screen = doubts(folder.path(), "screen");
    for word in [
        "hexagons", "squares", "drift", "books", "mass", "rise", "Mach", "cells", "room", "settled",
    ] {
        assert!(screen.contains(word), "{word} is missing:\n{screen}");
    }
    assert!(
        screen.lines().all(|line| line.chars().count() <= 80),
        "{screen}"
    );
    let csv = doubts(folder.path(), "csv");
    assert!(
        csv.lines()
            .filter(|line| line.contains(",book-keeping,"))
            .count()
            == runs.len()
    );
}

#[test]
fn warnings_are_the_same_in_table_and_ranking() {
    let folder = copy_of_base();
    // A run that is worse than its limits, in both files alike.
    let ranking = ranking_value(folder.path());
    let key = ranking["grilles"][0]["runs"][0]["key"].as_str().unwrap();
    let file = folder
        .path()
        .join("results/tiny/runs")
        .join(key)
        .join("run.json");
    edit(&file, |text| {
        let mut run: Value = serde_json::from_str(&text).unwrap();
        for check in run["checks"].as_array_mut().unwrap() {
            if check["code"] == "flow-balance" {
                check["value"] = 1.25.into();
            }
        }
        run["warnings"] = serde_json::json!([
            { "code": "flow-balance", "message": "the mean flow behind the plate differs by 1.25 % from that ahead of it", "advice": "allow more time" }
        ]);
        renewed(run)
    });
    let again = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
    let ranking = ranking_value(folder.path());
    let json: Value = serde_json::from_str(&doubts(folder.path(), "json")).unwrap();
    let table: Vec<&Value> = json["warnings"].as_array().unwrap().iter().collect();
    let mut count = 0;
    for grille in ranking["grilles"].as_array().unwrap() {
        for warning in grille["warnings"].as_array().unwrap() {
            let same = table.iter().filter(|told| {
                told["grille"] == grille["name"]
                    && told["code"] == warning["code"]
                    && told["message"] == warning["message"]
            });
            assert_eq!(same.count(), 1, "{warning}");
            count += 1;
        }
        for run in grille["runs"].as_array().unwrap() {
            let mut told = json["runs"].as_array().unwrap().iter();
            let told = told.find(|told| told["key"] == run["key"]).unwrap();
            assert_eq!(told["warnings"], run["warnings"], "{run}");
        }
    }
    count += ranking["warnings"].as_array().unwrap().len();
    assert_eq!(table.len(), count);
    let screen = doubts(folder.path(), "screen");
    let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(screen.contains("1 beyond a limit"), "{screen}");
    assert!(
        screen.contains("1.2!") || screen.contains("1.3!"),
        "{screen}"
    );
    assert!(flat.contains("at most 0.50 %; allow more time"), "{screen}");
    assert!(doubts(folder.path(), "csv").contains("flow-balance,1.25000,0.50000,false,%,false"));
}

#[test]
fn a_study_without_results_and_a_damaged_run_are_told() {
    let folder = copy_of_base();
    let by_file = ventwright(folder.path(), &["doubts", "tiny.toml"]);
    assert_eq!(text(&by_file.stdout), doubts(folder.path(), "screen"));
    let ranking = ranking_value(folder.path());
    let key = ranking["grilles"][0]["runs"][0]["key"].as_str().unwrap();
    let file = folder
        .path()
        .join("results/tiny/runs")
        .join(key)
        .join("run.json");
    fs::write(file, "{").unwrap();
    let output = ventwright(folder.path(), &["doubts", "results/tiny"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let screen = text(&output.stdout);
    assert!(screen.contains("no readable run"), "{screen}");
    fs::remove_dir_all(folder.path().join("results")).unwrap();
    let none = ventwright(folder.path(), &["doubts", "tiny.toml"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(text(&none.stderr).contains("run it first: ventwright run tiny.toml"));
}
