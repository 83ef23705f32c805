//! The house rules that a compiler does not check: who may import whom, who opens files, how long a file gets, what lies where.
//!
//! Every rule is a function from texts to faults and has a test in which it fails on a bad sample.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read the project has failed"
)]

mod circles;
mod documents;
mod imports;
mod invariants;
mod layout;
mod packages;
mod source;

use source::{Source, read, root};

/// The sources of the library.
fn library() -> Vec<Source> {
    read(&["src"], &["rs"])
}

/// Everything in Rust.
fn all_rust() -> Vec<Source> {
    read(&["src", "tests", "benches"], &["rs"])
}

/// Everything that is text.
fn all_texts() -> Vec<Source> {
    let kinds = ["rs", "md", "toml", "py", "csv", "snap", "html", "sh", ""];
    let mut texts = read(&["src", "tests", "benches", "cases", ".ci"], &kinds);
    for name in ["README.md", "DEVELOPERS.md", "Cargo.toml"] {
        // One that is missing is told by another test.
        if let Ok(text) = std::fs::read_to_string(root().join(name)) {
            texts.push(Source::new(name, &text));
        }
    }
    texts
}

#[track_caller]
fn assert_none(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

#[test]
fn the_project_is_found() {
    assert!(library().len() > 50 && all_texts().len() > 100);
}

#[test]
fn modules_import_only_what_the_table_allows() {
    assert_none(&imports::forbidden_arrows(&library()));
}

#[test]
fn commands_and_the_rooms_of_run_use_one_another_in_no_circle() {
    for (module, together) in circles::MODULES {
        assert_none(&circles::circles(&library(), module, together));
    }
}

#[test]
fn lib_rs_declares_the_modules_in_the_order_of_the_table() {
    let text = std::fs::read_to_string(root().join("src/lib.rs")).unwrap();
    assert_none(&imports::order_faults(&text));
}

#[test]
fn only_the_named_modules_open_files_print_read_clocks_or_end_the_process() {
    assert_none(&invariants::faults(&library()));
}

#[test]
fn files_are_short_and_say_their_subject() {
    assert_none(&layout::length_faults(&library()));
    assert_none(&layout::length_faults(&read(
        &["tests", "benches"],
        &["rs"],
    )));
    assert_none(&layout::name_faults(&library()));
}

#[test]
fn the_top_level_holds_what_it_should() {
    let names: Vec<String> = std::fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_none(&layout::top_level_faults(&names));
}

#[test]
fn nothing_is_left_undone_and_no_machine_is_named() {
    let outside: Vec<Source> = all_texts()
        .into_iter()
        .filter(|text| !text.path.starts_with("tests/tidy/"))
        .collect();
    assert_none(&layout::word_faults(&outside));
}

#[test]
fn tests_are_ignored_and_lints_waived_only_with_a_reason() {
    let outside: Vec<Source> = all_rust()
        .into_iter()
        .filter(|text| !text.path.starts_with("tests/tidy/"))
        .collect();
    assert_none(&layout::waiver_faults(&outside));
}

#[test]
fn validations_name_source_tolerance_and_error_seen() {
    assert_none(&documents::validation_faults(&read(&["tests"], &["rs"])));
}

#[test]
fn every_test_file_belongs_to_a_program() {
    assert_none(&documents::unused_modules(&read(&["tests"], &["rs"])));
}

#[test]
fn every_reference_table_is_described() {
    let readme = std::fs::read_to_string(root().join("tests/reference/README.md")).unwrap();
    let tables: Vec<String> = read(&["tests/reference"], &["csv"])
        .into_iter()
        .map(|table| table.path)
        .collect();
    assert!(tables.len() >= 7);
    assert_none(&documents::reference_faults(&readme, &tables));
}

#[test]
fn the_map_for_developers_is_the_table() {
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    assert_none(&documents::map_faults(&guide, imports::TABLE));
}
