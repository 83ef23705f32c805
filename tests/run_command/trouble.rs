//! Stopped, out of time, damaged, in the way.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};

use serde_json::Value;

use crate::stage::{
    CURVE, base, base_study, command, copy_of_base, edit, ranking, ranking_value, renewed,
    run_files, run_folders, solved, stage, study, text, ventwright,
};

#[test]
fn damaged_run_files_are_solved_again_and_said_so() {
    let folder = copy_of_base();
    let runs: Vec<PathBuf> = run_folders(folder.path()).into_iter().collect();
    // Cut off, empty, without its braces, of a later version, with another digit.
    edit(&runs[0].join("run.json"), |t| t[..t.len() / 2].to_owned());
    edit(&runs[1].join("run.json"), |_| String::new());
    edit(&runs[2].join("run.json"), |_| "all zeros\0\0\0".to_owned());
    edit(&runs[3].join("run.json"), |t| {
        let mut run: Value = serde_json::from_str(&t).unwrap();
        run["format_version"] = 4.into();
        renewed(run)
    });
    edit(&runs[4].join("run.json"), |t| {
        t.replace("\"thickness_mm\": 2.0", "\"thickness_mm\": 9.0")
    });
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{err}");
    let said: Vec<&str> = err.lines().filter(|l| l.contains("solved again")).collect();
    assert_eq!(said.len(), 5, "{err}");
    for (run, words) in runs.iter().zip([
        "no run file",
        "no run file",
        "no run file",
        "format version 4",
        "changed or damaged",
    ]) {
        let name = run.file_name().unwrap().to_str().unwrap();
        let line = said.iter().find(|line| line.contains(name));
        assert!(line.is_some_and(|line| line.contains(words)), "{err}");
    }
    assert!(
        err.contains("1 finished run was reused, 5 runs solved in "),
        "{err}"
    );
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
}

#[test]
fn a_whole_run_of_another_version_stands_in_nobodys_way() {
    let folder = copy_of_base();
    let runs: Vec<PathBuf> = run_folders(folder.path()).into_iter().collect();
    let kept = |arguments: &[&str]| {
        let output = ventwright(folder.path(), arguments);
        (output.status.code(), text(&output.stderr).to_owned())
    };
    // Left there by an earlier program, under a key of its own.
    let old = runs[0].with_file_name("0123456789abcdef");
    fs::create_dir(&old).unwrap();
    let run = fs::read_to_string(runs[0].join("run.json")).unwrap();
    let mut run: Value = serde_json::from_str(&run).unwrap();
    run["format_version"] = 4.into();
    fs::write(old.join("run.json"), renewed(run.clone())).unwrap();
    for command in ["doubts", "report", "rank", "seal"] {
        let (code, err) = kept(&[command, "results/tiny"]);
        assert_eq!(code, Some(0), "{command}: {err}");
        assert!(!err.contains("left out"), "{command}: {err}");
    }
    // What is damaged does.
    run["format_version"] = 5.into();
    fs::write(old.join("run.json"), run.to_string()).unwrap();
    for command in ["doubts", "report", "rank", "seal"] {
        let (code, err) = kept(&[command, "results/tiny"]);
        assert_eq!(code, Some(1), "{command}: {err}");
    }
}

#[test]
fn a_run_without_its_run_file_is_unfinished_and_leftovers_are_swept() {
    let folder = copy_of_base();
    let runs: Vec<PathBuf> = run_folders(folder.path()).into_iter().collect();
    let whole = fs::read(runs[0].join("run.json")).unwrap();
    fs::remove_file(runs[0].join("run.json")).unwrap();
    // A program that was killed while it wrote: the whole text, but not under its name.
    let old = SystemTime::now() - Duration::from_secs(3600);
    let leftovers = [
        runs[0].join(".partial-aB3dE9"),
        runs[1].join(".partial-zzzzzz"),
        folder.path().join("results/tiny/.partial-000000"),
    ];
    for leftover in &leftovers {
        fs::write(leftover, &whole).unwrap();
        let file = fs::File::options().write(true).open(leftover).unwrap();
        file.set_modified(old).unwrap();
    }
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(solved(&output).len(), 1, "{}", text(&output.stderr));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    for leftover in leftovers {
        assert!(!leftover.exists(), "{}", leftover.display());
    }
}

