//! How much the passing air warms.

use crate::report::table::round;
use crate::report::words::span;
use crate::result::StudyResult;

/// The line, when a heat load was given.
pub(super) fn warming_line(result: &StudyResult) -> Option<String> {
    let heat = result.heat_load_w?;
    let rises: Vec<f64> = result
        .grilles
        .iter()
        .filter(|g| g.rank.is_some())
        .filter_map(|g| g.temperature_rise_k)
        .collect();
    let mut parts = Vec::new();
    if let Some(bare) = result.bare_temperature_rise_k {
        parts.push(format!("{bare:.1}\u{a0}°C with the bare fan"));
    }
    if !rises.is_empty() {
        let low = rises.iter().copied().fold(f64::INFINITY, f64::min);
        let high = rises.iter().copied().fold(0.0, f64::max);
        parts.push(format!("{}\u{a0}°C with these grilles", span(low, high, 1)));
    }
    (!parts.is_empty()).then(|| {
        format!(
            "{}\u{a0}W warm the passing air by {} on average; parts get hotter than the air.",
            round(heat),
            parts.join(", ")
        )
    })
}
