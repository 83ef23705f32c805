//! A night's budget on a clock that is not the machine's: what is solved in which order, and what is left out.
//!
//! The runs are not solved: each gets a K that follows from its hole area, and its expected time a hundredth of itself, so that eight hours pass in about five minutes of this clock
//! and in none of the test's.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::collections::HashSet;

use ventwright::report::Likely;
use ventwright::result::{BudgetStep, GrilleName, RunSummary, StudyResult};
use ventwright::run::batch::schedule::{Capacity, schedule};
use ventwright::run::budget::{Known, Night, identity};
use ventwright::run::conclusions::conclude::conclude;
use ventwright::run::planned::Run;
use ventwright::run::planning::plan::Plan;
use ventwright::run::views::Subject;
use ventwright::study::{Draft, Quality, Study};

const THREADS: usize = 2;

const CAPACITY: Capacity = Capacity {
    threads: THREADS,
    memory_bytes: 8_000_000_000,
};

/// Grilles whose flow spreads by their rib: many alike at the top, some far behind.
fn study(ribs: &[f64], hours: f64) -> Study {
    study_at(ribs, hours, "intake", "")
}

fn study_at(ribs: &[f64], hours: f64, side: &str, panel: &str) -> Study {
    // Behind a fan the air turns, and the same grille ahead of it has runs of its own.
    let swirl = if side == "exhaust" {
        "swirl_deg = 20\n"
    } else {
        ""
    };
    let ribs: Vec<String> = ribs.iter().map(ToString::to_string).collect();
    let text = format!(
        "format = 1\n[study]\nname = \"night\"\n[fan]\nbore_mm = 135\nhub_mm = 42\nfree_flow_m3_per_h = 119\nshut_off_pressure_pa = 21.6\n{swirl}\
         [place]\nside = \"{side}\"\n{panel}[[grille]]\nname = \"hexagons\"\nthickness_mm = 4\n[grille.holes]\nshape = \"hexagon\"\nacross_flats_mm = 6\nrib_mm = 1.2\n\
         [[series]]\nbase = \"hexagons\"\nvary = {{ rib_mm = [{}] }}\n[run]\ntime_budget_h = {hours}\n",
        ribs.join(", ")
    );
    let draft = Draft::parse(text.as_bytes(), "night.toml").unwrap();
    draft.resolve(&mut |_| Err(String::new())).unwrap()
}

/// What a run might have come to: K by its free-area ratio, with a grid error that shrinks with the cells.
fn pretended(run: &Run, cells: f64) -> RunSummary {
    let ratio = match &run.subject {
        Subject::Flat(flat) => flat.zone.free_area_ratio,
        Subject::Repeat(repeat) => repeat.domain.free_area_ratio,
        Subject::Face(_) => unreachable!("no fan view is planned here"),
    };
    let value = (1.0 - ratio).powi(2) / ratio.powi(2) * (1.0 + 2.0 / cells) + 0.2;
    RunSummary {
        key: run.key.clone(),
        view: run.view(),
        face_velocity_m_per_s: run.face_velocity,
        hole_reynolds_number: run.hole_reynolds_number,
        cells_across: cells,
        loss_coefficient: Likely::symmetric(value, 0.004 * value),
        loss_coefficient_by_force: value,
        oblique: None,
        fan_view: None,
        density_rise: 0.002,
        stop_reason: "the mean is known well enough".to_owned(),
        is_valid: true,
        step_count: 1000,
        cell_count: run.cell_count() as u64,
        elapsed_s: 1.0,
        was_reused: false,
        checks: Vec::new(),
        warnings: Vec::new(),
    }
}

fn cells_of(run: &Run) -> f64 {
    let key = if run.is_repeat() {
        "cells_across_hole"
    } else {
        "cells_across_opening"
    };
    run.inputs[key].as_f64().unwrap()
}

/// The runs of a plan that are not known yet.
fn pending(plan: &Plan, known: &Known) -> Vec<usize> {
    let is_new = |run: &usize| !known.contains_key(&identity(&plan.runs[*run]));
    (0..plan.runs.len()).filter(is_new).collect()
}

struct Morning {
    steps: Vec<BudgetStep>,
    further: Vec<BudgetStep>,
    result: StudyResult,
    seconds: f64,
}

/// Lives through a night in which everything takes `pace` times as long as expected, and nothing more is begun that would pass `seconds`.
fn night(study: &Study, seconds: f64, pace: f64) -> Morning {
    let mut night = Night::begin(study, CAPACITY);
    let (mut known, mut clock, mut steps) = (Known::new(), 0.0, Vec::new());
    let mut step: Option<ventwright::run::budget::Step> = None;
    loop {
        let plan = night.plan().unwrap();
        let new = pending(&plan, &known);
        let expected = schedule(&plan.runs, &new, CAPACITY).seconds;
        if let Some(step) = &step
            && (pace - 1.0).abs() < 1e-12
        {
            assert!(
                (step.seconds - expected).abs() < 1e-9 * expected.max(1.0),
                "{}: {} s were promised, {expected} s are planned",
                step.reason,
                step.seconds
            );
        }
        clock += pace * expected;
        night.went(expected, pace * expected);
        for run in new {
            let run = &plan.runs[run];
            known.insert(identity(run), pretended(run, cells_of(run)));
        }
        assert!(night.put_back_unfinished(&plan, &known).is_empty());
        if let Some(step) = &step {
            steps.push(night.told(step, Some(pace * expected)));
        }
        let summaries: Vec<Option<RunSummary>> = plan
            .runs
            .iter()
            .map(|run| known.get(&identity(run)).cloned())
            .collect();
        let result = conclude(study, &plan, &summaries, "test", clock).result;
        step = night.next(&result, &known, seconds - clock);
        if step.is_none() {
            return Morning {
                steps,
                further: night.further(&result, &known),
                result,
                seconds: clock,
            };
        }
    }
}

