//! The sentence with the answer.

use ventwright::report::sentence::{answer, reservation};
use ventwright::report::{Likely, StudyResult};

use crate::samples::{demo, failed, given_flow, grille, likely, study, tie, warning};

/// The sentence with plain spaces.
fn said(result: &StudyResult) -> String {
    answer(result).replace('\u{a0}', " ")
}

fn three() -> StudyResult {
    study(vec![
        grille("hexagons", 1, 96.0, 1.0, 0.5),
        grille("slots", 2, 92.0, 1.0, 1.0),
        grille("disc-3", 3, 85.0, 2.0, 2.0),
    ])
}

#[test]
fn two_leaders_and_a_costly_last_one() {
    assert_eq!(
        said(&demo()),
        "wide triangles and hexagons lead and cannot be told apart; fine triangles cost 8 to 13 % of the air"
    );
}

#[test]
fn one_leader() {
    assert_eq!(
        said(&three()),
        "hexagons lead and cost 3 to 5 % of the air; disc-3 costs 13 to 17 % of the air"
    );
}

#[test]
fn a_leader_with_a_name_in_the_singular() {
    let result = study(vec![
        grille("disc-1", 1, 96.0, 1.0, 0.5),
        grille("mesh", 2, 60.0, 5.0, 9.0),
    ]);
    assert_eq!(
        said(&result),
        "disc-1 leads and costs 3 to 5 % of the air; mesh costs 35 to 45 % of the air"
    );
}

#[test]
fn all_tied() {
    let mut result = three();
    tie(&mut result, &["hexagons", "slots", "disc-3"]);
    assert_eq!(
        said(&result),
        "none of the 3 grilles can be told apart: choose by looks; all cost 3 to 17 % of the air"
    );
    let mut result = study(three().grilles[..2].to_vec());
    tie(&mut result, &["hexagons", "slots"]);
    assert_eq!(
        said(&result),
        "hexagons and slots cannot be told apart: choose by looks; both cost 3 to 9 % of the air"
    );
}

#[test]
fn a_leader_whose_rivals_differ_among_themselves() {
    let mut result = three();
    tie(&mut result, &["hexagons", "slots"]);
    tie(&mut result, &["hexagons", "disc-3"]);
    assert_eq!(
        said(&result),
        "hexagons lead, but not clearly: slots and disc-3 may be as good"
    );
}

#[test]
fn many_leaders_are_counted() {
    let names = ["a1", "a2", "a3", "a4", "a5", "z"];
    let mut result = study(
        names
            .iter()
            .map(|name| grille(name, 1, 95.0, 1.0, 0.5))
            .collect(),
    );
    result.grilles[5].flow_percent = Some(likely(70.0, 2.0));
    tie(&mut result, &names[..5]);
    assert_eq!(
        said(&result),
        "a1, a2, a3 and 2 more lead and cannot be told apart; z costs 28 to 32 % of the air"
    );
}

#[test]
fn the_last_ones_are_named_together_with_their_joint_range() {
    let mut result = three();
    tie(&mut result, &["slots", "disc-3"]);
    assert_eq!(
        said(&result),
        "hexagons lead and cost 3 to 5 % of the air; slots and disc-3 cost 7 to 17 % of the air"
    );
}

#[test]
fn only_one_grille() {
    let result = study(vec![grille("hexagons", 1, 96.12, 0.3, 0.5)]);
    assert_eq!(said(&result), "hexagons cost 3.6 to 4.2 % of the air");
}

#[test]
fn a_given_flow_is_answered_in_pascals() {
    assert_eq!(
        said(&given_flow()),
        "wide triangles and hexagons lead and cannot be told apart; fine triangles need 3.9 to 4.3 Pa at 80 m³/h"
    );
    let mut result = given_flow();
    result.grilles.truncate(1);
    result.grilles[0].name = "disc-1".to_owned();
    assert_eq!(said(&result), "disc-1 needs 1.0 to 1.4 Pa at 80 m³/h");
}

#[test]
fn a_cost_that_may_be_nothing_is_said_so() {
    let with = |low: f64, high: f64| {
        let mut result = study(vec![grille("disc-1", 1, 99.0, 1.0, 0.1)]);
        result.grilles[0].flow_percent = Some(Likely {
            value: f64::midpoint(low, high),
            low,
            high,
        });
        said(&result)
    };
    assert_eq!(with(97.0, 100.4), "disc-1 costs at most 3 % of the air");
    assert_eq!(with(97.0, 99.9), "disc-1 costs at most 3 % of the air");
    assert_eq!(with(99.98, 102.0), "disc-1 costs less than 1 % of the air");
    assert_eq!(with(95.0, 95.0), "disc-1 costs about 5.00 % of the air");
}

#[test]
fn nothing_valid() {
    assert_eq!(
        said(&study(vec![failed("a")])),
        "the grille got no valid number"
    );
    assert_eq!(
        said(&study(vec![failed("a"), failed("b")])),
        "neither of the two grilles got a valid number"
    );
    assert_eq!(
        said(&study(vec![failed("a"), failed("b"), failed("c")])),
        "none of the 3 grilles got a valid number"
    );
    assert_eq!(said(&study(Vec::new())), "there is no grille to rank");
}

#[test]
fn invalid_ones_do_not_count_as_last() {
    let mut result = three();
    result.grilles.push(failed("mesh"));
    assert_eq!(said(&result), said(&three()));
    assert_eq!(reservation(&result), "No valid number for mesh.");
    assert_eq!(reservation(&study(vec![failed("mesh")])), "");
}

#[test]
fn turned_grilles_are_named_as_undecided() {
    let mut result = three();
    assert_eq!(reservation(&result), "");
    let turned = warning("turn-undecided", "run as straight", "wait");
    result.grilles[0].warnings.push(turned.clone());
    assert_eq!(
        reservation(&result),
        "hexagons were run as straight: the effect of the turn is undecided."
    );
    result.grilles[2].warnings.push(turned);
    assert_eq!(
        reservation(&result),
        "hexagons and disc-3 were run as straight: the effect of the turn is undecided."
    );
}

#[test]
fn a_name_of_200_letters_does_not_fill_the_sentence() {
    let result = study(vec![grille(&"x".repeat(200), 1, 96.0, 1.0, 0.5)]);
    assert_eq!(
        said(&result),
        format!("{}… costs 3 to 5 % of the air", "x".repeat(39))
    );
}
