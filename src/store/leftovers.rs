//! What programs leave behind that were killed, and how it goes away.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::store::claim::LOCK_FILE;
use crate::store::{
    CHECKPOINT_FILE, Claim, Lock, SMOKE_FOLDER, StoreError, StudyFolder, entries, whole,
};

impl StudyFolder {
    /// Removes the half-written files (`.partial-...`) that nobody has touched since `before`, and returns their number.
    ///
    /// A program that was killed leaves them behind. Younger ones may belong to another program that is at work in the same folder.
    pub fn sweep(&self, before: SystemTime) -> usize {
        let runs = entries(&self.path.join("runs")).collect::<Vec<_>>();
        let smoke = self.path.join(SMOKE_FOLDER);
        let films = entries(&smoke).collect::<Vec<_>>();
        let parts = runs.iter().chain(std::iter::once(&smoke)).chain(&films);
        let folders = std::iter::once(&self.path).chain(parts);
        let is_left_over = |path: &PathBuf| {
            let name = path.file_name().and_then(|name| name.to_str());
            let touched = std::fs::metadata(path).and_then(|file| file.modified());
            name.is_some_and(|name| name.starts_with(whole::PARTIAL))
                && touched.is_ok_and(|time| time < before)
        };
        folders
            .flat_map(|folder| entries(folder))
            .filter(is_left_over)
            .filter(|path| std::fs::remove_file(path).is_ok())
            .count()
    }

    /// Removes the half-written files of a run, young or old: whoever holds its lock is the only one who writes there.
    pub fn sweep_run(&self, key: &str, _held: &Lock) -> usize {
        sweep_all(&self.run_folder(key))
    }

    /// Removes the half-written files of the study itself.
    pub fn sweep_study(&self, _held: &Lock) -> usize {
        sweep_all(&self.path)
    }

    /// Removes what a program left in the folder of a finished run that was killed just then: its checkpoint, half-written files, a lock that nobody holds.
    ///
    /// Nothing happens while somebody else works on the run.
    ///
    /// # Errors
    /// [`StoreError::Remove`] when the checkpoint cannot be removed.
    pub fn tidy_finished(&self, key: &str) -> Result<(), StoreError> {
        let folder = self.run_folder(key);
        let is_left_over =
            |path: PathBuf| is_partial(&path) || is_named(&path, &[CHECKPOINT_FILE, LOCK_FILE]);
        if !entries(&folder).any(is_left_over) {
            return Ok(());
        }
        match Lock::ask(&folder) {
            Claim::Ours(held) => {
                self.sweep_run(key, &held);
                self.drop_checkpoint(key)
            }
            Claim::Taken => Ok(()),
        }
    }

    /// Removes the checkpoint of a run, if there is one.
    ///
    /// # Errors
    /// [`StoreError::Remove`].
    pub fn drop_checkpoint(&self, key: &str) -> Result<(), StoreError> {
        let path = self.checkpoint(key);
        match std::fs::remove_file(&path) {
            Err(source) if source.kind() != std::io::ErrorKind::NotFound => {
                Err(StoreError::Remove { path, source })
            }
            _ => Ok(()),
        }
    }
}

fn is_named(path: &Path, names: &[&str]) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    name.is_some_and(|name| names.contains(&name))
}

fn is_partial(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    name.is_some_and(|name| name.starts_with(whole::PARTIAL))
}

fn sweep_all(folder: &Path) -> usize {
    entries(folder)
        .filter(|path| is_partial(path))
        .filter(|path| std::fs::remove_file(path).is_ok())
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn old_leftovers_are_swept_and_nothing_else() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "s").unwrap();
        let run = folder.start_run("k").unwrap();
        let now = SystemTime::now();
        let (old, line) = (
            now - Duration::from_secs(900),
            now - Duration::from_secs(600),
        );
        let put = |path: PathBuf, touched: SystemTime| {
            let file = std::fs::File::create(path).unwrap();
            file.set_modified(touched).unwrap();
        };
        put(run.join(".partial-Xy1"), old);
        put(folder.file(".partial-Xy2"), old);
        put(run.join(".partial-young"), now);
        put(run.join("mean.vti"), old);
        let reels = folder.file(SMOKE_FOLDER).join("reels");
        std::fs::create_dir_all(&reels).unwrap();
        put(reels.join(".partial-Xy3"), old);
        put(reels.join("film.png"), old);
        assert_eq!(folder.sweep(line), 3);
        assert!(reels.join("film.png").is_file());
        let mut left: Vec<_> = std::fs::read_dir(&run)
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        left.sort();
        assert_eq!(left, [".partial-young", "mean.vti"]);
        assert_eq!(folder.sweep(line), 0);
    }

    #[test]
    fn the_holder_of_a_run_sweeps_young_files_too_and_a_finished_run_is_tidied() {
        let results = tempfile::tempdir().unwrap();
        let folder = StudyFolder::open(results.path(), "s").unwrap();
        let Claim::Ours(held) = folder.claim_run("k").unwrap() else {
            panic!("nobody else is here")
        };
        let run = folder.run_folder("k");
        for name in [".partial-a", ".partial-b", CHECKPOINT_FILE, "run.json"] {
            std::fs::write(run.join(name), "x").unwrap();
        }
        folder.tidy_finished("k").unwrap();
        assert!(folder.checkpoint("k").exists(), "somebody works on it");
        assert_eq!(folder.sweep_run("k", &held), 2);
        drop(held);
        std::fs::write(run.join(".partial-c"), "x").unwrap();
        folder.tidy_finished("k").unwrap();
        let left: Vec<_> = entries(&run).collect();
        assert_eq!(left, [run.join("run.json")]);
        folder.tidy_finished("no-such-run").unwrap();
    }
}
