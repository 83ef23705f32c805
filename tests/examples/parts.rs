//! Exported grilles as programs of others read them.
//!
//! Outside reference: the readers of the Python packages `trimesh` (seen with version 5.2), `ezdxf` (1.4) and `svgelements` (1.9), and their own sums.
//! Tolerance: 0.2 % of the drawing's volume, the aim for a part within 0.02 mm of its drawing; 0.1 % between a drawing and a cut through the mesh, which is what outlines cut at another depth by
//! less than a micrometre differ by. Seen: 0.02 % and 0.01 %.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use ventwright::grille::{CrossingHoles, CutOut, Grille, Pattern, Turn, Zone};
use ventwright::store::set_name;
use ventwright::study::{Draft, Study};

use crate::cases::{cases, read};
use crate::checker::verdict;

/// Everything that meets something: holes cut at edges of zones while they turn, holes that run into each other, rings between leaning bars.
const MEETING: &str = r#"
format = 1
study.name = "meeting"
place.side = "intake"
fan = { bore_mm = 90, hub_mm = 30, free_flow_m3_per_h = 60, shut_off_pressure_pa = 20 }

[[grille]]
name = "cut and twisted"
thickness_mm = 4
crossing_holes = "clip"
front_edge = { radius_mm = 0.4 }
holes = { shape = "square", side_mm = 7, rib_mm = 2, twist_deg = 25 }

[[grille]]
name = "merged"
thickness_mm = 3
holes = { shape = "square", side_mm = 6, rib_mm = 1, twist_deg = 60, merging = "accept" }

[[grille]]
name = "leaning bars"
thickness_mm = 4
centre_disc_mm = 20
bars = { bar_count = 24, bar_width_mm = 2, lean_deg = 20 }
"#;

fn width_mm(cut_out: CutOut) -> f64 {
    match cut_out {
        CutOut::Bore { diameter } => 1e3 * diameter,
        CutOut::Vent { width, .. } => 1e3 * width,
    }
}

/// Whether holes are cut off that turn or lean: the drawing counts them at the depth where they are drawn, and some do not reach both faces.
fn has_turned_cuts(grille: &Grille) -> bool {
    let turns = |zone: &Zone| match &zone.pattern {
        Pattern::Holes(holes) => matches!(holes.turn, Turn::Twist { .. } | Turn::Lean { .. }),
        Pattern::Rings(_) | Pattern::Bars(_) => false,
    };
    grille.crossing_holes == CrossingHoles::Clip && grille.zones.iter().any(turns)
}

/// Exports all grilles of a study and asks the readers; `is_plain` where the drawing's own sums hold.
fn check(file: &Path, study: &Study, is_plain: bool) {
    let folder = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_ventwright"))
        .arg("export")
        .arg(file)
        .args([
            "--all", "--format", "3mf", "--format", "stl", "--format", "svg", "--format", "dxf",
        ])
        .arg("--out")
        .arg(folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{said}");
    let expected = study.grilles.iter().map(|grille| {
        let geometry = grille.resolve(0.0).unwrap();
        let (holes, volume) = if is_plain && !has_turned_cuts(grille) {
            (
                json!(geometry.hole_count),
                json!(1e9 * geometry.plastic_volume),
            )
        } else {
            (Value::Null, Value::Null)
        };
        json!({
            "stem": set_name(std::slice::from_ref(&grille.name)),
            "holes": holes,
            "volume_mm3": volume,
            "thickness_mm": 1e3 * grille.thickness,
            "width_mm": width_mm(grille.cut_out),
        })
    });
    let expected: Vec<Value> = expected.collect();
    let list = folder.path().join("expected.json");
    fs::write(&list, Value::from(expected).to_string()).unwrap();
    let said = verdict("check_parts.py", &[folder.path(), list.as_path()]);
    assert!(said.starts_with("agrees: "), "{}: {said}", file.display());
}

#[test]
#[ignore = "slow: 30 s, Python with trimesh, ezdxf and svgelements"]
fn parts_of_every_case_are_what_other_programs_read_and_the_drawing_says() {
    for file in cases() {
        let study = read(&file);
        // Holes drawn against a printer leave less than the drawing's sum.
        check(&file, &study, study.printer.is_none());
    }
}

#[test]
#[ignore = "slow: 10 s, Python with trimesh, ezdxf and svgelements"]
fn openings_that_meet_leave_one_watertight_body() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("meeting.toml");
    fs::write(&file, MEETING).unwrap();
    let draft = Draft::parse(MEETING.as_bytes(), "meeting.toml").unwrap();
    let study = draft.resolve(&mut |_| Err(String::new())).unwrap();
    check(&file, &study, false);
}
