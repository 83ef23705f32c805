//! What a run says and leaves.

use std::fs;
use std::io::Read;
use std::process::Stdio;

use serde_json::Value;

use crate::stage::{
    CURVE, HEXAGONS, SQUARES, base, command, copy_of_base, ranking_value, run_folders, solved,
    stage, study, text, ventwright,
};

#[test]
fn the_reynolds_number_of_a_hole_is_that_of_its_air() {
    let (folder, _) = base();
    let value = ranking_value(folder.path());
    let number = |value: &Value, key: &str| value[key].as_f64().unwrap();
    let viscosity = number(&value["air"], "kinematic_viscosity_m2_per_s");
    for grille in value["grilles"].as_array().unwrap() {
        let zone = &grille["zones"][0];
        // U_hole d_h / ν, by the definition: the whole velocity ahead of the zone goes through its open share.
        let in_hole =
            number(zone, "face_velocity_m_per_s") / number(grille, "zone_free_area_ratio");
        let expected = in_hole * 1e-3 * number(grille, "hydraulic_diameter_mm") / viscosity;
        let told = number(grille, "hole_reynolds_number");
        assert!((told / expected - 1.0).abs() < 1e-6, "{told} {expected}");
    }
}

#[test]
fn the_first_screen_says_what_matters_and_the_files_are_there() {
    let (folder, output) = base();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{err}");
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines[0], "tiny: 2 grilles, intake, quick; bare fan 38 m³/h");
    assert!(lines[1].starts_with("Print hexagons: "), "{out}");
    assert!(lines.len() <= 24, "{out}");
    // The parts of the screen, in order.
    let mut rest = out;
    for part in [
        "Why: ",
        "grille",
        "% of bare",
        "finger",
        " 1  hexagons",
        " 2  squares",
        "likely (95 %)",
        "Fingers: ",
        "no safety check",
        "Biggest doubt: ",
        "Next: ventwright run tiny.toml --quality standard",
    ] {
        let Some((_, after)) = rest.split_once(part) else {
            panic!("no {part:?} where it belongs in\n{out}");
        };
        rest = after;
    }
    assert!(!out.contains('\u{1b}'), "no colour where NO_COLOR is set");
    for line in lines.iter().filter(|line| !line.contains("results/")) {
        assert!(line.chars().count() <= 80, "wider than 80 columns: {line}");
    }
    // What is copied from the screen must exist; the results folder alone shows it, and nothing is solved.
    let copy = copy_of_base();
    let arguments = ["rank", "results/tiny", "--details", "files", "--quiet"];
    let ranked = ventwright(copy.path(), &arguments);
    let files = text(&ranked.stdout).lines();
    let files: Vec<&str> = files
        .filter(|line| line.contains("results/tiny/") && !line.contains("ventwright"))
        .collect();
    assert!(files.len() >= 2, "{}", text(&ranked.stdout));
    for line in files {
        let path = folder.path().join(line.split_whitespace().last().unwrap());
        assert!(path.is_file(), "{} is not there", path.display());
    }
    let results = folder.path().join("results/tiny");
    for name in ["study.toml", "ranking.csv", "ranking.json"] {
        assert!(results.join(name).is_file(), "{name}");
    }
    let runs = run_folders(folder.path());
    assert_eq!(runs.len(), 6);
    for run in runs {
        let mut names: Vec<_> = fs::read_dir(&run)
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        names.sort();
        assert_eq!(
            names,
            [
                "history.csv",
                "last.vti",
                "mean.vti",
                "picture.png",
                "run.json"
            ]
        );
    }
    // The results are on stdout and nothing else is; progress is on stderr.
    assert_eq!(solved(output).len(), 6, "{err}");
    assert!(err.contains("6 runs solved in "), "{err}");
    assert!(!err.contains("hexagons lead") && !out.contains("[1/6]"));
}

#[test]
fn every_number_lies_in_its_range_and_the_order_is_by_flow() {
    let ranking = ranking_value(base().0.path());
    let number = |value: &Value| value.as_f64().unwrap();
    let mut last = f64::INFINITY;
    for grille in ranking["grilles"].as_array().unwrap() {
        for key in [
            "flow_percent",
            "flow_m3_per_h",
            "loss_coefficient",
            "pressure_drop_pa",
            "face_velocity_m_per_s",
        ] {
            let [value, low, high] = ["value", "low", "high"].map(|end| number(&grille[key][end]));
            assert!(low < value && value < high, "{key}: {low} {value} {high}");
        }
        let flow = number(&grille["flow_m3_per_h"]["value"]);
        assert!(flow <= last, "{flow} after {last}");
        last = flow;
        let percent = number(&grille["flow_percent"]["value"]);
        assert!((0.0..=100.0).contains(&percent));
        let bare = number(&ranking["bare_flow_m3_per_h"]["value"]);
        assert!((percent - 100.0 * flow / bare).abs() < 1e-6);
        // Pressure drop = K rho U^2 / 2, on the area that is printed beside it.
        let velocity = flow / 3600.0 / number(&ranking["reference_area"]["area_m2"]);
        let density = number(&ranking["air"]["density_kg_per_m3"]);
        let drop = number(&grille["loss_coefficient"]["value"]) * 0.5 * density * velocity.powi(2);
        assert!((drop / number(&grille["pressure_drop_pa"]["value"]) - 1.0).abs() < 1e-6);
    }
}

