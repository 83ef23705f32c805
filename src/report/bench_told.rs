//! What readings say beside a sealed prediction: for the terminal, as CSV and as JSON.

use std::fmt::Write as _;
use std::io::{self, Write};

use serde::Serialize;

use crate::bench::compared::{Compared, ComparedDesign, ComparedPair};
use crate::likely::Likely;
use crate::report::cautions::CAUTIONS;
use crate::report::page::{Ink, Page, harmless};

/// Version of the JSON form.
const FORMAT_VERSION: u32 = 1;

/// Most pairs that the screen tells.
const MOST_PAIRS: usize = 8;

#[derive(Serialize)]
struct File<'a> {
    format: &'static str,
    format_version: u32,
    sealed_hash: &'a str,
    #[serde(flatten)]
    compared: &'a Compared,
    outlier_rule: &'static str,
    cautions: [&'static str; CAUTIONS.len()],
}

/// The rule and its source, as they stand beside outliers.
const OUTLIER_RULE: &str = "modified z-score beyond 3.5 within a design (Iglewicz and Hoaglin 1993; NIST/SEMATECH e-Handbook 1.3.5.17)";

/// Writes the comparison as indented JSON.
///
/// # Errors
/// What `out` reports.
pub fn write_compared_json(
    compared: &Compared,
    hash: &str,
    mut out: impl Write,
) -> Result<(), serde_json::Error> {
    let file = File {
        format: "ventwright comparison",
        format_version: FORMAT_VERSION,
        sealed_hash: hash,
        compared,
        outlier_rule: OUTLIER_RULE,
        cautions: CAUTIONS,
    };
    serde_json::to_writer_pretty(&mut out, &file)?;
    out.write_all(b"\n").map_err(serde_json::Error::io)
}

/// Writes the comparison as comma-separated values, one line per design, the bare fan last.
///
/// # Errors
/// What `out` reports.
pub fn write_compared_csv(compared: &Compared, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record([
        "design",
        "promised_rank",
        "promised_flow_m3_per_h",
        "promised_flow_percent",
        "promised_flow_percent_low",
        "promised_flow_percent_high",
        "promised_meter_m_per_s_low",
        "promised_meter_m_per_s_high",
        "promised_reading_percent_low",
        "promised_reading_percent_high",
        "readings",
        "repeats",
        "mean_reading",
        "mean_reading_unit",
        "read_percent",
        "read_percent_low",
        "read_percent_high",
        "read_percent_without_outliers",
        "readings_inside",
        "readings_held",
    ])?;
    let number = |value: Option<f64>| match value {
        Some(value) if value.is_finite() => format!("{value:.4}"),
        _ => String::new(),
    };
    for design in compared.designs.iter().chain(&compared.bare_fan) {
        let promised = design.promised_percent;
        let interval = design.read_percent.filter(|_| design.has_interval);
        let name = &design.name;
        // A spreadsheet must not take a name for a formula.
        let name = if name.starts_with(['=', '+', '-', '@']) {
            format!("'{name}")
        } else {
            name.clone()
        };
        writer.write_record([
            name,
            design
                .promised_rank
                .map_or(String::new(), |rank| rank.to_string()),
            number(design.promised_flow_m3_per_h.map(|flow| flow.value)),
            number(promised.map(|percent| percent.value)),
            number(promised.map(|percent| percent.low)),
            number(promised.map(|percent| percent.high)),
            number(design.promised_meter_m_per_s.map(|[low, _]| low)),
            number(design.promised_meter_m_per_s.map(|[_, high]| high)),
            number(design.promised_reading_percent.map(|[low, _]| low)),
            number(design.promised_reading_percent.map(|[_, high]| high)),
            design.reading_count.to_string(),
            design.repeat_count.to_string(),
            number(design.mean_reading),
            compared.unit.to_owned(),
            number(design.read_percent.map(|percent| percent.value)),
            number(interval.map(|percent| percent.low)),
            number(interval.map(|percent| percent.high)),
            number(design.percent_without_outliers),
            design.inside_count.to_string(),
            design.held_count.to_string(),
        ])?;
    }
    writer.flush()?;
    Ok(())
}

