//! Signals, and going on from a checkpoint.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use crate::stage::{
    CURVE, command, edit, ranking, run_files, run_folders, stage, study, text, ventwright,
};

/// Slots that take some seconds at this depth, in one thread.
const SLOTS: &str = r#"
[[grille]]
name = "slots"
thickness_mm = 2
[grille.holes]
shape = "slot"
width_mm = 5
length_mm = 24
rib_mm = 1.2
"#;

pub(crate) const DEEP: [&str; 8] = [
    "run",
    "tiny.toml",
    "--quality",
    "quick",
    "--tolerance",
    "0.05",
    "--threads",
    "2",
];

/// A folder with a study of flat runs that take some seconds each.
pub(crate) fn deep_stage() -> tempfile::TempDir {
    stage(&study(CURVE, "intake", "checkpoint_min = 0.005", &[SLOTS]))
}

/// The results of that study, solved by a program that nobody disturbed.
fn undisturbed() -> &'static tempfile::TempDir {
    static ONCE: std::sync::OnceLock<tempfile::TempDir> = std::sync::OnceLock::new();
    ONCE.get_or_init(|| {
        let folder = deep_stage();
        let output = ventwright(folder.path(), &DEEP);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        folder
    })
}

/// What must not be left anywhere once a batch is through.
pub(crate) fn leftovers(folder: &Path) -> Vec<PathBuf> {
    let mut left = Vec::new();
    let mut folders = vec![folder.join("results")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            if path.is_dir() {
                folders.push(path);
            } else if name.starts_with('.') || name == "half.state" {
                left.push(path);
            }
        }
    }
    left
}

/// Checkpoints that lie in the run folders.
fn half(folder: &Path) -> Vec<PathBuf> {
    let files = run_folders(folder).into_iter();
    let files = files.map(|run| run.join("half.state"));
    files.filter(|file| file.exists()).collect()
}

pub(crate) fn signal(child: &Child, name: &str) {
    let pid = child.id().to_string();
    let sent = Command::new("kill").args([name, &pid]).status().unwrap();
    assert!(sent.success());
}

fn start(folder: &Path) -> Child {
    let mut command = command(folder, &DEEP);
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command.spawn().unwrap()
}