#[test]
fn quiet_says_nothing_but_the_result() {
    let folder = copy_of_base();
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--quiet"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stderr), "");
    assert_eq!(text(&output.stdout), text(&base().1.stdout));
}

#[test]
fn nobody_reading_the_result_is_no_error() {
    let folder = copy_of_base();
    let mut child = command(folder.path(), &["run", "tiny.toml", "--quiet"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut complaints = String::new();
    let mut stderr = child.stderr.take().unwrap();
    stderr.read_to_string(&mut complaints).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert_eq!(complaints, "");
}

#[test]
fn the_exhaust_side_a_given_flow_and_two_numbers_are_ranked_too() {
    let exhaust = stage(&study(CURVE, "exhaust", "", &[HEXAGONS]));
    let output = ventwright(exhaust.path(), &["run", "tiny.toml"]);
    let out = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0));
    assert!(out.starts_with("tiny: 1 grille, exhaust, quick"), "{out}");
    assert!(out.contains("Hexagons move about "), "{out}");
    assert!(out.contains("Not in these ranges: behind a fan the air turns"));

    let given = stage(&study(
        "given_flow_m3_per_h = 30",
        "intake",
        "",
        &[HEXAGONS, SQUARES],
    ));
    let output = ventwright(given.path(), &["run", "tiny.toml"]);
    let out = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0));
    assert!(
        out.starts_with("tiny: 2 grilles, intake, quick; at 30 m³/h\n")
            && !out.contains("bare fan"),
        "{out}"
    );
    assert!(out.contains("Pa at 30 m³/h"), "{out}");
    let ranking = ranking_value(given.path());
    assert_eq!(ranking["ranked_by"], "pressure_drop_pa");
    assert_eq!(ranking["grilles"][0]["flow_percent"], Value::Null);
    let drop = |i: usize| {
        ranking["grilles"][i]["pressure_drop_pa"]["value"]
            .as_f64()
            .unwrap()
    };
    assert!(drop(0) < drop(1), "the least pressure drop first");

    let box_numbers = "free_flow_m3_per_h = 50\nshut_off_pressure_pa = 20";
    let two = stage(&study(box_numbers, "intake", "", &[HEXAGONS]));
    let output = ventwright(two.path(), &["run", "tiny.toml"]);
    let out = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0));
    let doubt = out
        .lines()
        .find(|line| line.starts_with("Biggest doubt"))
        .unwrap();
    assert!(doubt.contains("fan curve"), "{doubt}");
    let bare = out.lines().next().unwrap();
    assert!(bare.contains("bare fan") && bare.contains(" to "), "{bare}");
}

#[test]
fn zones_of_a_face_are_solved_one_by_one() {
    let zones = r#"
[[grille]]
name = "two zones"
thickness_mm = 2
[[grille.zone]]
inner_diameter_mm = 30
outer_diameter_mm = 52
[grille.zone.holes]
shape = "square"
side_mm = 5
rib_mm = 1.2
[[grille.zone]]
inner_diameter_mm = 54
outer_diameter_mm = 76
[grille.zone.holes]
shape = "hexagon"
across_flats_mm = 6
rib_mm = 1.2
"#;
    let folder = stage(&study(CURVE, "intake", "", &[zones]));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(
        text(&output.stdout).contains("Two zones move about "),
        "{}",
        text(&output.stdout)
    );
    let ranking = ranking_value(folder.path());
    let runs = ranking["grilles"][0]["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 6, "three of each zone");
}

#[test]
fn the_commands_to_run_next_can_be_copied() {
    let folder = copy_of_base();
    let from = |name: &str| folder.path().join(name);
    fs::rename(from("tiny.toml"), from("my tiny.toml")).unwrap();
    fs::rename(from("results"), from("kept here")).unwrap();
    let arguments = ["run", "my tiny.toml", "--results", "kept here", "--quiet"];
    let output = ventwright(folder.path(), &arguments);
    let out = text(&output.stdout);
    let command = "ventwright run 'my tiny.toml' --quality standard --results 'kept here'\n";
    assert!(out.contains(command), "no {command:?} in\n{out}");
}