/// Writes the comparison for a terminal.
///
/// # Errors
/// What `out` reports.
pub fn write_compared_screen(
    compared: &Compared,
    hash: &str,
    width: usize,
    has_colour: bool,
    mut out: impl Write,
) -> io::Result<()> {
    let page = Page::of(width, has_colour);
    let short_hash: String = hash.chars().take(12).collect();
    let title = format!(
        "{}: readings of {} beside the prediction sealed on {} (seal {short_hash} is whole).",
        compared.study, compared.quantity, compared.sealed_at
    );
    page.write(&mut out, &title, None)?;
    writeln!(out)?;
    page.write(&mut out, &verdict(compared), Some(Ink::Strong))?;
    writeln!(out)?;
    for line in table(compared, &page) {
        writeln!(out, "{line}")?;
    }
    writeln!(out)?;
    for note in notes(compared) {
        page.write(&mut out, &note, None)?;
    }
    writeln!(out)?;
    for warning in &compared.warnings {
        let text = format!("Mind: {}; {}.", warning.message, warning.advice);
        page.write(&mut out, &text, Some(Ink::Alert))?;
    }
    for caution in CAUTIONS {
        page.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// The answer in a sentence or two.
fn verdict(compared: &Compared) -> String {
    let mut text = if compared.held_count > 0 {
        format!(
            "{} of {} readings lie inside the promised range",
            compared.inside_count, compared.held_count
        )
    } else {
        "No reading could be held against a promise".to_owned()
    };
    if let Some(found) = compared.agreement {
        let _ = write!(
            text,
            "; {} of {} pairs of designs stand in the promised order (rank agreement, Kendall's tau, {:.2})",
            found.same_count, found.pair_count, found.kendall_tau
        );
    }
    text + "."
}

/// Widths of the columns behind the name.
const WIDTHS: [usize; 4] = [18, 11, 20, 12];

fn table(compared: &Compared, page: &Page) -> Vec<String> {
    let room = page.width - WIDTHS.iter().sum::<usize>();
    let row = |name: &str, cells: [&str; 4]| {
        let mut line = page.left(name, room);
        for (cell, width) in cells.iter().zip(WIDTHS) {
            line += &page.right(cell, width);
        }
        line.trim_end().to_owned()
    };
    let is_speed = compared.unit == "m/s";
    let mut lines = vec![
        row(
            "",
            [
                "promised",
                if is_speed { "meter" } else { "promised" },
                "read",
                "inside",
            ],
        ),
        row(
            "design",
            ["% (likely)", compared.unit, "% (interval)", "of"],
        ),
    ];
    for design in compared.designs.iter().chain(&compared.bare_fan) {
        let promised = design
            .promised_percent
            .map_or("-".to_owned(), |it| percent(it, true));
        let second = match (compared.unit, design.promised_meter_m_per_s) {
            ("m/s", Some([low, high])) if format!("{low:.2}") == format!("{high:.2}") => {
                format!("{low:.2}")
            }
            ("m/s", Some([low, high])) => format!("{low:.2}–{high:.2}"),
            ("m3/h", _) => design
                .promised_flow_m3_per_h
                .map_or("-".to_owned(), |flow| format!("{:.1}", flow.value)),
            _ => "-".to_owned(),
        };
        let read = design
            .read_percent
            .map_or("-".to_owned(), |it| percent(it, design.has_interval));
        let inside = if design.held_count > 0 {
            format!("{} / {}", design.inside_count, design.held_count)
        } else {
            format!("{} read", design.reading_count)
        };
        lines.push(row(
            &harmless(&design.name),
            [&promised, &second, &read, &inside],
        ));
        let mean = design
            .mean_reading
            .map(|mean| format!("{mean:.2} {}", compared.unit));
        let mean = mean.filter(|_| compared.unit != "%").unwrap_or_default();
        let repeats = format!("{} repeats", design.repeat_count);
        lines.push(row("", ["", "", &mean, &repeats]));
    }
    lines
}

/// "84.1 (82.3–85.9)".
fn percent(likely: Likely, has_interval: bool) -> String {
    if has_interval {
        format!("{:.1} ({:.1}–{:.1})", likely.value, likely.low, likely.high)
    } else {
        format!("{:.1}", likely.value)
    }
}

fn notes(compared: &Compared) -> Vec<String> {
    let mut notes = vec![
        "Promised and read: air in per cent of the bare fan. Intervals (95 %): Student's, over remounts.".to_owned(),
    ];
    if compared
        .designs
        .iter()
        .any(|design| is_by_meter(design, compared))
    {
        notes.push("Inside: of what a meter was expected to show in the turning air, widened by the range of the flow.".to_owned());
    }
    match &compared.drift {
        Some(drift) => {
            let change = drift.change_percent;
            let what = if drift.is_taken_out {
                "more than chance: it was taken out"
            } else {
                "no more than chance: it was left in"
            };
            notes.push(format!(
                "Drift: the bare fan changed by {:+.1} % ({:+.1} to {:+.1} %) over the readings, {what}.",
                change.value, change.low, change.high
            ));
        }
        None if compared.bare_fan.is_some() => {
            notes.push("Drift: three readings of the bare fan would tell.".to_owned());
        }
        None => {}
    }
    notes.extend(pair_notes(&compared.pairs));
    if !compared.outliers.is_empty() {
        notes.push(format!(
            "Far from their fellows, but counted ({OUTLIER_RULE}):"
        ));
        notes.extend(compared.outliers.iter().map(|outlier| {
            let of = compared.designs.iter().chain(&compared.bare_fan);
            let without = of
                .filter(|design| design.name == outlier.design)
                .find_map(|design| design.percent_without_outliers);
            let without =
                without.map_or(String::new(), |value| format!("; without it {value:.1} %"));
            format!(
                "line {}: {} {} {} (score {:.1}){without}.",
                outlier.line, outlier.design, outlier.value, outlier.unit, outlier.score
            )
        }));
    }
    if !compared.unread.is_empty() {
        notes.push(format!("Not read: {}.", compared.unread.join(", ")));
    }
    if compared.empty_count > 0 {
        notes.push(format!(
            "{} lines are not filled in yet.",
            compared.empty_count
        ));
    }
    notes
}

fn is_by_meter(design: &ComparedDesign, compared: &Compared) -> bool {
    compared.unit == "m/s" && design.promised_meter_m_per_s.is_some()
}

fn pair_notes(pairs: &[ComparedPair]) -> Vec<String> {
    if pairs.is_empty() {
        return Vec::new();
    }
    let clear = pairs.iter().filter(|pair| !pair.is_tie).count();
    let sure = pairs
        .iter()
        .filter(|pair| pair.chance_among_all < 0.05)
        .count();
    let mut notes = vec![format!(
        "Pairs: {clear} of {} can be told apart (Welch's test at 5 % each); with 5 % for all of them together (Holm) {sure}.",
        pairs.len()
    )];
    let against = pairs
        .iter()
        .filter(|pair| !pair.is_tie && pair.is_as_promised == Some(false));
    notes.extend(against.map(|pair| {
        format!(
            "Against the promise: {} moves more than {}, by {:.1} % ({:.1} to {:.1}).",
            pair.better,
            pair.other,
            pair.difference_percent.value,
            pair.difference_percent.low,
            pair.difference_percent.high
        )
    }));
    let ties: Vec<String> = pairs
        .iter()
        .filter(|pair| pair.is_tie)
        .take(MOST_PAIRS)
        .map(|pair| format!("{} and {}", pair.better, pair.other))
        .collect();
    if !ties.is_empty() {
        let count = pairs.iter().filter(|pair| pair.is_tie).count();
        let more = if count > ties.len() {
            format!(", and {} more", count - ties.len())
        } else {
            String::new()
        };
        notes.push(format!(
            "Not to be told apart on this bench: {}{more}.",
            ties.join("; ")
        ));
    }
    notes
}
