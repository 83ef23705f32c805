//! A disk that is full, a folder that cannot be written to, and what a run is said to take on disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use ventwright::run::batch::disk::disk_bytes;
use ventwright::run::planning::plan::plan;
use ventwright::study::Draft;

use crate::stage::{base, base_study, run_folders, stage, text, ventwright};
use crate::stopped::leftovers;

#[test]
fn a_run_leaves_about_what_was_foreseen() {
    let draft = Draft::parse(base_study().as_bytes(), "tiny").unwrap();
    let study = draft.resolve(&mut |_| Err("no files".to_owned())).unwrap();
    let runs = plan(&study).unwrap().runs;
    assert_eq!(runs.len(), 6);
    let (mut all_seen, mut all_foreseen) = (0, 0);
    for run in &runs {
        let folder = base().0.path().join("results/tiny/runs").join(&run.key);
        let files = fs::read_dir(folder).unwrap();
        let seen: u64 = files
            .map(|file| file.unwrap().metadata().unwrap().len())
            .sum();
        let foreseen = disk_bytes(run).files;
        let ratio = seen as f64 / foreseen as f64;
        all_seen += seen;
        all_foreseen += foreseen;
        // Seen 0.90 to 1.03.
        assert!(
            (0.7..1.3).contains(&ratio),
            "{}: {seen} bytes, foreseen {foreseen}",
            run.key
        );
    }
    let ratio = all_seen as f64 / all_foreseen as f64;
    assert!(
        (0.8..1.2).contains(&ratio),
        "the batch: {all_seen} bytes, foreseen {all_foreseen}"
    );
}

/// A small file system in memory that goes when this is dropped.
struct SmallDisk(PathBuf);

impl SmallDisk {
    /// `None` where rights do not allow it.
    fn mount(at: &Path, bytes: usize) -> Option<Self> {
        fs::create_dir(at).unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={bytes}"), "tmpfs"])
            .arg(at)
            .output();
        let is_mounted = mounted.is_ok_and(|output| output.status.success());
        is_mounted.then(|| Self(at.to_owned()))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_what_fits_is_kept() {
    let folder = stage(&base_study());
    let results = folder.path().join("results");
    // Two or three of the six runs fit.
    let Some(_disk) = SmallDisk::mount(&results, 1_500_000) else {
        println!("not done: mounting a small file system is not allowed here");
        return;
    };
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(err.contains("No space left on device"), "{err}");
    // The ranking is told from what was solved, kept or not.
    let table = |out: &[u8]| text(out).lines().take(8).collect::<Vec<_>>().join("\n");
    assert_eq!(table(&output.stdout), table(&base().1.stdout));
    let is_finished = |run: &&PathBuf| run.join("run.json").is_file();
    let finished = run_folders(folder.path())
        .iter()
        .filter(is_finished)
        .count();
    assert!((1..6).contains(&finished), "{finished}");
    let partial: Vec<_> = leftovers(folder.path())
        .into_iter()
        .filter(|path| !path.ends_with("half.state"))
        .collect();
    assert_eq!(partial, Vec::<PathBuf>::new());
}

#[cfg(target_os = "linux")]
#[test]
fn a_read_only_folder_is_told_and_nothing_is_solved() {
    let folder = stage(&base_study());
    let results = folder.path().join("results");
    let Some(disk) = SmallDisk::mount(&results, 1_500_000) else {
        println!("not done: mounting a small file system is not allowed here");
        return;
    };
    let again = Command::new("mount")
        .args(["-o", "remount,ro"])
        .arg(&disk.0)
        .status()
        .unwrap();
    assert!(again.success());
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(
        err.starts_with("error: cannot create the folder results/tiny")
            && err.contains("Read-only"),
        "{err}"
    );
    assert!(output.stdout.is_empty());
}
