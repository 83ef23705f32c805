//! Which doubt weighs most.

use crate::likely::Contribution;
use crate::result::{Quality, StudyResult};

/// A source of doubt over all grilles with a number.
#[derive(Debug, Clone, PartialEq)]
struct Doubt {
    /// The source, in plain words.
    source: String,
    /// Least half-width among the grilles, per cent.
    least: f64,
    /// Greatest half-width among the grilles, per cent.
    most: f64,
    /// Mean half-width over the grilles with a number, per cent.
    mean: f64,
}

/// The doubt that weighs most and what would make it smaller, in a few sentences; `None` where nothing is doubtful.
///
/// `ranked` has the parts of the interval of every grille with a number, `has_glances` is whether some grille was solved at the lowest quality only,
/// `of` names what the parts are per cent of: "flow" or "pressure drop".
pub fn biggest_doubt(ranked: &[Vec<Contribution>], has_glances: bool, of: &str) -> Option<String> {
    let doubts = doubts(ranked);
    let first = doubts.first()?;
    let (least, most) = (format!("{:.1}", first.least), format!("{:.1}", first.most));
    let width = if least == most {
        format!("±{most}")
    } else {
        format!("±{least} to ±{most}")
    };
    let mut text = format!("{}, {width}\u{a0}% of the {of}", first.source);
    if let Some(second) = doubts.get(1) {
        let mean = format!("{:.1}", second.mean);
        text = format!("{text}; next {}, ±{mean}\u{a0}% on average", second.source);
    }
    text += ".";
    let remedy = remedy(&first.source, has_glances);
    if !remedy.is_empty() {
        text = format!("{text} Remedy: {remedy}.");
    }
    Some(text)
}

/// The doubt that weighs most with its remedy, short enough for a line or two; `None` where nothing is doubtful.
pub(super) fn doubt_in_short(result: &StudyResult) -> Option<String> {
    let ranked = result.grilles.iter().filter(|grille| grille.rank.is_some());
    let parts: Vec<_> = ranked.map(|grille| grille.contributions.clone()).collect();
    let has_glances = result
        .grilles
        .iter()
        .any(|grille| grille.quality == Quality::Quick);
    let doubts = doubts(&parts);
    let first = doubts.first()?;
    let of = if result.is_flow_given() {
        "pressure drop"
    } else {
        "flow"
    };
    let remedy = match remedy(&first.source, has_glances) {
        "" => String::new(),
        remedy => format!("; {remedy}"),
    };
    Some(format!(
        "{}, ±{:.0}\u{a0}% of {of}{remedy}",
        first.source,
        first.most.max(1.0)
    ))
}

/// The sources of doubt over all grilles with a number, the weightiest (by mean half-width) first.
fn doubts(ranked: &[Vec<Contribution>]) -> Vec<Doubt> {
    let mut doubts: Vec<Doubt> = Vec::new();
    for part in ranked.iter().flatten() {
        let width = part.half_width_percent;
        let share = width / ranked.len() as f64;
        if let Some(doubt) = doubts.iter_mut().find(|doubt| doubt.source == part.source) {
            doubt.least = doubt.least.min(width);
            doubt.most = doubt.most.max(width);
            doubt.mean += share;
        } else {
            doubts.push(Doubt {
                source: part.source.clone(),
                least: width,
                most: width,
                mean: share,
            });
        }
    }
    doubts.sort_by(|a, b| b.mean.total_cmp(&a.mean));
    doubts
}

/// What would make a doubt smaller, for the sources that the ranking names; `has_glances` if some grille was solved at the lowest quality only.
fn remedy(source: &str, has_glances: bool) -> &'static str {
    match source {
        "simplified view" if has_glances => "--quality standard solves in 3D",
        "simplified view" => "a print on the bench settles it",
        "grid" | "air speed limit of the solver" => "a higher quality narrows it",
        "fluctuation in time" => "a longer run (a higher quality) narrows it",
        "fan curve" => "give more points of the fan's curve",
        "turned holes run as straight" => "--quality standard solves holes that turn",
        "swirl that a flat view does not see" => "--quality standard solves holes in the swirl",
        "K over air speed from a flat view" => "small near the air speed that was solved in 3D",
        "the fan's swirl" => "measure it (swirl_deg)",
        "how the air spreads behind the fan" => "a traverse of the air (exit) narrows it",
        "suction of the turning core" | "K over the swirl angle" => {
            "--quality standard solves each grille at its own swirl"
        }
        _ => "",
    }
}
