//! Tiny studies, the program in an empty folder, and what it left there.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

use serde_json::Value;

use ventwright::checksum;
use ventwright::report::ranking_json::schema;

use crate::folder::copy_folder;

#[path = "../common/schema.rs"]
mod schema;

use schema::faults;

pub(crate) const CURVE: &str = "points = [
  { flow_m3_per_h = 0, pressure_pa = 20 },
  { flow_m3_per_h = 25, pressure_pa = 13 },
  { flow_m3_per_h = 50, pressure_pa = 0 },
]";

pub(crate) const HEXAGONS: &str = r#"
[[grille]]
name = "hexagons"
thickness_mm = 2
[grille.holes]
shape = "hexagon"
across_flats_mm = 6
rib_mm = 1.2
"#;

pub(crate) const SMALL_ROUND: &str = r#"
[[grille]]
name = "round, small"
thickness_mm = 2
[grille.holes]
shape = "round"
diameter_mm = 4
rib_mm = 1.2
"#;

pub(crate) const SQUARES: &str = r#"
[[grille]]
name = "squares"
thickness_mm = 2
[grille.holes]
shape = "square"
side_mm = 5
rib_mm = 1.2
"#;

/// A study called "tiny" with a fan of 80 mm.
pub(crate) fn study(supply: &str, side: &str, run: &str, grilles: &[&str]) -> String {
    let grilles = grilles.concat();
    format!(
        "format = 1
[study]
name = \"tiny\"
[fan]
bore_mm = 80
hub_mm = 30
{supply}
[place]
side = \"{side}\"
pc_case_k = 2
heat_load_w = 20
[run]
quality = \"quick\"
tolerance_percent = 5
{run}
{grilles}"
    )
}

pub(crate) fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ventwright"));
    command
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("COLUMNS");
    command
}

pub(crate) fn ventwright(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().unwrap()
}

pub(crate) fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

/// A folder with `tiny.toml`.
pub(crate) fn stage(study: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("tiny.toml"), study).unwrap();
    folder
}

/// `ranking.json` without what may differ between two runs of the same study.
pub(crate) fn ranking(folder: &Path) -> String {
    let text = fs::read_to_string(folder.join("results/tiny/ranking.json")).unwrap();
    let (same, _) = text.split_once("\"this_run\"").unwrap();
    same.to_owned()
}

/// `ranking.json`, which the schema beside it must allow whatever the study was.
pub(crate) fn ranking_value(folder: &Path) -> Value {
    let results = folder.join("results/tiny");
    let text = fs::read_to_string(results.join("ranking.json")).unwrap();
    let ranking = serde_json::from_str(&text).unwrap();
    assert_eq!(faults(&ranking), [""; 0]);
    let published = fs::read_to_string(results.join("ranking.schema.json")).unwrap();
    assert_eq!(published, schema());
    ranking
}

/// Names of the run folders.
pub(crate) fn run_folders(folder: &Path) -> BTreeSet<PathBuf> {
    fs::read_dir(folder.join("results/tiny/runs"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect()
}

/// Every `run.json` without the time that it took, by its folder's name.
pub(crate) fn run_files(folder: &Path) -> Vec<(String, String)> {
    run_folders(folder)
        .iter()
        .map(|run| {
            let text = fs::read_to_string(run.join("run.json")).unwrap();
            // The time, and the checksum that covers it, differ from run to run.
            let differs =
                |line: &&str| line.contains("\"elapsed_s\"") || line.contains("\"blake3\"");
            let lines = text.lines().filter(|line| !differs(line));
            let name = run.file_name().unwrap().to_str().unwrap().to_owned();
            (name, lines.collect::<Vec<_>>().join("\n"))
        })
        .collect()
}

pub(crate) fn base_study() -> String {
    study(CURVE, "intake", "", &[HEXAGONS, SQUARES])
}

/// The base study, run once for all tests: its folder and what it said.
pub(crate) fn base() -> &'static (tempfile::TempDir, Output) {
    static BASE: OnceLock<(tempfile::TempDir, Output)> = OnceLock::new();
    BASE.get_or_init(|| {
        let folder = stage(&base_study());
        let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
        (folder, output)
    })
}

/// A copy of the base study with its results.
pub(crate) fn copy_of_base() -> tempfile::TempDir {
    let copy = tempfile::tempdir().unwrap();
    copy_folder(base().0.path(), copy.path());
    copy
}

/// Changes the text of a file.
pub(crate) fn edit(path: &Path, change: impl FnOnce(String) -> String) {
    let text = fs::read_to_string(path).unwrap();
    let changed = change(text.clone());
    assert_ne!(changed, text, "{} was to change", path.display());
    fs::write(path, changed).unwrap();
}

/// A file of JSON that was changed, its checksum renewed.
pub(crate) fn renewed(mut file: Value) -> String {
    file[checksum::KEY] = checksum::of_json(&file).into();
    file.to_string()
}

/// Lines of stderr that tell of a run that was solved.
pub(crate) fn solved(output: &Output) -> Vec<&str> {
    let lines = text(&output.stderr).lines();
    lines
        .filter(|line| line.starts_with('[') && !line.contains("(reused)"))
        .collect()
}
