//! The answer in one sentence.

use unicode_width::UnicodeWidthStr;

use crate::report::cautions::TURN_UNDECIDED;
use crate::report::{GrilleResult, Likely, StudyResult};

/// Most names in one list; the rest is counted.
const MOST_NAMES: usize = 3;

/// Most columns of a name in a sentence.
const LONGEST_NAME: usize = 40;

/// The answer of a study in one sentence, without the full stop: who leads, who cannot be told apart, what the last ones cost.
///
/// "Lead" is the best grille together with every one tied with it; "last" is the worst with every one tied with it that does not lead.
/// The costs are likely ranges (95 %), joined over the grilles named.
pub fn answer(result: &StudyResult) -> String {
    let ranked: Vec<&GrilleResult> = result
        .grilles
        .iter()
        .filter(|g| measure(result, g).is_some())
        .collect();
    let (Some(best), Some(worst)) = (ranked.first(), ranked.last()) else {
        return match result.grilles.len() {
            0 => "there is no grille to rank".to_owned(),
            1 => "the grille got no valid number".to_owned(),
            2 => "neither of the two grilles got a valid number".to_owned(),
            count => format!("none of the {count} grilles got a valid number"),
        };
    };
    if ranked.len() == 1 {
        let verb = verb(result, best);
        return format!("{} {verb} {}", short_name(best), cost(result, &ranked));
    }
    let (leaders, others): (Vec<&GrilleResult>, Vec<&GrilleResult>) = ranked
        .iter()
        .copied()
        .partition(|g| g.name == best.name || are_tied(g, best));
    let are_alike = leaders
        .iter()
        .all(|a| leaders.iter().all(|b| a.name == b.name || are_tied(a, b)));
    if others.is_empty() && are_alike {
        return all_alike(result, &leaders);
    }
    let front = front(result, &leaders, are_alike);
    if others.is_empty() {
        return front;
    }
    let last: Vec<&GrilleResult> = others
        .into_iter()
        .filter(|g| g.name == worst.name || are_tied(g, worst))
        .collect();
    let verb = if last.len() > 1 {
        plural_verb(result)
    } else {
        verb(result, worst)
    };
    format!("{front}; {} {verb} {}", names(&last), cost(result, &last))
}

/// What the answer must not be read without: turned grilles that were run as straight, and grilles without a number. Whole sentences, or nothing.
pub fn reservation(result: &StudyResult) -> String {
    let mut sentences = Vec::new();
    let turned: Vec<&GrilleResult> = result.grilles.iter().filter(|g| is_undecided(g)).collect();
    match turned.as_slice() {
        [] => {}
        [one] => {
            let was = if is_plural(&one.name) { "were" } else { "was" };
            sentences.push(format!(
                "{} {was} run as straight: the effect of the turn is undecided.",
                short_name(one)
            ));
        }
        many => sentences.push(format!(
            "{} were run as straight: the effect of the turn is undecided.",
            names(many)
        )),
    }
    let missing: Vec<&GrilleResult> = result
        .grilles
        .iter()
        .filter(|g| measure(result, g).is_none())
        .collect();
    if !missing.is_empty() && missing.len() < result.grilles.len() {
        sentences.push(format!("No valid number for {}.", names(&missing)));
    }
    sentences.join(" ")
}

/// Whether a grille has turned holes that were run as straight ones.
pub(super) fn is_undecided(grille: &GrilleResult) -> bool {
    grille
        .warnings
        .iter()
        .any(|warning| warning.code == TURN_UNDECIDED)
}

/// What a grille is ranked by, when it has a valid number: per cent of the bare fan's flow, or the pressure drop at a given flow.
pub(super) fn measure<'a>(result: &StudyResult, grille: &'a GrilleResult) -> Option<&'a Likely> {
    grille.rank?;
    if result.given_flow_m3_per_h.is_some() {
        grille.pressure_drop_pa.as_ref()
    } else {
        grille.flow_percent.as_ref()
    }
}

fn are_tied(a: &GrilleResult, b: &GrilleResult) -> bool {
    a.tied_with.contains(&b.name) || b.tied_with.contains(&a.name)
}

fn all_alike(result: &StudyResult, all: &[&GrilleResult]) -> String {
    let (verb, cost) = (plural_verb(result), cost(result, all));
    if all.len() == 2 {
        format!(
            "{} cannot be told apart: choose by looks; both {verb} {cost}",
            names(all)
        )
    } else {
        format!(
            "none of the {} grilles can be told apart: choose by looks; all {verb} {cost}",
            all.len()
        )
    }
}

