//! The doubts of a study in one table: every check of every run with its limit, and every warning, as they were kept on disk.

use std::io::{self, Write};

use serde::Serialize;

use crate::likely::Warning;
use crate::report::page::{Ink, Page, harmless};
use crate::result::check::{Check, CheckKind};
use crate::result::{RunSummary, StudyResult, View};
use crate::text::SpreadsheetWriter;

/// Version of the JSON form.
const FORMAT_VERSION: u32 = 1;

/// A run and whose it is.
#[derive(Debug, Clone, PartialEq)]
pub struct DoubtfulRun {
    /// Names of the grilles whose number it stands behind; none of a run that the last ranking did not use.
    pub grilles: Vec<String>,
    /// What was kept of it.
    pub summary: RunSummary,
}

/// What there is to doubt in a study.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyDoubts {
    /// The ranking; `None` where the batch never came to its end.
    pub ranking: Option<StudyResult>,
    /// The runs: those of the ranking in its order, then the others by name.
    pub runs: Vec<DoubtfulRun>,
    /// Folders of runs that hold no readable `run.json`: key and why.
    pub unreadable: Vec<(String, String)>,
}

/// Puts kept runs beside the grilles of a kept ranking.
pub fn study_doubts(
    ranking: Option<StudyResult>,
    mut summaries: Vec<RunSummary>,
    unreadable: Vec<(String, String)>,
) -> StudyDoubts {
    summaries.sort_by(|a, b| a.key.cmp(&b.key));
    let mut runs = Vec::new();
    for grille in ranking.iter().flat_map(|kept| &kept.grilles) {
        let views = grille.fan_view.iter().map(|view| &view.run.key);
        for key in grille.runs.iter().map(|run| &run.key).chain(views) {
            let known = runs
                .iter_mut()
                .find(|known: &&mut DoubtfulRun| known.summary.key == *key);
            if let Some(known) = known {
                known.grilles.push(grille.name.clone());
            } else if let Some(at) = summaries.iter().position(|s| s.key == *key) {
                runs.push(DoubtfulRun {
                    grilles: vec![grille.name.clone()],
                    summary: summaries.remove(at),
                });
            }
        }
    }
    runs.extend(summaries.into_iter().map(|summary| DoubtfulRun {
        grilles: Vec::new(),
        summary,
    }));
    StudyDoubts {
        ranking,
        runs,
        unreadable,
    }
}

#[derive(Serialize)]
struct File<'a> {
    format: &'static str,
    format_version: u32,
    study: Option<&'a str>,
    runs: Vec<RunOf<'a>>,
    unreadable_runs: Vec<&'a str>,
    warnings: Vec<DoubtRow<'a>>,
}

#[derive(Serialize)]
struct RunOf<'a> {
    key: &'a str,
    grilles: &'a [String],
    view: View,
    face_velocity_m_per_s: f64,
    stop_reason: &'a str,
    is_valid: bool,
    checks: Vec<CheckOf>,
    warnings: Vec<DoubtRow<'a>>,
}

#[derive(Serialize)]
struct CheckOf {
    code: &'static str,
    what: &'static str,
    value: Option<f64>,
    limit: Option<f64>,
    limit_is_least: bool,
    unit: &'static str,
    is_passed: bool,
    advice: &'static str,
}

#[derive(Serialize)]
struct DoubtRow<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    grille: Option<&'a str>,
    code: &'a str,
    message: &'a str,
    advice: &'a str,
}