/// Ribs from 0.8 mm upwards, so many hundredths of a millimetre apart.
fn ribs(count: u32, hundredths: u32) -> Vec<f64> {
    let of = |i: u32| f64::from(80 + hundredths * i) / 100.0;
    (0..count).map(of).collect()
}

#[test]
fn every_grille_has_a_number_and_the_top_is_solved_deepest() {
    let study = study(&ribs(16, 20), 8.0);
    let morning = night(&study, 8.0 * 3600.0, 1.0);
    assert!(
        morning
            .result
            .grilles
            .iter()
            .all(|grille| grille.rank.is_some())
    );
    let depth = |quality: Quality| {
        let of = morning
            .result
            .grilles
            .iter()
            .filter(|grille| grille.quality == quality);
        of.count()
    };
    let places: Vec<usize> = (0..3)
        .filter(|&place| morning.result.grilles[place].quality == Quality::Overnight)
        .collect();
    assert_eq!(places.len(), 3, "the best three are as deep as can be");
    println!(
        "{} quick, {} standard, {} overnight in {:.0} s",
        depth(Quality::Quick),
        depth(Quality::Standard),
        depth(Quality::Overnight),
        morning.seconds
    );
    assert!(morning.seconds <= 8.0 * 3600.0);
}

#[test]
fn a_hundredth_of_the_time_on_a_machine_a_hundred_times_as_fast_gives_the_same_night() {
    let study = study(&ribs(16, 20), 8.0);
    let slow = night(&study, 8.0 * 3600.0, 1.0);
    let fast = night(&study, 288.0, 0.01);
    let names = |morning: &Morning| -> Vec<(Vec<GrilleName>, Quality)> {
        let steps = morning.steps.iter();
        steps
            .map(|step| (step.grilles.clone(), step.quality))
            .collect()
    };
    assert_eq!(names(&slow), names(&fast));
    assert!((slow.seconds / fast.seconds - 100.0).abs() < 1e-6);
}

#[test]
fn a_short_night_tells_what_a_longer_one_would_settle() {
    let study = study(&ribs(8, 1), 8.0);
    let glance = night(&study, 1.0, 1.0);
    assert!(glance.steps.is_empty());
    let all: HashSet<Quality> = glance.result.grilles.iter().map(|g| g.quality).collect();
    assert_eq!(all, HashSet::from([Quality::Quick]));
    let first = &glance.further[0];
    assert_eq!(
        (first.quality, first.reason.as_str()),
        (Quality::Standard, "too close to call at the top")
    );
    // With just that much more time, that is what is done.
    let longer = night(&study, glance.seconds + 1.001 * first.expected_s, 1.0);
    assert_eq!(longer.steps[0].grilles, first.grilles[..2 * THREADS]);
}

#[test]
fn of_a_step_that_does_not_fit_the_best_are_taken() {
    let study = study(&ribs(8, 1), 8.0);
    let glance = night(&study, 1.0, 1.0);
    let whole = &glance.further[0];
    assert!(whole.grilles.len() > 4);
    let half = night(&study, glance.seconds + 0.5 * whole.expected_s, 1.0);
    let taken = &half.steps[0].grilles;
    assert!(!taken.is_empty() && taken.len() < whole.grilles.len());
    assert_eq!(taken[..], whole.grilles[..taken.len()]);
    assert!(half.seconds <= glance.seconds + 0.5 * whole.expected_s);
}

#[test]
fn what_is_decided_is_left_alone_once_the_best_three_are_deep() {
    // One that wins, one that loses, by far.
    let study = study(&[0.8, 4.0, 8.0, 12.0], 8.0);
    let morning = night(&study, 1e9, 1.0);
    let last = morning.result.grilles.last().unwrap();
    assert_eq!(last.quality, Quality::Quick, "{}", last.name);
    assert!(morning.further.is_empty());
    let best = &morning.result.grilles[0];
    assert_eq!(best.quality, Quality::Overnight);
}

#[test]
fn a_step_counts_the_panels_that_are_made_of_its_grilles() {
    let panel = "[[panel]]\nname = \"inlet\"\ngrille = \"hexagons\"\n";
    let ribs = ribs(1, 1);
    let with = night(&study_at(&ribs, 8.0, "exhaust", panel), 1e9, 1.0);
    let without = night(&study_at(&ribs, 8.0, "exhaust", ""), 1e9, 1.0);
    assert!(with.seconds > 1.01 * without.seconds);
}
