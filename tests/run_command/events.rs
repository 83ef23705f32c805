//! Progress for programs: every line of stderr is one JSON object.

use std::fs;

use serde_json::Value;

use crate::stage::{CURVE, HEXAGONS, SQUARES, stage, study, text, ventwright};

/// Every line of stderr, parsed.
fn events(stderr: &[u8]) -> Vec<Value> {
    let lines = text(stderr).lines();
    lines
        .map(|line| {
            let event: Value =
                serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
            assert_eq!(event["format"], 1, "{line}");
            let time = event["time"].as_str().unwrap();
            assert!(time.len() == 20 && time.ends_with('Z'), "{line}");
            event
        })
        .collect()
}

fn of<'a>(events: &'a [Value], name: &str) -> Vec<&'a Value> {
    events
        .iter()
        .filter(|event| event["event"] == name)
        .collect()
}

#[test]
fn every_line_is_one_event_and_every_run_starts_and_ends() {
    let folder = stage(&study(CURVE, "intake", "", &[HEXAGONS, SQUARES]));
    let run = ["run", "tiny.toml", "--progress", "json"];
    let output = ventwright(folder.path(), &run);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("Print hexagons"));
    let told = events(&output.stderr);
    assert_eq!(told[0]["event"], "begun");
    let count = told[0]["run_count"].as_u64().unwrap();
    let keys = |name: &str| -> Vec<&str> {
        let mut keys: Vec<&str> = of(&told, name)
            .iter()
            .map(|event| event["key"].as_str().unwrap())
            .collect();
        keys.sort_unstable();
        keys
    };
    let started = keys("started");
    assert_eq!(started.len() as u64, count);
    assert_eq!(started, keys("finished"));
    for event in of(&told, "finished") {
        let file = folder.path().join("results/tiny/runs");
        let file = file.join(event["key"].as_str().unwrap()).join("run.json");
        let kept: Value = serde_json::from_slice(&fs::read(file).unwrap()).unwrap();
        let loss = &event["loss_coefficient"];
        assert_eq!(loss["value"], kept["loss_coefficient"]);
        assert_eq!(loss["low"], kept["loss_coefficient_low"]);
        assert_eq!(loss["high"], kept["loss_coefficient_high"]);
        assert_eq!(event["was_reused"], false);
        assert_eq!(event["is_valid"], true);
    }
    for event in of(&told, "progressed") {
        let share = event["share"].as_f64().unwrap();
        assert!((0.0..=1.0).contains(&share), "{event}");
    }
    let ended = of(&told, "ended");
    assert_eq!(ended.len(), 1);
    assert_eq!(ended[0]["ended_count"], count);

    // Once more: everything is there, and nothing starts.
    let again = events(&ventwright(folder.path(), &run).stderr);
    assert!(of(&again, "started").is_empty());
    let reused = of(&again, "finished");
    assert_eq!(reused.len() as u64, count);
    assert!(reused.iter().all(|event| event["was_reused"] == true));
}

#[test]
fn faults_and_lost_files_are_events_too() {
    let folder = stage("format = 1\n[fan]\nbore_mm = -3\n");
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--progress", "json"]);
    assert_eq!(output.status.code(), Some(2));
    let told = events(&output.stderr);
    assert_eq!(told.len(), 1);
    assert_eq!(told[0]["event"], "failed");
    assert!(told[0]["text"].as_str().unwrap().contains("bore_mm"));
}

#[test]
fn quiet_is_quiet_in_every_form() {
    let folder = stage(&study(CURVE, "intake", "", &[HEXAGONS]));
    let run = ["run", "tiny.toml", "--quiet", "--progress", "json"];
    let output = ventwright(folder.path(), &run);
    assert_eq!(text(&output.stderr), "");
}
