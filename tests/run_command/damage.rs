//! Damaged results: nothing that was changed since it was written is believed, and everybody says which file it is.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use ventwright::report::ranking_json::read_ranking;
use ventwright::report::run_files::read_run;

use crate::stage::{base, copy_of_base, edit, ranking, renewed, run_folders, text, ventwright};

/// Every change of one value of a file that damage or a slip of the hand could make: a digit, a sign, a turned switch, other words, nothing.
fn changes(value: &Value) -> Vec<Value> {
    let mut changes = match value {
        Value::Null => vec![json!(1.5)],
        Value::Bool(is) => vec![json!(!is), Value::Null],
        Value::Number(number) => {
            let number = number.as_f64().unwrap();
            vec![
                json!(number * 1.1 + 1e-9),
                json!(-number - 1.0),
                json!(1e300),
            ]
        }
        Value::String(text) => vec![json!(format!("{text}x")), json!("")],
        Value::Array(items) if items.is_empty() => vec![json!([0])],
        Value::Array(items) => vec![json!([]), json!(items[1..])],
        Value::Object(_) => vec![json!({})],
    };
    changes.retain(|change| change != value);
    changes
}

/// The pointers to every value of a file.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    if !at.is_empty() {
        found.push(at.to_owned());
    }
    let escaped = |key: &str| key.replace('~', "~0").replace('/', "~1");
    match value {
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                pointers(item, &format!("{at}/{index}"), found);
            }
        }
        Value::Object(fields) => {
            for (key, field) in fields {
                pointers(field, &format!("{at}/{}", escaped(key)), found);
            }
        }
        _ => {}
    }
}

/// Goes through every value of a file, and asserts that no change of it, nor its deletion, is read as if nothing had happened.
fn none_is_believed(whole: &str, is_read: impl Fn(&str) -> bool) -> usize {
    assert!(is_read(whole));
    let file: Value = serde_json::from_str(whole).unwrap();
    let mut places = Vec::new();
    pointers(&file, "", &mut places);
    let mut tried = 0;
    for place in &places {
        for change in changes(file.pointer(place).unwrap()) {
            let mut changed = file.clone();
            *changed.pointer_mut(place).unwrap() = change;
            assert!(!is_read(&changed.to_string()), "{place}");
            tried += 1;
        }
        let (parent, key) = place.rsplit_once('/').unwrap();
        let mut changed = file.clone();
        if let Some(Value::Object(fields)) = changed.pointer_mut(parent) {
            fields.remove(&key.replace("~1", "/").replace("~0", "~"));
            assert!(!is_read(&changed.to_string()), "{place} is gone");
            tried += 1;
        }
    }
    for length in (0..whole.trim_end().len()).step_by(whole.len() / 40) {
        assert!(!whole.is_char_boundary(length) || !is_read(&whole[..length]));
        tried += 1;
    }
    tried
}

#[test]
fn no_change_of_any_value_of_a_run_is_believed() {
    let run = run_folders(base().0.path()).into_iter().next().unwrap();
    let whole = fs::read_to_string(run.join("run.json")).unwrap();
    let tried = none_is_believed(&whole, |text| read_run(text).is_ok());
    assert!(tried > 250, "{tried}");
}

#[test]
fn no_change_of_any_value_of_a_ranking_is_believed() {
    let whole = fs::read_to_string(base().0.path().join("results/tiny/ranking.json")).unwrap();
    let mut file: Value = serde_json::from_str(&whole).unwrap();
    // The runs of the grilles are many and alike: one stands for all.
    for grille in file["grilles"].as_array_mut().unwrap() {
        grille["runs"].as_array_mut().unwrap().truncate(1);
    }
    let tried = none_is_believed(&renewed(file), |text| read_ranking(text).is_ok());
    assert!(tried > 1000, "{tried}");
}

/// Changes a file.
type Change<'a> = &'a dyn Fn(&mut Value);

