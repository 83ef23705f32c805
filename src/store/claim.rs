//! Who works on what, when several programs share a results folder: a file that the operating system locks for as long as its holder lives.
//!
//! The lock goes with the program, however that ends, so nothing has to be cleaned up before another one may go on. The file is removed by its holder; whoever gets hold of a file that has been
//! removed meanwhile looks again.

use std::fs::{File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

/// Name of the file that is locked.
pub(super) const LOCK_FILE: &str = ".lock";

/// What came of asking for something.
#[derive(Debug)]
pub enum Claim {
    /// It is ours until this is dropped.
    Ours(Lock),
    /// Another program works on it.
    Taken,
}

/// Keeps other programs out until it is dropped.
#[derive(Debug)]
pub struct Lock {
    path: PathBuf,
    /// `None` where the file system has no locks.
    file: Option<File>,
    /// Why there is none.
    why_not: Option<io::Error>,
}

impl Lock {
    /// Asks for the lock of a folder, which must exist. Where the file system knows no locks it is granted, and [`Lock::why_not`] tells.
    pub(super) fn ask(folder: &Path) -> Claim {
        let path = folder.join(LOCK_FILE);
        let unlocked = |path: PathBuf, why| {
            Claim::Ours(Self {
                path,
                file: None,
                why_not: Some(why),
            })
        };
        // Every time round somebody has removed the file between our opening and our locking it.
        loop {
            let mut options = File::options();
            options.read(true).write(true).create(true).truncate(false);
            let file = match options.open(&path) {
                Ok(file) => file,
                Err(error) => return unlocked(path, error),
            };
            match file.try_lock() {
                Ok(()) if is_still(&path, &file) => {
                    return Claim::Ours(Self {
                        path,
                        file: Some(file),
                        why_not: None,
                    });
                }
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Claim::Taken,
                Err(TryLockError::Error(error)) => return unlocked(path, error),
            }
        }
    }

    /// Why there is no real lock, if there is none.
    pub fn why_not(&self) -> Option<&io::Error> {
        self.why_not.as_ref()
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        if let Some(file) = self.file.take() {
            // Removed while it is held: who opened it before finds that it is gone.
            let _ = std::fs::remove_file(&self.path);
            drop(file);
        }
    }
}

/// Whether `path` is still this file.
#[cfg(unix)]
fn is_still(path: &Path, file: &File) -> bool {
    use std::os::unix::fs::MetadataExt;
    let place = |metadata: io::Result<std::fs::Metadata>| {
        metadata.map(|metadata| (metadata.dev(), metadata.ino()))
    };
    match (place(std::fs::metadata(path)), place(file.metadata())) {
        (Ok(named), Ok(held)) => named == held,
        _ => false,
    }
}

/// Whether `path` is still this file: elsewhere a file that is open cannot be removed for good.
#[cfg(not(unix))]
fn is_still(path: &Path, _file: &File) -> bool {
    path.exists()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_taken_is_free_when_its_holder_lets_go() {
        let folder = tempfile::tempdir().unwrap();
        let Claim::Ours(lock) = Lock::ask(folder.path()) else {
            panic!("nobody else is here")
        };
        assert!(lock.why_not().is_none());
        assert!(matches!(Lock::ask(folder.path()), Claim::Taken));
        drop(lock);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        assert!(matches!(Lock::ask(folder.path()), Claim::Ours(_)));
    }

    #[test]
    fn a_file_that_a_dead_holder_left_is_no_obstacle() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(LOCK_FILE), "").unwrap();
        assert!(matches!(Lock::ask(folder.path()), Claim::Ours(_)));
    }

    #[test]
    fn where_nothing_can_be_locked_it_is_granted_with_the_reason() {
        let Claim::Ours(lock) = Lock::ask(Path::new("no/such/folder")) else {
            panic!("nobody can hold it")
        };
        assert_eq!(lock.why_not().unwrap().kind(), io::ErrorKind::NotFound);
    }

    #[test]
    fn of_many_who_ask_at_once_one_at_a_time_gets_it() {
        use std::sync::atomic::{AtomicUsize, Ordering};
        let folder = tempfile::tempdir().unwrap();
        let (inside, most, got) = (
            AtomicUsize::new(0),
            AtomicUsize::new(0),
            AtomicUsize::new(0),
        );
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    for _ in 0..500 {
                        if let Claim::Ours(_lock) = Lock::ask(folder.path()) {
                            let now = 1 + inside.fetch_add(1, Ordering::SeqCst);
                            most.fetch_max(now, Ordering::SeqCst);
                            got.fetch_add(1, Ordering::SeqCst);
                            inside.fetch_sub(1, Ordering::SeqCst);
                        }
                    }
                });
            }
        });
        assert_eq!(most.into_inner(), 1);
        assert!(got.into_inner() > 0);
    }
}
