//! `report`: the page is made from the results folder alone, and `run` has made the same one.

use std::fs;

use crate::stage::{base, copy_of_base, edit, ranking, text, ventwright};

const PAGE: &str = "results/tiny/report.html";

#[test]
fn the_page_is_made_from_the_folder_alone_and_is_that_of_run() {
    let made = fs::read_to_string(base().0.path().join(PAGE)).unwrap();
    // Another machine: nothing but the folder.
    let folder = copy_of_base();
    let folder = folder.path();
    fs::remove_file(folder.join("tiny.toml")).unwrap();
    fs::remove_file(folder.join(PAGE)).unwrap();
    fs::remove_file(folder.join("results/tiny/report.md")).unwrap();
    let pictures = folder.join("results/tiny/report-pictures");
    let made_pictures = ["cover.png", "fan-curve.png"].map(|name| {
        let picture = fs::read(pictures.join(name)).unwrap();
        fs::remove_file(pictures.join(name)).unwrap();
        picture
    });
    let output = ventwright(folder, &["report", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stdout).trim(), PAGE);
    let page = fs::read_to_string(folder.join(PAGE)).unwrap();
    assert!(page == made, "run and report write different pages");
    assert!(page.len() < 5_000_000, "{}", page.len());
    assert_eq!(
        page.matches("class=\"face\"").count(),
        2,
        "a front for each"
    );
    // One for each grille, and both side by side with their legend.
    assert_eq!(page.matches("data:image/jpeg;base64,").count(), 5);
    assert!(page.contains("id=\"air\""));
    // What letters the pictures are packed into is chance.
    let mut pieces = page.split("base64,");
    let mut words = pieces.next().unwrap().to_owned();
    for piece in pieces {
        words += piece.split_once('"').unwrap().1;
    }
    assert!(!words.contains("http"), "the page names an address");
    let short = fs::read_to_string(folder.join("results/tiny/report.md")).unwrap();
    assert!(short.contains("| hexagons |"), "{short}");
    for (name, made) in ["cover.png", "fan-curve.png"].iter().zip(made_pictures) {
        assert!(
            short.contains(&format!("](report-pictures/{name})")),
            "{short}"
        );
        assert!(
            fs::read(pictures.join(name)).unwrap() == made,
            "{name} differs"
        );
    }
}

#[test]
fn what_is_missing_is_told_and_the_rest_stands() {
    let folder = copy_of_base();
    let folder = folder.path();
    let results = folder.join("results/tiny");
    fs::remove_file(results.join("study.toml")).unwrap();
    for run in fs::read_dir(results.join("runs")).unwrap() {
        let picture = run.unwrap().path().join("picture.png");
        fs::write(picture, "no picture").unwrap();
    }
    let output = ventwright(folder, &["report", "results/tiny"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let page = fs::read_to_string(folder.join(PAGE)).unwrap();
    assert!(page.contains("drawings and fan curve are left out"));
    assert!(page.contains("2 pictures of runs are missing or damaged"));
    assert!(page.contains("hexagons") && page.contains("squares"));
    // The fields are still there.
    assert!(page.contains("id=\"air\""));
    // Without the study there is no fan, and an older picture of it would tell of another report.
    assert!(results.join("report-pictures/cover.png").exists());
    assert!(!results.join("report-pictures/fan-curve.png").exists());
    let short = fs::read_to_string(results.join("report.md")).unwrap();
    assert!(!short.contains("fan-curve"), "{short}");
    fs::remove_file(results.join("ranking.json")).unwrap();
    let output = ventwright(folder, &["report", "results/tiny"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("there is no ranking"));
}

#[test]
fn a_ranking_of_an_earlier_version_is_made_anew_from_its_runs() {
    let folder = copy_of_base();
    let folder = folder.path();
    let file = folder.join("results/tiny/ranking.json");
    let new = ranking(folder);
    edit(&file, |text| {
        text.replace("\"format_version\": 10", "\"format_version\": 9")
    });
    for command in ["report", "doubts", "seal", "pictures"] {
        let output = ventwright(folder, &[command, "results/tiny"]);
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        assert!(
            said.contains("has format version 9, this program reads 10")
                && said.contains("`ventwright rank results/tiny`"),
            "{said}"
        );
    }
    let output = ventwright(folder, &["rank", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(ranking(folder), new);
    let output = ventwright(folder, &["report", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
}
