//! A folder with a ranking that was never solved, its seal, and readings.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use ventwright::report::ranking_json::write_ranking_json;
use ventwright::result::{MeterShown, Side, StudyResult};
use ventwright::study::starter;

use crate::samples::{failed, grille, study, tie};

/// Three designs and one without a number: 92, 88 (tied with the next) and 87 % of the bare fan's 96 m³/h.
pub(crate) fn result() -> StudyResult {
    let mut result = study(vec![
        grille("honeycomb", 1, 92.0, 1.5, 0.8),
        grille("square mesh", 2, 88.0, 1.5, 1.3),
        grille("slots", 2, 87.0, 1.5, 1.4),
        failed("rings"),
    ]);
    tie(&mut result, &["square mesh", "slots"]);
    result
}

/// The same behind the fan, with a meter that misreads in the turning air.
pub(crate) fn with_meter() -> StudyResult {
    let mut result = result();
    result.side = Side::Exhaust;
    let shown = |reading: [f64; 2], percent| MeterShown {
        air_speed_m_per_s: 2.1,
        reading_m_per_s: reading,
        reading_percent_of_bare_fan: percent,
        is_by_fan_view: false,
    };
    result.bare_meter = Some(shown([2.5, 2.5], None));
    result.grilles[0].meter = Some(shown([2.2, 2.25], Some([88.0, 90.0])));
    result
}

pub(crate) fn folder(result: &StudyResult) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let of_study = folder.path().join("results/desk-fan-140");
    fs::create_dir_all(of_study.join("runs")).unwrap();
    let mut json = Vec::new();
    write_ranking_json(result, &mut json).unwrap();
    fs::write(of_study.join("ranking.json"), json).unwrap();
    fs::write(of_study.join("study.toml"), starter(&result.study)).unwrap();
    folder
}

pub(crate) fn ventwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ventwright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("COLUMNS")
        .output()
        .unwrap()
}

pub(crate) fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

/// What a command says on stdout; it must have gone well.
pub(crate) fn said(folder: &Path, arguments: &[&str]) -> String {
    let output = ventwright(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout).to_owned()
}

/// What a command complains of; it must have refused.
pub(crate) fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = ventwright(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    assert!(output.stdout.is_empty());
    text(&output.stderr).to_owned()
}

/// A sealed prediction in `sealed.json` of a new folder.
pub(crate) fn sealed(result: &StudyResult) -> (tempfile::TempDir, PathBuf) {
    let folder = folder(result);
    said(
        folder.path(),
        &["seal", "results/desk-fan-140", "--out", "sealed.json"],
    );
    let path = folder.path().join("sealed.json");
    (folder, path)
}
