//! The files: ranking.csv, ranking.json, run.json and history.csv.

use std::fmt::Write as _;

use ventwright::checksum;
use ventwright::report::ranking_csv::{COLUMNS, write_ranking_csv};
use ventwright::report::ranking_json::write_ranking_json;
use ventwright::report::run_files::{
    HistoryRow, RunFileError, RunRecord, read_run, write_history, write_run,
};
use ventwright::result::StudyResult;
use ventwright::result::check::{Check, CheckKind};

use crate::samples::{
    demo, exhaust, given_flow, grille, oblique_run, run, study, warning, with_panel,
};

fn csv_text(result: &StudyResult) -> String {
    let mut out = Vec::new();
    write_ranking_csv(result, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn json_text(result: &StudyResult) -> String {
    let mut out = Vec::new();
    write_ranking_json(result, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn record() -> RunRecord {
    let mut summary = run("hexagons-0123456789ab", 1.8, 0.553);
    summary.warnings.push(warning(
        "few-cells",
        "only 18 cells",
        "choose a higher quality",
    ));
    summary.checks = checks();
    RunRecord {
        code_version: "0.1.0".to_owned(),
        seed: 7,
        inputs: serde_json::json!({"view": "hole view", "cells_across": 48, "face_velocity_m_per_s": 1.8}),
        summary,
        contributions: demo().grilles[0].contributions.clone(),
        averaging_time_s: 0.31,
        start_up_time_s: 0.08,
        files: [("history.csv".to_owned(), "0f".repeat(32))].into(),
    }
}

/// All passed; K by force is 0.2 % off ([`run`]), the density rises by 0.31 %.
fn checks() -> Vec<Check> {
    let value = |kind: CheckKind| match kind {
        CheckKind::BookKeeping => 0.2,
        CheckKind::DensityRise => 0.31,
        _ => 0.1,
    };
    let limit = |kind: CheckKind| if kind.is_least() { 0.05 } else { 1.0 };
    let kinds = CheckKind::ALL.into_iter();
    kinds
        .map(|kind| Check::new(kind, value(kind), limit(kind)))
        .collect()
}

fn run_text(record: &RunRecord) -> String {
    let mut out = Vec::new();
    write_run(record, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn the_ranking_as_csv() {
    insta::assert_snapshot!(csv_text(&demo()));
}

#[test]
fn the_ranking_behind_a_fan_as_csv() {
    insta::assert_snapshot!(csv_text(&exhaust()));
}

#[test]
fn the_ranking_as_json() {
    insta::assert_snapshot!(json_text(&given_flow()));
}

#[test]
fn the_run_file() {
    insta::assert_snapshot!(run_text(&record()));
}

#[test]
fn every_column_of_the_csv_has_its_field() {
    let text = csv_text(&demo());
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headers = reader.headers().unwrap().clone();
    let names: Vec<&str> = COLUMNS.iter().map(|column| column.name).collect();
    assert_eq!(headers.iter().collect::<Vec<_>>(), names);
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 7);
    let field = |row: usize, name: &str| {
        let column = COLUMNS.iter().position(|c| c.name == name).unwrap();
        rows[row][column].to_owned()
    };
    assert_eq!(field(0, "flow_percent_of_bare_fan"), "96.4");
    assert_eq!(field(0, "flow_percent_of_bare_fan_low"), "95.3");
    // 0.96 * 96.4 m3/h = 92.544 m3/h; one m3/h is 0.588578 CFM (foot of 0.3048 m).
    assert_eq!(field(0, "flow_m3_per_h"), "92.544");
    assert_eq!(field(0, "flow_cfm"), "54.4693");
    assert_eq!(field(2, "is_turn_undecided"), "true");
    assert_eq!(field(6, "rank"), "");
    assert_eq!(field(6, "loss_coefficient"), "");
    assert_eq!(field(6, "warnings"), "gap-too-narrow");
}

/// Parts of names that say a unit.
const UNITS: [(&str, &str); 10] = [
    ("_m3_per_h", "m³/h"),
    ("_m_per_s", "m/s"),
    ("_percent", "%"),
    ("_cfm", "CFM"),
    ("_n_m", "N m"),
    ("_m2", "m²"),
    ("_mm", "mm"),
    ("_pa", "Pa"),
    ("_k", "K"),
    ("", ""),
];

#[test]
fn columns_have_the_unit_of_their_names_and_stand_in_the_readme() {
    let mut table = "| column | unit | what stands in it |\n| --- | --- | --- |\n".to_owned();
    for column in COLUMNS {
        let name = column.name.replace("_of_bare_fan", "");
        let name = name.trim_end_matches("_low").trim_end_matches("_high");
        let (_, unit) = UNITS.iter().find(|(end, _)| name.ends_with(end)).unwrap();
        assert_eq!(column.unit, *unit, "{}", column.name);
        let (name, meaning) = (column.name, column.meaning);
        writeln!(table, "| `{name}` | {unit} | {meaning} |").unwrap();
    }
    let readme = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/quiet-desk/README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    assert!(readme.contains(&table), "it should have this:\n{table}");
}

#[test]
fn the_air_path_stands_in_the_csv() {
    let text = csv_text(&with_panel());
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    let field = |name: &str| {
        let column = COLUMNS.iter().position(|c| c.name == name).unwrap();
        rows[0][column].to_owned()
    };
    assert_eq!(field("panels_pressure_drop_pa"), "3.46");
    assert_eq!(field("pc_case_pressure_over_room_pa"), "-0.204");
    // 100 / 84
    assert_eq!(field("fan_speed_ratio_for_bare_flow"), "1.19048");
    assert_eq!(field("rig_flow_m3_per_h"), "92.4");
    assert_eq!(field("rig_flow_percent_of_bare_fan"), "80");
}

#[test]
fn names_survive_csv_and_json_whatever_they_hold() {
    let names = [
        "a,b",
        "say \"hi\"",
        "two\nlines",
        "<script>alert(1)</script>",
        "решётка",
        "=1+1",
        "@x",
        "-rib",
        "",
    ];
    let result = study(
        (1..)
            .zip(names)
            .map(|(i, name)| grille(name, i, 90.0, 1.0, 1.0))
            .collect(),
    );
    let text = csv_text(&result);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let json: serde_json::Value = serde_json::from_str(&json_text(&result)).unwrap();
    for (i, (record, name)) in reader.records().zip(names).enumerate() {
        let read = record.unwrap()[1].to_owned();
        assert!(
            !read.starts_with(['=', '@', '-']),
            "{read} would be taken for a formula"
        );
        assert_eq!(read.trim_start_matches('\''), name);
        assert_eq!(json["grilles"][i]["name"], name);
    }
}

#[test]
fn two_runs_differ_only_in_the_last_object() {
    let first = demo();
    let mut second = demo();
    second.this_run.elapsed_s = 3.0;
    for run in second.grilles.iter_mut().flat_map(|g| &mut g.runs) {
        run.elapsed_s = 0.1;
        run.was_reused = true;
    }
    second.note_runs();
    let (first, second) = (json_text(&first), json_text(&second));
    assert_ne!(first, second);
    let before = |text: &str| text.split("\"this_run\"").next().unwrap().to_owned();
    assert_eq!(before(&first), before(&second));
    assert_eq!(first.matches("\"this_run\"").count(), 1);
}

#[test]
fn numbers_that_are_not_finite_become_null_and_empty() {
    let mut result = study(vec![grille("a", 1, f64::NAN, 1.0, f64::INFINITY)]);
    result.grilles[0].hole_area_percent = f64::NEG_INFINITY;
    let json: serde_json::Value = serde_json::from_str(&json_text(&result)).unwrap();
    assert!(json["grilles"][0]["hole_area_percent"].is_null());
    let text = csv_text(&result);
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
}

#[test]
fn a_run_is_read_back_as_it_was_written() {
    let mut written = record();
    let read = read_run(&run_text(&written)).unwrap();
    written.summary.was_reused = true;
    assert_eq!(read, written);
    written.summary = oblique_run("hexagons-repeat-0123456789ab");
    written.summary.checks = checks();
    written.inputs["face_velocity_m_per_s"] = written.summary.face_velocity_m_per_s.into();
    let read = read_run(&run_text(&written)).unwrap();
    written.summary.was_reused = true;
    assert_eq!(read, written);
}

#[test]
fn a_run_that_blew_up_is_read_back_without_a_number() {
    let mut record = record();
    record.summary.loss_coefficient.value = f64::NAN;
    record.summary.loss_coefficient_by_force = f64::INFINITY;
    record.summary.is_valid = false;
    let read = read_run(&run_text(&record)).unwrap();
    assert!(read.summary.loss_coefficient.value.is_nan());
    assert!(read.summary.loss_coefficient_by_force.is_nan());
    assert!(!read.summary.is_valid);
}

#[test]
fn other_files_are_not_taken_for_a_run() {
    let text = run_text(&record());
    for broken in ["", "{}", "[]", "null", &text[..text.len() / 2]] {
        assert!(
            matches!(read_run(broken), Err(RunFileError::Content(_))),
            "{broken:?}"
        );
    }
    let mut newer: serde_json::Value = serde_json::from_str(&text).unwrap();
    newer["format_version"] = 4.into();
    newer[checksum::KEY] = checksum::of_json(&newer).into();
    assert!(matches!(
        read_run(&newer.to_string()),
        Err(RunFileError::Version { found: 4 })
    ));
}

#[test]
fn the_history_has_units_in_its_header() {
    let row = |time_s: f64| HistoryRow {
        time_s,
        loss_coefficient: 0.55,
        loss_coefficient_by_force: 0.5512,
        mean_density_error: 1.5e-7,
    };
    let mut out = Vec::new();
    write_history(&[row(0.0), row(0.001)], &mut out).unwrap();
    assert_eq!(
        String::from_utf8(out).unwrap(),
        "time_s,loss_coefficient,loss_coefficient_by_force,mean_density_error\n\
         0.0,0.55,0.5512,1.5e-7\n0.001,0.55,0.5512,1.5e-7\n"
    );
    let mut out = Vec::new();
    write_history(&[], &mut out).unwrap();
    assert_eq!(String::from_utf8(out).unwrap().lines().count(), 1);
}
