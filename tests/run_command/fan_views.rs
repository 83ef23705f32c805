//! The whole fan face after the ranking: what a study with `[fan_view]` leaves, and that it changes no rank.
//!
//! Outside reference of the momentum zone: K by the force on the grille, counted cell by cell while the flow runs, against the static K that the ranking took from its table
//! (2 %, seen 1.4 %: the layer at the bore's wall crowds the air a little; even air without swirl in a duct, where both are the same by definition).
//! What the fan pays is read off the pressure ahead of the grille, with the friction of the bore on 16 cells: 10 %, seen 7 %.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use ventwright::report::ranking_json::FORMAT_VERSION;

use crate::stage::{
    CURVE, command, edit, ranking_value, run_folders, stage, study, text, ventwright,
};

const METER: &str = "[meter]\nhead_diameter_mm = 30\nposition_mm = 40\nhand = \"against\"\n";

/// 56 % open.
const HEXAGONS: &str = r#"
[[grille]]
name = "hexagons"
thickness_mm = 4
[grille.holes]
shape = "hexagon"
across_flats_mm = 6
rib_mm = 2
"#;

const RINGS: &str = r#"
[[grille]]
name = "rings"
thickness_mm = 4
[grille.rings]
slot_width_mm = 6
rib_mm = 3
bar_count = 4
bar_width_mm = 3
"#;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn with_view(study: &str, view: &str) -> String {
    study.replace("[run]", &format!("{METER}[fan_view]\n{view}\n[run]"))
}

/// The result without what the fan view adds.
fn without_view(mut ranking: Value) -> Value {
    let top = ranking.as_object_mut().unwrap();
    for key in ["this_run", "blake3", "bare_fan_view", "bare_meter"] {
        top.remove(key).unwrap();
    }
    let of_view = |warning: &Value| {
        let code = warning["code"].as_str().unwrap();
        ["fan-view-unsteady", "meter-in-back-flow"].contains(&code)
    };
    let warnings = top["warnings"].as_array_mut().unwrap();
    warnings.retain(|warning| !of_view(warning));
    for grille in top["grilles"].as_array_mut().unwrap() {
        let grille = grille.as_object_mut().unwrap();
        for key in ["fan_view", "meter", "warnings"] {
            grille.remove(key).unwrap();
        }
    }
    ranking
}

/// `check` foresees as many views, as large.
fn foreseen_as_it_was(folder: &Path) {
    let check = ventwright(folder, &["check", "tiny.toml"]);
    let foreseen = text(&check.stdout).split_whitespace();
    let foreseen = foreseen.collect::<Vec<_>>().join(" ");
    let (_, told) = foreseen
        .split_once("then 3 views of the whole fan face ")
        .unwrap();
    let cells = run_folders(folder)
        .into_iter()
        .filter(|run| run.to_str().unwrap().contains("fan-view"))
        .map(|run| {
            let file = fs::read_to_string(run.join("run.json")).unwrap();
            let file: Value = serde_json::from_str(&file).unwrap();
            file["cell_count"].as_u64().unwrap()
        });
    let most = cells.max().unwrap();
    let (_, told) = told.split_once("up to ").unwrap();
    let told: u64 = told.split_once(" cells").unwrap().0.parse().unwrap();
    // All cells of the lattice there, cells of air here: the wall beside the bore lies between them.
    assert!((most..most + most / 10).contains(&told), "{told} {most}");
}

