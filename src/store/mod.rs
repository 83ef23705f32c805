//! The results folder: where each file lies, and how it gets there whole or not at all.
//!
//! ```text
//! results/STUDY/                 STUDY = slug of the study's name
//!     study.toml  ranking.csv  ranking.json  ranking.schema.json
//!     report.html  report.md  report-pictures/
//!     pictures/                  grilles side by side, when asked for
//!     smoke/                     films, when asked for
//!     runs/KEY/                  KEY = slug and hash of what determines the result
//!         run.json               written last: a run folder without it is unfinished
//!         history.csv  mean.vti  last.vti  picture.png  (in three dimensions also plate.vtp  swirl.csv)
//!         damaged-1/         the files of a run that was found damaged and solved anew
//!         half.state         a run that is under way or was stopped; gone once it is finished
//!         .lock              held by the program that works on the run
//! ```
//!
//! A file is written under a temporary name in its own folder and renamed when it is complete, so a reader sees the old file, the new one
//! or none.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use crate::checksum;

mod checkpoint;
mod claim;
mod key;
mod leftovers;
mod whole;

pub use checkpoint::{
    CHECKPOINT_FILE, CHECKPOINT_FRAME_BYTES, CheckpointFault, CheckpointOnDisk, CheckpointOwner,
    CheckpointState, find_checkpoint, glance_at_checkpoint, keep_checkpoint, read_checkpoint,
    write_checkpoint,
};
pub use claim::{Claim, Lock};
pub use key::{folder_name, run_key, set_name};
pub use whole::write_whole;

/// Name of the file that marks a run as finished.
pub const RUN_FILE: &str = "run.json";

/// How the folder of a damaged run's files begins.
const DAMAGED: &str = "damaged-";

/// Folder of the results of all studies, unless the user says otherwise.
pub const RESULTS_FOLDER: &str = "results";

/// The ranking, within the folder of a study.
pub const RANKING_FILE: &str = "ranking.json";

/// The study as it was understood, within the folder of a study.
pub const STUDY_FILE: &str = "study.toml";

/// The page for a browser, within the folder of a study.
pub const REPORT_FILE: &str = "report.html";

/// Folder of the films of a study.
pub const SMOKE_FOLDER: &str = "smoke";

