//! A seal is dated, whole, and shows every change.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;
use ventwright::rig::sealed::open;
use ventwright::study::starter;

use crate::stage::{folder, refused, result, said, sealed, text, ventwright, with_meter};

#[test]
fn a_seal_holds_what_was_promised() {
    let (_folder, path) = sealed(&with_meter());
    let file: Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let content = &file["content"];
    assert_eq!(content["study"], "desk-fan-140");
    assert_eq!(content["study_toml"], starter("desk-fan-140"));
    let designs = content["designs"].as_array().unwrap();
    assert_eq!(designs.len(), 4);
    assert_eq!(designs[0]["flow_percent"]["value"], 92.0);
    assert_eq!(designs[0]["meter_percent"][1], 90.0);
    assert_eq!(designs[3]["flow_percent"], Value::Null);
    assert_eq!(content["bare_fan"]["flow_m3_per_h"]["value"], 96.0);
    let date = content["sealed_at"].as_str().unwrap();
    assert!(date.starts_with("20") && date.ends_with(" UTC"), "{date}");
    assert_eq!(file["blake3"].as_str().unwrap().len(), 64);
}

#[test]
fn a_seal_is_not_written_over_and_has_its_own_name() {
    let (folder, _) = sealed(&result());
    let again = refused(
        folder.path(),
        &["seal", "results/desk-fan-140", "--out", "sealed.json"],
    );
    assert!(again.contains("never overwritten"), "{again}");
    let told = said(folder.path(), &["seal", "results/desk-fan-140"]);
    let path = told.lines().next().unwrap();
    assert!(path.starts_with("results/desk-fan-140/sealed-20"), "{told}");
    assert!(folder.path().join(path).is_file());
}

#[test]
fn a_changed_prediction_is_refused() {
    let (folder, path) = sealed(&result());
    fs::write(
        folder.path().join("r.csv"),
        "design,value,unit\nbare fan,96,m3/h\n",
    )
    .unwrap();
    let text = fs::read_to_string(&path).unwrap();
    let changed = text.replacen("92.0", "93.0", 1);
    assert_ne!(changed, text);
    fs::write(&path, changed).unwrap();
    for command in [
        ["compare", "sealed.json", "r.csv"].as_slice(),
        &["plan", "sealed.json"],
    ] {
        let told = refused(folder.path(), command);
        assert!(told.contains("the seal is broken"), "{told}");
    }
    fs::write(&path, "{}").unwrap();
    assert!(
        refused(folder.path(), &["compare", "sealed.json", "r.csv"])
            .contains("not a sealed prediction")
    );
}

#[test]
fn nothing_is_sealed_without_a_ranking() {
    let folder = folder(&result());
    fs::remove_file(folder.path().join("results/desk-fan-140/ranking.json")).unwrap();
    let told = refused(folder.path(), &["seal", "results/desk-fan-140"]);
    assert!(told.contains("run the study to the end first"), "{told}");
    assert_eq!(
        ventwright(folder.path(), &["seal", "nowhere.toml"])
            .status
            .code(),
        Some(2)
    );
}

/// A file as an earlier version of the program wrote it: what was promised once can be held against readings for ever.
#[test]
fn a_seal_of_an_earlier_version_opens_and_compares() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/sealed/format_1.json"
    );
    let text = fs::read_to_string(path).unwrap();
    let file: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(file["blake3"], open(&text).unwrap().hash.as_str());
    let folder = tempfile::tempdir().unwrap();
    let readings = "design,value,unit\nbare fan,121,m3/h\nbig triangles,96,m3/h\nbig twisted,92,m3/h\nfine triangles,66,m3/h\n";
    fs::write(folder.path().join("r.csv"), readings).unwrap();
    fs::write(folder.path().join("sealed.json"), text).unwrap();
    let told = said(folder.path(), &["compare", "sealed.json", "r.csv"]);
    assert!(told.contains("3 of 3 readings lie in the predicted range"));
    assert!(told.contains("bfbf0bba16d5, intact"), "{told}");
    let planned = said(folder.path(), &["plan", "sealed.json"]);
    assert!(planned.contains("remount"), "{planned}");
}

/// Nobody may make a folder there, whoever runs the tests.
#[test]
#[cfg(target_os = "linux")]
fn where_nothing_may_be_written_another_folder_is_advised() {
    let (folder, _) = sealed(&result());
    let told = |arguments: &[&str]| {
        let output = ventwright(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        text(&output.stderr).to_owned()
    };
    assert!(ventwright(folder.path(), &["new", "desk"]).status.success());
    for (arguments, flag) in [
        (
            &["run", "desk.toml", "--results", "/sys/mine"][..],
            "--results",
        ),
        (
            &["rank", "desk.toml", "--results", "/sys/mine"],
            "--results",
        ),
        (&["plan", "sealed.json", "--out", "/sys"], "--out"),
        (
            &["seal", "results/desk-fan-140", "--out", "/sys/s.json"],
            "--out",
        ),
    ] {
        let told = told(arguments);
        let advice = format!("writing there is not permitted: choose another folder with {flag}");
        assert!(told.contains("/sys") && told.contains(&advice), "{told}");
    }
}

#[test]
fn runs_that_were_deleted_after_the_ranking_are_named() {
    let result = result();
    let folder = folder(&result);
    let keys: BTreeSet<&str> = result
        .grilles
        .iter()
        .flat_map(|grille| &grille.runs)
        .map(|run| run.key.as_str())
        .collect();
    let noted = |arguments: &[&str]| {
        let output = ventwright(folder.path(), arguments);
        text(&output.stderr).to_owned()
    };
    let commands = [
        &["report", "results/desk-fan-140"][..],
        &["seal", "results/desk-fan-140", "--out", "s.json"],
    ];
    for arguments in commands {
        let told = noted(arguments);
        for words in [
            &format!(
                "{0} of the {0} runs behind it have lost their files",
                keys.len()
            ),
            &format!("desk-fan-140/runs/{}/run.json", keys.first().unwrap()),
            "`ventwright run results/desk-fan-140/study.toml` makes them anew",
        ] {
            assert!(told.contains(words), "{arguments:?}: {words}: {told}");
        }
    }
}
