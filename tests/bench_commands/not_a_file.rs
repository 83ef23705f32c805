//! A pipe, a socket, a device or a file far too large in the place of a file: refused at once and in words, whoever reads it.

use std::fs::{self, File};
use std::os::unix::net::UnixListener;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::stage::{result, sealed};

/// Longest time that a refusal may take; a program that waits for a pipe waits for ever.
const LONGEST: Duration = Duration::from_secs(20);

/// What the program complains of. It must have refused, within its time.
fn refused_at_once(folder: &Path, arguments: &[&str]) -> String {
    let complaints = File::create(folder.join("complaints")).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_ventwright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(complaints)
        .spawn()
        .unwrap();
    let begin = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begin.elapsed() > LONGEST {
            child.kill().unwrap();
            child.wait().unwrap();
            panic!("{arguments:?} waits for what it should refuse");
        }
        std::thread::sleep(Duration::from_millis(20));
    };
    let told = fs::read_to_string(folder.join("complaints")).unwrap();
    assert_eq!(status.code(), Some(2), "{arguments:?}: {told}");
    told
}

fn make_pipe(path: &Path) {
    // What is there goes.
    let _ = fs::remove_file(path);
    let made = Command::new("mkfifo").arg(path).status().unwrap();
    assert!(made.success());
}

#[test]
fn a_pipe_is_refused_wherever_a_file_is_read() {
    let (folder, _) = sealed(&result());
    let at = folder.path();
    make_pipe(&at.join("pipe.toml"));
    make_pipe(&at.join("pipe.json"));
    make_pipe(&at.join("pipe.csv"));
    fs::write(at.join("readings.csv"), "design,value,unit\n").unwrap();
    let study = "format = 1\nstudy.name = \"a\"\nplace.side = \"intake\"\nfan = { bore_mm = 100, hub_mm = 30, curve = \"pipe.csv\" }\n\
                 [[grille]]\nname = \"b\"\nthickness_mm = 3\nholes = { shape = \"round\", diameter_mm = 5, rib_mm = 1 }\n";
    fs::write(at.join("curve.toml"), study).unwrap();
    for arguments in [
        &["check", "pipe.toml"][..],
        &["run", "pipe.toml"],
        &["report", "pipe.toml"],
        &["check", "curve.toml"],
        &["compare", "pipe.json", "readings.csv"],
        &["compare", "sealed.json", "pipe.csv"],
        &["plan", "pipe.json"],
    ] {
        let told = refused_at_once(at, arguments);
        assert!(told.contains("it is a pipe, not a file"), "{told}");
        assert!(told.contains("save what comes out of it"), "{told}");
    }
}

#[test]
fn a_pipe_in_a_results_folder_is_refused() {
    let (folder, _) = sealed(&result());
    let results = folder.path().join("results/desk-fan-140");
    make_pipe(&results.join("study.toml"));
    for command in ["seal", "plan"] {
        let told = refused_at_once(folder.path(), &[command, "results/desk-fan-140"]);
        assert!(told.contains("study.toml: it is a pipe"), "{told}");
    }
    make_pipe(&results.join("ranking.json"));
    for command in ["report", "seal", "plan", "doubts"] {
        let told = refused_at_once(folder.path(), &[command, "results/desk-fan-140"]);
        assert!(told.contains("ranking.json: it is a pipe"), "{told}");
    }
}

#[test]
fn sockets_and_devices_are_no_files_either() {
    let (folder, _) = sealed(&result());
    let at = folder.path();
    let _socket = UnixListener::bind(at.join("socket.csv")).unwrap();
    let told = refused_at_once(at, &["compare", "sealed.json", "socket.csv"]);
    assert!(told.contains("it is a socket, not a file"), "{told}");
    for arguments in [
        &["check", "/dev/zero"][..],
        &["compare", "sealed.json", "/dev/zero"],
        &["compare", "/dev/zero", "socket.csv"],
    ] {
        let told = refused_at_once(at, arguments);
        assert!(told.contains("it is a device, not a file"), "{told}");
    }
}

#[test]
fn each_reader_says_its_limit() {
    let (folder, _) = sealed(&result());
    let at = folder.path();
    // They take no room on the disk.
    let large = |name: &str, bytes: u64| {
        let file = File::create(at.join(name)).unwrap();
        file.set_len(bytes).unwrap();
    };
    large("r.csv", (1 << 20) + 1);
    large("s.json", (64 << 20) + 1);
    large("results/desk-fan-140/ranking.json", (256 << 20) + 1);
    for (arguments, limit) in [
        (&["compare", "sealed.json", "r.csv"][..], "1048576"),
        (&["compare", "s.json", "r.csv"], "67108864"),
        (&["report", "results/desk-fan-140"], "268435456"),
    ] {
        let told = refused_at_once(at, arguments);
        assert!(told.contains(&format!("the limit is {limit}")), "{told}");
    }
}