/// Waits until the program works on a run and some run is kept half way.
fn wait_for_half(folder: &Path, child: &mut Child) {
    let is_at_work = || {
        run_folders(folder)
            .iter()
            .any(|run| run.join(".lock").exists())
    };
    while !folder.join("results/tiny/runs").is_dir() || half(folder).is_empty() || !is_at_work() {
        assert!(child.try_wait().unwrap().is_none(), "it ended without one");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// That the study in the folder has been solved as if nothing had happened.
fn assert_as_undisturbed(folder: &Path) {
    let other = undisturbed().path();
    assert_eq!(ranking(folder), ranking(other));
    assert_eq!(run_files(folder), run_files(other));
    for run in run_folders(folder) {
        let beside = other
            .join("results/tiny/runs")
            .join(run.file_name().unwrap());
        for file in ["history.csv", "mean.vti", "last.vti", "picture.png"] {
            let same = fs::read(run.join(file)).unwrap() == fs::read(beside.join(file)).unwrap();
            assert!(same, "{} differs", run.join(file).display());
        }
    }
    assert_eq!(leftovers(folder), Vec::<PathBuf>::new());
}

#[test]
fn every_signal_to_stop_leaves_half_runs_that_are_gone_on_with() {
    let folder = deep_stage();
    for name in ["-INT", "-TERM", "-HUP"] {
        let mut child = start(folder.path());
        wait_for_half(folder.path(), &mut child);
        let sent = Instant::now();
        signal(&child, name);
        let output = child.wait_with_output().unwrap();
        let took = sent.elapsed();
        println!("{name}: stopped after {} ms", took.as_millis());
        let err = text(&output.stderr);
        assert_eq!(output.status.code(), Some(130), "{err}");
        // Two seconds are promised; a machine that does much else gets more.
        assert!(took < Duration::from_secs(20), "{took:?}");
        assert!(err.contains(" half done and kept in results/tiny"), "{err}");
        assert!(output.stdout.is_empty(), "half a ranking is none");
        assert!(!half(folder.path()).is_empty());
        let states = ventwright(
            folder.path(),
            &[
                "runs",
                "tiny.toml",
                "--quality",
                "quick",
                "--tolerance",
                "0.05",
            ],
        );
        let halves = text(&states.stdout)
            .lines()
            .filter(|line| line.ends_with("\thalf"));
        assert_eq!(halves.count(), half(folder.path()).len());
    }
    let count = half(folder.path()).len();
    let output = ventwright(folder.path(), &DEEP);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert_eq!(err.matches(": goes on after ").count(), count, "{err}");
    assert_as_undisturbed(folder.path());
}

#[test]
fn a_second_signal_ends_it_at_once() {
    let folder = deep_stage();
    let mut child = start(folder.path());
    wait_for_half(folder.path(), &mut child);
    signal(&child, "-INT");
    signal(&child, "-INT");
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
}

/// A folder whose batch was stopped with something half done, and those files.
fn stopped_half_way() -> (tempfile::TempDir, Vec<PathBuf>) {
    let folder = deep_stage();
    let mut child = start(folder.path());
    wait_for_half(folder.path(), &mut child);
    signal(&child, "-TERM");
    assert_eq!(child.wait().unwrap().code(), Some(130));
    let half = half(folder.path());
    (folder, half)
}

fn begun_anew(output: &Output) -> Vec<&str> {
    let lines = text(&output.stderr).lines();
    lines
        .filter(|line| line.contains("begins anew, because "))
        .collect()
}

#[test]
fn a_damaged_checkpoint_is_told_and_the_run_begins_anew() {
    type Damage = fn(&mut Vec<u8>);
    let damages: [(Damage, &str); 5] = [
        (|bytes| bytes.truncate(bytes.len() / 2), "cut short"),
        (|bytes| bytes.truncate(9), "not a checkpoint"),
        (
            |bytes| {
                let middle = bytes.len() / 2;
                bytes[middle] ^= 1;
            },
            "checksum is wrong",
        ),
        (|bytes| bytes[12] ^= 0x40, "version"),
        (|bytes| bytes[20] ^= 1, "different inputs"),
    ];
    let (folder, half) = stopped_half_way();
    let whole = fs::read(&half[0]).unwrap();
    for (damage, words) in damages {
        let mut bytes = whole.clone();
        damage(&mut bytes);
        fs::write(&half[0], bytes).unwrap();
        // Stopped again at once: what is asked here is only what it says.
        let mut child = start(folder.path());
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let line = lines.find(|line| line.as_ref().unwrap().contains("begins anew"));
        signal(&child, "-TERM");
        child.wait().unwrap();
        let line = line.unwrap().unwrap();
        assert!(
            line.contains("half.state: ") && line.contains(words),
            "{line}"
        );
    }
    fs::write(&half[0], &whole[..whole.len() - 1]).unwrap();
    let output = ventwright(folder.path(), &DEEP);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(begun_anew(&output).len(), 1, "{}", text(&output.stderr));
    assert_as_undisturbed(folder.path());
}

#[test]
fn fresh_begins_anew_and_without_checkpoints_none_are_written() {
    let (folder, _) = stopped_half_way();
    edit(&folder.path().join("tiny.toml"), |text| {
        text.replace("checkpoint_min = 0.005", "checkpoint_min = 0")
    });
    let fresh = [DEEP.as_slice(), &["--fresh"]].concat();
    let output = ventwright(folder.path(), &fresh);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(!text(&output.stderr).contains("goes on after"));
    assert_as_undisturbed(folder.path());
    for run in run_folders(folder.path()) {
        fs::remove_file(run.join("run.json")).unwrap();
    }
    let mut child = start(folder.path());
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(1) && child.try_wait().unwrap().is_none() {
        assert!(half(folder.path()).is_empty());
        std::thread::sleep(Duration::from_millis(20));
    }
    signal(&child, "-TERM");
    child.wait().unwrap();
    assert!(half(folder.path()).is_empty());
}
