//! The answer first: what to print, what it gives, what that is ahead of; and why.

use crate::comparison::Relation;
use crate::report::Likely;
use crate::report::fingers::finger_words;
use crate::report::words::{is_plural, joined, names, shortened, span, sure_percent};
use crate::result::{GrilleResult, PairComparison, StudyResult};

/// Differences between grilles in front that may be larger than this, in points of flow, are no advice to take either.
const TOO_WIDE_POINTS: f64 = 12.0;

/// The same where a flow is given, as a part of the pressure drop.
const TOO_WIDE_PART: f64 = 0.3;

/// The verdict on a study, at most 35 words besides the grilles' names, without the full stop.
///
/// "In front" are the grilles that are behind nobody.
pub fn verdict(result: &StudyResult) -> String {
    let ranked = ranked(result);
    let Some(best) = ranked.first() else {
        return match result.grilles.len() {
            0 => "there is no grille to rank".to_owned(),
            1 => "the grille got no valid number".to_owned(),
            2 => "neither of the two grilles got a valid number".to_owned(),
            count => format!("none of the {count} grilles got a valid number"),
        };
    };
    let (front, behind): (Vec<&GrilleResult>, Vec<&GrilleResult>) =
        ranked.iter().partition(|grille| grille.rank == Some(1));
    let fingers = finger_words(result, &front);
    let said = if ranked.len() == 1 {
        format!("{} {}", shortened(&best.name), moves(result, &ranked))
    } else if is_too_wide(result) {
        let who = if behind.is_empty() {
            format!("the {} grilles", ranked.len())
        } else {
            names(&front)
        };
        let followers = if behind.is_empty() {
            String::new()
        } else {
            format!("; {}", followers(result, &front, &behind))
        };
        return format!(
            "too uncertain to choose yet: {who} {}{followers}",
            lie_between(result, &front)
        );
    } else if behind.is_empty() {
        let reason = if all_equal(result) {
            "they are equal in use"
        } else {
            "too close to call"
        };
        format!(
            "print whichever of the {} you like best, {reason}: {}",
            ranked.len(),
            gives(result, &front)
        )
    } else {
        let lead = if fingers.is_unsafe {
            format!("best for air: {}", joined(&front, "or"))
        } else {
            format!("print {}", joined(&front, "or"))
        };
        let followers = followers(result, &front, &behind);
        format!("{lead}: {}; {followers}", gives(result, &front))
    };
    match fingers.text {
        Some(text) => format!("{said}; {text}"),
        None => said,
    }
}

/// Whether the answer is too uncertain to act on: two of the grilles in front are too close to call, and the wrong one might cost a lot.
pub fn is_too_wide(result: &StudyResult) -> bool {
    let front: Vec<&GrilleResult> = ranked(result)
        .into_iter()
        .filter(|grille| grille.rank == Some(1))
        .collect();
    let in_front = |id: usize| front.iter().find(|grille| grille.id == id);
    result.pairs.iter().any(|pair| {
        let (Some(better), Some(_)) = (in_front(pair.better.id), in_front(pair.other.id)) else {
            return false;
        };
        let limit = match (result.given_flow_m3_per_h, result.measure(better)) {
            (Some(_), Some(drop)) => TOO_WIDE_PART * drop.value,
            _ => TOO_WIDE_POINTS,
        };
        let Likely { low, high, .. } = pair.difference;
        pair.relation == Relation::TooClose && high.max(-low) > limit
    })
}

/// What the verdict must not be read without: turned grilles that were run as straight, grilles solved less deeply than asked, and grilles without a number. Whole sentences, or nothing.
pub fn reservation(result: &StudyResult) -> String {
    let mut sentences = Vec::new();
    let of = |is_one: &dyn Fn(&&GrilleResult) -> bool| -> Vec<&GrilleResult> {
        result.grilles.iter().filter(is_one).collect()
    };
    let turned = of(&|grille| grille.is_turn_undecided);
    if !turned.is_empty() {
        let is_one = turned.len() == 1 && !is_plural(&turned[0].name);
        sentences.push(format!(
            "{} {} solved as if straight: what the turn does is undecided.",
            names(&turned),
            if is_one { "was" } else { "were" }
        ));
    }
    let shallow = of(&|grille| {
        result.this_run.budget.is_none()
            && grille.rank.is_some()
            && grille.quality != result.quality
    });
    if !shallow.is_empty() {
        let is_one = shallow.len() == 1 && !is_plural(&shallow[0].name);
        sentences.push(format!(
            "{} {} at quality {} only, because deeper runs are missing.",
            names(&shallow),
            if is_one { "stands" } else { "stand" },
            shallow[0].quality
        ));
    }
    let missing = of(&|grille| result.measure(grille).is_none());
    if !missing.is_empty() && missing.len() < result.grilles.len() {
        sentences.push(format!("No valid number for {}.", names(&missing)));
    }
    sentences.join(" ")
}

fn ranked(result: &StudyResult) -> Vec<&GrilleResult> {
    let grilles = result.grilles.iter();
    grilles.filter(|g| result.measure(g).is_some()).collect()
}

fn all_equal(result: &StudyResult) -> bool {
    let mut pairs = result.pairs.iter();
    !result.pairs.is_empty() && pairs.all(|pair| pair.relation == Relation::EqualInUse)
}