#[test]
fn the_fan_face_is_seen_from_the_side_and_no_rank_changes() {
    let fan = format!("{CURVE}\nspeed_rpm = 3400");
    let text_of = |view: &str| with_view(&study(&fan, "exhaust", "", &[HEXAGONS, RINGS]), view);
    let folder = stage(&text_of("solve = true"));
    let arguments = ["run", "tiny.toml", "--threads", "2", "--details"];
    let output = ventwright(folder.path(), &arguments);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{out}{err}");
    assert!(err.contains("3 views of the whole fan face"), "{err}");
    assert!(
        out.contains("\nBehind grille ") && out.contains("bare fan: spreads by "),
        "{out}"
    );
    let ranking = ranking_value(folder.path());
    assert_eq!(ranking["format_version"], FORMAT_VERSION);
    let bare = &ranking["bare_fan_view"];
    let swirl = number(&bare["run"]["fan_view"]["swirl_number_in"]);
    assert!(swirl > 0.1 && bare["paid_loss_coefficient"].is_null());
    assert_eq!(ranking["bare_meter"]["is_by_fan_view"], true);
    for grille in ranking["grilles"].as_array().unwrap() {
        let view = &grille["fan_view"];
        let (run, seen) = (&view["run"], &view["run"]["fan_view"]);
        assert_eq!(run["is_valid"], true);
        assert_eq!(seen["jet"].as_array().unwrap().len(), 3);
        // Holes and bars take some of the swirl away, and the fan pays for the grille.
        assert!(number(&seen["swirl_number_out"]) < number(&seen["swirl_number_in"]));
        assert!(number(&view["paid_loss_coefficient"]) > 0.0);
        assert_eq!(grille["meter"]["is_by_fan_view"], true);
        let speed = number(&run["face_velocity_m_per_s"]);
        let key = run["key"].as_str().unwrap();
        let run = folder.path().join("results/tiny/runs").join(key);
        for name in [
            "run.json",
            "history.csv",
            "mean.vti",
            "last.vti",
            "picture.png",
        ] {
            assert!(run.join(name).is_file(), "{name} of {key}");
        }
        // The mean speed in the bore is the flow over its area.
        let flow = number(&grille["flow_m3_per_h"]["value"]) / 3600.0;
        let area = std::f64::consts::FRAC_PI_4 * 0.08 * 0.08;
        assert!((speed * area / flow - 1.0).abs() < 1e-3);
    }

    // Views that end before they settle are told once, with how much they still swing.
    let warnings = |of: &Value| of["warnings"].as_array().unwrap().clone();
    let is_unsteady = |warning: &&Value| warning["code"] == "fan-view-unsteady";
    let grilles = ranking["grilles"].as_array().unwrap();
    let views = grilles
        .iter()
        .map(|grille| &grille["fan_view"]["run"])
        .chain([&bare["run"]]);
    let unsettled: Vec<&Value> = views.filter(|v| v["stop_reason"] != "settled").collect();
    for view in &unsettled {
        assert_eq!(warnings(view).iter().filter(is_unsteady).count(), 1);
        assert!(number(&view["fan_view"]["total_pressure_swing_percent"]) > 0.0);
    }
    assert!(!unsettled.is_empty(), "a short look at a free jet");
    assert_eq!(warnings(&ranking).iter().filter(is_unsteady).count(), 1);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = format!("{} of 3 fan views did not settle", unsettled.len());
    assert_eq!(flat.matches(&said).count(), 1, "{out}");
    assert_eq!(flat.matches("did not settle").count(), 1, "{out}");

    foreseen_as_it_was(folder.path());

    // A second time nothing has to be solved and everything is told again.
    let again = ventwright(folder.path(), &arguments);
    let said = text(&again.stderr);
    assert_eq!(
        said.matches("nothing had to be solved").count(),
        2,
        "{said}"
    );
    assert_eq!(text(&again.stdout), out);

    // Nearer to the axis air runs back: a wheel there is read by the other rule, behind every grille alike, and that is said once.
    let study_file = folder.path().join("tiny.toml");
    edit(&study_file, |t| {
        t.replace("position_mm = 40", "position_mm = 25")
    });
    let nearer = ventwright(folder.path(), &arguments);
    let out = text(&nearer.stdout);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(
        flat.matches("air flows backwards through").count(),
        1,
        "{out}"
    );
    let moved = ranking_value(folder.path());
    assert_eq!(moved["bare_meter"]["is_by_fan_view"], false);
    for grille in moved["grilles"].as_array().unwrap() {
        assert_eq!(grille["meter"]["is_by_fan_view"], false);
        assert_eq!(grille["fan_view"]["run"]["is_valid"], true);
    }

    // Without the fan view the ranking is the same.
    let off = stage(&text_of("solve = false"));
    let output = ventwright(off.path(), &["run", "tiny.toml", "--threads", "2"]);
    assert_eq!(output.status.code(), Some(0));
    let plain = ranking_value(off.path());
    assert!(plain["bare_fan_view"].is_null());
    assert_eq!(plain["bare_meter"]["is_by_fan_view"], false);
    assert_eq!(without_view(plain), without_view(ranking));
}

