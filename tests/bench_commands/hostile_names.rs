//! Names that a spreadsheet would take for formulas and a forum for markup: harmless in every table and sheet, and read back as they are.

use std::fmt::Write as _;
use std::fs;

use serde_json::Value;
use ventwright::report::ranking_csv::write_ranking_csv;
use ventwright::result::StudyResult;

use crate::samples::{grille, study, warning};
use crate::stage::{folder, said};

const NAMES: [&str; 5] = [
    "=HYPERLINK(\"http://x\")",
    "+1+1",
    "-rib | <b>*wide*</b>",
    "@sum",
    "'=quoted",
];

fn hostile() -> StudyResult {
    let named = (1..).zip(NAMES);
    let mut grilles: Vec<_> = named
        .map(|(rank, name)| grille(name, rank, 95.0 - 3.0 * f64::from(rank), 1.0, 1.0))
        .collect();
    grilles[0].warnings.push(warning(
        "few-cells",
        "=few cells across a gap",
        "-use a higher quality",
    ));
    study(grilles)
}

/// The cells of a table that a spreadsheet would take for a formula; numbers are none.
fn formulas(table: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(table.as_bytes());
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(records.len() > 1, "{table}");
    let cells = records.iter().flat_map(|record| record.iter());
    cells
        .filter(|cell| cell.starts_with(['=', '+', '-', '@', '\t', '\r']))
        .filter(|cell| cell.parse::<f64>().is_err())
        .map(str::to_owned)
        .collect()
}

fn filled(table: &str) -> String {
    let mut filled = String::new();
    for (number, line) in table.lines().enumerate() {
        let reading = format!(",{:.1},m3/h,,,,", 80.0 + 0.3 * (number as f64).sin());
        let _ = writeln!(filled, "{}", line.replace(",,,,,,", &reading));
    }
    filled
}

fn names_in(json: &str) -> Vec<String> {
    let json: Value = serde_json::from_str(json).unwrap();
    let designs = json["designs"].as_array().unwrap().iter();
    let mut names: Vec<String> = designs
        .filter(|design| design["reading_count"].as_u64() > Some(0))
        .map(|design| design["name"].as_str().unwrap().to_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn no_table_holds_a_formula_and_readings_are_read_back_under_their_names() {
    let result = hostile();
    let folder = folder(&result);
    let at = folder.path();
    let mut ranking = Vec::new();
    write_ranking_csv(&result, &mut ranking).unwrap();
    assert_eq!(formulas(&String::from_utf8(ranking).unwrap()), [""; 0]);

    let doubts = said(at, &["doubts", "results/desk-fan-140", "--form", "csv"]);
    assert!(doubts.contains("'=few cells across a gap"), "{doubts}");
    assert_eq!(formulas(&doubts), [""; 0]);

    said(
        at,
        &["seal", "results/desk-fan-140", "--out", "sealed.json"],
    );
    said(at, &["plan", "sealed.json"]);
    let table = fs::read_to_string(at.join("readings.csv")).unwrap();
    assert_eq!(formulas(&table), [""; 0]);
    fs::write(at.join("readings.csv"), filled(&table)).unwrap();
    let compare = |form| {
        let arguments = ["compare", "sealed.json", "readings.csv", "--form", form];
        said(at, &arguments)
    };
    let mut names = NAMES.to_vec();
    names.sort_unstable();
    assert_eq!(names_in(&compare("json")), names);
    assert_eq!(formulas(&compare("csv")), [""; 0]);
}

#[test]
fn the_sheet_shows_names_as_letters_in_every_forum() {
    let folder = folder(&hostile());
    said(
        folder.path(),
        &["plan", "results/desk-fan-140", "--out", "."],
    );
    let sheet = fs::read_to_string(folder.path().join("readings.md")).unwrap();
    let cell = "-rib \\| &lt;b&gt;\\*wide\\*&lt;/b&gt;";
    assert!(sheet.contains(cell), "{sheet}");
    assert!(
        !sheet.contains("<b>") && !sheet.contains("http://"),
        "{sheet}"
    );
    // Every row of a table has as many cells as its head.
    let cells = |line: &str| line.replace("\\|", "").matches('|').count();
    let rows = sheet.lines().filter(|line| line.starts_with('|'));
    let mut counts: Vec<usize> = rows.map(cells).collect();
    counts.dedup();
    assert_eq!(counts.len(), 1, "{sheet}");
}
