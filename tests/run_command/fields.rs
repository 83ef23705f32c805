//! `mean.vti` and `last.vti` of real runs, opened by the packages `vtk` and `pyvista` of the Python registry and checked against the inputs and against physics.
//!
//! Outside reference: the readers of these packages (seen with versions 9.7.2 and 0.49.1), and in `tests/check_run_field.py` the geometry of the view, the same
//! flow through planes ahead of, within and behind the plate (0.2 %, within 0.5 %: cells at the wall are cut), K by the momentum through two
//! planes (last instant against the last row of the history 0.2 %, seen 0.02 %; mean against the result 0.5 %, seen 0.2 %: the means of the
//! fields begin earlier than that of K) and vorticity and Q by central differences; `tests/check_face_field.py` does so in cylindrical coordinates.
//!
//! The interpreter is named by the environment variable `VENTWRIGHT_PYTHON`; `.ci/run` sets it up.

use std::path::Path;

use crate::checker::verdict;
use crate::folder::copy_folder;
use crate::stage::{CURVE, HEXAGONS, edit, run_folders, stage, study, text, ventwright};

const RINGS: &str = r#"
[[grille]]
name = "rings"
thickness_mm = 2
front_edge = { radius_mm = 0.4 }
[grille.rings]
slot_width_mm = 4
rib_mm = 2
bar_count = 4
bar_width_mm = 2
"#;

/// What the checker says of the folder of a run.
fn check(run: &Path) -> String {
    verdict("check_run_field.py", &[run])
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn fields_of_real_runs_hold_what_the_numbers_say() {
    let folder = stage(&study(CURVE, "intake", "", &[HEXAGONS, RINGS]));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0));
    let runs = run_folders(folder.path());
    assert_eq!(runs.len(), 6, "hole view and slice view, three each");
    for run in &runs {
        let said = check(run);
        assert!(said.starts_with("agrees: "), "{}: {said}", run.display());
    }

    // The checker sees what is wrong.
    let run = runs.iter().next().unwrap();
    for (from, to, complaint) in [
        (
            "\"face_velocity_m_per_s\": 1",
            "\"face_velocity_m_per_s\": 7",
            "mean speed ahead",
        ),
        (
            "\"thickness_mm\": 2.0",
            "\"thickness_mm\": 4.0",
            "solid cells",
        ),
        (
            "\"loss_coefficient\": 0.",
            "\"loss_coefficient\": 0.9",
            "K by momentum",
        ),
        (
            "\"opening_mm\": 6.0",
            "\"opening_mm\": 5.0",
            "height of the domain",
        ),
    ] {
        let copy = tempfile::tempdir().unwrap();
        copy_folder(run, copy.path());
        edit(&copy.path().join("run.json"), |t| t.replace(from, to));
        let said = check(copy.path());
        assert!(
            said.starts_with("differs: ") && said.contains(complaint),
            "{said}"
        );
    }
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn fields_of_fan_views_hold_what_physics_says() {
    let supply = format!("{CURVE}\nspeed_rpm = 1500");
    let with_view = study(&supply, "exhaust", "", &[HEXAGONS])
        .replace("[run]", "[fan_view]\nsolve = true\n[run]");
    let folder = stage(&with_view);
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    let said = text(&output.stderr);
    assert!(said.contains("2 views of the whole fan face"), "{said}");
    let views: Vec<_> = run_folders(folder.path())
        .into_iter()
        .filter(|run| {
            let text = std::fs::read_to_string(run.join("run.json")).unwrap();
            text.contains("\"view\": \"fan view\"")
        })
        .collect();
    assert_eq!(views.len(), 2, "the bare fan and one grille");
    for view in &views {
        let said = verdict("check_face_field.py", &[view]);
        assert!(said.starts_with("agrees: "), "{}: {said}", view.display());
    }
    let copy = tempfile::tempdir().unwrap();
    copy_folder(&views[0], copy.path());
    edit(&copy.path().join("run.json"), |t| {
        t.replace(
            "\"face_velocity_m_per_s\": ",
            "\"face_velocity_m_per_s\": 9",
        )
    });
    let said = verdict("check_face_field.py", &[copy.path()]);
    assert!(said.starts_with("differs: notes"), "{said}");
}