#[test]
fn the_zone_delivers_the_k_that_the_ranking_charges() {
    let fan = format!("{CURVE}\nswirl_deg = 0\nexit_profile = \"uniform\"");
    // Narrow holes even the air out, so that hardly anything of the layer at the wall is left.
    let grille = HEXAGONS
        .replace("thickness_mm = 4", "thickness_mm = 4\nborder_mm = 0")
        .replace("rib_mm = 2", "rib_mm = 4");
    let study = study(&fan, "exhaust", "", &[&grille]).replace("hub_mm = 30", "hub_mm = 0");
    let folder = stage(&with_view(&study, "behind = \"duct\""));
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let ranking = ranking_value(folder.path());
    let grille = &ranking["grilles"][0];
    let asked = number(&grille["swirl"]["static_loss_coefficient"]);
    let key = grille["fan_view"]["run"]["key"].as_str().unwrap();
    let run = folder.path().join("results/tiny/runs").join(key);
    let run: Value =
        serde_json::from_str(&fs::read_to_string(run.join("run.json")).unwrap()).unwrap();
    let seen = &run["fan_view"];
    let by_force = number(&seen["static_loss_coefficient_by_force"]);
    let error = by_force / asked - 1.0;
    assert!(error.abs() < 0.02, "{by_force} {asked}: {error}");
    // Nothing turned, and nothing turns.
    assert!(number(&seen["swirl_number_in"]).abs() < 1e-6);
    assert!(number(&seen["bench_swirl_angle_deg"]).abs() < 1e-3);
    // What the fan pays is what the ranking charges, and friction: there is no suction to lose.
    let paid = number(&grille["fan_view"]["paid_loss_coefficient"]);
    assert!((paid / asked - 1.0).abs() < 0.1, "{paid} {asked}");
}

#[cfg(unix)]
#[test]
fn a_stop_among_the_fan_views_leaves_the_ranking_and_the_next_start_goes_on() {
    let fan = format!("{CURVE}\nspeed_rpm = 3400");
    let folder = stage(&with_view(&study(&fan, "exhaust", "", &[HEXAGONS]), ""));
    let arguments = ["run", "tiny.toml", "--threads", "1"];
    let mut child = command(folder.path(), &arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
    // The first view takes a second or two from here.
    let first = lines.by_ref().map(Result::unwrap);
    let begins = |line: String| line.contains("2 views of the whole fan face");
    assert!(first.into_iter().any(begins));
    let pid = child.id().to_string();
    let sent = Command::new("kill").args(["-INT", &pid]).status().unwrap();
    assert!(sent.success());
    let rest: Vec<String> = lines.map(Result::unwrap).collect();
    assert_eq!(child.wait().unwrap().code(), Some(130), "{rest:?}");
    let last = rest.last().unwrap();
    assert!(
        last.starts_with("stopped: the ranking is written"),
        "{rest:?}"
    );
    let mut out = String::new();
    let mut stdout = child.stdout.take().unwrap();
    stdout.read_to_string(&mut out).unwrap();
    assert_eq!(out, "", "a stopped run tells no first screen");

    let stopped = ranking_value(folder.path());
    assert_eq!(stopped["grilles"][0]["rank"], 1);
    assert!(number(&stopped["grilles"][0]["flow_percent"]["value"]) > 0.0);
    assert!(stopped["grilles"][0]["fan_view"].is_null());
    assert_eq!(stopped["bare_meter"]["is_by_fan_view"], false);
    let table = folder.path().join("results/tiny/ranking.csv");
    assert!(fs::read_to_string(table).unwrap().contains("hexagons"));

    let again = ventwright(folder.path(), &arguments);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
    let said = text(&again.stderr);
    assert_eq!(
        said.matches("nothing had to be solved").count(),
        1,
        "{said}"
    );
    let whole = ranking_value(folder.path());
    assert_eq!(whole["grilles"][0]["fan_view"]["run"]["is_valid"], true);
    assert_eq!(without_view(whole), without_view(stopped));
}

#[test]
fn ahead_of_the_fan_there_is_no_fan_view() {
    let folder = stage(&with_view(&study(CURVE, "intake", "", &[HEXAGONS]), ""));
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
    assert_eq!(output.status.code(), Some(0));
    let ranking = ranking_value(folder.path());
    let codes: Vec<&str> = ranking["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|warning| warning["code"].as_str())
        .collect();
    assert!(codes.contains(&"fan-view-not-used"), "{codes:?}");
    assert!(ranking["grilles"][0]["fan_view"].is_null());
    assert!(!text(&output.stderr).contains("fan face"));
    let folders = run_folders(folder.path());
    assert!(
        folders
            .iter()
            .all(|run| !run.to_str().unwrap().contains("fan-view"))
    );
}