/// Writes the doubts as indented JSON.
///
/// # Errors
/// What `out` reports.
pub fn write_doubts_json(
    doubts: &StudyDoubts,
    mut out: impl Write,
) -> Result<(), serde_json::Error> {
    let finite = |value: f64| value.is_finite().then_some(value);
    let check = |check: &Check| CheckOf {
        code: check.kind.code(),
        what: check.kind.in_words(),
        value: finite(check.value),
        limit: finite(check.limit),
        limit_is_least: check.kind.is_least(),
        unit: check.kind.unit(),
        is_passed: check.is_passed(),
        advice: check.kind.advice(),
    };
    let runs = doubts.runs.iter().map(|run| RunOf {
        key: &run.summary.key,
        grilles: &run.grilles,
        view: run.summary.view,
        face_velocity_m_per_s: run.summary.face_velocity_m_per_s,
        stop_reason: &run.summary.stop_reason,
        is_valid: run.summary.is_valid,
        checks: run.summary.checks.iter().map(check).collect(),
        warnings: run
            .summary
            .warnings
            .iter()
            .map(|warning| DoubtRow {
                grille: None,
                code: &warning.code,
                message: &warning.message,
                advice: &warning.advice,
            })
            .collect(),
    });
    let file = File {
        format: "ventwright doubts",
        format_version: FORMAT_VERSION,
        study: doubts.ranking.as_ref().map(|kept| kept.study.as_str()),
        runs: runs.collect(),
        unreadable_runs: doubts
            .unreadable
            .iter()
            .map(|(key, _)| key.as_str())
            .collect(),
        warnings: told(doubts)
            .map(|(grille, warning)| DoubtRow {
                grille,
                code: &warning.code,
                message: &warning.message,
                advice: &warning.advice,
            })
            .collect(),
    };
    serde_json::to_writer_pretty(&mut out, &file)?;
    out.write_all(b"\n").map_err(serde_json::Error::io)
}

/// Doubts of the study and of its grilles, with the grille's name.
fn told(doubts: &StudyDoubts) -> impl Iterator<Item = (Option<&str>, &Warning)> {
    doubts.ranking.iter().flat_map(|kept| {
        let of_study = kept.warnings.iter().map(|warning| (None, warning));
        let of_grilles = kept.grilles.iter().flat_map(|grille| {
            let name = Some(grille.name.as_str());
            grille.warnings.iter().map(move |warning| (name, warning))
        });
        of_study.chain(of_grilles)
    })
}

/// Writes the doubts as comma-separated values: a line for each check of each run, for the reason why each run stopped, and for each warning.
///
/// # Errors
/// What `out` reports.
pub fn write_doubts_csv(doubts: &StudyDoubts, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = SpreadsheetWriter::new(out);
    writer.row([
        "grilles",
        "run",
        "code",
        "value",
        "limit",
        "limit_is_least",
        "unit",
        "is_passed",
        "message",
        "advice",
    ])?;
    let number = |value: f64| {
        let rounded = format!("{value:.5}");
        if value.is_finite() {
            rounded
        } else {
            String::new()
        }
    };
    for run in &doubts.runs {
        let grilles = run.grilles.join("; ");
        let summary = &run.summary;
        writer.row([
            &grilles,
            &summary.key,
            "stop",
            "",
            "",
            "",
            "",
            &summary.is_valid.to_string(),
            &summary.stop_reason,
            "",
        ])?;
        for check in &summary.checks {
            writer.row([
                &grilles,
                &summary.key,
                check.kind.code(),
                &number(check.value),
                &number(check.limit),
                &check.kind.is_least().to_string(),
                check.kind.unit(),
                &check.is_passed().to_string(),
                check.kind.in_words(),
                check.kind.advice(),
            ])?;
        }
        let others = summary.warnings.iter();
        for warning in others.filter(|warning| CheckKind::of_code(&warning.code).is_none()) {
            let texts = [&*warning.code, &warning.message, &warning.advice];
            writer.row(warning_row(&grilles, &summary.key, texts))?;
        }
    }
    for (grille, warning) in told(doubts) {
        let texts = [&*warning.code, &warning.message, &warning.advice];
        writer.row(warning_row(grille.unwrap_or(""), "", texts))?;
    }
    writer.end()
}

/// The line of a warning that is no check: its code, message and advice.
fn warning_row<'a>(
    grilles: &'a str,
    key: &'a str,
    [code, message, advice]: [&'a str; 3],
) -> [&'a str; 10] {
    [grilles, key, code, "", "", "", "", "false", message, advice]
}

