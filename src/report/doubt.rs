//! Which doubt weighs most.

use crate::likely::Contribution;

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
        "simplified view" if has_glances => {
            "the qualities standard and overnight solve holes as they are, in three dimensions"
        }
        "simplified view" => {
            "designs of one kind compare better than their ranges say; a print on the bench settles the rest"
        }
        "grid" | "air speed limit of the solver" => "a higher quality setting makes it smaller",
        "fluctuation in time" => "a longer run (a higher quality setting) makes it smaller",
        "fan curve" => {
            "more points of the fan's curve; in per cent of the bare fan much of it cancels"
        }
        "turned holes run as straight" => {
            "the qualities standard and overnight solve holes that turn"
        }
        "swirl that a flat view does not see" => {
            "the qualities standard and overnight solve holes with the swirl"
        }
        "K over air speed from a flat view" => {
            "small where the fan settles near the air speed that was solved in three dimensions"
        }
        "the fan's swirl" => "a measured swirl_deg, or the fan's speed and curve",
        "how the air spreads behind the fan" => {
            "an exit table from a traverse; it moves all grilles alike, and much of it cancels between them"
        }
        "suction of the turning core" | "K over the swirl angle" => {
            "smaller where the grilles are solved at their own swirl (standard, overnight)"
        }
        _ => "",
    }
}
