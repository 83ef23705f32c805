//! What stands below the table of a bench: how sure each difference is, scatter, drift, and the rules with their sources.

use crate::comparison::Relation;
use crate::report::bench_verdict::sure;
use crate::report::page::harmless;
use crate::rig::compared::{Compared, ComparedPair, Findings};

/// Most pairs of a kind that the screen shows.
const MOST_PAIRS: usize = 3;

/// By which rule designs are compared, with its source.
pub(super) const COMPARISON_RULE: &str = "equal in use: less than one point apart with 95 % probability; else behind: 95 % sure by the studentized range of all designs and their pooled scatter (Tukey 1953, Kramer 1956; NIST/SEMATECH e-Handbook 7.4.7.1)";

/// By which rule readings are called outliers, with its source.
pub(super) const OUTLIER_RULE: &str = "externally studentized residual beyond chance (5 % for all readings together, Bonferroni), one after the other (Cook and Weisberg 1982; Rosner 1983; NIST/SEMATECH e-Handbook 1.3.5.17.3)";

/// The notes.
pub(super) fn notes(compared: &Compared, hash: &str) -> Vec<String> {
    let findings = &compared.findings;
    let short_hash: String = hash.chars().take(12).collect();
    let mut notes = vec![format!(
        "{}: {} readings of {} against the prediction sealed on {} (seal {short_hash}, intact).",
        harmless(&compared.study),
        compared.readings.len(),
        compared.quantity,
        compared.sealed_at
    )];
    if !findings.groups.is_empty() {
        notes.push("Designs that share a letter: none is behind another.".to_owned());
    }
    if let (of @ 1.., inside) = findings.readings_held() {
        let speed = compared.quantity == "air speed";
        let what = if speed
            && findings
                .designs
                .iter()
                .any(|it| it.predicted_meter_m_per_s.is_some())
        {
            ", that of the meter in the swirling air"
        } else {
            ""
        };
        notes.push(format!(
            "In range: {inside} of {of} readings lie in the predicted range{what}."
        ));
    }
    notes.extend(pair_notes(findings));
    if let Some(scatter) = findings.scatter {
        let advice = if compared.outliers.is_empty() {
            format!(
                "; next time, use ventwright plan --scatter-percent {:.1}",
                scatter.percent
            )
        } else {
            ", outliers included".to_owned()
        };
        notes.push(format!(
            "Scatter: {:.1} % of the reading from one remount to the next, all designs together ({} degrees of freedom){advice}.",
            scatter.percent, scatter.degrees_of_freedom
        ));
    }
    notes.extend(drift_note(findings));
    notes.extend(condition_notes(compared));
    if !compared.outliers.is_empty() {
        notes.push(format!("Outliers: {OUTLIER_RULE}."));
    }
    if !findings.pairs.is_empty() {
        notes.push(format!("Rule: {COMPARISON_RULE}."));
    }
    if !compared.unread.is_empty() {
        notes.push(format!("Not read: {}.", compared.unread.join(", ")));
    }
    match compared.empty_count {
        0 => {}
        1 => notes.push("One line is still empty.".to_owned()),
        count => notes.push(format!("{count} lines are still empty.")),
    }
    notes
}

fn drift_note(findings: &Findings) -> Option<String> {
    let Some(drift) = &findings.drift else {
        let is_open = findings.bare_fan.is_some();
        return is_open.then(|| {
            "Drift: cannot be seen with fewer than three readings of the bare fan.".to_owned()
        });
    };
    let change = drift.change_percent;
    let what = if drift.is_taken_out {
        "more than chance, so it was corrected for"
    } else {
        "no more than chance, so nothing was corrected"
    };
    Some(format!(
        "Drift: the bare fan changed by {:+.1} % ({:+.1} to {:+.1} %) from first to last, {what}.",
        change.value, change.low, change.high
    ))
}

fn condition_notes(compared: &Compared) -> Vec<String> {
    let conditions = &compared.conditions;
    let mut notes = Vec::new();
    if let (Some(common), Some([least, most])) = (conditions.common_speed_rpm, conditions.speed_rpm)
    {
        notes.push(if least < most {
            format!("Fan speed: {least:.0} to {most:.0} rpm; every reading was scaled to {common:.0} rpm, flow in proportion to speed (fan law).")
        } else {
            format!("Fan speed: {common:.0} rpm throughout.")
        });
    }
    if let (Some([low, high]), Some(density @ 0.05..)) =
        (conditions.temperature_c, conditions.density_change_percent)
    {
        notes.push(format!(
            "Room: {low:.1} to {high:.1} °C, which changes the density of the air by {density:.1} %; the volume that a fan moves at a given speed does not depend on it, so nothing was corrected."
        ));
    }
    notes
}

fn pair_notes(findings: &Findings) -> Vec<String> {
    let told = |pair: &ComparedPair| {
        let points = pair.difference_points;
        let sure = match pair.relation {
            Relation::EqualInUse => String::new(),
            _ => format!(", {}", sure(pair.sureness)),
        };
        format!(
            "{} over {} by {:.1} points ({:+.1} to {:+.1}{sure})",
            pair.better, pair.other, points.value, points.low, points.high
        )
    };
    let mut notes = Vec::new();
    for (heading, relation) in [
        ("Told apart", Relation::Ahead),
        ("Equal in use", Relation::EqualInUse),
        ("Too close to call", Relation::TooClose),
    ] {
        let pairs: Vec<&ComparedPair> = findings
            .pairs
            .iter()
            .filter(|pair| pair.relation == relation)
            .collect();
        if pairs.is_empty() {
            continue;
        }
        let shown: Vec<String> = pairs
            .iter()
            .take(MOST_PAIRS)
            .map(|pair| told(pair))
            .collect();
        let more = match pairs.len() - shown.len() {
            0 => String::new(),
            more => format!("; and {more} more, see --form json"),
        };
        notes.push(format!("{heading}: {}{more}.", shown.join("; ")));
    }
    let against = findings
        .pairs
        .iter()
        .filter(|pair| pair.is_as_predicted == Some(false));
    notes.extend(against.map(|pair| {
        format!(
            "Against the prediction: {} moves more than {}.",
            pair.better, pair.other
        )
    }));
    notes
}
