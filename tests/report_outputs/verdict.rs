//! The verdict: what to print, what it gives, what that is ahead of, and why.

use ventwright::comparison::Relation;
use ventwright::report::verdict::{is_too_wide, reservation, verdict};
use ventwright::report::why;
use ventwright::result::{GrilleSwirl, OpeningTurn, Quality, StudyResult};
use ventwright::units::{FlowUnit, PressureUnit};

use crate::samples::{
    demo, exhaust, failed, given_flow, grille, likely, named, relate, study, tie,
};

/// The verdict with plain spaces; never more than 35 words, a name or a number with its unit counting as one.
fn said(result: &StudyResult) -> String {
    let text = verdict(result);
    let mut counted = text.clone();
    for grille in &result.grilles {
        counted = counted.replace(&grille.name, "name");
    }
    assert!(counted.split(' ').count() <= 35, "{text}");
    text.replace('\u{a0}', " ")
}

fn three() -> StudyResult {
    study(vec![
        grille("big triangles", 1, 80.0, 2.0, 0.5),
        grille("big twisted", 2, 78.0, 2.0, 1.0),
        grille("fine triangles", 3, 62.0, 2.0, 2.0),
    ])
}

#[test]
fn what_to_print_what_it_gives_and_what_it_is_ahead_of() {
    let mut result = three();
    tie(&mut result, &["big triangles", "big twisted"]);
    assert_eq!(
        said(&result),
        "print big triangles or big twisted: about 78 to 80 % of the bare fan's air (likely 76 to 82); fine triangles move 18 points less (over 99 % sure)"
    );
    assert_eq!(
        said(&three()),
        "print big triangles: about 80 % of the bare fan's air (likely 78 to 82); big twisted and fine triangles move 2 to 18 points less (over 99 % sure)"
    );
}

#[test]
fn three_of_which_one_is_behind_are_never_all_alike() {
    // Overlapping chains: the last is behind the first alone.
    let mut result = three();
    tie(&mut result, &["big triangles", "big twisted"]);
    tie(&mut result, &["big twisted", "fine triangles"]);
    assert_eq!(result.grilles[2].rank, Some(2));
    let text = said(&result);
    assert!(
        text.starts_with("print big triangles or big twisted: "),
        "{text}"
    );
    assert!(text.ends_with("fine triangles move 18 points less (over 99 % sure)"));
}

#[test]
fn equal_runs_and_close_calls_are_told_apart_in_words() {
    let mut result = three();
    relate(
        &mut result,
        &["big triangles", "big twisted", "fine triangles"],
        Relation::EqualInUse,
    );
    assert!(said(&result).contains("they are equal in use"));
    let mut close = study(three().grilles[..2].to_vec());
    tie(&mut close, &["big triangles", "big twisted"]);
    assert_eq!(
        said(&close),
        "print whichever of the 2 you like best, too close to call: about 78 to 80 % of the bare fan's air (likely 76 to 82)"
    );
}

#[test]
fn what_is_too_wide_to_act_on_is_no_verdict() {
    let mut result = study(vec![
        grille("a", 1, 75.0, 16.0, 0.5),
        grille("b", 2, 70.0, 3.0, 1.0),
    ]);
    tie(&mut result, &["a", "b"]);
    // Wide ranges that both share are no reason: the wrong one costs little.
    assert!(!is_too_wide(&result));
    result.pairs[0].difference = likely(5.0, 16.0);
    assert!(is_too_wide(&result));
    assert_eq!(
        said(&result),
        "too uncertain to choose yet: the 2 grilles lie between 59 and 91 % of the bare fan's air"
    );
    // One wide range among narrow ones: the front is uncertain, the last is behind all the same.
    let mut wide = study(vec![
        grille("a", 1, 80.0, 2.0, 0.5),
        grille("wide", 2, 74.0, 14.0, 1.0),
        grille("z", 3, 60.0, 2.0, 2.0),
    ]);
    tie(&mut wide, &["a", "wide"]);
    wide.pairs[0].difference = likely(6.0, 14.0);
    assert_eq!(
        said(&wide),
        "too uncertain to choose yet: a and wide lie between 60 and 88 % of the bare fan's air; z moves 20 points less (over 99 % sure)"
    );
}

#[test]
fn what_is_not_safe_is_not_simply_to_print() {
    // Blades 8 mm behind a grille of 4 mm: 12 mm from its outside.
    let mut result = three();
    result.grilles[0].finger_distance_mm = Some(80.0);
    let text = said(&result);
    assert!(text.starts_with("best for air: big triangles: "), "{text}");
    assert!(
        text.ends_with("; not finger-safe: blades 12 mm away, 80 needed"),
        "{text}"
    );
    result.grilles[0].finger_distance_mm = None;
    assert!(said(&result).ends_with("not finger-safe: a hand fits through"));
    result.grilles[0].finger_distance_mm = Some(12.0);
    assert!(!said(&result).contains("finger"));
    result.blade_gap_mm = None;
    let text = said(&result);
    assert!(text.starts_with("print big triangles: "), "{text}");
    assert!(
        text.ends_with("; only where blades are 12 mm or more from its outside"),
        "{text}"
    );
    // Over a vent there are no blades.
    result.has_blades = false;
    assert!(!said(&result).contains("blades"));
}

