//! Every study in `cases/` is valid, prints in 80 columns, and its resolved copy says the same.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use ventwright::study::{Draft, Study};

pub(crate) fn cases() -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("cases")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path
                .extension()
                .is_some_and(|extension| extension == "toml")
            {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

pub(crate) fn read(path: &Path) -> Study {
    let draft = Draft::parse(&fs::read(path).unwrap(), "case").unwrap();
    let folder = path.parent().unwrap();
    draft
        .resolve(&mut |name| fs::read(folder.join(name)).map_err(|error| error.to_string()))
        .unwrap_or_else(|faults| panic!("{}: {faults:?}", path.display()))
}

#[test]
fn every_case_passes_check_in_80_columns() {
    let cases = cases();
    assert!(cases.len() >= 2, "only {cases:?}");
    for path in cases {
        let output = Command::new(env!("CARGO_BIN_EXE_ventwright"))
            .arg("check")
            .arg(&path)
            .output()
            .unwrap();
        assert!(output.status.success(), "{}", path.display());
        let text = String::from_utf8(output.stdout).unwrap();
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{}: {line}", path.display());
        }
    }
}

#[test]
fn the_resolved_copy_of_every_case_gives_the_same_study() {
    for path in cases() {
        let study = read(&path);
        let copy = study.to_toml();
        let again = Draft::parse(copy.as_bytes(), "copy")
            .unwrap()
            .resolve(&mut |name| Err(format!("the copy must not need {name}")))
            .unwrap();
        assert_eq!(study, again, "{}", path.display());
        assert_eq!(copy, again.to_toml());
    }
}

#[test]
fn the_demo_compares_straight_twisted_and_leaned_grilles_behind_a_fan_and_sets_fabrics_beside_them()
{
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/quiet-desk/study.toml");
    let study = read(&path);
    assert_eq!(study.place.side, ventwright::study::Side::Exhaust);
    assert!(study.grilles.len() >= 7);
    assert!(study.fabrics.len() >= 2);
}
