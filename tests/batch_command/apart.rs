//! Runs solved one by one, and ranked from what is there.

use std::fs;

use crate::stage::{
    CURVE, HEXAGONS, base, base_study, copy_of_base, ranking, run_files, run_folders, stage, study,
    text, ventwright,
};

fn keys(folder: &std::path::Path) -> Vec<String> {
    let output = ventwright(folder, &["runs", "tiny.toml", "--keys"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout).lines().map(str::to_owned).collect()
}

/// The last column of the table, run by run.
fn states(folder: &std::path::Path) -> Vec<String> {
    let output = ventwright(folder, &["runs", "tiny.toml"]);
    let lines = text(&output.stdout).lines().skip(1);
    lines
        .map(|line| line.rsplit('\t').next().unwrap().to_owned())
        .collect()
}

#[test]
fn runs_solved_one_by_one_rank_like_a_batch() {
    let folder = stage(&base_study());
    let keys = keys(folder.path());
    assert_eq!(keys.len(), 6);
    assert_eq!(states(folder.path()), ["missing"; 6]);
    assert!(
        !folder.path().join("results").exists(),
        "a list writes nothing"
    );
    let output = ventwright(
        folder.path(),
        &["run", "tiny.toml", "--only", &keys[2], "--gentle"],
    );
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert!(output.stdout.is_empty());
    assert!(
        err.contains("nothing was ranked: `ventwright rank tiny.toml`"),
        "{err}"
    );
    assert!(!folder.path().join("results/tiny/ranking.json").exists());
    assert_eq!(
        states(folder.path())
            .iter()
            .filter(|s| *s == "finished")
            .count(),
        1
    );

    // Whatever is there is ranked, and what is missing is said.
    let output = ventwright(folder.path(), &["rank", "tiny.toml"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(
        err.contains("5 of 6 runs are missing; `rank` solves nothing"),
        "{err}"
    );
    let missing = keys.iter().filter(|key| err.contains(key.as_str()));
    assert_eq!(missing.count(), 5, "{err}");
    assert!(folder.path().join("results/tiny/ranking.json").exists());

    let mut arguments = vec!["run", "tiny.toml"];
    for key in keys.iter().take(5) {
        arguments.extend(["--only", key]);
    }
    assert_eq!(ventwright(folder.path(), &arguments).status.code(), Some(0));
    assert_eq!(
        ventwright(folder.path(), &["run", "tiny.toml", "--only", &keys[5]])
            .status
            .code(),
        Some(0)
    );
    let output = ventwright(folder.path(), &["rank", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stdout), text(&base().1.stdout));
    assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    assert_eq!(run_files(folder.path()), run_files(base().0.path()));
    let csv = |folder: &std::path::Path| fs::read(folder.join("results/tiny/ranking.csv")).unwrap();
    assert_eq!(csv(folder.path()), csv(base().0.path()));
}

#[test]
fn a_key_that_no_run_has_is_wrong() {
    let folder = copy_of_base();
    let output = ventwright(
        folder.path(),
        &["run", "tiny.toml", "--only", "hexagons-4711"],
    );
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{err}");
    assert!(
        err.contains(
            "no run of this study has the key hexagons-4711; `ventwright runs tiny.toml` with the same flags lists them"
        ),
        "{err}"
    );
}

#[test]
fn a_file_that_was_deleted_is_missed_and_the_number_is_used() {
    let folder = copy_of_base();
    let runs: Vec<_> = run_folders(folder.path()).into_iter().collect();
    fs::remove_file(runs[0].join("mean.vti")).unwrap();
    fs::remove_file(runs[3].join("history.csv")).unwrap();
    for command in ["run", "rank"] {
        let output = ventwright(folder.path(), &[command, "tiny.toml"]);
        let err = text(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{err}");
        for (run, file) in [(0, "mean.vti"), (3, "history.csv")] {
            let name = runs[run].file_name().unwrap().to_str().unwrap();
            let path = format!("{name}/{file} is gone");
            assert_eq!(err.matches(&path).count(), 1, "{err}");
            assert!(err.contains(&format!("--only {name} --fresh")), "{err}");
        }
        assert_eq!(ranking(folder.path()), ranking(base().0.path()));
    }
    let name = runs[0].file_name().unwrap().to_str().unwrap();
    let output = ventwright(
        folder.path(),
        &["run", "tiny.toml", "--only", name, "--fresh"],
    );
    assert_eq!(output.status.code(), Some(0));
    assert!(runs[0].join("mean.vti").exists());
}

#[test]
#[ignore = "slow: 20 s"]
fn fan_views_are_listed_once_the_ranking_is_there_and_can_be_solved_one_by_one() {
    let fan = format!("{CURVE}\nspeed_rpm = 3400");
    let study = study(&fan, "exhaust", "", &[HEXAGONS]);
    let meter = "[meter]\nhead_diameter_mm = 30\nposition_mm = 40\nhand = \"against\"\n";
    let view = format!("{meter}[fan_view]\nsolve = true\n[run]");
    let folder = stage(&study.replace("[run]", &view));
    let whole = stage(&study.replace("[run]", &view));
    let of_batch = ventwright(whole.path(), &["run", "tiny.toml"]);
    assert_eq!(
        of_batch.status.code(),
        Some(0),
        "{}",
        text(&of_batch.stderr)
    );
    let first = keys(folder.path());
    let solve = |key: &String| {
        let output = ventwright(folder.path(), &["run", "tiny.toml", "--only", key]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    };
    first.iter().for_each(solve);
    let all = keys(folder.path());
    assert_eq!(all.len(), first.len() + 2, "the bare fan and the grille");
    let output = ventwright(folder.path(), &["rank", "tiny.toml"]);
    let err = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert!(
        err.contains("2 of 2 runs of the whole fan face are missing"),
        "{err}"
    );
    all[first.len()..].iter().for_each(solve);
    let output = ventwright(folder.path(), &["rank", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stdout), text(&of_batch.stdout));
    assert_eq!(ranking(folder.path()), ranking(whole.path()));
}