/// Columns of the numbers, under their headings.
const COLUMNS: [(CheckKind, &str, &str, usize); 7] = [
    (CheckKind::Drift, "drift", "%", 5),
    (CheckKind::BookKeeping, "books", "%", 5),
    (CheckKind::FlowBalance, "mass", "%", 5),
    (CheckKind::DensityRise, "rise", "%", 5),
    (CheckKind::Mach, "Mach", "", 5),
    (CheckKind::Cells, "cells", "gap", 5),
    (CheckKind::RoomBehind, "room", "pitch", 5),
];

/// Columns of the word for why a run stopped.
const STOP: usize = 11;

/// Writes the doubts for a terminal.
///
/// # Errors
/// What `out` reports.
pub fn write_doubts_screen(
    doubts: &StudyDoubts,
    width: usize,
    has_colour: bool,
    mut out: impl Write,
) -> io::Result<()> {
    let page = Page::of(width, has_colour);
    page.write(&mut out, &headline(doubts), Some(Ink::Strong))?;
    if doubts.runs.is_empty() {
        return page.write(&mut out, "There are no finished runs in this folder.", None);
    }
    writeln!(out)?;
    let room = page.width - STOP - COLUMNS.iter().map(|column| column.3 + 1).sum::<usize>();
    let heading =
        |first: &str, pick: fn(&(CheckKind, &'static str, &'static str, usize)) -> &'static str| {
            let cells = COLUMNS
                .iter()
                .map(|column| format!("{} ", page.right(pick(column), column.3)));
            format!(
                "{}{}{}",
                page.left(first, room),
                page.left("", STOP),
                cells.collect::<String>()
            )
        };
    writeln!(
        out,
        "{}",
        heading("run, cells across", |column| column.1).trim_end()
    )?;
    writeln!(out, "{}", heading("", |column| column.2).trim_end())?;
    let mut last: Option<&[String]> = None;
    for run in &doubts.runs {
        if last != Some(&run.grilles) {
            let name = if run.grilles.is_empty() {
                "not used by the last ranking".to_owned()
            } else {
                run.grilles.join(", ")
            };
            writeln!(
                out,
                "{}",
                page.ink(Ink::Strong, &page.cut(&harmless(&name), page.width))
            )?;
            last = Some(&run.grilles);
        }
        let line = run_line(&run.summary, &page, room);
        let is_good = run.summary.is_valid && run.summary.checks.iter().all(Check::is_passed);
        let line = if is_good {
            line
        } else {
            page.ink(Ink::Alert, &line)
        };
        writeln!(out, "{line}")?;
    }
    writeln!(out)?;
    for line in legend(doubts) {
        if line.is_empty() {
            writeln!(out)?;
        }
        page.write(&mut out, &line, None)?;
    }
    Ok(())
}

fn headline(doubts: &StudyDoubts) -> String {
    let study = doubts
        .ranking
        .as_ref()
        .map_or("unfinished batch", |kept| &kept.study);
    let failed = doubts
        .runs
        .iter()
        .filter(|run| !run.summary.checks.iter().all(Check::is_passed))
        .count();
    let unsettled = doubts
        .runs
        .iter()
        .filter(|run| !run.summary.is_valid)
        .count();
    let some = |count: usize, what: &str| match count {
        0 => format!("none {what}"),
        count => format!("{count} {what}"),
    };
    format!(
        "{study}: {} runs; {}, {}.",
        doubts.runs.len(),
        some(unsettled, "without a valid number"),
        some(failed, "beyond a limit")
    )
}

