//! Writing a file so that it is there whole or not at all.

use std::io::{BufWriter, Write};
use std::path::Path;

use crate::store::StoreError;

/// How names of files begin that are not complete.
pub(super) const PARTIAL: &str = ".partial-";

/// Writes a file under a temporary name in its own folder (`.partial-...`), flushes it to the disk and renames it to `path`.
///
/// `fill` gets a buffered writer. When it fails, or the disk is full or lost, the temporary file is removed and what stood at `path` before stays.
/// A killed program can leave a `.partial-...` file behind; nothing reads those, and [`StudyFolder::sweep`](super::StudyFolder::sweep) removes them.
///
/// # Errors
/// [`StoreError::Fill`] when `fill` fails, [`StoreError::Write`] when the file cannot be made, flushed or renamed.
pub fn write_whole<E>(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> Result<(), E>,
) -> Result<(), StoreError>
where
    E: Into<Box<dyn std::error::Error + Send + Sync>>,
{
    let cannot_write = |source| StoreError::Write {
        path: path.to_owned(),
        source,
    };
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(PARTIAL);
    // Temporary files are private by default; results are not, so ask for the usual rights (less the user's mask).
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut temporary = builder.tempfile_in(folder).map_err(cannot_write)?;
    {
        let mut out = BufWriter::new(temporary.as_file_mut());
        fill(&mut out).map_err(|error| StoreError::Fill {
            path: path.to_owned(),
            source: error.into(),
        })?;
        out.flush().map_err(cannot_write)?;
    }
    temporary.as_file().sync_all().map_err(cannot_write)?;
    temporary
        .persist(path)
        .map_err(|error| cannot_write(error.error))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io;

    #[test]
    fn a_failed_write_leaves_the_old_file_and_no_rubbish() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ranking.csv");
        write_whole(&path, |out| out.write_all(b"old")).unwrap();
        let error = write_whole(&path, |out| {
            out.write_all(b"half of the new")?;
            Err(io::Error::other("no space left"))
        })
        .unwrap_err();
        assert!(matches!(error, StoreError::Fill { .. }));
        assert!(
            error.to_string().contains("ranking.csv")
                && error.to_string().contains("no space left")
        );
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn an_existing_file_is_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ranking.csv");
        write_whole(&path, |out| out.write_all(b"a longer old text")).unwrap();
        write_whole(&path, |out| out.write_all(b"new")).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "new");
    }

    #[test]
    fn a_missing_folder_is_named() {
        let error =
            write_whole(Path::new("no/such/folder/x.csv"), |out| out.write_all(b"x")).unwrap_err();
        assert!(error.to_string().contains("no/such/folder/x.csv"));
    }

    #[cfg(unix)]
    #[test]
    fn others_may_read_the_results_as_far_as_the_mask_allows() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (path, plain) = (folder.path().join("a"), folder.path().join("b"));
        write_whole(&path, |out| out.write_all(b"x")).unwrap();
        std::fs::write(&plain, "x").unwrap();
        let mode = |p: &Path| std::fs::metadata(p).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&path), mode(&plain));
    }
}