#[test]
fn a_grille_that_is_not_done_in_time_has_no_number() {
    // Three seconds in all: the fine grids of this depth take longer on any machine.
    let limit = "time_limit_min = 0.05";
    let slots = |name: &str, width: f64| {
        format!(
            "[[grille]]\nname = \"{name}\"\nthickness_mm = 2\n[grille.holes]\nshape = \"slot\"\nwidth_mm = {width}\nlength_mm = 24\nrib_mm = 1.2\n"
        )
    };
    let grilles = [slots("wide slots", 5.0), slots("narrow slots", 3.0)];
    let grilles = [grilles[0].as_str(), grilles[1].as_str()];
    let folder = stage(&study(CURVE, "intake", limit, &grilles));
    let arguments = [
        "run",
        "tiny.toml",
        "--quality",
        "overnight",
        "--tolerance",
        "0.05",
    ];
    let output = ventwright(folder.path(), &arguments);
    let out = text(&output.stdout);
    assert_eq!(
        output.status.code(),
        Some(1),
        "{out}{}",
        text(&output.stderr)
    );
    assert!(
        out.contains("Neither of the two grilles got a valid number"),
        "{out}"
    );
    assert!(
        out.contains("no valid number: ") && out.contains("No number "),
        "{out}"
    );
    assert!(out.contains("wide slots") && out.contains("narrow slots"));
    for line in out.lines().filter(|l| l.contains("no valid number: ")) {
        let is_reason = line.contains("out of time") || line.contains("did not finish");
        assert!(is_reason, "{line}");
    }
    let ranking = ranking_value(folder.path());
    for grille in ranking["grilles"].as_array().unwrap() {
        assert_eq!(grille["rank"], Value::Null);
        assert_eq!(grille["flow_percent"], Value::Null);
        assert_eq!(grille["loss_coefficient"], Value::Null);
    }
    // What did not settle is not taken for a result the next time.
    let again = ventwright(folder.path(), &arguments);
    assert_eq!(again.status.code(), Some(1));
    assert!(
        !text(&again.stderr).contains("(reused)"),
        "{}",
        text(&again.stderr)
    );
}

#[cfg(unix)]
#[test]
fn a_stopped_batch_keeps_what_it_has_and_goes_on() {
    let folder = stage(&base_study());
    let mut child = command(folder.path(), &["run", "tiny.toml", "--threads", "1"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
    let first = lines.by_ref().map(Result::unwrap);
    assert!(first.into_iter().any(|line| line.starts_with("[1/6]")));
    let pid = child.id().to_string();
    assert!(
        Command::new("kill")
            .args(["-INT", &pid])
            .status()
            .unwrap()
            .success()
    );
    let rest: Vec<String> = lines.map(Result::unwrap).collect();
    assert_eq!(child.wait().unwrap().code(), Some(130), "{rest:?}");
    let last = rest.last().unwrap();
    assert!(
        last.starts_with("stopped: ")
            && last.contains("of 6 runs are finished")
            && last.contains("kept in results/tiny"),
        "{rest:?}"
    );
    let mut out = String::new();
    child
        .stdout
        .take()
        .unwrap()
        .read_to_string(&mut out)
        .unwrap();
    assert_eq!(out, "", "half a ranking is none");
    assert!(!folder.path().join("results/tiny/ranking.json").exists());
    let finished: Vec<(String, String)> = run_folders(folder.path())
        .iter()
        .filter(|run| run.join("run.json").exists())
        .map(|run| {
            let name = run.file_name().unwrap().to_str().unwrap();
            (
                name.to_owned(),
                fs::read_to_string(run.join("run.json")).unwrap(),
            )
        })
        .collect();
    assert!(
        (1..6).contains(&finished.len()),
        "{} finished",
        finished.len()
    );
    let again = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(again.status.code(), Some(0));
    assert_eq!(solved(&again).len(), 6 - finished.len());
    for (name, run) in finished {
        let path = folder
            .path()
            .join("results/tiny/runs")
            .join(&name)
            .join("run.json");
        assert_eq!(fs::read_to_string(path).unwrap(), run, "{name} was touched");
    }
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
}

#[test]
fn a_file_in_the_way_of_the_results_is_named() {
    // A folder without write permission cannot be tested as the super-user, whom it does not stop; a file in the way stops everybody.
    let folder = stage(&base_study());
    fs::write(folder.path().join("results"), "precious").unwrap();
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(
        err.starts_with("error: cannot create the folder results/tiny"),
        "{err}"
    );
    assert!(output.stdout.is_empty());
    let kept = fs::read_to_string(folder.path().join("results")).unwrap();
    assert_eq!(kept, "precious");
}

#[test]
fn a_result_that_cannot_be_written_is_told_and_the_others_are_kept() {
    let folder = copy_of_base();
    let runs = run_folders(folder.path());
    let blocked = runs.iter().next().unwrap();
    // A folder stands where the run's file belongs.
    fs::remove_file(blocked.join("run.json")).unwrap();
    fs::create_dir(blocked.join("run.json")).unwrap();
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--quiet"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(
        err.contains("run.json") && err.contains("some files could not be written"),
        "{err}"
    );
    assert_eq!(
        text(&output.stdout),
        text(&base().1.stdout),
        "the ranking is told all the same"
    );
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
}

#[test]
fn a_ranking_that_cannot_be_written_is_shown_all_the_same() {
    let folder = copy_of_base();
    let file = folder.path().join("results/tiny/ranking.csv");
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--quiet"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(
        err.starts_with("error: cannot write results/tiny/ranking.csv: "),
        "{err}"
    );
    let reason = err.trim_end().rsplit(": ").next().unwrap();
    assert_eq!(err.matches(reason).count(), 1, "told once: {err}");
    assert_eq!(text(&output.stdout), text(&base().1.stdout));
}
