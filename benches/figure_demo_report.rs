//! Makes the short form of the report of the demo study with its pictures, and a long exposure of smoke behind its fan.
//!
//! `cargo bench --bench figure_demo_report` runs `cases/quiet-desk/study.toml` in a folder of its own and writes `cases/quiet-desk/report.md`,
//! `cases/quiet-desk/report-pictures/` and `cases/quiet-desk/smoke.png`; two minutes. A slow test says when they are no longer what the program makes.

#![expect(clippy::print_stdout, reason = "a command tells what it made")]

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::Command;

const STUDY: &str = "cases/quiet-desk";

/// What is asked for besides the run. The slow test asks for the same.
const SMOKE: [&str; 6] = [
    "--view",
    "fan",
    "--grille",
    "hexagons",
    "--grille",
    "lean 15 deg",
];

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir()?;
    for (command, flags) in [("run", &[][..]), ("smoke", &SMOKE)] {
        let status = Command::new(env!("CARGO_BIN_EXE_ventwright"))
            .arg(command)
            .arg(root.join(STUDY).join("study.toml"))
            .args(flags)
            .current_dir(folder.path())
            .status()?;
        if !status.success() {
            return Err(format!("{command} of the demo study ended with {status}").into());
        }
    }
    let results = folder.path().join("results/quiet-desk");
    let demo = root.join(STUDY);
    let pictures = demo.join("report-pictures");
    if pictures.exists() {
        fs::remove_dir_all(&pictures)?;
    }
    fs::create_dir_all(&pictures)?;
    let mut bytes = fs::copy(results.join("report.md"), demo.join("report.md"))?;
    for picture in fs::read_dir(results.join("report-pictures"))? {
        let picture = picture?;
        bytes += fs::copy(picture.path(), pictures.join(picture.file_name()))?;
    }
    bytes += fs::copy(results.join("smoke/fan-view.png"), demo.join("smoke.png"))?;
    println!("{STUDY}/report.md and its pictures: {} kB", bytes / 1000);
    Ok(())
}
