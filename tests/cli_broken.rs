//! Broken studies: what the real binary says of each, and that it writes nothing.
//!
//! Every file of `tests/broken` is a study with one kind of fault, or with many; the snapshots show message and exit code.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output};

/// Runs the binary in `folder`, without colours.
fn ventwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ventwright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

/// Stderr and exit code as one text; stdout must be empty.
fn refusal(output: &Output) -> String {
    assert!(
        output.stdout.is_empty(),
        "faults go to stderr, stdout holds results only"
    );
    let code = output.status.code().unwrap();
    format!(
        "{}exit code {code}\n",
        String::from_utf8_lossy(&output.stderr)
    )
}

fn names_in(folder: &Path) -> BTreeSet<OsString> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect()
}

fn broken_folder() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/broken"))
}

#[test]
fn every_broken_study_is_refused_with_place_and_hint() {
    let folder = broken_folder();
    let names_before = names_in(folder);
    let mut study_count = 0;
    for name in &names_before {
        let name = name.to_str().unwrap();
        let Some(stem) = name.strip_suffix(".toml") else {
            continue;
        };
        study_count += 1;
        let refusal = refusal(&ventwright(folder, &["check", name]));
        assert!(refusal.ends_with("exit code 2\n"), "{name}: {refusal}");
        assert!(refusal.contains("\n  hint: "), "{name}: {refusal}");
        insta::assert_snapshot!(format!("broken_{stem}"), refusal);
    }
    assert!(study_count >= 30, "only {study_count} broken studies");
    assert_eq!(names_before, names_in(folder), "check writes nothing");
}

#[test]
fn run_refuses_what_check_refuses() {
    let folder = broken_folder();
    let names_before = names_in(folder);
    for name in [
        "many_faults.toml",
        "decimal_comma.toml",
        "csv_one_point.toml",
    ] {
        let checked = ventwright(folder, &["check", name]);
        let run = ventwright(folder, &["run", name]);
        assert_eq!(refusal(&checked), refusal(&run), "{name}");
    }
    assert_eq!(names_before, names_in(folder), "run writes nothing");
}

#[test]
fn files_that_are_no_study_are_refused_before_they_are_parsed() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fs::write(folder.join("empty.toml"), "").unwrap();
    fs::write(folder.join("blank.toml"), " \n\t\n").unwrap();
    fs::write(
        folder.join("binary.toml"),
        b"\x7fELF\x02\x01\x01\0\xff\xfe\0\0",
    )
    .unwrap();
    fs::write(folder.join("nought.toml"), "format = 1\0").unwrap();
    fs::create_dir(folder.join("folder.toml")).unwrap();
    // A file of 100 MB that takes no room on disk: it is refused by its length.
    let large = File::create(folder.join("large.toml")).unwrap();
    large.set_len(100_000_000).unwrap();
    let mut text = String::new();
    for name in [
        "empty", "blank", "binary", "nought", "folder", "large", "absent",
    ] {
        text += &refusal(&ventwright(folder, &["check", &format!("{name}.toml")]));
    }
    insta::assert_snapshot!("no_study_at_all", text);
}

#[test]
fn a_fan_curve_that_is_no_table_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let study = fs::read_to_string(broken_folder().join("csv_one_point.toml")).unwrap();
    fs::create_dir(folder.join("curves")).unwrap();
    fs::write(
        folder.join("curves/binary.csv"),
        b"\x89PNG\r\n\x1a\n\0\0\xff",
    )
    .unwrap();
    fs::write(folder.join("curves/empty.csv"), "").unwrap();
    let large = File::create(folder.join("curves/large.csv")).unwrap();
    large.set_len(100_000_000).unwrap();
    let mut text = String::new();
    for name in ["binary", "empty", "large", ""] {
        let study = study.replace("one_point.csv", &format!("curves/{name}.csv"));
        fs::write(folder.join("study.toml"), study).unwrap();
        text += &refusal(&ventwright(folder, &["check", "study.toml"]));
    }
    insta::assert_snapshot!("fan_curve_that_is_no_table", text);
}

#[test]
fn flags_go_through_the_same_checks_as_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    assert!(ventwright(folder, &["new", "desk"]).status.success());
    let refused = ventwright(
        folder,
        &[
            "check",
            "desk.toml",
            "--threads",
            "-3",
            "--tolerance",
            "nan",
            "--quality",
            "quik",
        ],
    );
    insta::assert_snapshot!("flags_out_of_range", refusal(&refused));
}

#[test]
fn wrong_arguments_end_with_exit_code_2() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    for arguments in [
        &["check"][..],
        &["chek", "a.toml"],
        &["check", "a.toml", "--threads", "many"],
        &["new"],
        &[],
    ] {
        let output = ventwright(folder, arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
    }
}