fn front(result: &StudyResult, leaders: &[&GrilleResult], are_alike: bool) -> String {
    let (best, rest) = (leaders[0], &leaders[1..]);
    let lead = if is_plural(&best.name) {
        "lead"
    } else {
        "leads"
    };
    if rest.is_empty() {
        format!(
            "{} {lead} and {} {}",
            short_name(best),
            verb(result, best),
            cost(result, leaders)
        )
    } else if are_alike {
        format!("{} lead and cannot be told apart", names(leaders))
    } else {
        format!(
            "{} {lead}, but not clearly: {} may be as good",
            short_name(best),
            names(rest)
        )
    }
}

/// "a", "a and b", "a, b and c", "a, b, c and d", "a, b, c and 4 more".
pub(super) fn names(grilles: &[&GrilleResult]) -> String {
    // Naming one takes no more room than "1 more".
    let count = if grilles.len() == MOST_NAMES + 1 {
        grilles.len()
    } else {
        MOST_NAMES.min(grilles.len())
    };
    let mut parts: Vec<String> = grilles[..count].iter().map(|g| short_name(g)).collect();
    if grilles.len() > count {
        parts.push(format!("{} more", grilles.len() - count));
    }
    match parts.pop() {
        Some(last) if !parts.is_empty() => format!("{} and {last}", parts.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// The name, cut when it would fill the sentence.
fn short_name(grille: &GrilleResult) -> String {
    shortened(&grille.name)
}

/// A name, cut to a length that leaves room for the sentence around it.
pub(super) fn shortened(name: &str) -> String {
    if name.width() <= LONGEST_NAME {
        return name.to_owned();
    }
    let mut kept = name.to_owned();
    while kept.width() >= LONGEST_NAME {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

/// Whether a name takes a verb in the plural ("fine triangles cost"); any other is read as the name of one thing ("disc-3 costs").
fn is_plural(name: &str) -> bool {
    name.ends_with('s') && !name.ends_with("ss") && name.is_ascii()
}

fn verb(result: &StudyResult, grille: &GrilleResult) -> &'static str {
    match (
        result.given_flow_m3_per_h.is_some(),
        is_plural(&grille.name),
    ) {
        (false, false) => "costs",
        (true, false) => "needs",
        (_, true) => plural_verb(result),
    }
}

fn plural_verb(result: &StudyResult) -> &'static str {
    if result.given_flow_m3_per_h.is_some() {
        "need"
    } else {
        "cost"
    }
}

/// "8 to 13 % of the air", "at most 3 % of the air", "2.1 to 2.6 Pa at 80 m³/h": the likely ranges of these grilles joined.
fn cost(result: &StudyResult, grilles: &[&GrilleResult]) -> String {
    let ranges = grilles.iter().filter_map(|g| measure(result, g));
    let low = ranges
        .clone()
        .map(|range| range.low)
        .fold(f64::INFINITY, f64::min);
    let high = ranges
        .map(|range| range.high)
        .fold(f64::NEG_INFINITY, f64::max);
    match result.given_flow_m3_per_h {
        Some(flow) => format!(
            "{} at {}\u{a0}m³/h",
            span(low, high, "Pa"),
            decimals(flow, usize::from(flow < 10.0))
        ),
        None => format!("{} of the air", span(100.0 - high, 100.0 - low, "%")),
    }
}

/// A range with its unit: whole numbers, or one or two decimals when it is narrow.
fn span(low: f64, high: f64, unit: &str) -> String {
    let places = match high - low {
        width if width >= 1.5 => 0,
        width if width >= 0.15 => 1,
        _ => 2,
    };
    let (low_text, high_text) = (decimals(low, places), decimals(high, places));
    let is_nothing =
        |text: &str| text.starts_with('-') || text.bytes().all(|b| b == b'0' || b == b'.');
    if is_nothing(&high_text) {
        let least = decimals(10_f64.powi(-i32::try_from(places).unwrap_or(0)), places);
        format!("less than {least}\u{a0}{unit}")
    } else if is_nothing(&low_text) {
        format!("at most {high_text}\u{a0}{unit}")
    } else if low_text == high_text {
        format!("about {low_text}\u{a0}{unit}")
    } else {
        format!("{low_text} to {high_text}\u{a0}{unit}")
    }
}

fn decimals(value: f64, places: usize) -> String {
    format!("{value:.places$}")
}
