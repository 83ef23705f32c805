//! What a hobby meter would show, beside the true flow.

use crate::report::cautions::METER_IN_BACK_FLOW;
use crate::report::page::harmless;
use crate::report::warning_texts::texts_of;
use crate::report::words::shortened;
use crate::result::{GrilleResult, MeterShown, StudyResult};

/// Most grilles that are told of.
const MOST_GRILLES: usize = 8;

/// One line for the bare fan, one for every grille, and what to make of them; nothing where no meter was given.
pub(super) fn meter_lines(result: &StudyResult) -> Vec<String> {
    let told: Vec<(&GrilleResult, &MeterShown)> = result
        .grilles
        .iter()
        .filter_map(|grille| Some((grille, grille.meter.as_ref()?)))
        .collect();
    if told.is_empty() {
        return Vec::new();
    }
    let mut lines = Vec::new();
    if let Some(bare) = &result.bare_meter {
        lines.push(format!("bare fan: {}.", reading(bare)));
    }
    let rows = told.iter().take(MOST_GRILLES);
    lines.extend(rows.map(|(grille, shown)| harmless(&line(grille, shown))));
    if told.len() > MOST_GRILLES {
        lines.push(format!(
            "{} more: see ranking.json.",
            told.len() - MOST_GRILLES
        ));
    }
    lines.extend(texts_of(result, METER_IN_BACK_FLOW));
    let air = if told.iter().any(|(_, shown)| shown.is_by_fan_view) {
        " The air there is that of the fan view, a trend."
    } else {
        ""
    };
    lines.push(format!(
        "An estimate by common practice, no source: a free wheel turns faster in air that turns with it. A grille that straightens the air \
         measures better than it is by a wheel that turns against the fan, worse by one that turns with it; rank by the true flow.{air}"
    ));
    lines
}

fn line(grille: &GrilleResult, shown: &MeterShown) -> String {
    let beside = match (shown.reading_percent_of_bare_fan, &grille.flow_percent) {
        (Some([low, high]), Some(flow)) => format!(
            "; {}\u{a0}% of the bare fan's reading, true flow {:.0}\u{a0}%",
            span(low, high, 0),
            flow.value
        ),
        _ => String::new(),
    };
    format!("{}: {}{beside}.", shortened(&grille.name), reading(shown))
}

/// `shows 1.90 to 2.60 m/s where the air moves at 2.30`
fn reading(shown: &MeterShown) -> String {
    let [low, high] = shown.reading_m_per_s;
    format!(
        "shows {}\u{a0}m/s where the air moves at {:.2}",
        span(low, high, 2),
        shown.air_speed_m_per_s
    )
}

fn span(low: f64, high: f64, places: usize) -> String {
    let (low, high) = (format!("{low:.places$}"), format!("{high:.places$}"));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}
