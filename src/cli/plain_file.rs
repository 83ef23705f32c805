//! Reads files that somebody named, or that lie in a results folder: plain files only, and none larger than its reader takes.
//!
//! A pipe, a socket or a device is refused before it is opened: opening a pipe waits for whoever writes into it.

use std::fs::{self, File, FileType};
use std::io::{self, Read};
use std::path::Path;

/// Why a file was not read. Sizes in bytes.
#[derive(Debug, thiserror::Error)]
pub(super) enum Unread {
    #[error("there is no such file")]
    Absent,
    #[error("reading it is not permitted")]
    Forbidden,
    #[error("it is a folder")]
    Folder,
    #[error("it is {0}, not a file: save what comes out of it in a file, and name that")]
    NoFile(&'static str),
    #[error("it is {size} bytes long; the limit is {limit}")]
    TooLarge { size: u64, limit: u64 },
    #[error("it is not a text file (UTF-8)")]
    NoText,
    #[error(transparent)]
    Other(io::Error),
}

impl From<io::Error> for Unread {
    /// The usual reasons in the same words on every system.
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound => Self::Absent,
            io::ErrorKind::PermissionDenied => Self::Forbidden,
            _ => Self::Other(error),
        }
    }
}

/// Opens a file that is one, and not larger than `limit` bytes.
pub(super) fn open_plain(path: &Path, limit: u64) -> Result<File, Unread> {
    let metadata = fs::metadata(path)?;
    if metadata.is_dir() {
        return Err(Unread::Folder);
    }
    if !metadata.is_file() {
        return Err(Unread::NoFile(what_else(metadata.file_type())));
    }
    if metadata.len() > limit {
        let size = metadata.len();
        return Err(Unread::TooLarge { size, limit });
    }
    Ok(File::open(path)?)
}

/// The whole content of a plain file of at most `limit` bytes.
pub(super) fn plain_bytes(path: &Path, limit: u64) -> Result<Vec<u8>, Unread> {
    let mut bytes = Vec::new();
    // It may have grown since it was measured, and some files of the system say no length: stop one byte beyond the limit.
    let file = open_plain(path, limit)?;
    file.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
    let size = bytes.len() as u64;
    if size > limit {
        return Err(Unread::TooLarge { size, limit });
    }
    Ok(bytes)
}

/// The same as text.
pub(super) fn plain_text(path: &Path, limit: u64) -> Result<String, Unread> {
    String::from_utf8(plain_bytes(path, limit)?).map_err(|_| Unread::NoText)
}

/// What is neither a file nor a folder.
#[cfg(unix)]
fn what_else(kind: FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    if kind.is_fifo() {
        "a pipe"
    } else if kind.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

/// What is neither a file nor a folder.
#[cfg(not(unix))]
fn what_else(_: FileType) -> &'static str {
    "a device"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_of_the_limit_is_read_and_a_byte_more_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "12345678").unwrap();
        assert_eq!(plain_text(&path, 8).unwrap(), "12345678");
        let told = plain_bytes(&path, 7).unwrap_err().to_string();
        assert_eq!(told, "it is 8 bytes long; the limit is 7");
        fs::write(&path, [0xff]).unwrap();
        assert!(matches!(plain_text(&path, 8), Err(Unread::NoText)));
        assert!(matches!(plain_text(folder.path(), 8), Err(Unread::Folder)));
        let absent = folder.path().join("b");
        assert!(matches!(plain_bytes(&absent, 8), Err(Unread::Absent)));
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn a_file_that_says_no_length_is_limited_all_the_same() {
        let path = Path::new("/proc/self/maps");
        assert_eq!(fs::metadata(path).unwrap().len(), 0);
        let told = plain_bytes(path, 10);
        assert!(matches!(told, Err(Unread::TooLarge { size: 11, .. })));
    }
}
