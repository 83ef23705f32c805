//! A plan is a table that `compare` reads once it is filled in, and a sheet to print.

use std::fmt::Write as _;
use std::fs;

use crate::stage::{folder, refused, result, said, sealed};

#[test]
fn the_table_of_a_plan_can_be_filled_in_and_compared() {
    let (folder, _) = sealed(&result());
    let told = said(
        folder.path(),
        &[
            "plan",
            "sealed.json",
            "--scatter-percent",
            "1",
            "--seed",
            "5",
        ],
    );
    assert!(told.contains("honeycomb over square mesh"), "{told}");
    assert!(told.contains("planning aid"), "{told}");
    assert!(
        told.lines().all(|line| line.chars().count() <= 80),
        "{told}"
    );
    let path = folder.path().join("readings.csv");
    let empty = fs::read_to_string(&path).unwrap();
    let unfilled = refused(folder.path(), &["compare", "sealed.json", "readings.csv"]);
    assert!(
        unfilled.contains("no reading in this file yet"),
        "{unfilled}"
    );
    let mut filled = String::new();
    for line in empty.lines() {
        let level = [
            ("bare fan", 96.0),
            ("honeycomb", 88.0),
            ("square mesh", 84.0),
            ("slots", 83.0),
        ];
        match level.iter().find(|(name, _)| line.contains(name)) {
            Some((_, value)) => {
                let order: f64 = line.split(',').next().unwrap().parse().unwrap();
                let reading = value + 0.3 * (7.0 * order).sin();
                let _ = writeln!(
                    filled,
                    "{}",
                    line.replace(",,,,,,", &format!(",{reading:.2},m3/h,1180,21,centre,"))
                );
            }
            None => {
                let _ = writeln!(filled, "{line}");
            }
        }
    }
    fs::write(&path, filled).unwrap();
    let told = said(folder.path(), &["compare", "sealed.json", "readings.csv"]);
    assert!(
        told.contains("readings lie in the predicted range"),
        "{told}"
    );
    assert!(told.contains("Drift: the bare fan changed by"), "{told}");
    assert!(told.contains("Fan speed: 1180 rpm throughout"), "{told}");
    assert!(!told.contains("Caution: "), "{told}");
}

#[test]
fn the_sheet_names_every_reading_and_how_to_take_it() {
    let folder = folder(&result());
    said(
        folder.path(),
        &["plan", "results/desk-fan-140", "--out", "."],
    );
    let sheet = fs::read_to_string(folder.path().join("readings.md")).unwrap();
    let table = fs::read_to_string(folder.path().join("readings.csv")).unwrap();
    let rows = |text: &str, name: &str| text.lines().filter(|line| line.contains(name)).count();
    for name in ["| honeycomb", "| square mesh", "| slots"] {
        assert_eq!(
            rows(&sheet, name),
            rows(&table, &name.replace("| ", ",")),
            "{sheet}"
        );
    }
    assert_eq!(rows(&sheet, "| rings"), 0);
    assert!(sheet.contains("Round 1") && sheet.contains("not a safety assessment"));
    let again = refused(
        folder.path(),
        &["plan", "results/desk-fan-140", "--out", "."],
    );
    assert!(again.contains("may hold readings"), "{again}");
    let wrong = refused(
        folder.path(),
        &[
            "plan",
            "results/desk-fan-140",
            "--out",
            ".",
            "--scatter-percent",
            "0",
        ],
    );
    assert!(wrong.contains("the scatter must be above 0"), "{wrong}");
}

#[test]
fn several_readings_of_a_mount_are_averaged() {
    let (folder, _) = sealed(&result());
    let plan = ["plan", "sealed.json", "--readings-per-mount", "3"];
    let told = said(folder.path(), &plan);
    let sheet = fs::read_to_string(folder.path().join("readings.md")).unwrap();
    assert!(
        sheet.contains("| reading 1 | reading 2 | reading 3 | rpm "),
        "{sheet}"
    );
    let path = folder.path().join("readings.csv");
    let mut filled = String::new();
    let table = fs::read_to_string(&path).unwrap();
    let count = table.lines().count() - 1;
    assert!(told.contains(&format!("take {count} readings")), "{told}");
    for (number, line) in table.lines().enumerate() {
        let level = if line.contains("bare fan") {
            96.0
        } else {
            85.0
        };
        let value = level + 0.2 * (number % 3) as f64 + 0.4 * (number as f64).sin();
        let _ = writeln!(
            filled,
            "{}",
            line.replace(",,,,,,", &format!(",{value:.1},m3/h,,,,"))
        );
    }
    fs::write(&path, filled).unwrap();
    let json = said(
        folder.path(),
        &["compare", "sealed.json", "readings.csv", "--form", "json"],
    );
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    for design in json["designs"].as_array().unwrap() {
        let number = |key: &str| design[key].as_u64().unwrap();
        assert_eq!(
            number("reading_count"),
            3 * number("repeat_count"),
            "{design}"
        );
    }
    let freedom = json["scatter"]["degrees_of_freedom"].as_f64().unwrap();
    let designs = json["designs"].as_array().unwrap().len() as f64;
    let remounts = json["designs"][0]["repeat_count"].as_f64().unwrap();
    assert!((freedom - designs * (remounts - 1.0)).abs() < 1e-9);
    let few = refused(
        folder.path(),
        &[
            "plan",
            "sealed.json",
            "--out",
            "other",
            "--most-remounts",
            "2",
        ],
    );
    assert!(few.contains("it takes 3 to find a bad reading"), "{few}");
}
