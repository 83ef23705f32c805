//! Runs a Python script of this folder's parent that opens files with another program's readers.

use std::ffi::OsStr;
use std::path::Path;
use std::process::Command;

/// What the script says: a line that begins with `agrees: ` or `differs: `, and nothing else will do. Its exit code must say the same.
///
/// The interpreter is named by the environment variable `VENTWRIGHT_PYTHON`; `.ci/run` sets it up.
pub(crate) fn verdict(script: &str, arguments: &[impl AsRef<OsStr>]) -> String {
    let python = std::env::var("VENTWRIGHT_PYTHON")
        .expect("set VENTWRIGHT_PYTHON to a Python 3 that has the packages vtk, pyvista and numpy");
    let output = Command::new(python)
        .arg(
            Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("tests")
                .join(script),
        )
        .args(arguments)
        .output()
        .expect("VENTWRIGHT_PYTHON must be a program that starts");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        said.starts_with("agrees: ") || said.starts_with("differs: "),
        "the checker did not come to an end: {said}{}",
        String::from_utf8_lossy(&output.stderr)
    );
    assert_eq!(output.status.success(), said.starts_with("agrees: "));
    said
}
