//! Why the leader leads, from numbers that the program has; and what each turn does against its straight twin.

use crate::comparison::Relation;
use crate::report::words::{shortened, span, sure_percent};
use crate::result::{GrilleResult, StudyResult};

/// Differences of the open area below this many points explain nothing.
const TELLING_AREA: f64 = 2.0;

/// Differences of K by suction below this explain nothing.
const TELLING_SUCTION: f64 = 0.1;

/// Holes so many times as wide for their depth are worth a word.
const TELLING_WIDTH: f64 = 1.3;

/// Most reasons in the line.
const MOST_REASONS: usize = 2;

/// The line on why the first grille of the ranking leads, without the full stop; nothing where there is no other to compare with.
pub fn why(result: &StudyResult) -> Option<String> {
    let ranked: Vec<&GrilleResult> = result
        .grilles
        .iter()
        .filter(|grille| result.measure(grille).is_some())
        .collect();
    let (&leader, others) = ranked.split_first()?;
    // Against those that are behind, or all others where none is.
    let behind: Vec<&GrilleResult> = others
        .iter()
        .copied()
        .filter(|grille| grille.rank > Some(1))
        .collect();
    let others = if behind.is_empty() { others } else { &behind };
    if others.is_empty() {
        return None;
    }
    let mut reasons: Vec<String> = [
        by_open_area(leader, others),
        by_lean(result, leader),
        by_suction(leader, others),
        by_width(leader, others),
    ]
    .into_iter()
    .flatten()
    .take(MOST_REASONS)
    .collect();
    if reasons.is_empty() {
        reasons.push(format!(
            "{:.0}\u{a0}% open, holes {:.1}\u{a0}mm across and {:.1}\u{a0}mm deep",
            leader.hole_area_percent, leader.hydraulic_diameter_mm, leader.thickness_mm
        ));
    }
    reasons.extend(lost_to_a_turn(result));
    Some(reasons.join("; "))
}

/// Least and most of a number of some grilles.
fn ends(grilles: &[&GrilleResult], of: impl Fn(&GrilleResult) -> f64) -> (f64, f64) {
    let all = grilles.iter().map(|grille| of(grille));
    all.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), it| {
        (least.min(it), most.max(it))
    })
}

fn by_open_area(leader: &GrilleResult, others: &[&GrilleResult]) -> Option<String> {
    let (least, most) = ends(others, |grille| grille.hole_area_percent);
    (leader.hole_area_percent >= most + TELLING_AREA).then(|| {
        format!(
            "{:.0}\u{a0}% open against {}",
            leader.hole_area_percent,
            span(least, most, 0)
        )
    })
}

/// A lean beside its straight twin, where the swirl is known.
fn by_lean(result: &StudyResult, leader: &GrilleResult) -> Option<String> {
    let turn = leader.turn.as_ref().filter(|turn| turn.is_lean)?;
    let twin = result.grille(turn.straight_twin.as_ref()?.id)?;
    let (own, straight) = (leader.loss_coefficient?, twin.loss_coefficient?);
    let swirl = leader.swirl?;
    let [inner, _, outer] = swirl.inflow_angles_deg;
    (own.value < straight.value).then(|| {
        format!(
            "its lean suits the swirl ({} degrees): K {:.1}, straight {:.1}",
            span(inner.min(outer), inner.max(outer), 0),
            own.value,
            straight.value
        )
    })
}

fn by_suction(leader: &GrilleResult, others: &[&GrilleResult]) -> Option<String> {
    let of = |grille: &GrilleResult| {
        let swirl = grille.swirl;
        swirl.map_or(f64::NAN, |swirl| swirl.lost_suction_loss_coefficient)
    };
    let (least, most) = ends(others, of);
    let own = of(leader);
    (own <= least - TELLING_SUCTION).then(|| {
        format!(
            "it keeps the swirl's suction (costs K {own:.1}, others {})",
            span(least, most, 1)
        )
    })
}