/// The likely ranges of some grilles joined.
fn range(result: &StudyResult, grilles: &[&GrilleResult]) -> Likely {
    let all = grilles.iter().filter_map(|grille| result.measure(grille));
    let least = |of: fn(&Likely) -> f64| all.clone().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Likely) -> f64| all.clone().map(of).fold(f64::NEG_INFINITY, f64::max);
    Likely {
        value: 0.5 * (least(|it| it.value) + most(|it| it.value)),
        low: least(|it| it.low),
        high: most(|it| it.high),
    }
}

/// "moves about 82 % of the bare fan's air (likely 78 to 86)", "needs about 2.1 Pa at 80 m³/h (likely 1.9 to 2.3)".
fn moves(result: &StudyResult, grilles: &[&GrilleResult]) -> String {
    let is_plural = grilles.len() > 1 || is_plural(&grilles[0].name);
    let verb = match (result.is_flow_given(), is_plural) {
        (true, true) => "need",
        (true, false) => "needs",
        (false, true) => "move",
        (false, false) => "moves",
    };
    format!("{verb} {}", gives(result, grilles))
}

/// "about 82 % of the bare fan's air (likely 78 to 86)".
fn gives(result: &StudyResult, grilles: &[&GrilleResult]) -> String {
    let all = grilles.iter().filter_map(|grille| result.measure(grille));
    let least = all.clone().map(|it| it.value).fold(f64::INFINITY, f64::min);
    let most = all.map(|it| it.value).fold(f64::NEG_INFINITY, f64::max);
    let Likely { low, high, .. } = range(result, grilles);
    match result.given_flow_m3_per_h {
        None => format!(
            "about {}\u{a0}% of the bare fan's air (likely {})",
            span(least, most, 0),
            span(low, high, 0)
        ),
        Some(flow) => {
            let unit = result.output_units.pressure;
            let of = |pressure: f64| pressure * unit.per_si();
            let places = places(of(high) - of(low));
            format!(
                "about {}\u{a0}{} at {} (likely {})",
                span(of(least), of(most), places),
                unit.symbol(),
                told_flow(result, flow),
                span(of(low), of(high), places)
            )
        }
    }
}

/// "lie between 55 and 92 % of the bare fan's air".
fn lie_between(result: &StudyResult, grilles: &[&GrilleResult]) -> String {
    let Likely { low, high, .. } = range(result, grilles);
    if result.is_flow_given() {
        let unit = result.output_units.pressure;
        let [low, high] = [low, high].map(|pressure| pressure * unit.per_si());
        let places = places(high - low);
        return format!(
            "lie between {low:.places$} and {high:.places$}\u{a0}{}",
            unit.symbol()
        );
    }
    format!("lie between {low:.0} and {high:.0}\u{a0}% of the bare fan's air")
}

/// Those behind: "fine triangles move 17 points less (99 % sure)", "the other 7 move 9 to 22 points less (over 99 % sure)".
fn followers(result: &StudyResult, front: &[&GrilleResult], behind: &[&GrilleResult]) -> String {
    let pairs: Vec<&PairComparison> = behind
        .iter()
        .filter_map(|grille| clearest(result, front, grille))
        .collect();
    let sureness = pairs.iter().map(|it| it.sureness).fold(1.0, f64::min);
    let less = pairs.iter().map(|it| it.difference.value);
    let (least, most) = (
        less.clone().fold(f64::INFINITY, f64::min),
        less.fold(0.0, f64::max),
    );
    let who = match behind {
        [one] => shortened(&one.name),
        [_, _] => names(behind),
        many => format!("the other {}", many.len()),
    };
    let is_plural = behind.len() > 1 || is_plural(&behind[0].name);
    let sure = sure_percent(sureness);
    if result.is_flow_given() {
        let unit = result.output_units.pressure;
        let [least, most] = [least, most].map(|pressure| pressure * unit.per_si());
        let verb = if is_plural { "need" } else { "needs" };
        let more = span(least, most, places(least));
        return format!(
            "{who} {verb} {more}\u{a0}{} more ({sure} sure)",
            unit.symbol()
        );
    }
    let verb = if is_plural { "move" } else { "moves" };
    let less = span(least, most, usize::from(least < 1.5));
    format!("{who} {verb} {less} points less ({sure} sure)")
}

/// The pair in which a grille is most surely behind one of those in front.
fn clearest<'a>(
    result: &'a StudyResult,
    front: &[&GrilleResult],
    behind: &GrilleResult,
) -> Option<&'a PairComparison> {
    let pairs = result.pairs.iter().filter(|pair| {
        pair.other.id == behind.id
            && pair.relation == Relation::Ahead
            && front.iter().any(|grille| grille.id == pair.better.id)
    });
    pairs.max_by(|a, b| {
        let by_sureness = a.sureness.total_cmp(&b.sureness);
        by_sureness.then(a.difference.value.total_cmp(&b.difference.value))
    })
}

/// A flow in m³/h in the unit of the study.
pub(super) fn told_flow(result: &StudyResult, flow_m3_per_h: f64) -> String {
    let unit = result.output_units.flow;
    let flow = unit.of_m3_per_h(flow_m3_per_h);
    let places = usize::from(flow < 19.95);
    format!("{flow:.places$}\u{a0}{}", unit.symbol())
}

/// Decimals at which a difference shows.
fn places(difference: f64) -> usize {
    match difference.abs() {
        size if size >= 10.0 => 0,
        size if size >= 0.5 => 1,
        _ => 2,
    }
}
