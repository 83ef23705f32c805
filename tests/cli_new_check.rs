//! `new` and `check` as a maker meets them: the real binary in an empty folder.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn ventwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ventwright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

#[test]
fn the_starter_study_passes_check_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let written = ventwright(folder, &["new", "desk"]);
    assert_eq!(written.status.code(), Some(0));
    assert!(written.stdout.is_empty(), "the file is the result");
    insta::assert_snapshot!("new", text(&written.stderr));
    let checked = ventwright(folder, &["check", "desk.toml", "--threads", "2"]);
    assert_eq!(checked.status.code(), Some(0), "{}", text(&checked.stderr));
    assert!(checked.stderr.is_empty());
    insta::assert_snapshot!("check_starter", text(&checked.stdout));
}

#[test]
fn new_never_overwrites() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fs::write(folder.join("desk.toml"), "precious").unwrap();
    let refused = ventwright(folder, &["new", "desk"]);
    assert_eq!(refused.status.code(), Some(2));
    insta::assert_snapshot!("new_over_a_file", text(&refused.stderr));
    assert_eq!(
        fs::read_to_string(folder.join("desk.toml")).unwrap(),
        "precious"
    );
}

#[test]
fn any_name_that_a_file_can_have_makes_a_valid_study() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    for (name, file) in [
        ("a \"quoted\" desk", "a \"quoted\" desk.toml"),
        ("back\\slash", "back\\slash.toml"),
        ("Schreibtisch Größe 1.2", "Schreibtisch Größe 1.2.toml"),
        ("desk.toml", "desk.toml"),
    ] {
        assert!(
            ventwright(folder, &["new", name]).status.success(),
            "{name}"
        );
        let checked = ventwright(folder, &["check", file]);
        assert!(
            checked.status.success(),
            "{name}: {}",
            text(&checked.stderr)
        );
    }
    for name in ["", "two\nlines"] {
        assert_eq!(ventwright(folder, &["new", name]).status.code(), Some(2));
    }
    let nowhere = ventwright(folder, &["new", "no-such-folder/desk"]);
    assert_eq!(nowhere.status.code(), Some(2));
}

#[test]
fn quiet_says_nothing_but_results() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let written = ventwright(folder, &["--quiet", "new", "desk"]);
    assert!(written.stdout.is_empty() && written.stderr.is_empty());
    let checked = ventwright(folder, &["check", "desk.toml", "--quiet"]);
    assert!(!checked.stdout.is_empty() && checked.stderr.is_empty());
}

#[test]
fn a_closed_pipe_is_no_error() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    assert!(ventwright(folder, &["new", "desk"]).status.success());
    for arguments in [&["check", "desk.toml"][..], &["--help"]] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_ventwright"))
            .args(arguments)
            .current_dir(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let mut complaints = String::new();
        let mut stderr = child.stderr.take().unwrap();
        stderr.read_to_string(&mut complaints).unwrap();
        assert_eq!(child.wait().unwrap().code(), Some(0), "{arguments:?}");
        assert_eq!(complaints, "", "{arguments:?}");
    }
}

#[test]
fn flags_overwrite_the_study() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    assert!(ventwright(folder, &["new", "desk"]).status.success());
    let resolved = ventwright(
        folder,
        &[
            "check",
            "desk.toml",
            "--resolved",
            "--quality",
            "overnight",
            "--threads",
            "3",
            "--tolerance",
            "0.25",
        ],
    );
    let resolved = text(&resolved.stdout);
    let (_, run) = resolved.split_once("[run]").unwrap();
    insta::assert_snapshot!("flags_in_the_resolved_copy", run);
}

/// Three grilles: one that can be made, one whose rings nothing holds, one whose holes break through the rim.
const PARTS: &str = r#"
format = 1
study.name = "parts"
place.side = "intake"
fan = { bore_mm = 60, hub_mm = 20, free_flow_m3_per_h = 30, shut_off_pressure_pa = 20 }
grille = [
  { name = "comb", thickness_mm = 3, holes = { shape = "hexagon", across_flats_mm = 6, rib_mm = 1.2 } },
  { name = "loose", thickness_mm = 3, rings = { slot_width_mm = 5, rib_mm = 2, bar_count = 0 } },
  { name = "broken rim", thickness_mm = 3, border_mm = 0, crossing_holes = "clip", holes = { shape = "round", diameter_mm = 6, rib_mm = 1.2 } },
]
"#;

#[test]
fn a_part_is_written_whole_in_every_format() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fs::write(folder.join("parts.toml"), PARTS).unwrap();
    let formats = ["3mf", "stl", "svg", "dxf"];
    let mut arguments = vec!["export", "parts.toml", "--grille", "comb"];
    arguments.extend(formats.iter().flat_map(|format| ["--format", format]));
    let made = ventwright(folder, &arguments);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    insta::assert_snapshot!("export", text(&made.stdout));
    let parts = folder.join("results/parts/parts");
    let mut names: Vec<String> = fs::read_dir(&parts)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names.len(), 4, "{names:?}");
    let read = |ending: &str| {
        let name = names.iter().find(|name| name.ends_with(ending)).unwrap();
        fs::read(parts.join(name)).unwrap()
    };
    // A package is a zip file; a binary STL has 84 bytes and 50 for each of the triangles that it counts.
    assert!(read("3mf").starts_with(b"PK\x03\x04"));
    let stl = read("stl");
    let count = u32::from_le_bytes(stl[80..84].try_into().unwrap()) as usize;
    assert!(count > 100 && stl.len() == 84 + 50 * count);
    assert!(!stl.starts_with(b"solid"));
    let svg = String::from_utf8(read("svg")).unwrap();
    assert!(svg.contains("id=\"front\"") && svg.contains("id=\"back\""));
    assert!(svg.contains("Not a safety assessment"));
    // The same again gives the same files.
    let before: Vec<_> = formats.map(read).to_vec();
    assert_eq!(ventwright(folder, &arguments).status.code(), Some(0));
    assert_eq!(formats.map(read).to_vec(), before);
}

#[test]
fn what_cannot_be_made_as_one_part_is_told_with_what_to_change() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fs::write(folder.join("parts.toml"), PARTS).unwrap();
    let made = ventwright(folder, &["export", "parts.toml", "--all"]);
    assert_eq!(made.status.code(), Some(1));
    insta::assert_snapshot!("export_refused", text(&made.stderr));
    let files = fs::read_dir(folder.join("results/parts/parts")).unwrap();
    assert_eq!(files.count(), 1, "only the one that can be made");
    // Nothing is ranked and there are several; a name that none has.
    for arguments in [
        &["export", "parts.toml"][..],
        &["export", "parts.toml", "--grille", "Comb"],
    ] {
        let refused = ventwright(folder, arguments);
        assert_eq!(refused.status.code(), Some(2));
        assert!(text(&refused.stderr).contains("comb, loose, broken rim"));
    }
}
