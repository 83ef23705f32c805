//! One study on many machines: the workflow and the array script of `cases/many-machines`, with two local jobs in the place of machines.
//!
//! The workflow is read by Snakemake from the Python registry (seen with 9.27.1).

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::folder::copy_folder;
use crate::stage::{text, ventwright};
use crate::stopped::leftovers;

const PROGRAM: &str = env!("CARGO_BIN_EXE_ventwright");

/// A copy of the case.
fn case() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/many-machines");
    copy_folder(&case, folder.path());
    folder
}

/// Its ranking without what may differ from time to time.
fn ranking(folder: &Path) -> String {
    let path = folder.join("results/many-machines/ranking.json");
    let text = fs::read_to_string(path).unwrap();
    text.split_once("\"this_run\"").unwrap().0.to_owned()
}

/// The ranking of a batch on one machine.
fn by_one() -> String {
    let folder = case();
    let output = ventwright(folder.path(), &["run", "study.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    ranking(folder.path())
}

fn succeeded(output: &Output) {
    assert!(
        output.status.success(),
        "{}{}",
        text(&output.stdout),
        text(&output.stderr)
    );
}

#[test]
#[ignore = "needs Python with snakemake: run by .ci/run"]
fn a_workflow_of_two_jobs_ranks_like_one_batch() {
    let folder = case();
    let python = std::env::var("VENTWRIGHT_PYTHON")
        .expect("set VENTWRIGHT_PYTHON to a Python 3 that has the package snakemake");
    let output = Command::new(&python)
        .args(["-m", "snakemake", "--cores", "2", "--config"])
        .arg(format!("program={PROGRAM}"))
        .current_dir(folder.path())
        .env("XDG_CACHE_HOME", folder.path().join("cache"))
        .output()
        .expect("VENTWRIGHT_PYTHON must be a program that starts");
    succeeded(&output);
    assert_eq!(ranking(folder.path()), by_one());
    assert_eq!(leftovers(folder.path()), Vec::<PathBuf>::new());
}

#[test]
fn the_tasks_of_an_array_rank_like_one_batch() {
    let folder = case();
    let script = folder.path().join("one-run.slurm");
    let syntax = Command::new("bash")
        .arg("-n")
        .arg(&script)
        .output()
        .unwrap();
    succeeded(&syntax);
    let keys = ventwright(folder.path(), &["runs", "study.toml", "--keys"]);
    let count = text(&keys.stdout).lines().count();
    assert!(count > 4, "{count}");
    // What the scheduler sets in each task; one task more than there are runs.
    let task = |number: usize| {
        let mut task = Command::new("bash");
        task.arg(&script)
            .current_dir(folder.path())
            .env("VENTWRIGHT", PROGRAM)
            .env("SLURM_ARRAY_TASK_ID", number.to_string())
            .env("SLURM_CPUS_PER_TASK", "1");
        task.spawn().unwrap()
    };
    for first in (1..=count + 1).step_by(2) {
        for mut task in [task(first), task(first + 1)] {
            assert!(task.wait().unwrap().success());
        }
    }
    let output = ventwright(folder.path(), &["rank", "study.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(ranking(folder.path()), by_one());
    // Outside an array it says what is missing.
    let alone = Command::new("bash")
        .arg(&script)
        .env_remove("SLURM_ARRAY_TASK_ID")
        .output()
        .unwrap();
    assert!(!alone.status.success());
    assert!(text(&alone.stderr).contains("sbatch --array"));
}