fn run_line(summary: &RunSummary, page: &Page, room: usize) -> String {
    let name = format!(
        "  {} {:.2} m/s, {:.0}",
        summary.view, summary.face_velocity_m_per_s, summary.cells_across
    );
    let stop = match summary.stop_reason.as_str() {
        reason if summary.is_valid && reason == "settled" => "settled",
        _ if summary.is_valid => "mean kept",
        reason if reason.contains("ran away") => "ran away!",
        reason if reason.contains("out of time") => "no time!",
        _ => "unsettled!",
    };
    let cells = COLUMNS.iter().map(|&(kind, _, _, width)| {
        let found = summary.checks.iter().find(|check| check.kind == kind);
        let Some(check) = found else {
            return format!("{} ", page.right("-", width));
        };
        let mark = if check.is_passed() { ' ' } else { '!' };
        format!("{}{mark}", page.right(&short(check.value), width))
    });
    let line = format!(
        "{}{}{}",
        page.left(&harmless(&name), room),
        page.left(stop, STOP),
        cells.collect::<String>()
    );
    line.trim_end().to_owned()
}

/// Three digits at most.
fn short(value: f64) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    match value.abs() {
        size if size < 0.995 => format!("{value:.2}"),
        size if size < 99.5 => format!("{value:.1}"),
        _ => format!("{value:.0}"),
    }
}

/// What the columns mean, with limits and advice, and the doubts that are no check.
fn legend(doubts: &StudyDoubts) -> Vec<String> {
    let checks = || doubts.runs.iter().flat_map(|run| &run.summary.checks);
    let mut lines = vec![
        "Beyond its limit: !. These checks find faults of the run, not of the model: what a number is worth stands in its likely range.".to_owned(),
        "A run that did not settle gives no number to the ranking.".to_owned(),
    ];
    for (kind, name, _, _) in COLUMNS {
        let limits = checks()
            .filter(|check| check.kind == kind)
            .map(|check| check.limit);
        let (low, high) = limits.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), limit| {
            (low.min(limit), high.max(limit))
        });
        if low > high {
            continue;
        }
        let side = if kind.is_least() {
            "at least"
        } else {
            "at most"
        };
        let unit = kind.unit();
        let limit = if short(low) == short(high) {
            format!("{} {unit}", short(low))
        } else {
            format!("{} to {} {unit} by run", short(low), short(high))
        };
        let is_failed = checks().any(|check| check.kind == kind && !check.is_passed());
        let advice = if is_failed {
            format!("; {}", kind.advice())
        } else {
            String::new()
        };
        lines.push(format!(
            "{name}: {}; {side} {}{advice}.",
            kind.in_words(),
            limit.trim()
        ));
    }
    if doubts.runs.iter().any(|run| run.summary.checks.is_empty()) {
        lines.push(
            "-: not recorded by the version that solved it; --fresh solves it again.".to_owned(),
        );
    }
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    let of_runs = doubts.runs.iter().flat_map(|run| {
        let warnings = run.summary.warnings.iter();
        let own = warnings.filter(|warning| CheckKind::of_code(&warning.code).is_none());
        own.map(|warning| {
            let text = format!("{}; {} [{}]", warning.message, warning.advice, warning.code);
            (run.grilles.join(", "), text)
        })
    });
    let kept = told(doubts).map(|(grille, warning)| {
        let text = format!("{}; {} [{}]", warning.message, warning.advice, warning.code);
        (grille.unwrap_or("").to_owned(), text)
    });
    for (who, text) in of_runs.chain(kept) {
        match said.iter_mut().find(|(known, _)| *known == text) {
            Some((_, names)) if names.contains(&who) => {}
            Some((_, names)) => names.push(who),
            None => said.push((text, vec![who])),
        }
    }
    if !said.is_empty() {
        lines.push(String::new());
    }
    lines.extend(said.into_iter().map(|(text, names)| {
        let names = names.join(", ");
        if names.is_empty() {
            format!("{text}.")
        } else {
            format!("{names}: {text}.")
        }
    }));
    let unreadable = doubts.unreadable.iter();
    lines.extend(unreadable.map(|(key, why)| format!("{key}: no readable run: {why}.")));
    lines
}
