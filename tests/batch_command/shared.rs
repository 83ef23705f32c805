//! Two programs on one results folder.

use std::path::PathBuf;
use std::process::{Child, Output, Stdio};
use std::time::Duration;

use crate::stage::{base, base_study, command, ranking, run_files, solved, stage, text};
use crate::stopped::{leftovers, signal};

/// The first screen but for its last lines: the time foreseen for the next command goes by the threads.
fn answer(output: &Output) -> &str {
    let screen = text(&output.stdout);
    screen.split("\nNext: ").next().unwrap_or(screen)
}

fn start(folder: &std::path::Path) -> Child {
    let mut command = command(folder, &["run", "tiny.toml", "--threads", "1"]);
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command.spawn().unwrap()
}

#[test]
fn two_programs_solve_every_run_once_and_rank_alike() {
    let folder = stage(&base_study());
    let children = [start(folder.path()), start(folder.path())];
    let outputs = children.map(|child| child.wait_with_output().unwrap());
    let mut by_both = 0;
    for output in &outputs {
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        assert_eq!(answer(output), answer(&base().1));
        by_both += solved(output).len();
    }
    assert_eq!(by_both, 6, "{outputs:?}");
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
    assert_eq!(leftovers(folder.path()), Vec::<PathBuf>::new());
}

#[test]
fn the_runs_of_a_program_that_dies_are_taken_over() {
    let folder = stage(&base_study());
    let mut first = start(folder.path());
    let is_held = || {
        let runs = std::fs::read_dir(folder.path().join("results/tiny/runs"));
        let mut runs = runs.into_iter().flatten();
        runs.any(|run| run.unwrap().path().join(".lock").exists())
    };
    while !is_held() {
        assert!(first.try_wait().unwrap().is_none());
        std::thread::sleep(Duration::from_millis(2));
    }
    let second = start(folder.path());
    std::thread::sleep(Duration::from_millis(100));
    signal(&first, "-KILL");
    first.wait().unwrap();
    let output = second.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(answer(&output), answer(&base().1));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
    assert_eq!(leftovers(folder.path()), Vec::<PathBuf>::new());
}
