//! Numbers of a finished run, or of a ranking, that contradict each other: what a checksum does not find, because somebody renewed it, or because the file is from before there were checksums.

use serde_json::Value;

use crate::likely::Likely;
use crate::report::run_files::RunRecord;
use crate::result::check::{Check, CheckKind};
use crate::result::{StudyResult, View};

/// Largest K that any run keeps: beyond it a run counts as having blown up.
const RUNAWAY: f64 = 1e5;

/// Relative difference of numbers that are the same but for rounding.
const ROUNDING: f64 = 1e-6;

/// What is wrong with a run whose number is used; `None` where nothing is. `has_checks` says whether its version keeps what it was checked for.
pub(super) fn contradiction(record: &RunRecord, has_checks: bool) -> Option<String> {
    let summary = &record.summary;
    if !summary.is_valid {
        return None;
    }
    let loss = summary.loss_coefficient;
    let is_fan_view = summary.fan_view.is_some();
    if !(loss.value > 0.0 && loss.value < RUNAWAY) {
        return Some(format!("K is {:e}", loss.value));
    }
    if !(loss.low <= loss.value && loss.value <= loss.high && loss.high.is_finite()) {
        return Some("K lies outside of its own range".to_owned());
    }
    let fan_views = [View::Fan, View::FanWithRibs, View::FanWithRings];
    if is_fan_view != fan_views.contains(&summary.view) {
        return Some(format!("it is no {}", summary.view));
    }
    let speed = if is_fan_view {
        "bore_velocity_m_per_s"
    } else {
        "face_velocity_m_per_s"
    };
    let asked = record.inputs.get(speed).and_then(Value::as_f64);
    if asked.is_none_or(|asked| !is_same(asked, summary.face_velocity_m_per_s)) {
        return Some("its air speed is not that of its inputs".to_owned());
    }
    let wanted: &[CheckKind] = if is_fan_view {
        &[CheckKind::DensityRise]
    } else {
        &CheckKind::ALL
    };
    let check = |kind: CheckKind| summary.checks.iter().find(|check| check.kind == kind);
    if has_checks && let Some(kind) = wanted.iter().find(|kind| check(**kind).is_none()) {
        return Some(format!("the check {} is missing", kind.code()));
    }
    let share = |value: f64| 100.0 * (value / loss.value).abs();
    let apart = share(loss.value - summary.loss_coefficient_by_force);
    let book_keeping = check(CheckKind::BookKeeping);
    if book_keeping.is_some_and(|check| (check.value - apart).abs() > 100.0 * ROUNDING) {
        return Some(
            "K by momentum and K by force are not as far apart as its check says".to_owned(),
        );
    }
    let rise = check(CheckKind::DensityRise);
    if rise.is_some_and(|check| !is_same(check.value, 100.0 * summary.density_rise)) {
        return Some("its density rise is not that of its check".to_owned());
    }
    let is_told = |check: &Check| {
        let doubt = check.doubt();
        doubt.is_none_or(|doubt| summary.warnings.iter().any(|it| it.code == doubt.code))
    };
    let untold = summary.checks.iter().find(|check| !is_told(check))?;
    Some(format!(
        "the check {} fails without a doubt",
        untold.kind.code()
    ))
}

/// What is wrong with a ranking; `None` where nothing is.
pub(super) fn ranking_contradiction(result: &StudyResult) -> Option<String> {
    let count = result.grilles.len();
    let better = |one: &Likely, other: &Likely| {
        if result.is_flow_given() {
            one.high < other.low
        } else {
            one.low > other.high
        }
    };
    for grille in &result.grilles {
        let Some(measure) = result.measure(grille) else {
            continue;
        };
        // What is no number is told as such elsewhere.
        if measure.low > measure.value || measure.value > measure.high {
            return Some(format!("{} lies outside of its own range", grille.name));
        }
        let place = grille.rank.unwrap_or(0);
        if !usize::try_from(place).is_ok_and(|place| (1..=count).contains(&place)) {
            return Some(format!("{} has place {place} of {count}", grille.name));
        }
        let ahead = result.grilles.iter().find(|other| {
            let measured = result.measure(other);
            measured.is_some_and(|other| better(other, measure)) && other.rank > grille.rank
        });
        if let Some(ahead) = ahead {
            return Some(format!("{} stands behind {}", ahead.name, grille.name));
        }
    }
    None
}

fn is_same(one: f64, other: f64) -> bool {
    (one - other).abs() <= ROUNDING * one.abs().max(other.abs())
}
