//! A panel that is a grille of the study: it takes what that grille takes, solved once.

use serde_json::Value;

use crate::stage::{
    CURVE, HEXAGONS, SQUARES, ranking_value, solved, stage, study, text, ventwright,
};

const FRONT: &str = "
[[panel]]
name = \"front\"
grille = \"hexagons\"
";

/// What a thing takes in the row of a grille, Pa.
fn share(ranking: &Value, grille: &str, what: &str) -> f64 {
    let rows = ranking["air_path"]["grilles"].as_array().unwrap();
    let row = rows.iter().find(|row| row["name"] == grille).unwrap();
    let shares = row["shares"].as_array().unwrap();
    let found = shares.iter().find(|share| share["what"] == what).unwrap();
    found["pressure_pa"].as_f64().unwrap()
}

#[test]
fn two_like_grilles_take_the_same_and_are_solved_once() {
    let folder = stage(&study(CURVE, "intake", "", &[FRONT, HEXAGONS, SQUARES]));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    // As many as without the panel.
    assert_eq!(solved(&output).len(), 6, "{}", text(&output.stderr));
    let ranking = ranking_value(folder.path());
    let (grille, panel) = (
        share(&ranking, "hexagons", "grille"),
        share(&ranking, "hexagons", "front"),
    );
    assert!((panel / grille - 1.0).abs() < 1e-6, "{panel} {grille} Pa");
    // Before the squares it takes the same at the same flow: pressure over flow squared, within what K changes with the speed.
    let flow = |grille: &str| {
        let grilles = ranking["grilles"].as_array().unwrap();
        let found = grilles.iter().find(|it| it["name"] == grille).unwrap();
        found["flow_m3_per_h"]["value"].as_f64().unwrap()
    };
    let before_squares = share(&ranking, "squares", "front");
    let ratio = before_squares / panel * (flow("hexagons") / flow("squares")).powi(2);
    assert!((ratio - 1.0).abs() < 0.01, "{ratio}");
    // A study is a study again when it is read back, panel and all.
    let copy = folder.path().join("results/tiny/study.toml");
    std::fs::copy(copy, folder.path().join("tiny.toml")).unwrap();
    let again = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert!(solved(&again).is_empty(), "{}", text(&again.stderr));
}

#[test]
fn behind_a_fan_the_second_grille_gets_runs_of_its_own_ahead_of_it() {
    let swirl = format!("swirl_deg = 30\n{CURVE}");
    let folder = stage(&study(&swirl, "exhaust", "", &[FRONT, HEXAGONS, SQUARES]));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let ranking = ranking_value(folder.path());
    // Straight on, over the whole face, it takes less than the same plate in the turning air behind the fan.
    let (grille, panel) = (
        share(&ranking, "hexagons", "grille"),
        share(&ranking, "hexagons", "front"),
    );
    assert!(
        panel > 0.2 * grille && panel < 0.9 * grille,
        "{panel} {grille} Pa"
    );
    let warnings = ranking["warnings"].as_array().unwrap();
    let is_told = warnings.iter().any(|it| it["code"] == "panel-grille-ahead");
    assert!(is_told, "{warnings:?}");
}