/// What can go wrong between the program and the disk; always with the path.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// A folder could not be made.
    #[error("cannot create the folder {}: {source}", .path.display())]
    MakeFolder {
        /// The folder.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file could not be written; what stood there before is untouched.
    #[error("cannot write {}: {source}", .path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The content of a file could not be made; what stood there before is untouched.
    #[error("cannot fill {}: {source}", .path.display())]
    Fill {
        /// The file.
        path: PathBuf,
        /// Why.
        source: Box<dyn std::error::Error + Send + Sync>,
    },
    /// A file could not be removed.
    #[error("cannot remove {}: {source}", .path.display())]
    Remove {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file is there but cannot be read.
    #[error("cannot read {}: {source}", .path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// The folder of one study under the results folder.
#[derive(Debug, Clone)]
pub struct StudyFolder {
    path: PathBuf,
}

impl StudyFolder {
    /// The folder `results/STUDY`, whether it is there or not.
    pub fn named(results: &Path, study: &str) -> Self {
        Self {
            path: results.join(folder_name(study)),
        }
    }

    /// Opens `results/STUDY`, making it and its `runs` folder where missing.
    ///
    /// # Errors
    /// [`StoreError::MakeFolder`] when a folder cannot be made.
    pub fn open(results: &Path, study: &str) -> Result<Self, StoreError> {
        let folder = Self::named(results, study);
        make_folder(&folder.path.join("runs"))?;
        Ok(folder)
    }

    /// The folder itself.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Path of a file of the study, such as `ranking.csv`.
    pub fn file(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// Path of the folder of the run with this key; it need not exist.
    pub fn run_folder(&self, key: &str) -> PathBuf {
        self.path.join("runs").join(key)
    }

    /// Path of a file of a run, such as `mean.vti`.
    pub fn run_file(&self, key: &str, name: &str) -> PathBuf {
        self.run_folder(key).join(name)
    }

    /// Makes the folder of a run that is about to start.
    ///
    /// # Errors
    /// [`StoreError::MakeFolder`].
    pub fn start_run(&self, key: &str) -> Result<PathBuf, StoreError> {
        let path = self.run_folder(key);
        make_folder(&path)?;
        Ok(path)
    }

    /// Asks for a run: as long as the answer is kept, no other program works on it. Makes its folder.
    ///
    /// # Errors
    /// [`StoreError::MakeFolder`].
    pub fn claim_run(&self, key: &str) -> Result<Claim, StoreError> {
        self.start_run(key).map(|folder| Lock::ask(&folder))
    }

    /// Asks for the files of the study itself (`ranking.csv` and the like).
    pub fn claim(&self) -> Claim {
        Lock::ask(&self.path)
    }

    /// Path of the checkpoint of a run; it need not exist.
    pub fn checkpoint(&self, key: &str) -> PathBuf {
        self.run_file(key, CHECKPOINT_FILE)
    }

    /// Names of the folders that hold runs with the inputs of `key`: those whose hash is the same, whatever the readable part in front of it.
    ///
    /// A grille that was renamed since, or that shares a run with another one, is found that way. The folder of `key` itself comes first, the others by name.
    /// A folder that cannot be listed counts as empty: writing into it will tell why.
    pub fn folders_like(&self, key: &str) -> Vec<String> {
        let hash = |name: &str| name.rsplit('-').next().map(str::to_owned);
        let mut names: Vec<String> = entries(&self.path.join("runs"))
            .filter_map(|path| Some(path.file_name()?.to_str()?.to_owned()))
            .filter(|name| hash(name) == hash(key))
            .collect();
        names.sort_by_key(|name| (name != key, name.clone()));
        names
    }

    /// Moves the files of a damaged run into a folder of their own beside its other ones, which it names. Only for who holds the lock of the run.
    ///
    /// # Errors
    /// [`StoreError::MakeFolder`], [`StoreError::Write`].
    pub fn keep_damaged(&self, key: &str, _held: &Lock) -> Result<PathBuf, StoreError> {
        let folder = self.run_folder(key);
        let copies = (1..).map(|number: u32| folder.join(format!("{DAMAGED}{number}")));
        let copy = copies
            .into_iter()
            .find(|copy| !copy.exists())
            .unwrap_or_else(|| folder.join(DAMAGED));
        make_folder(&copy)?;
        for path in entries(&folder).filter(|path| path.is_file()) {
            let name = path.file_name().unwrap_or_default();
            if name == CHECKPOINT_FILE || name == claim::LOCK_FILE {
                continue;
            }
            std::fs::rename(&path, copy.join(name))
                .map_err(|source| StoreError::Write { path, source })?;
        }
        Ok(copy)
    }

    /// Checksums of these files of a run, by their names; those that are not there have none.
    ///
    /// # Errors
    /// [`StoreError::Read`].
    pub fn checksums(
        &self,
        key: &str,
        names: &[&str],
    ) -> Result<BTreeMap<String, String>, StoreError> {
        let mut checksums = BTreeMap::new();
        for name in names {
            let path = self.run_file(key, name);
            match std::fs::read(&path) {
                Ok(bytes) => {
                    checksums.insert((*name).to_owned(), checksum::of_bytes(&[&bytes]));
                }
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                Err(source) => return Err(StoreError::Read { path, source }),
            }
        }
        Ok(checksums)
    }

    /// Which of these files a run has lost.
    pub fn missing_files(&self, key: &str, names: &[&str]) -> Vec<PathBuf> {
        let paths = names.iter().map(|name| self.run_file(key, name));
        paths.filter(|path| !path.exists()).collect()
    }

    /// The text of `run.json` of a finished run, or `None` when the run is not there or unfinished.
    ///
    /// Whether its format and its inputs are the expected ones is for the caller, who knows them, to check.
    ///
    /// # Errors
    /// [`StoreError::Read`] when the file is there but cannot be read as text.
    pub fn find_finished(&self, key: &str) -> Result<Option<String>, StoreError> {
        let path = self.run_file(key, RUN_FILE);
        // Opening a pipe would wait for whoever writes into it.
        if std::fs::metadata(&path).is_ok_and(|found| !found.is_file()) {
            let source = io::Error::other("it is not a file");
            return Err(StoreError::Read { path, source });
        }
        match std::fs::read_to_string(&path) {
            Ok(text) => Ok(Some(text)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(source) => Err(StoreError::Read { path, source }),
        }
    }
}

/// What lies in a folder; nothing if it cannot be listed.
fn entries(folder: &Path) -> impl Iterator<Item = PathBuf> {
    std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(|entry| Some(entry.ok()?.path()))
}

fn make_folder(path: &Path) -> Result<(), StoreError> {
    std::fs::create_dir_all(path).map_err(|source| StoreError::MakeFolder {
        path: path.to_owned(),
        source,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_is_finished_only_when_its_run_file_is_there() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "Desk fan").unwrap();
        let key = run_key("hexagons", b"inputs");
        assert_eq!(folder.find_finished(&key).unwrap(), None);
        folder.start_run(&key).unwrap();
        write_whole(&folder.run_file(&key, "history.csv"), |out| {
            out.write_all(b"time_s\n")
        })
        .unwrap();
        assert_eq!(folder.find_finished(&key).unwrap(), None);
        write_whole(&folder.run_file(&key, RUN_FILE), |out| out.write_all(b"{}")).unwrap();
        assert_eq!(folder.find_finished(&key).unwrap().as_deref(), Some("{}"));
        assert!(folder.path().ends_with("desk-fan"));
    }

    #[test]
    fn a_run_is_found_under_another_readable_name() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "s").unwrap();
        let keys = ["hexagons", "a comb", "Zell"].map(|name| run_key(name, b"inputs"));
        let other = run_key("hexagons", b"other inputs");
        for key in keys.iter().chain([&other]) {
            folder.start_run(key).unwrap();
        }
        let [hexagons, comb, zell] = &keys;
        assert_eq!(
            folder.folders_like(hexagons),
            [hexagons, comb, zell].map(String::clone)
        );
        assert_eq!(folder.folders_like(&other), [other]);
        let renamed = run_key("cells", b"inputs");
        assert_eq!(
            folder.folders_like(&renamed),
            [comb, hexagons, zell].map(String::clone)
        );
        assert!(folder.folders_like("no-such-run").is_empty());
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_named_in_the_error() {
        let results = tempfile::tempdir().unwrap();
        std::fs::write(results.path().join("desk-fan"), "a file in the way").unwrap();
        let error = StudyFolder::open(results.path(), "desk-fan").unwrap_err();
        assert!(error.to_string().contains("desk-fan"), "{error}");
    }

    #[test]
    #[cfg(unix)]
    fn nobody_waits_for_a_pipe_in_the_place_of_a_run_file() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "s").unwrap();
        let path = folder.start_run("k").unwrap().join(RUN_FILE);
        let made = std::process::Command::new("mkfifo").arg(path).status();
        assert!(made.unwrap().success());
        let (tell, told) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            let found = folder.find_finished("k");
            tell.send(matches!(found, Err(StoreError::Read { .. })))
        });
        let patience = std::time::Duration::from_secs(20);
        assert_eq!(told.recv_timeout(patience), Ok(true));
    }

    #[test]
    fn a_run_file_that_is_a_folder_is_an_error_and_not_a_missing_run() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "s").unwrap();
        std::fs::create_dir_all(folder.run_file("k", RUN_FILE)).unwrap();
        assert!(matches!(
            folder.find_finished("k"),
            Err(StoreError::Read { .. })
        ));
    }
}
