//! Every study in `cases/` is valid, prints in 80 columns, and its resolved copy says the same.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use ventwright::study::{Draft, Study};

fn cases() -> Vec<PathBuf> {
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

fn read(path: &Path) -> Study {
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

/// The file that explains every key must name every key: the program lists the keys of a table when it meets an unknown one.
#[test]
fn the_file_that_explains_every_key_names_them_all() {
    let explained =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/every-key.toml"))
            .unwrap();
    let mut key_count = 0;
    for table in [
        "[study]",
        "[air]",
        "[fan]",
        "[place]",
        "[meter]",
        "[fan_view]",
        "[smoke]",
        "[[smoke.rake]]",
        "[[other_fans]]",
        "[[panel]]",
        "[[fabric]]",
        "[[fabric]]\n[fabric.knit]",
        "[[fabric]]\n[fabric.woven]",
        "[[fabric]]\n[fabric.mesh]",
        "[[fabric]]\n[fabric.sheet]",
        "[[grille]]",
        "[[grille]]\nfront_edge = { }\n[grille.holes]",
        "[[grille]]\n[grille.rings]",
        "[[grille]]\n[grille.bars]",
        "[[grille]]\n[[grille.zone]]",
        "[[series]]",
        "[[series]]\n[series.vary]",
        "[run]",
    ] {
        let draft = format!("{table}\nno_such_key = 1\n");
        let fault = Draft::parse(draft.as_bytes(), "draft").unwrap_err();
        let ventwright::study::FaultKind::UnknownKey { known, .. } = *fault.kind else {
            panic!("{table}: {fault}");
        };
        for key in known {
            key_count += 1;
            assert!(explained.contains(&key), "{table} {key} is not explained");
        }
    }
    assert!(key_count > 60, "only {key_count} keys");
}
