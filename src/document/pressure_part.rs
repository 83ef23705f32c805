//! What each thing in the air's way takes of the fan's pressure.

use maud::{Markup, html};

use crate::document::words::listed;
use crate::report::harmless;
use crate::result::AirPathOfGrille;

/// A row of parts in their proportions, and the same in words.
pub(super) fn shares(path: &AirPathOfGrille) -> Markup {
    let sum: f64 = path.shares.iter().map(|s| s.pressure_pa.max(0.0)).sum();
    let percent = |pressure: f64| 100.0 * pressure.max(0.0) / sum.max(f64::MIN_POSITIVE);
    let words: Vec<String> = path
        .shares
        .iter()
        .map(|share| {
            format!(
                "{} {:.2}\u{a0}Pa ({:.0}\u{a0}%)",
                harmless(&share.what),
                share.pressure_pa,
                percent(share.pressure_pa)
            )
        })
        .collect();
    let mut from = 0.0;
    let parts: Vec<(f64, f64)> = path
        .shares
        .iter()
        .map(|share| {
            let part = (from, percent(share.pressure_pa));
            from += part.1;
            part
        })
        .collect();
    let inks = ["part-first", "part-second", "part-third"];
    html! {
        svg.parts viewBox="0 0 100 4" preserveAspectRatio="none" role="img" aria-label={ "Shares of the pressure: " (words.join("; ")) } {
            @for (index, (from, width)) in parts.iter().enumerate() {
                rect class=(inks[index.min(2)]) x=(format!("{from:.2}")) y="0" width=(format!("{width:.2}")) height="4" {}
            }
        }
        p {
            "Of the pressure that the fan makes there: " (listed(&words)) "."
            @if let Some(ratio) = path.speed_ratio_for_bare_flow {
                " To move what the bare fan moves it would have to turn " (format!("{ratio:.2}")) " times as fast (fan laws)."
            }
        }
    }
}
