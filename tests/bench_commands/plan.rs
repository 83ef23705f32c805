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
                    line.replace(",,,", &format!(",{reading:.2},m3/h,"))
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
        told.contains("readings lie inside the promised range"),
        "{told}"
    );
    assert!(told.contains("Drift: the bare fan changed by"), "{told}");
    assert!(!told.contains("Mind: "), "{told}");
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
    assert!(sheet.contains("Remount 1") && sheet.contains("not a safety assessment"));
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
    assert!(wrong.contains("the scatter must lie above 0"), "{wrong}");
}