/// Changes with a checksum that was renewed, as a hand would make them.
#[test]
fn numbers_that_contradict_each_other_are_not_believed() {
    let run = run_folders(base().0.path()).into_iter().next().unwrap();
    let whole = fs::read_to_string(run.join("run.json")).unwrap();
    let loss = |file: &Value, key: &str| file[key].as_f64().unwrap();
    let thrice = |file: &mut Value, keys: &[&str]| {
        for key in keys {
            file[*key] = json!(0.3 * loss(file, key));
        }
    };
    let all = [
        "loss_coefficient",
        "loss_coefficient_low",
        "loss_coefficient_high",
    ];
    let tries: [(&str, Change<'_>); 8] = [
        ("K by force", &|file| thrice(file, &all)),
        ("own range", &|file| thrice(file, &all[..1])),
        ("K is 1e300", &|file| file[all[0]] = json!(1e300)),
        ("K is NaN", &|file| file[all[0]] = Value::Null),
        ("check drift is missing", &|file| file["checks"] = json!([])),
        ("fails without a doubt", &|file| {
            file["checks"][2]["value"] = json!(7.0);
        }),
        ("density rise", &|file| file["density_rise"] = json!(0.5)),
        ("air speed", &|file| {
            file["face_velocity_m_per_s"] = json!(9.0);
        }),
    ];
    for (words, change) in tries {
        let mut file: Value = serde_json::from_str(&whole).unwrap();
        change(&mut file);
        let said = read_run(&renewed(file)).unwrap_err().to_string();
        assert!(
            said.contains("contradict") && said.contains(words),
            "{said}"
        );
    }
}

/// A file of a run of the grille that stands first.
fn first_run(folder: &Path) -> (String, PathBuf) {
    let ranking: Value = serde_json::from_str(
        &fs::read_to_string(folder.join("results/tiny/ranking.json")).unwrap(),
    )
    .unwrap();
    let grille = &ranking["grilles"][0];
    let key = grille["runs"][0]["key"].as_str().unwrap();
    let run = folder.join("results/tiny/runs").join(key);
    (grille["name"].as_str().unwrap().to_owned(), run)
}

#[test]
fn a_grille_whose_run_was_changed_is_named_and_left_out_by_every_command() {
    let folder = copy_of_base();
    let folder = folder.path();
    let (name, run) = first_run(folder);
    edit(&run.join("run.json"), |text| {
        text.replacen("\"loss_coefficient\": ", "\"loss_coefficient\": 1", 1)
    });
    let key = run.file_name().unwrap().to_str().unwrap();
    for command in ["rank", "report", "doubts", "seal", "pictures", "plan"] {
        let output = ventwright(folder, &[command, "results/tiny"]);
        let told = format!("{}{}", text(&output.stdout), text(&output.stderr));
        assert_eq!(output.status.code(), Some(1), "{command}: {told}");
        let page = fs::read_to_string(folder.join("results/tiny/report.html")).unwrap();
        let told = if command == "report" { page } else { told };
        assert!(told.contains(key), "{command}: {told}");
        assert!(told.contains("changed or damaged"), "{command}: {told}");
    }
    let sealed = fs::read_dir(folder.join("results/tiny")).unwrap();
    let mut names = sealed.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    assert!(!names.any(|name| name.starts_with("sealed-")));
    let after: Value = serde_json::from_str(
        &fs::read_to_string(folder.join("results/tiny/ranking.json")).unwrap(),
    )
    .unwrap();
    let grilles = after["grilles"].as_array().unwrap();
    let grille = grilles
        .iter()
        .find(|grille| grille["name"] == name.as_str());
    assert_eq!(grille.unwrap()["rank"], Value::Null);

    // Solved again it stands where it stood, and the damaged file is kept.
    let output = ventwright(folder, &["run", "tiny.toml"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("solved again (it took"), "{said}");
    assert_eq!(ranking(folder), ranking(base().0.path()));
    assert!(run.join("damaged-1/run.json").is_file());
    assert!(run.join("damaged-1/mean.vti").is_file());
    let output = ventwright(folder, &["seal", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
}

#[test]
fn runs_in_each_others_place_are_found() {
    let folder = copy_of_base();
    let folder = folder.path();
    let runs: Vec<PathBuf> = run_folders(folder).into_iter().collect();
    let [one, other] = [0, 1].map(|number: usize| runs[number].join("run.json"));
    let text_of_one = fs::read_to_string(&one).unwrap();
    fs::copy(&other, &one).unwrap();
    fs::write(&other, text_of_one).unwrap();
    let output = ventwright(folder, &["rank", "results/tiny"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert_eq!(
        said.matches("its inputs do not match its name").count(),
        4,
        "{said}"
    );
}

#[test]
fn a_changed_ranking_study_or_field_is_not_used() {
    let folder = copy_of_base();
    let folder = folder.path();
    let results = folder.join("results/tiny");
    let whole = fs::read_to_string(results.join("ranking.json")).unwrap();
    edit(&results.join("ranking.json"), |text| {
        text.replacen("\"rank\": 1", "\"rank\": 2", 1)
    });
    for command in ["report", "doubts", "seal", "pictures", "plan"] {
        let output = ventwright(folder, &[command, "results/tiny"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        let said = text(&output.stderr);
        assert!(
            said.contains("ranking.json") && said.contains("changed or damaged"),
            "{said}"
        );
    }
    fs::write(results.join("ranking.json"), whole).unwrap();

    let study = fs::read_to_string(results.join("study.toml")).unwrap();
    edit(&results.join("study.toml"), |text| {
        text.replace("bore_mm = 80", "bore_mm = 81")
    });
    for command in ["rank", "seal", "plan"] {
        let output = ventwright(folder, &[command, "results/tiny"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        let said = text(&output.stderr);
        assert!(
            said.contains("study.toml") && said.contains("changed or damaged"),
            "{said}"
        );
    }
    fs::write(results.join("study.toml"), "no study = [").unwrap();
    let output = ventwright(folder, &["seal", "results/tiny"]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
    fs::write(results.join("study.toml"), study).unwrap();

    let (_, run) = first_run(folder);
    let mut bytes = fs::read(run.join("mean.vti")).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(run.join("mean.vti"), bytes).unwrap();
    let output = ventwright(folder, &["pictures", "results/tiny", "--view", "flat"]);
    let said = text(&output.stderr);
    assert!(
        said.is_empty() || said.contains("changed or damaged"),
        "{said}"
    );
    let output = ventwright(folder, &["rank", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(ranking(folder), ranking(base().0.path()));
}

#[test]
fn runs_that_were_taken_away_are_told_of() {
    let folder = copy_of_base();
    let folder = folder.path();
    fs::remove_dir_all(folder.join("results/tiny/runs")).unwrap();
    let output = ventwright(folder, &["report", "results/tiny"]);
    assert_eq!(output.status.code(), Some(1));
    let page = fs::read_to_string(folder.join("results/tiny/report.html")).unwrap();
    assert!(page.contains("have lost their files"));
    let output = ventwright(folder, &["seal", "results/tiny"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("have lost their files"), "{said}");
}
