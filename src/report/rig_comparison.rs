//! What readings say beside a sealed prediction, verdict first: for the terminal, as CSV and as JSON.

use std::io::{self, Write};

use serde::Serialize;

use crate::likely::Likely;
use crate::report::bench_notes::{COMPARISON_RULE, OUTLIER_RULE, notes};
use crate::report::bench_verdict::{figure, verdict};
use crate::report::cautions::CAUTIONS;
use crate::report::page::{Ink, Page, harmless};
use crate::report::tie_letters::letters_of;
use crate::rig::compared::{Compared, ComparedDesign, Outlier};
use crate::text::SpreadsheetWriter;

/// Version of the JSON form.
const FORMAT_VERSION: u32 = 2;

#[derive(Serialize)]
struct File<'a> {
    format: &'static str,
    format_version: u32,
    sealed_hash: &'a str,
    #[serde(flatten)]
    compared: &'a Compared,
    comparison_rule: &'static str,
    outlier_rule: &'static str,
    cautions: [&'static str; CAUTIONS.len()],
}

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
        comparison_rule: COMPARISON_RULE,
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
    let mut writer = SpreadsheetWriter::new(out);
    writer.row([
        "design",
        "place",
        "predicted_rank",
        "predicted_flow_m3_per_h",
        "predicted_flow_percent",
        "predicted_flow_percent_low",
        "predicted_flow_percent_high",
        "predicted_meter_m_per_s_low",
        "predicted_meter_m_per_s_high",
        "predicted_reading_percent_low",
        "predicted_reading_percent_high",
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
    let findings = &compared.findings;
    for design in findings.designs.iter().chain(&findings.bare_fan) {
        let without = compared.without_outliers.as_ref().and_then(|without| {
            let mut designs = without.designs.iter().chain(&without.bare_fan);
            designs
                .find(|other| other.name == design.name)?
                .read_percent
        });
        let predicted = design.predicted_percent;
        let interval = design.read_percent.filter(|_| design.has_interval);
        writer.row([
            design.name.clone(),
            design
                .place
                .map_or(String::new(), |place| place.to_string()),
            design
                .predicted_rank
                .map_or(String::new(), |rank| rank.to_string()),
            number(design.predicted_flow_m3_per_h.map(|flow| flow.value)),
            number(predicted.map(|percent| percent.value)),
            number(predicted.map(|percent| percent.low)),
            number(predicted.map(|percent| percent.high)),
            number(design.predicted_meter_m_per_s.map(|[low, _]| low)),
            number(design.predicted_meter_m_per_s.map(|[_, high]| high)),
            number(design.predicted_reading_percent.map(|[low, _]| low)),
            number(design.predicted_reading_percent.map(|[_, high]| high)),
            design.reading_count.to_string(),
            design.repeat_count.to_string(),
            number(design.mean_reading),
            compared.unit.to_owned(),
            number(design.read_percent.map(|percent| percent.value)),
            number(interval.map(|percent| percent.low)),
            number(interval.map(|percent| percent.high)),
            number(without.map(|percent| percent.value)),
            design.inside_count.to_string(),
            design.held_count.to_string(),
        ])?;
    }
    writer.end()
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
    let answer = verdict(&compared.findings, compared.unit);
    page.write(&mut out, &answer, Some(Ink::Strong))?;
    for outlier in &compared.outliers {
        page.write(&mut out, &off(outlier), Some(Ink::Alert))?;
    }
    if let Some(without) = &compared.without_outliers {
        let text = format!("Without it: {}", verdict(without, compared.unit));
        let text = if compared.outliers.len() > 1 {
            text.replacen("it:", "these:", 1)
        } else {
            text
        };
        page.write(&mut out, &text, Some(Ink::Strong))?;
    }
    writeln!(out)?;
    for line in table(compared, &page) {
        writeln!(out, "{line}")?;
    }
    writeln!(out)?;
    for note in notes(compared, hash) {
        page.write(&mut out, &note, None)?;
    }
    writeln!(out)?;
    for warning in &compared.warnings {
        let text = format!("Caution: {}; {}.", warning.message, warning.advice);
        page.write(&mut out, &text, Some(Ink::Alert))?;
    }
    for caution in CAUTIONS {
        page.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// "Check line 9: slots, 70 m3/h, is 20 % below its other readings."
fn off(outlier: &Outlier) -> String {
    let lines: Vec<String> = outlier.lines.iter().map(u64::to_string).collect();
    let [word, lines] = [
        if lines.len() > 1 { "lines" } else { "line" },
        &lines.join(", "),
    ];
    let name = harmless(&outlier.design);
    let off = outlier.off_percent;
    if outlier.is_either {
        return format!(
            "Check {word} {lines}: two readings of {name} differ by {:.0} %, and one of them is wrong.",
            off.abs()
        );
    }
    let side = if off < 0.0 { "below" } else { "above" };
    format!(
        "Check {word} {lines}: {name}, {} {}, is {:.0} % {side} its other readings.",
        figure(outlier.value),
        outlier.unit,
        off.abs()
    )
}

/// Columns beside the name: heading in two lines and width; those in the unit that was read are left out on a narrow page.
fn columns(compared: &Compared, page: &Page) -> Vec<[&'static str; 2]> {
    let unit = compared.unit;
    let has_unit = unit != "%" && page.width >= 80;
    let predicted = if compared.quantity == "air speed" {
        "at meter"
    } else {
        "predicted"
    };
    let mut columns = vec![["predicted", "% (likely)"]];
    columns.extend(has_unit.then_some([predicted, unit]));
    columns.push(["read", "% (95 %)"]);
    columns.extend(has_unit.then_some(["read", unit]));
    columns.push(["in", "range"]);
    columns
}

/// Width of a column beside the name.
fn width(heading: &str) -> usize {
    match heading {
        "% (likely)" => 15,
        "% (95 %)" => 14,
        "range" => 9,
        _ => 12,
    }
}

fn table(compared: &Compared, page: &Page) -> Vec<String> {
    let columns = columns(compared, page);
    let widths: Vec<usize> = columns.iter().map(|[_, below]| width(below)).collect();
    let room = page.width - 7 - widths.iter().sum::<usize>();
    let row = |place: &str, name: &str, cells: &[String]| {
        let mut line = page.left(place, 7) + &page.left(name, room);
        for (cell, width) in cells.iter().zip(&widths) {
            line += &page.right(cell, *width);
        }
        line.trim_end().to_owned()
    };
    let heading = |at: usize| {
        columns
            .iter()
            .map(|column| column[at].to_owned())
            .collect::<Vec<_>>()
    };
    let mut lines = vec![
        row("", "", &heading(0)),
        row("place", "design", &heading(1)),
    ];
    let findings = &compared.findings;
    let names: Vec<&str> = findings
        .designs
        .iter()
        .map(|design| design.name.as_str())
        .collect();
    let named = |group: &Vec<usize>| group.iter().map(|&at| names[at].to_owned()).collect();
    let letters = letters_of(
        &names,
        &findings.groups.iter().map(named).collect::<Vec<_>>(),
    );
    let letters = letters.into_iter().chain([String::new()]);
    let has_unit = columns.len() > 3;
    for (design, letters) in findings
        .designs
        .iter()
        .chain(&findings.bare_fan)
        .zip(letters)
    {
        let place = design
            .place
            .map_or(String::new(), |place| format!("{place} {letters}"));
        lines.push(row(
            &place,
            &harmless(&design.name),
            &cells(design, has_unit),
        ));
    }
    lines
}

fn cells(design: &ComparedDesign, has_unit: bool) -> Vec<String> {
    let none = || "-".to_owned();
    let mut cells = vec![design.predicted_percent.map_or(none(), |it| {
        format!("{:.0} ({:.0}–{:.0})", it.value, it.low, it.high)
    })];
    cells.extend(has_unit.then(|| {
        let ends = design.predicted_reading.map(|ends| ends.map(figure));
        match ends {
            Some([low, high]) if low == high => low,
            Some([low, high]) => format!("{low}–{high}"),
            None => none(),
        }
    }));
    cells.push(
        design
            .read_percent
            .map_or(none(), |it| percent(it, design.has_interval)),
    );
    cells.extend(has_unit.then(|| design.mean_reading.map_or(none(), figure)));
    cells.push(if design.held_count > 0 {
        format!("{} of {}", design.inside_count, design.held_count)
    } else {
        none()
    });
    cells
}

/// "84.1 ± 1.8".
fn percent(likely: Likely, has_interval: bool) -> String {
    if has_interval {
        format!("{:.1} ± {:.1}", likely.value, likely.half_width())
    } else {
        format!("{:.1}", likely.value)
    }
}
