//! Folders of files.

use std::fs;
use std::path::Path;

/// Copies a folder with all that is in it.
pub(crate) fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder can be made");
    for entry in fs::read_dir(from).expect("a folder to read") {
        let entry = entry.expect("an entry to read");
        let target = to.join(entry.file_name());
        if entry.file_type().expect("a kind of entry").is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).expect("a file can be copied");
        }
    }
}
