//! What the fan view shows, in a few lines.

use crate::report::cautions::FAN_VIEW_UNSTEADY;
use crate::report::page::harmless;
use crate::report::warning_texts::texts_of;
use crate::report::words::shortened;
use crate::result::{FanViewResult, FanViewSeen, StudyResult};

/// Most grilles that are told of.
const MOST_GRILLES: usize = 6;

/// A heading, a line for the bare fan and for every grille, and what they are worth; nothing without a fan view.
pub(super) fn fan_view_lines(result: &StudyResult) -> Vec<String> {
    let bare = result.bare_fan_view.as_ref().and_then(FanViewResult::seen);
    let bare = bare.map(|seen| (String::from("bare fan"), seen));
    let grilles = result.grilles.iter().filter_map(|grille| {
        let seen = grille.fan_view.as_ref()?.seen()?;
        Some((shortened(&grille.name), seen))
    });
    let told: Vec<(String, &FanViewSeen)> = bare.into_iter().chain(grilles).collect();
    let Some((_, first)) = told.first() else {
        return Vec::new();
    };
    let places: Vec<String> = first
        .jet
        .iter()
        .map(|jet| whole(jet.distance_diameters))
        .collect();
    let mut lines = vec![format!(
        "trends from a view of the whole fan face: how far the jet spreads up to {} bore diameters, how far the calm core behind the hub reaches, and what still turns {:.0}\u{a0}mm behind the grille (swirl number just ahead of it and just behind):",
        listed(&places),
        first.bench_distance_mm
    )];
    let most = MOST_GRILLES + 1;
    lines.extend(told.iter().take(most).map(|(name, seen)| line(name, seen)));
    if told.len() > most {
        lines.push(format!("{} more: see ranking.json.", told.len() - most));
    }
    lines.extend(texts_of(result, FAN_VIEW_UNSTEADY));
    lines.push(
        "The view is the same all around the axis, so no vortex is stretched and broken up as in real air: compare grilles, trust no single number."
            .to_owned(),
    );
    lines
}

/// `hexagons: spreads by 12, 9 and 8 degrees, calm core 60 mm, left-over swirl 9 degrees (0.40 to 0.15).`
fn line(name: &str, seen: &FanViewSeen) -> String {
    let mut parts = Vec::new();
    if !seen.jet.is_empty() {
        let angles: Vec<String> = seen
            .jet
            .iter()
            .map(|jet| whole(jet.splay_angle_deg))
            .collect();
        parts.push(format!("spreads by {} degrees", listed(&angles)));
    }
    parts.push(match (seen.hub_wake_mm, seen.is_hub_wake_beyond_view) {
        (_, true) => "calm core beyond the view".to_owned(),
        (length, false) if length < 0.5 => "no calm core".to_owned(),
        (length, false) => format!("calm core {length:.0}\u{a0}mm"),
    });
    if let Some(angle) = seen.bench_swirl_angle_deg {
        parts.push(format!("left-over swirl {} degrees", whole(angle)));
    }
    harmless(&format!(
        "{name}: {} ({:.2} to {:.2}).",
        parts.join(", "),
        seen.swirl_number_in + 0.0,
        seen.swirl_number_out + 0.0
    ))
}

fn whole(value: f64) -> String {
    let rounded = value.round() + 0.0;
    let sign = if rounded < 0.0 { "−" } else { "" };
    format!("{sign}{:.0}", rounded.abs())
}

/// `12, 9 and 8`
fn listed(values: &[String]) -> String {
    match values {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