#[test]
fn only_one_grille() {
    let result = study(vec![grille("hexagons", 1, 82.0, 4.0, 0.5)]);
    assert_eq!(
        said(&result),
        "hexagons move about 82 % of the bare fan's air (likely 78 to 86)"
    );
    assert_eq!(why(&result), None);
}

#[test]
fn a_given_flow_is_answered_in_the_pressure_of_the_study() {
    let mut result = given_flow();
    assert_eq!(
        said(&result),
        "print wide triangles or hexagons: about 1.25 to 1.32 Pa at 80 m³/h (likely 1.15 to 1.42); the other 4 need 0.7 to 2.8 Pa more (over 99 % sure)"
    );
    result.output_units.flow = FlowUnit::CubicFeetPerMinute;
    result.output_units.pressure = PressureUnit::MillimetresOfWater;
    assert!(
        said(&result).contains("mmH2O at 47 CFM"),
        "{}",
        said(&result)
    );
}

#[test]
fn nothing_valid() {
    let of = |names: &[&str]| said(&study(names.iter().map(|name| failed(name)).collect()));
    assert_eq!(of(&["a"]), "the grille got no valid number");
    assert_eq!(
        of(&["a", "b"]),
        "neither of the two grilles got a valid number"
    );
    assert_eq!(
        of(&["a", "b", "c"]),
        "none of the 3 grilles got a valid number"
    );
    assert_eq!(of(&[]), "there is no grille to rank");
}

#[test]
fn a_grille_without_a_number_changes_no_verdict_and_is_named() {
    let mut result = three();
    result.grilles.push(failed("mesh"));
    assert_eq!(said(&result), said(&three()));
    assert_eq!(reservation(&result), "No valid number for mesh.");
    assert_eq!(reservation(&study(vec![failed("mesh")])), "");
}

#[test]
fn what_is_undecided_or_less_deep_is_named() {
    let mut result = three();
    assert_eq!(reservation(&result), "");
    result.grilles[0].is_turn_undecided = true;
    assert_eq!(
        reservation(&result),
        "big triangles were solved as if straight: what the turn does is undecided."
    );
    let mut deep = three();
    deep.quality = Quality::Standard;
    for grille in &mut deep.grilles[..2] {
        grille.quality = Quality::Standard;
    }
    assert_eq!(
        reservation(&deep),
        "fine triangles stand at quality quick only, because deeper runs are missing."
    );
}

#[test]
fn many_in_front_are_counted_and_long_names_cut() {
    let names = ["a1", "a2", "a3", "a4", "a5", "z"];
    let mut result = study(
        names
            .iter()
            .map(|name| grille(name, 1, 95.0, 1.0, 0.5))
            .collect(),
    );
    result.grilles[5].flow_percent = Some(likely(70.0, 2.0));
    tie(&mut result, &names[..5]);
    assert!(said(&result).starts_with("print a1, a2, a3 or 2 more: about 95 %"));
    let long = study(vec![grille(&"x".repeat(200), 1, 96.0, 1.0, 0.5)]);
    assert!(said(&long).starts_with(&format!("{}… moves", "x".repeat(39))));
}

#[test]
fn why_comes_from_numbers_of_the_study() {
    // Open areas by the samples: 71 - 4 K.
    assert_eq!(
        why(&demo()).unwrap().replace('\u{a0}', " "),
        "69 % open, holes 5.0 mm across and 4.0 mm deep"
    );
    let mut suction = exhaust();
    suction.grilles[0].hole_area_percent = suction.grilles[1].hole_area_percent;
    suction.grilles[0].swirl = suction.grilles[0].swirl.map(|swirl| GrilleSwirl {
        lost_suction_loss_coefficient: -0.2,
        ..swirl
    });
    assert_eq!(
        why(&suction).unwrap(),
        "it keeps the swirl's suction (costs K -0.2, others -0.0)"
    );
}

#[test]
fn a_turn_that_costs_open_area_is_told() {
    let mut result = three();
    result.grilles[1].hole_area_percent = 60.0;
    result.grilles[0].hole_area_percent = 66.0;
    result.grilles[1].turn = Some(OpeningTurn {
        is_lean: false,
        straight_twin: Some(named(&result, "big triangles")),
    });
    assert!(
        why(&result)
            .unwrap()
            .replace('\u{a0}', " ")
            .ends_with("the turn of big twisted drops holes at the border: 66 to 60 % open"),
        "{:?}",
        why(&result)
    );
}
