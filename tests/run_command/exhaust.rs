//! The exhaust side: swirl from speed and curve, what the fan pays, and what a meter shows.

use serde_json::Value;

use crate::stage::{CURVE, ranking_value, stage, study, text, ventwright};

const METER: &str = "[meter]\nhead_diameter_mm = 30\nposition_mm = 25\nhand = \"against\"\n";

/// 56 % open: within the table of holes that lean.
const HEXAGONS: &str = r#"
[[grille]]
name = "hexagons"
thickness_mm = 2
[grille.holes]
shape = "hexagon"
across_flats_mm = 6
rib_mm = 2
"#;

const LEANED: &str = r#"
[[grille]]
name = "leaned"
thickness_mm = 2
[grille.holes]
shape = "hexagon"
across_flats_mm = 6
rib_mm = 2
lean_deg = 15
"#;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn three(value: &Value) -> [f64; 3] {
    [0, 1, 2].map(|place| number(&value[place]))
}

/// Runs a study at `quick`: the screen and the ranking.
fn solved(supply: &str, side: &str, grilles: &[&str]) -> (String, Value) {
    let study = study(supply, side, "", grilles);
    let study = study.replace("[run]", &format!("{METER}[run]"));
    let folder = stage(&study);
    let output = ventwright(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{out}{err}");
    (out.to_owned(), ranking_value(folder.path()))
}

fn codes(ranking: &Value) -> Vec<&str> {
    let warnings = ranking["warnings"].as_array().unwrap();
    warnings
        .iter()
        .map(|warning| warning["code"].as_str().unwrap())
        .collect()
}

#[test]
fn the_swirl_of_the_fan_is_charged_where_it_settles() {
    let fan = format!("{CURVE}\nspeed_rpm = 2600");
    let (out, ranking) = solved(&fan, "exhaust", &[HEXAGONS, LEANED]);
    let grilles = ranking["grilles"].as_array().unwrap();
    let of = |name: &str| grilles.iter().find(|g| g["name"] == name).unwrap();
    for grille in grilles {
        let swirl = &grille["swirl"];
        let (fixed, lost, total) = (
            number(&swirl["static_loss_coefficient"]),
            number(&swirl["lost_suction_loss_coefficient"]),
            number(&swirl["total_loss_coefficient"]),
        );
        let ranked = number(&grille["loss_coefficient"]["value"]);
        assert!((fixed + lost - ranked).abs() < 1e-9 * ranked);
        assert!(fixed > 0.0 && total > 0.0);
        // A free vortex turns most at the hub.
        let [hub, middle, tip] = three(&swirl["inflow_angles_deg"]);
        assert!(hub > middle && middle > tip && tip > 5.0 && hub < 80.0);
        let parts = grille["contributions"].as_array().unwrap();
        for source in ["the fan's swirl", "how the air spreads behind the fan"] {
            assert!(
                parts.iter().any(|part| part["source"] == source),
                "{source}"
            );
        }
        // A meter of a known hand reads one number, and too little against the swirl.
        let shown = &grille["meter"]["reading_m_per_s"];
        assert!((number(&shown[0]) - number(&shown[1])).abs() < 1e-12);
        assert!(number(&shown[0]) <= number(&grille["meter"]["air_speed_m_per_s"]));
    }
    // Straight holes take swirl out: suction is lost and the air turns them with the fan; co-leaned ones let it turn on.
    let (straight, leaned) = (&of("hexagons")["swirl"], &of("leaned")["swirl"]);
    let (lost, torque) = ("lost_suction_loss_coefficient", "torque_n_m");
    assert!(number(&straight[lost]) > 0.0 && number(&straight[torque]) > 0.0);
    assert!(number(&straight[lost]) > number(&leaned[lost]));
    assert!(number(&straight[torque]) > number(&leaned[torque]));
    assert!(!out.contains("Not in these ranges"), "{out}");
    assert!(!codes(&ranking).contains(&"swirl-missing"));
}

#[test]
fn a_faster_fan_of_the_same_curve_turns_its_air_less() {
    let middle = |rpm: u32| {
        let fan = format!("{CURVE}\nspeed_rpm = {rpm}");
        let (_, ranking) = solved(&fan, "exhaust", &[HEXAGONS]);
        three(&ranking["grilles"][0]["swirl"]["inflow_angles_deg"])[1]
    };
    let (slow, fast) = (middle(2600), middle(3900));
    assert!(slow > fast + 3.0, "{slow} {fast}");
}

#[test]
fn a_swirl_that_is_not_known_is_not_charged_and_that_is_said() {
    let (out, ranking) = solved(CURVE, "exhaust", &[HEXAGONS]);
    assert!(ranking["grilles"][0]["swirl"].is_null() && ranking["grilles"][0]["meter"].is_null());
    let codes = codes(&ranking);
    assert!(
        codes.contains(&"swirl-missing") && codes.contains(&"meter-not-used"),
        "{out}"
    );
    // Ahead of the fan nothing turns.
    let fan = format!("{CURVE}\nspeed_rpm = 2600");
    let (_, ranking) = solved(&fan, "intake", &[HEXAGONS]);
    assert!(ranking["grilles"][0]["swirl"].is_null());
}