fn by_width(leader: &GrilleResult, others: &[&GrilleResult]) -> Option<String> {
    let of = |grille: &GrilleResult| grille.hydraulic_diameter_mm / grille.thickness_mm;
    let (least, most) = ends(others, of);
    (of(leader) >= TELLING_WIDTH * most).then(|| {
        format!(
            "holes {:.1} times as wide as deep against {}",
            of(leader),
            span(least, most, 1)
        )
    })
}

/// A turn that costs open area, since turned holes cross the border sooner and are dropped.
fn lost_to_a_turn(result: &StudyResult) -> Option<String> {
    let lost = |grille: &&GrilleResult| {
        let twin = twin(result, grille)?;
        let lost = twin.hole_area_percent - grille.hole_area_percent;
        (lost >= TELLING_AREA).then_some(lost)
    };
    let grilles = result.grilles.iter().filter(|it| lost(it).is_some());
    let worst = grilles.max_by(|a, b| {
        lost(a)
            .partial_cmp(&lost(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    })?;
    let twin = twin(result, worst)?;
    Some(format!(
        "the turn of {} drops holes at the border: {:.0} to {:.0}\u{a0}% open",
        shortened(&worst.name),
        twin.hole_area_percent,
        worst.hole_area_percent
    ))
}

fn twin<'a>(result: &'a StudyResult, grille: &GrilleResult) -> Option<&'a GrilleResult> {
    result.grille(grille.turn.as_ref()?.straight_twin.as_ref()?.id)
}

/// What each turn does against its straight twin, and how much one sees through, a line each.
pub(super) fn turn_lines(result: &StudyResult) -> Vec<String> {
    let turned = result.grilles.iter().filter(|grille| grille.turn.is_some());
    turned.map(|grille| turn_line(result, grille)).collect()
}

fn turn_line(result: &StudyResult, grille: &GrilleResult) -> String {
    let name = shortened(&grille.name);
    let Some(twin) = twin(result, grille) else {
        return format!(
            "{name}: see-through {:.0}\u{a0}%; no straight twin in this study (`ventwright check` says how to add one).",
            grille.see_through_percent
        );
    };
    let effect = match (result.measure(grille), result.measure(twin)) {
        (Some(own), Some(straight)) => {
            let (difference, more, less) = if result.is_flow_given() {
                let unit = result.output_units.pressure;
                let difference = (straight.value - own.value) * unit.per_si();
                (
                    difference,
                    format!("{} less", unit.symbol()),
                    format!("{} more", unit.symbol()),
                )
            } else {
                let difference = own.value - straight.value;
                (
                    difference,
                    "points more air".to_owned(),
                    "points less air".to_owned(),
                )
            };
            let word = if difference >= 0.0 { more } else { less };
            format!(
                "{:.1} {word}{}",
                difference.abs(),
                how_sure(result, grille, twin)
            )
        }
        _ => "no number for one of the two".to_owned(),
    };
    format!(
        "{name} against {}: {effect}; open {:.0} against {:.0}\u{a0}%, see-through {:.0} against {:.0}\u{a0}%.",
        shortened(&twin.name),
        grille.hole_area_percent,
        twin.hole_area_percent,
        grille.see_through_percent,
        twin.see_through_percent
    )
}

fn how_sure(result: &StudyResult, a: &GrilleResult, b: &GrilleResult) -> String {
    let is_pair = |first: &GrilleResult, second: &GrilleResult| {
        let mut pairs = result.pairs.iter();
        pairs.find(|pair| pair.better.id == first.id && pair.other.id == second.id)
    };
    let pair = is_pair(a, b).or_else(|| is_pair(b, a));
    pair.map_or_else(String::new, |pair| match pair.relation {
        Relation::Ahead => format!(" ({} sure)", sure_percent(pair.sureness)),
        Relation::EqualInUse => " (equal in use)".to_owned(),
        Relation::TooClose => " (too close to call)".to_owned(),
    })
}
