//! A plan of readings: as CSV to be filled in, as a sheet to print, and for the terminal.

use std::io::{self, Write};

use crate::bench::plan::BenchPlan;
use crate::bench::power::MOST_REPEATS;
use crate::report::cautions::CAUTIONS;
use crate::report::page::{Ink, Page, harmless};

/// What a bench needs so that its readings mean something, in the order of the day.
const HABITS: [&str; 8] = [
    "Let the fan run for five minutes first; keep its voltage (or its speed setting) where it is all day.",
    "Keep the meter in one place, the same for all designs; air that turns behind a grille makes a vane wheel read wrong, so read ahead of the fan or well behind a straightener if you can.",
    "Look at the unit on the meter and at the area stored in it.",
    "Take the grille out and put it back in before every line: that is a remount; readings without one between them are one repeat.",
    "Keep to the order: it is shuffled so that a drift of the bench cannot pass for a difference.",
    "Read the mean of half a minute, and write it down with all digits.",
    "Write down what happened (a hose moved, a door opened) in the notes.",
    "Low voltage only, the fan fixed, hair and cords tied back.",
];

/// A sheet of paper.
const SHEET: Page = Page {
    width: 80,
    has_colour: false,
    is_ascii: false,
};

/// Writes the plan as CSV: ready to be filled in (value, unit, time) and to be read by `compare`.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_csv(plan: &BenchPlan, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(["order", "design", "remount", "value", "unit", "note"])?;
    for reading in &plan.readings {
        let (order, remount) = (reading.order.to_string(), reading.remount.to_string());
        writer.write_record([&order, &reading.design, &remount, "", "", ""])?;
    }
    writer.flush()?;
    Ok(())
}

/// Writes the sheet to print, in Markdown that reads as plain text.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_sheet(plan: &BenchPlan, mut out: impl Write) -> io::Result<()> {
    writeln!(out, "# Readings of {}\n", harmless(&plan.study))?;
    writeln!(
        out,
        "Date: ____________  Meter: ____________  Unit: ________  Area stored: ________ cm²\n"
    )?;
    for line in summary(plan) {
        SHEET.write(&mut out, &line, None)?;
    }
    writeln!(out)?;
    for (number, habit) in HABITS.iter().enumerate() {
        SHEET.write(&mut out, &format!("{}. {habit}", number + 1), None)?;
    }
    let widest = plan
        .readings
        .iter()
        .map(|reading| reading.design.chars().count())
        .max()
        .unwrap_or(0);
    let mut last = 0;
    for reading in &plan.readings {
        if reading.remount != last {
            last = reading.remount;
            writeln!(out, "\n## Remount {last}\n")?;
            writeln!(
                out,
                "| no. | {:widest$} | reading  | time  | note               |",
                "design"
            )?;
            writeln!(
                out,
                "| --- | {} | -------- | ----- | ------------------ |",
                "-".repeat(widest)
            )?;
        }
        let design = harmless(&reading.design).replace('|', "/");
        writeln!(
            out,
            "| {:3} | {design:widest$} |          |       |                    |",
            reading.order
        )?;
    }
    writeln!(out)?;
    for caution in CAUTIONS {
        SHEET.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// Writes what the plan is and why for a terminal. `files`: where it was put.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_screen(
    plan: &BenchPlan,
    files: &[String],
    width: usize,
    has_colour: bool,
    mut out: impl Write,
) -> io::Result<()> {
    let page = Page::of(width, has_colour);
    let title = format!(
        "{}: {} remounts of each design, {} readings with those of the bare fan.",
        plan.study,
        plan.remounts,
        plan.readings.len()
    );
    page.write(&mut out, &title, Some(Ink::Strong))?;
    writeln!(out)?;
    for line in summary(plan) {
        page.write(&mut out, &line, None)?;
    }
    if !plan.pairs.is_empty() {
        writeln!(out)?;
        let names = page.width - 36;
        writeln!(
            out,
            "{}{}{}{}",
            page.left("pair", names),
            page.right("promised %", 12),
            page.right("remounts", 11),
            page.right("shown", 13)
        )?;
        for pair in &plan.pairs {
            let name = format!("{} over {}", pair.better, pair.other);
            let tie = if pair.is_promised_tie { " tie" } else { "" };
            let needed = pair
                .remounts_needed
                .map_or(format!("> {MOST_REPEATS}"), |needed| needed.to_string());
            let shown = if pair.is_shown_by_plan {
                "by the plan"
            } else {
                "no"
            };
            writeln!(
                out,
                "{}{}{}{}",
                page.left(&harmless(&name), names),
                page.right(&format!("{:.1}{tie}", pair.difference_percent), 12),
                page.right(&needed, 11),
                page.right(shown, 13)
            )?;
        }
    }
    writeln!(out)?;
    for file in files {
        page.write(&mut out, file, None)?;
    }
    for caution in CAUTIONS {
        page.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// What the numbers rest on.
fn summary(plan: &BenchPlan) -> Vec<String> {
    let alarm = if plan.has_bonferroni {
        format!(
            "{:.2} % a pair, 5 % for all neighbours together (Bonferroni)",
            100.0 * plan.false_alarm
        )
    } else {
        "5 % for each pair, not for all together".to_owned()
    };
    let mut lines = vec![format!(
        "Remounts scatter by {} % of the reading; a difference that is there shall be seen with {:.0} % probability, one that is not there with {alarm} (two-sided t test of two means).",
        plan.scatter_percent,
        100.0 * plan.power
    )];
    if let Some(least) = plan.least_difference_percent {
        lines.push(format!(
            "So many remounts show differences from {least:.1} % of the bare fan's air on; what lies closer together may be chosen by looks."
        ));
    }
    lines.push(format!(
        "The order is shuffled in blocks from seed {}.",
        plan.seed
    ));
    lines
}
