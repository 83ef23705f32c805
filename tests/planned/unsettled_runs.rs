//! A run that is not statistically steady, or of which there is nothing, never enters a ranking silently: whichever run of a plan it is.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use ventwright::likely::Likely;
use ventwright::report::ranking_csv::write_ranking_csv;
use ventwright::report::ranking_json::write_ranking_json;
use ventwright::report::screen::{ScreenOptions, write_screen};
use ventwright::result::RunSummary;
use ventwright::run::conclusions::conclude::conclude;
use ventwright::run::planned::Run;
use ventwright::run::planning::plan::plan;
use ventwright::study::{Draft, Study};

fn study(quality: &str) -> Study {
    let text = format!(
        "format = 1\n[study]\nname = \"unsettled\"\n[fan]\nbore_mm = 80\nhub_mm = 30\nspeed_rpm = 1500\nfree_flow_m3_per_h = 60\nshut_off_pressure_pa = 20\n\
         [place]\nside = \"intake\"\npc_case_k = 2\n[run]\nquality = \"{quality}\"\n\
         [[grille]]\nname = \"hexagons\"\nthickness_mm = 3\n[grille.holes]\nshape = \"hexagon\"\nacross_flats_mm = 5\nrib_mm = 1.2\n\
         [[grille]]\nname = \"slots\"\nthickness_mm = 3\n[grille.holes]\nshape = \"slot\"\nwidth_mm = 4\nlength_mm = 20\nrib_mm = 2\n"
    );
    let draft = Draft::parse(text.as_bytes(), "study.toml").unwrap();
    draft.resolve(&mut |_| Err("no files".to_owned())).unwrap()
}

/// What a run that settled would leave: a K that falls slowly with the speed.
fn settled(run: &Run) -> RunSummary {
    let value = 1.6 + 0.2 / run.face_velocity;
    RunSummary {
        key: run.key.clone(),
        view: run.view(),
        face_velocity_m_per_s: run.face_velocity,
        hole_reynolds_number: run.hole_reynolds_number,
        cells_across: 24.0,
        loss_coefficient: Likely::symmetric(value, 0.01),
        loss_coefficient_by_force: value,
        oblique: None,
        fan_view: None,
        density_rise: 0.003,
        stop_reason: "settled".to_owned(),
        is_valid: true,
        step_count: 10_000,
        cell_count: 10_000,
        elapsed_s: 1.0,
        was_reused: false,
        checks: Vec::new(),
        warnings: Vec::new(),
    }
}

#[test]
fn an_unsettled_run_takes_the_number_from_its_grille_and_says_so_everywhere() {
    for quality in ["quick", "standard"] {
        let study = study(quality);
        let plan = plan(&study).unwrap();
        let good: Vec<Option<RunSummary>> =
            plan.runs.iter().map(|run| Some(settled(run))).collect();
        let all = conclude(&study, &plan, &good, "0.1.0", 1.0).result;
        assert!(all.grilles.iter().all(|grille| grille.rank.is_some()));
        for (index, run) in plan.runs.iter().enumerate() {
            for is_there in [true, false] {
                let mut summaries = good.clone();
                summaries[index] = is_there.then(|| RunSummary {
                    is_valid: false,
                    stop_reason: "not settled within the longest time".to_owned(),
                    warnings: vec![ventwright::likely::Warning {
                        code: "not-settled".into(),
                        message: "it swings".to_owned(),
                        advice: "wait".to_owned(),
                    }],
                    ..settled(run)
                });
                let result = conclude(&study, &plan, &summaries, "0.1.0", 1.0).result;
                let code = if is_there { "not-settled" } else { "not-run" };
                let hit: Vec<_> = result
                    .grilles
                    .iter()
                    .filter(|grille| grille.warnings.iter().any(|w| w.code == code))
                    .collect();
                assert!(!hit.is_empty(), "{quality}: {} was lost silently", run.key);
                for grille in &hit {
                    assert_eq!(grille.rank, None, "{quality}: {}", grille.name);
                }
                let name = &hit[0].name;
                let mut screen = Vec::new();
                let options = ScreenOptions {
                    width: 80,
                    has_colour: false,
                    is_ascii: false,
                    details: &[],
                    profiles: None,
                    files: &[],
                    next: None,
                };
                write_screen(&result, &options, &mut screen).unwrap();
                let screen = String::from_utf8(screen).unwrap();
                let told = screen.split("No number for").nth(1).unwrap();
                assert!(told.contains(name.as_str()), "{screen}");
                let mut json = Vec::new();
                write_ranking_json(&result, &mut json).unwrap();
                assert!(
                    String::from_utf8(json)
                        .unwrap()
                        .contains(&format!("\"{code}\""))
                );
                let mut csv = Vec::new();
                write_ranking_csv(&result, &mut csv).unwrap();
                let csv = String::from_utf8(csv).unwrap();
                let line = csv
                    .lines()
                    .find(|line| line.contains(name.as_str()))
                    .unwrap();
                assert!(line.starts_with(',') && line.contains(code), "{line}");
            }
        }
    }
}
