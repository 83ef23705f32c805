//! Lines on what the air goes through besides the grilles.

use unicode_width::UnicodeWidthStr;

use crate::report::page::{Page, harmless};
use crate::result::{AirPathResult, StudyResult};

/// Most grilles of which the screen tells the shares; the files have all.
const MOST_GRILLES: usize = 12;

/// Lines for the screen, each to be wrapped to `room` columns; none where only grille and PC case stand in the way.
pub(super) fn air_path_lines(result: &StudyResult, page: &Page, room: usize) -> Vec<String> {
    let Some(path) = &result.air_path else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    if path.fan_count > 1 {
        lines.push(format!(
            "{} equal fans side by side, each with a grille: flows are those of one fan.",
            path.fan_count
        ));
    }
    if !path.panels.is_empty() {
        lines.extend(share_rows(path, page, room));
    }
    lines.extend(case_line(path));
    lines.extend(rig_lines(path));
    if !path.panels.is_empty() {
        lines.extend(faster(path));
    }
    lines
}

/// Least and most columns of a number in the table of shares.
const NUMBER: (usize, usize) = (8, 18);

/// Most columns of a name there.
const NAME: usize = 24;

/// What each thing takes: a table whose spaces do not break, or a line for each grille where there is no room for one.
fn share_rows(path: &AirPathResult, page: &Page, room: usize) -> Vec<String> {
    let Some(first) = path.grilles.first() else {
        return Vec::new();
    };
    let longest = |widths: &mut dyn Iterator<Item = usize>| widths.max().unwrap_or(0);
    let name = longest(&mut path.grilles.iter().map(|grille| grille.name.width())).min(NAME);
    let widest = longest(&mut first.shares.iter().map(|share| share.what.width()));
    let number = (widest + 2).clamp(NUMBER.0, NUMBER.1);
    let has_room = name + number * first.shares.len() <= room;
    let row = |start: &str, numbers: &mut dyn Iterator<Item = String>| {
        let mut line = page.left(&harmless(start), name);
        for text in numbers {
            line += " ";
            line += &page.right(&harmless(&text), number - 1);
        }
        line.replace(' ', "\u{a0}")
    };
    let mut rows = vec!["Pa that each thing takes where the fan settles:".to_owned()];
    if has_room {
        let mut names = first.shares.iter().map(|share| share.what.clone());
        rows.push(row("", &mut names));
    }
    for grille in path.grilles.iter().take(MOST_GRILLES) {
        let shares = grille.shares.iter();
        if has_room {
            let mut numbers = shares.map(|share| pascals(share.pressure_pa));
            rows.push(row(&grille.name, &mut numbers));
        } else {
            let told = shares.map(|share| format!("{} {}", share.what, pascals(share.pressure_pa)));
            let told: Vec<String> = told.collect();
            rows.push(format!("{}: {}.", grille.name, told.join(", ")));
        }
    }
    rows
}

/// The sign of the pressure in a PC case with several fans: which way the air goes through its gaps.
fn case_line(path: &AirPathResult) -> Option<String> {
    if !path.has_other_fans {
        return None;
    }
    // What is told goes by the number that is shown.
    let grilles = path.grilles.iter();
    let pressures = grilles.map(|grille| tenths(grille.case_pressure_pa));
    let least = pressures.clone().reduce(f64::min)?;
    let most = pressures.reduce(f64::max)?;
    let signed = |pressure: f64| {
        let shown = tenths(pressure);
        let sign = if shown > 0.0 { "+" } else { "" };
        format!("{sign}{shown:.1}").replace('-', "−")
    };
    let bare = path.bare_case_pressure_pa.map_or_else(String::new, |bare| {
        format!(" ({}\u{a0}Pa with the bare fan)", signed(bare))
    });
    let meaning = match (least > 0.0, most < 0.0, most > least) {
        (true, ..) => "air leaves through gaps, and dust does not come in there",
        (_, true, _) => "air comes in through gaps, and dust with it",
        (.., false) => "hardly any air goes through gaps, either way",
        (.., true) => "which way air goes through gaps depends on the grille, if any does",
    };
    let range = if signed(least) == signed(most) {
        signed(least)
    } else {
        format!("{} to {}", signed(least), signed(most))
    };
    Some(format!(
        "The PC case is at {range}\u{a0}Pa against the room{bare}: {meaning}."
    ))
}

/// What the rig shows beside the PC case.
fn rig_lines(path: &AirPathResult) -> Vec<String> {
    let shown: Vec<String> = path
        .grilles
        .iter()
        .take(MOST_GRILLES)
        .filter_map(|grille| {
            let percent = grille.on_rig.as_ref()?.flow_percent?;
            Some(format!(
                "{} {:.0} ({:.0}–{:.0})",
                grille.name, percent.value, percent.low, percent.high
            ))
        })
        .collect();
    if shown.is_empty() {
        return Vec::new();
    }
    vec![format!(
        "On the rig, in per cent of the bare fan there: {}.",
        shown.join("; ")
    )]
}

/// How much faster the fan would have to turn.
fn faster(path: &AirPathResult) -> Option<String> {
    let ratios: Vec<f64> = path
        .grilles
        .iter()
        .filter_map(|grille| grille.speed_ratio_for_bare_flow)
        .collect();
    let least = ratios.iter().copied().reduce(f64::min)?;
    let most = ratios.iter().copied().reduce(f64::max)?;
    let (least, most) = (format!("{least:.2}"), format!("{most:.2}"));
    let range = if least == most {
        least
    } else {
        format!("{least} to {most}")
    };
    Some(format!(
        "To move what the bare fan moves it would have to turn {range} times as fast (fan laws), and would be louder."
    ))
}

/// A pressure with about two figures that count.
fn pascals(pressure: f64) -> String {
    if pressure.abs() < 10.0 {
        format!("{:.1}", tenths(pressure)).replace('-', "−")
    } else {
        format!("{pressure:.0}")
    }
}

/// A pressure in whole tenths, without a negative zero.
fn tenths(pressure: f64) -> f64 {
    (10.0 * pressure).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::result::AirPathOfGrille;

    fn told(pressures: &[f64]) -> String {
        let grilles = pressures.iter().map(|&case_pressure_pa| AirPathOfGrille {
            id: 0,
            name: "plate".to_owned(),
            shares: Vec::new(),
            case_pressure_pa,
            speed_ratio_for_bare_flow: None,
            on_rig: None,
        });
        let path = AirPathResult {
            fan_count: 1,
            panels: Vec::new(),
            grilles: grilles.collect(),
            has_other_fans: true,
            bare_case_pressure_pa: None,
            bare_on_rig_m3_per_h: None,
        };
        case_line(&path).unwrap()
    }

    #[test]
    fn what_is_told_of_gaps_goes_by_the_pressure_that_is_shown() {
        for (pressures, number, meaning) in [
            (&[0.03, -0.04][..], "at 0.0\u{a0}Pa", "hardly any air"),
            (&[0.3, 1.2], "at +0.3 to +1.2\u{a0}Pa", "air leaves"),
            (&[-0.06], "at −0.1\u{a0}Pa", "air comes in"),
            (&[-0.04, 0.06], "at 0.0 to +0.1\u{a0}Pa", "which way"),
            (&[-0.7, 0.2], "at −0.7 to +0.2\u{a0}Pa", "which way"),
        ] {
            let line = told(pressures);
            assert!(line.contains(number) && line.contains(meaning), "{line}");
        }
    }
}
