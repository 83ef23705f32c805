//! Property: a grille beside it changes no other's runs.

use std::collections::BTreeMap;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use crate::stage::{CURVE, run_files, stage, study, text, ventwright};

/// A grille of one kind of holes.
fn grille(name: &str, shape: usize, width: f64, rib: f64) -> String {
    let (shape, key) = [
        ("round", "diameter_mm"),
        ("hexagon", "across_flats_mm"),
        ("square", "side_mm"),
    ][shape];
    format!(
        "[[grille]]\nname = \"{name}\"\nthickness_mm = 2\n[grille.holes]\nshape = \"{shape}\"\n{key} = {width:.2}\nrib_mm = {rib:.2}\n"
    )
}

/// Every run of a study with these grilles, solved in a folder of its own.
fn solved(grilles: &[&str]) -> BTreeMap<String, String> {
    let folder = stage(&study(CURVE, "intake", "", grilles));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    run_files(folder.path()).into_iter().collect()
}

#[test]
#[ignore = "slow: 30 s"]
fn another_grille_changes_no_run_of_the_others() {
    let holes = || (0..3_usize, 4.0..7.0_f64, 1.0..1.6_f64);
    let mut runner = TestRunner::new(Config {
        cases: 4,
        failure_persistence: None,
        ..Config::default()
    });
    let property = |(first, second, place): ((usize, f64, f64), (usize, f64, f64), bool)| {
        let own = grille("own", first.0, first.1, first.2);
        let other = grille("other", second.0, second.1, second.2);
        let alone = solved(&[&own]);
        let beside = if place {
            solved(&[&other, &own])
        } else {
            solved(&[&own, &other])
        };
        prop_assert!(alone.len() >= 3 && beside.len() >= alone.len());
        for (key, run) in alone {
            prop_assert_eq!(beside.get(&key), Some(&run), "{}", key);
        }
        Ok(())
    };
    runner
        .run(&(holes(), holes(), any::<bool>()), property)
        .unwrap();
}
